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
use super::meter::Meter;
use super::number::{float, index, of_count, whole};
use super::table::{Kit, Spot};
use crate::nest::Watch;

/// Work for one place looked for, in evaluated neighbours.
const LOOK: u64 = 600;

/// Kinds from which blocks are begun, at most.
const STARTS: usize = 24;

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

/// Heights at which an outline is measured to say how many lanes it is worth trying.
const HEIGHTS: usize = 96;

/// The most lanes in which a form seems to lie side by side without end, at the best of a few
/// shifts, from its sides at some heights: a guess that costs little; places are looked for
/// exactly.
pub fn lanes_for(kit: &Kit, width: i64, way: Way) -> usize {
    let (w, l) = kit.size(way.form);
    let sides = sides(&kit.pairs.forms[way.form].corners, l);
    let gap = float(kit.pairs.gap);
    // One piece's right sides against the next one's left sides, half, a third... ahead.
    let pitch = |shift: usize| {
        let reach = (0..HEIGHTS).map(|h| sides[h].1 - sides[(h + shift) % HEIGHTS].0);
        let back = (0..HEIGHTS).map(|h| sides[(h + shift) % HEIGHTS].1 - sides[h].0);
        reach.chain(back).fold(0.0, f64::max) + gap
    };
    let shifts = [HEIGHTS / 2, HEIGHTS / 3, HEIGHTS / 4, 0];
    let pitch = shifts.into_iter().map(pitch).fold(f64::INFINITY, f64::min);
    let room = float(width) - w;
    if room < 0.0 { 0 } else { 1 + index((room + 1.0) / pitch.max(1.0), 1000) }
}

/// Where an outline begins and ends across, at heights in the middle of equal parts.
fn sides(corners: &[(i64, i64)], length: f64) -> Vec<(f64, f64)> {
    let edges = || corners.iter().zip(corners.iter().cycle().skip(1));
    let at = |h: usize| {
        let y = (of_count(h) + 0.5) / of_count(HEIGHTS) * length;
        let mut side = (f64::INFINITY, f64::NEG_INFINITY);
        for (p, q) in edges() {
            let (from, to) = (float(p.1), float(q.1));
            if (from <= y) != (to <= y) {
                let x = float(p.0) + (y - from) / (to - from) * float(q.0 - p.0);
                side = (side.0.min(x), side.1.max(x));
            }
        }
        side
    };
    (0..HEIGHTS).map(at).collect()
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
    /// The first of the spots that ends beyond the lowest lane's top: no later piece meets those before it.
    low: usize,
    /// Where each lane ends.
    tops: Vec<f64>,
    work: u64,
    /// Pairs of forms that were looked at, where somebody counts them.
    met: Option<Vec<(usize, usize)>>,
}

impl<'a> Wall<'a> {
    const fn new(kit: &'a Kit, width: i64) -> Self {
        Self { kit, width, spots: Vec::new(), low: 0, tops: Vec::new(), work: 0, met: None }
    }

    fn far(&self) -> f64 {
        self.kit.far(&self.spots)
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
        // Whole steps: lanes a nanometre nearer to each other would need another shift.
        (room / steps).floor() * of_count(lane)
    }

    /// The lane that ends first; of lanes that end alike, every second one before the others, so
    /// that those see both their neighbours.
    fn next_lane(&self) -> Option<usize> {
        let tops = &self.tops;
        let order = |&a: &usize, &b: &usize| {
            tops[a].total_cmp(&tops[b]).then((a % 2).cmp(&(b % 2))).then(a.cmp(&b))
        };
        (0..tops.len()).min_by(order)
    }

