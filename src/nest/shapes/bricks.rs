//! Lays long pieces in lanes at even places across the strip, each as soon as its neighbours let
//! it.
//!
//! Gores with the seam in the throat are `2 (a + b cos)` wide. Two lanes of them, one half a
//! length ahead of the other, need exactly `2 a` from middle to middle; a little more room between
//! the lanes lets the shift miss the half by a little. So as many lanes as that allows are spread
//! evenly across the strip ([`lanes_for`]), and what is left to choose is which piece comes next.
//! Steps: the lane that ends nearest to the front gets the next piece, at the first place along
//! the lane that its neighbours leave free, the ranges that each forbids there being known; of the
//! next few kinds the one that wastes least of the lane. Kinds go by length, so that neighbours in
//! the brickwork stay alike; short ones at both ends, where every second lane wastes half a
//! length, save most ([`queues`]). Many such layouts are made by lot, and the best of them are
//! torn down from a place by lot and built again ([`search`]).

use super::fill;
use super::form::Way;
use super::lot::Lot;
use super::number::{float, index, of_count, whole};
use super::table::{Kit, Spot};
use crate::nest::Watch;

/// Work for one place looked for, in evaluated neighbours.
const LOOK: u64 = 600;

/// A kind of piece to be laid, and how many are left.
#[derive(Clone, Copy, Debug)]
pub struct Kind {
    /// Index into the instance's pieces.
    pub piece: usize,
    /// The way it lies, long side along the strip.
    pub way: Way,
    /// How many.
    pub count: usize,
    /// How many lanes it is laid in.
    pub lanes: usize,
}

/// How freely the next piece is chosen.
#[derive(Clone, Copy, Debug)]
struct Taste {
    /// Kinds looked at.
    window: usize,
    /// What an earlier kind is preferred by, as a share of its length.
    patience: f64,
    /// How much the choice is shaken by lot, as a share of the length.
    noise: f64,
}

/// The most lanes in which a form can lie side by side without end, at the best of a few shifts.
pub fn lanes_for(kit: &Kit, width: i64, way: Way) -> usize {
    let (w, l) = kit.size(way.form);
    let period = l + float(kit.pairs.gap);
    let reach = |shift: f64| {
        let mut list = Vec::new();
        kit.pairs.spans(way.form, way.form, 0, shift, &mut list);
        list.iter().map(|range| range.1).fold(0.0, f64::max)
    };
    let pitch = [0.5, 1.0 / 3.0, 0.25, 0.0]
        .into_iter()
        .map(|share| reach(share * period).max(reach((share - 1.0) * period)))
        .fold(f64::INFINITY, f64::min);
    let room = float(width) - w;
    if room < 0.0 { 0 } else { 1 + index((room + 1.0) / pitch.max(1.0), 1000) }
}

/// Orders of the kinds: by length falling, rising, rising and falling again with every second
/// kind, and with half of each.
pub fn queues(kit: &Kit, mut kinds: Vec<Kind>) -> Vec<Vec<Kind>> {
    let length = |k: &Kind| kit.pairs.forms[k.way.form].length;
    kinds.sort_by_key(|k| (length(k), k.piece));
    let rising = kinds.clone();
    let falling: Vec<Kind> = kinds.iter().rev().copied().collect();
    let by_two = |parity: usize| {
        let mine = rising.iter().enumerate().filter(move |(i, _)| i % 2 == parity);
        mine.map(|(_, k)| *k)
    };
    let hill = by_two(0).chain(by_two(1).collect::<Vec<_>>().into_iter().rev()).collect();
    let part = |k: &Kind, count: usize| Kind { count, ..*k };
    let first = rising.iter().map(|k| part(k, k.count.div_ceil(2)));
    let halves = first.chain(falling.iter().map(|k| part(k, k.count / 2))).collect();
    // Kinds that need fewer lanes come last, in one go.
    [falling, rising.clone(), hill, halves]
        .into_iter()
        .map(|mut queue: Vec<Kind>| {
            queue.retain(|k| k.count > 0);
            queue.sort_by_key(|k| std::cmp::Reverse(k.lanes));
            queue
        })
        .collect()
}