    /// The first free place in the lane that ends first.
    fn place(&mut self, lane: usize, way: Way) -> f64 {
        self.work += LOOK;
        let (kit, x, top) = (self.kit, self.across(lane, way), self.tops[lane]);
        let gap = float(kit.pairs.gap);
        let below = |spot: &Spot| spot.y + kit.size(spot.way.form).1 + gap <= top;
        self.low += self.spots[self.low..].iter().take_while(|spot| below(spot)).count();
        let mut list: Vec<(f64, f64)> = Vec::new();
        for spot in &self.spots[self.low..] {
            let (w, l) = kit.size(spot.way.form);
            let aside = spot.x + w + gap <= x || x + kit.size(way.form).0 + gap <= spot.x;
            if aside || spot.y + l + gap <= top {
                continue;
            }
            if let Some(met) = &mut self.met {
                met.push((spot.way.form, way.form));
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
        let found = self.spots[self.low..].iter().position(reaches);
        found.map_or(self.spots.len(), |at| self.low + at)
    }

    /// Lays a queue, as far as it goes before the limit; none if some piece found no place, or somebody stops it.
    fn lay(
        &mut self,
        queue: &mut Vec<Kind>,
        limit: f64,
        taste: Taste,
        (lot, stop): (&mut Lot, &dyn Fn() -> bool),
    ) -> Option<()> {
        while let Some(first) = queue.first() {
            if stop() {
                return None;
            }
            let lanes = first.lanes;
            self.divide(lanes);
            let lane = self.next_lane()?;
            let top = self.tops[lane];
            if top >= limit {
                break;
            }
            let length = |kind: &Kind| self.kit.size(kind.way.form).1;
            let window: Vec<usize> = (0..queue.len())
                .take_while(|&k| queue[k].lanes == lanes)
                .filter(|&k| top + length(&queue[k]) <= limit)
                .take(taste.window)
                .collect();
            let mut best: Option<(f64, usize, f64)> = None;
            for (rank, k) in window.into_iter().enumerate() {
                let y = self.place(lane, queue[k].way);
                let length = self.kit.size(queue[k].way.form).1;
                if y + length > limit {
                    continue;
                }
                let shaken = taste.patience * of_count(rank) + taste.noise * lot.share();
                let waste = y - top + shaken * length;
                if best.is_none_or(|b| waste < b.0) {
                    best = Some((waste, k, y));
                }
            }
            let Some((_, k, y)) = best else {
                self.tops[lane] = f64::INFINITY;
                continue;
            };
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
            let lane = (0..wall.tops.len())
                .find(|&lane| (wall.across(lane, spot.way) - spot.x).abs() < 10.0);
            if let Some(lane) = lane {
                wall.tops[lane] =
                    spot.y + self.kit.size(spot.way.form).1 + float(self.kit.pairs.gap);
            }
            wall.spots.push(*spot);
        }
        wall
    }
}

/// The block that fills its length of a pull best: what lies on it, and how much of it is covered.
/// Takes what it does off the work that is left, and counts the pairs of forms that it meets.
pub fn block(
    kit: &Kit,
    (width, limit): (i64, i64),
    kinds: &[Kind],
    (left, meter): (&mut u64, &mut Meter<'_>),
    watch: &dyn Watch,
) -> Option<(Vec<Spot>, f64)> {
    let mut lot = Lot::new(0, 0);
    let mut best: Option<(Vec<Spot>, f64)> = None;
    for queue in queues(kit, kinds.to_vec()) {
        let starts = (0..queue.len()).step_by(queue.len().div_ceil(STARTS).max(1));
        for (start, window) in starts.flat_map(|start| [(start, 1), (start, 4)]) {
            if *left == 0 || meter.over() || watch.stop() {
                return best;
            }
            let mut wall = Wall { met: Some(Vec::new()), ..Wall::new(kit, width) };
            let taste = Taste { window, patience: 0.005, noise: 0.0 };
            let stop = || watch.stop();
            let mut rest = queue[start..].to_vec();
            let laid = wall.lay(&mut rest, float(limit), taste, (&mut lot, &stop));
            *left = left.saturating_sub(wall.work.max(LOOK));
            wall.met.take().into_iter().flatten().for_each(|(a, b)| meter.meet(a, b));
            if laid.is_none() || wall.spots.is_empty() {
                continue;
            }
            let covered = kit.area_of(&wall.spots) / (float(width) * wall.far());
            if best.as_ref().is_none_or(|b| covered > b.1 + 1e-9) {
                best = Some((wall.spots, covered));
            }
        }
    }
    best
}

/// The kinds among single long pieces, each in the way it lies.
pub fn kinds(kit: &Kit, width: i64, items: &[(usize, Way)]) -> Vec<Kind> {
    let mut kinds: Vec<Kind> = Vec::new();
    for &(piece, way) in items {
        match kinds.iter_mut().find(|kind| kind.piece == piece) {
            Some(kind) => kind.count += 1,
            None => {
                kinds.push(Kind { piece, way, count: 1, lanes: lanes_for(kit, width, way) });
            }
        }
    }
    kinds
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
    while round < queues.len() * 2 || (spent < work && !found.is_empty()) {
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
        let any = !found.is_empty();
        let stop = || any && watch.stop();
        let done = wall.lay(&mut queue.1, f64::INFINITY, taste, (&mut lot, &stop));
        spent += wall.work.max(LOOK);
        if done.is_none() || !queue.1.is_empty() {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::Quiet;
    use crate::nest::shapes::form::Form;
    use crate::nest::shapes::pairs::Pairs;
    use crate::nest::shapes::repair::conflicts;
    use crate::units::Angle;

    const MM: f64 = 1e6;

    /// Throat-seam gores `|x| <= a + b cos`, in millimetres; even steps, so that corners meet.
    fn kit(sizes: &[(f64, f64, f64)]) -> Kit {
        let form = |&(length, a, b): &(f64, f64, f64)| {
            let half = |k: i32| {
                let turn = 2.0 * std::f64::consts::PI * (f64::from(k) / 48.0 - 0.5);
                a + b * libm::cos(turn)
            };
            let corner = |side: f64, k: i32| {
                (whole(side * half(k) * MM), whole(length * f64::from(k) / 48.0 * MM))
            };
            let right = (0..=48).map(|k| corner(1.0, k));
            Form::new(right.chain((0..=48).rev().map(|k| corner(-1.0, k))).collect())
        };
        let way = |form| vec![Way { form, turn: Angle::ZERO }];
        let forms: Vec<Form> = sizes.iter().map(form).collect();
        let ways = (0..forms.len()).map(way).collect();
        Kit::new(Pairs::new(forms, 0), ways)
    }

    fn free(kit: &Kit, spots: &[Spot]) -> bool {
        let places: Vec<_> = spots.iter().map(|s| (whole(s.x), whole(s.y))).collect();
        conflicts(kit, spots, &places).is_empty()
    }

    #[test]
    fn lanes_and_shift_are_those_of_the_closed_form() {
        // Two like gores shifted by a share d of their length lie 2a + 2b cos(pi d) apart (sum of
        // cosines). Twelve lanes on 1500 mm leave (1500 - 2(a + b)) / 11 between middles: with
        // a = 60, b = 20 that is 121.82, so d = 0.4855; two a lane are 2 + d lengths long.
        let kit = kit(&[(1000.0, 60.0, 20.0)]);
        let way = Way { form: 0, turn: Angle::ZERO };
        let width = 1_500_000_000;
        assert_eq!(lanes_for(&kit, width, way), 12);
        assert_eq!(lanes_for(&kit, 1_479_000_000, way), 11);
        let kinds = [Kind { piece: 0, way, count: 24, lanes: 12 }];
        let walls = search(&kit, width, &kinds, 2, (1, 100_000), &Quiet);
        let far = walls[0].iter().map(|s| s.y).fold(0.0, f64::max) / MM + 1000.0;
        assert!((far - 2485.5).abs() < 4.0, "{far}");
        assert_eq!(walls[0].len(), 24);
        assert!(free(&kit, &walls[0]));
    }

    #[test]
    fn kinds_share_lanes_and_all_are_laid() {
        let kit = kit(&[(900.0, 60.0, 22.0), (1000.0, 60.0, 21.0), (1300.0, 59.9, 20.0)]);
        let items: Vec<(usize, Way)> = [(0, 7), (1, 9), (2, 5)]
            .into_iter()
            .flat_map(|(piece, n)| std::iter::repeat_n((piece, kit.ways[piece][0]), n))
            .collect();
        let width = 1_000_000_000;
        let kinds = kinds(&kit, width, &items);
        let walls = search(&kit, width, &kinds, 3, (1, 400_000), &Quiet);
        for wall in &walls {
            let of = |piece| wall.iter().filter(|s| s.piece == piece).count();
            assert_eq!([of(0), of(1), of(2)], [7, 9, 5]);
            assert!(free(&kit, wall));
        }
        // A block within a limit keeps it, and takes no more than there are.
        let left = (&mut 1_000_000, &mut Meter::unlimited(&kit.pairs));
        let (spots, covered) =
            block(&kit, (width, 2_500_000_000), &kinds, left, &Quiet).expect("a block");
        let far = |s: &Spot| s.y + kit.size(s.way.form).1;
        assert!(spots.iter().all(|s| far(s) <= 2500.0 * MM) && free(&kit, &spots));
        assert!(covered > 0.7, "{covered}");
        assert!(spots.iter().filter(|s| s.piece == 2).count() <= 5);
    }
}