/// Brickwork being laid.
#[derive(Clone, Debug)]
struct Wall<'a> {
    kit: &'a Kit,
    width: i64,
    spots: Vec<Spot>,
    /// Where each lane ends.
    tops: Vec<f64>,
    work: u64,
}

impl<'a> Wall<'a> {
    const fn new(kit: &'a Kit, width: i64) -> Self {
        Self { kit, width, spots: Vec::new(), tops: Vec::new(), work: 0 }
    }

    fn far(&self) -> f64 {
        self.spots.iter().map(|s| s.y + self.kit.size(s.way.form).1).fold(0.0, f64::max)
    }

    /// As many lanes as this from here on; other lanes than before begin where the first of those
    /// ended.
    fn divide(&mut self, count: usize) {
        if self.tops.len() != count {
            let from = self.tops.iter().copied().fold(f64::INFINITY, f64::min);
            self.tops = vec![if from.is_finite() { from } else { 0.0 }; count];
        }
    }

    /// Where a lane's pieces lie across.
    fn across(&self, lane: usize, way: Way) -> f64 {
        let room = float(self.width) - self.kit.size(way.form).0;
        let steps = of_count(self.tops.len().max(2) - 1);
        let x = if self.tops.len() > 1 { room * of_count(lane) / steps } else { 0.0 };
        x.floor()
    }

    /// The first free place in a lane.
    fn place(&mut self, lane: usize, way: Way) -> f64 {
        self.work += LOOK;
        let (kit, x, top) = (self.kit, self.across(lane, way), self.tops[lane]);
        let gap = float(kit.pairs.gap);
        let mut list: Vec<(f64, f64)> = Vec::new();
        // Lanes grow alike: what ends before this lane's top lies among the latest.
        for spot in &self.spots {
            let (w, l) = kit.size(spot.way.form);
            let aside = spot.x + w + gap <= x || x + kit.size(way.form).0 + gap <= spot.x;
            if aside || spot.y + l + gap <= top {
                continue;
            }
            let from = list.len();
            kit.pairs.spans(spot.way.form, way.form, 1, x - spot.x, &mut list);
            for range in &mut list[from..] {
                *range = (range.0 + spot.y, range.1 + spot.y);
            }
        }
        list.sort_by(|a, b| a.0.total_cmp(&b.0));
        fill::first_free(&list, top, f64::INFINITY).unwrap_or(top)
    }

    /// Puts a piece into a lane, free by the exact test.
    fn put(&mut self, lane: usize, kind: &Kind, y: f64) -> Option<()> {
        let x = self.across(lane, kind.way);
        let length = self.kit.size(kind.way.form).1;
        let sheet = [float(self.width), 9e14];
        let spot = Spot { piece: kind.piece, way: kind.way, x, y: y.ceil() };
        let from = self.recent(y);
        let spot = [0.0, 10.0, 100.0, 1000.0, 10_000.0].into_iter().find_map(|more| {
            let spot = Spot { y: spot.y + more, ..spot };
            fill::exactly(self.kit, sheet, &self.spots[from..], spot)
        })?;
        self.tops[lane] = spot.y + length + float(self.kit.pairs.gap);
        self.spots.push(spot);
        Some(())
    }

    /// The first of the spots that can reach as far as `y`.
    fn recent(&self, y: f64) -> usize {
        let gap = float(self.kit.pairs.gap) + 10.0;
        let reaches = |s: &Spot| s.y + self.kit.size(s.way.form).1 + gap >= y;
        self.spots.iter().position(reaches).unwrap_or(self.spots.len())
    }

    /// Lays all of a queue; none if some piece found no place.
    fn lay(&mut self, queue: &mut Vec<Kind>, taste: Taste, lot: &mut Lot) -> Option<()> {
        while let Some(first) = queue.first() {
            self.divide(first.lanes);
            let tops = &self.tops;
            let lane = (0..tops.len()).min_by(|&a, &b| tops[a].total_cmp(&tops[b]))?;
            let lanes = first.lanes;
            let window = queue.iter().take_while(|k| k.lanes == lanes).take(taste.window);
            let mut best: Option<(f64, usize, f64)> = None;
            for (k, kind) in window.copied().enumerate().collect::<Vec<_>>() {
                let y = self.place(lane, kind.way);
                let length = self.kit.size(kind.way.form).1;
                let shaken = taste.patience * of_count(k) + taste.noise * lot.share();
                let waste = y - self.tops[lane] + shaken * length;
                if best.is_none_or(|b| waste < b.0) {
                    best = Some((waste, k, y));
                }
            }
            let (_, k, y) = best?;
            let kind = queue[k];
            self.put(lane, &kind, y)?;
            queue[k].count -= 1;
            if queue[k].count == 0 {
                queue.remove(k);
            }
        }
        Some(())
    }

    /// A wall of the first spots of another, with its lanes.
    fn foot(&self, other: &[Spot], lanes: impl Fn(usize) -> usize) -> Self {
        let mut wall = Self::new(self.kit, self.width);
        for spot in other {
            wall.divide(lanes(spot.piece));
            let lane = (0..wall.tops.len()).find(|&lane| {
                (wall.across(lane, spot.way) - spot.x).abs() < 10.0
            });
            if let Some(lane) = lane {
                wall.tops[lane] =
                    spot.y + self.kit.size(spot.way.form).1 + float(self.kit.pairs.gap);
            }
            wall.spots.push(*spot);
        }
        wall
    }
}

/// The shortest brickworks found, shortest first; no more than `most`.
pub fn search(
    kit: &Kit,
    width: i64,
    kinds: &[Kind],
    most: usize,
    (seed, work): (u64, u64),
    watch: &dyn Watch,
) -> Vec<Vec<Spot>> {
    let mut lot = Lot::new(seed, 0xB21C);
    let mut found: Vec<(f64, usize, Vec<Spot>)> = Vec::new();
    let queues = queues(kit, kinds.to_vec());
    let mut spent = 0;
    let lanes = |piece: usize| kinds.iter().find(|k| k.piece == piece).map_or(1, |k| k.lanes);
    let mut round = 0;
    while round < queues.len() * 2 || (spent < work && found.first().is_some()) {
        if watch.stop() && !found.is_empty() {
            break;
        }
        let plain = round < queues.len() * 2;
        let number = if plain { round % queues.len() } else { lot.below(queues.len()) };
        let taste = match round / queues.len() {
            0 => Taste { window: 1, patience: 0.0, noise: 0.0 },
            1 => Taste { window: 4, patience: 0.005, noise: 0.0 },
            _ => Taste {
                window: 1 + lot.below(6),
                patience: lot.share() * lot.share() * 0.05,
                noise: lot.share() * lot.share() * 0.05,
            },
        };
        round += 1;
        let again = !plain && lot.share() < 0.85;
        let (mut wall, mut queue) = if again {
            let (_, number, old) = &found[lot.below(found.len())];
            let kept = lot.below(old.len());
            let mut queue = queues[*number].clone();
            for spot in &old[..kept] {
                if let Some(k) = queue.iter().position(|k| k.piece == spot.piece) {
                    queue[k].count -= 1;
                    if queue[k].count == 0 {
                        queue.remove(k);
                    }
                }
            }
            (Wall::new(kit, width).foot(&old[..kept], lanes), (*number, queue))
        } else {
            (Wall::new(kit, width), (number, queues[number].clone()))
        };
        let done = wall.lay(&mut queue.1, taste, &mut lot);
        spent += wall.work.max(LOOK);
        if done.is_none() {
            continue;
        }
        let far = wall.far();
        let at = found.partition_point(|f| f.0 < far);
        if found.get(at).is_some_and(|f| whole(f.0) == whole(far)) {
            continue;
        }
        found.insert(at, (far, queue.0, wall.spots));
        found.truncate(most);
    }
    found.into_iter().map(|(_, _, spots)| spots).collect()
}
