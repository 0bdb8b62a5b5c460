//! Ruin and recreate over pulls and courses.

use super::super::material::Material;
use super::fill::Room;
use super::lay::{Spot, Taste, best};
use super::shop::{Bench, Item, Shop, real};
use super::{Row, Rows, Sliding, Things};
use crate::nest::straight::LaidPull;
use crate::nest::straight::effort::Effort;
use crate::nest::straight::lots::Lots;
use crate::units::Length;
use std::collections::BTreeMap;

/// The threshold to start with, as a part of what a pull costs on average.
const HOT: f64 = 0.03;

/// The share of rounds that fill pulls anew.
const REFILLED: f64 = 0.9;

/// Open pulls that are tried for a piece.
const MANY: usize = 12;

/// A search is over where no more than this share of the cost could be saved.
const NOTHING: f64 = 1e-9;

/// Rounds cost at least so many looks at pulls.
const LEAST: usize = 50;

/// What a look costs in operations: at a pull, and at a piece while a pull is filled.
const LOOK: [usize; 2] = [50, 80];

/// Two courses of a row that slide against each other, or one that may be parted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Loose {
    pub thing: usize,
    pub row: usize,
    pub first: usize,
    pub second: Option<usize>,
}

/// What is to be laid.
#[derive(Clone, Copy, Debug)]
enum Entry {
    Item(usize),
    Loose(Loose),
}

/// A row as it was.
pub(super) struct Was {
    pub thing: usize,
    pub row: usize,
    pub courses: Vec<Length>,
    pub pieces: Vec<Vec<usize>>,
}

/// All that a round can change.
#[derive(Clone)]
pub(super) struct State {
    /// By thing and row.
    pub courses: Vec<Rows>,
    /// Items by thing, row and course.
    pub pieces: Vec<Vec<Vec<Vec<usize>>>>,
    pub shop: Shop,
    /// Joints beyond those to start from.
    pub extra: i64,
}

/// The search.
pub(super) struct Search<'t, T> {
    pub things: &'t T,
    pub rows: Vec<Vec<Row>>,
    pub now: State,
    /// Rows as they were before this round.
    pub was: Vec<Was>,
    pub limit: i64,
    /// How often a pull was looked at.
    pub looks: usize,
    /// Lists for filling pulls.
    pub room: Room,
}

impl<'t, T: Things> Search<'t, T> {
    /// Everything laid with these courses: as known, and what is not known where it costs least.
    /// `None` where a piece fits no roll, or sizes are too fine.
    pub fn new(
        task: &Sliding<'t, T>,
        (courses, extra): (Vec<Rows>, i64),
        known: &[Vec<LaidPull>],
    ) -> Option<Self> {
        let benches: Option<Vec<Bench>> = task
            .materials
            .iter()
            .map(|m| Some(Bench::new(&Material::new(m, task.step)?, m.cutting.stages != Some(2))))
            .collect();
        let mut shop = Shop::new(benches?);
        for (material, instance) in task.materials.iter().enumerate() {
            let gap = shop.benches[material].gap;
            for piece in &instance.pieces {
                let item = Item {
                    material,
                    width: piece.width.nm() + gap,
                    length: piece.length.nm() + gap,
                    upright: piece.turns.upright(),
                    sideways: piece.turns.sideways(),
                    home: None,
                    of: None,
                };
                for _ in 0..piece.quantity {
                    shop.add(item);
                }
            }
        }
        let rows: Vec<Vec<Row>> =
            (0..task.things.count()).map(|thing| task.things.rows(thing)).collect();
        let pieces = vec![Vec::new(); rows.len()];
        let now = State { courses, pieces, shop, extra };
        let (was, limit) = (Vec::new(), task.limit);
        let mut search =
            Self { things: task.things, rows, now, was, limit, looks: 0, room: Room::default() };
        for thing in 0..search.rows.len() {
            for row in 0..search.rows[thing].len() {
                let courses = search.now.courses.get(thing)?.get(row)?.clone();
                let made = (1..=courses.len()).zip(&courses);
                let made = made.map(|(n, &c)| search.make((thing, row), c, n == courses.len()));
                let made = made.collect();
                search.now.pieces[thing].push(made);
            }
        }
        search.set_narrow();
        search.lay_known(known);
        search.lay_rest()?;
        Some(search)
    }

    /// How narrow a piece can lie at all.
    fn set_narrow(&mut self) {
        let shop = &mut self.now.shop;
        for bench in 0..shop.benches.len() {
            let mine = shop.items.iter().filter(|item| item.material == bench);
            let fixed = mine.flat_map(Item::forms).map(|form| form.0).min();
            let free = self.rows.iter().flatten().filter(|row| row.material == bench);
            let free = free.map(|row| row.least.nm().min(row.length.nm())).min();
            shop.benches[bench].narrow = fixed.into_iter().chain(free).min().unwrap_or(1);
        }
    }

    /// An item as the pieces of a row are.
    pub fn like(&self, (thing, row): (usize, usize), course: Length, last: bool) -> Item {
        let of = &self.rows[thing][row];
        let gap = self.now.shop.benches[of.material].gap;
        Item {
            material: of.material,
            width: of.cut(course, last).nm() + gap,
            length: of.length.nm() + gap,
            upright: true,
            sideways: of.sideways,
            home: None,
            of: Some([thing, row]),
        }
    }

    /// The pieces of a course.
    pub fn make(&mut self, at: (usize, usize), course: Length, last: bool) -> Vec<usize> {
        let like = self.like(at, course, last);
        (0..self.rows[at.0][at.1].parts).map(|_| self.now.shop.add(like)).collect()
    }

    /// Lays items as in pulls that are known already.
    fn lay_known(&mut self, known: &[Vec<LaidPull>]) {
        let shop = &mut self.now.shop;
        let mut by_size: BTreeMap<(usize, i64, i64), Vec<usize>> = BTreeMap::new();
        for (at, item) in shop.items.iter().enumerate().rev() {
            by_size.entry((item.material, item.width, item.length)).or_default().push(at);
        }
        for (material, pulls) in known.iter().enumerate() {
            let gap = shop.benches[material].gap;
            for laid in pulls {
                let width = laid.width.nm() + gap;
                let q = shop.benches[material].widths.iter().position(|w| w.0 == width);
                let Some(q) = q else { continue };
                let pull = shop.pull(material, q);
                for lane in &laid.lanes {
                    let mut number = None;
                    for piece in lane {
                        let size = (material, piece.width.nm() + gap, piece.length.nm() + gap);
                        let Some(item) = by_size.get_mut(&size).and_then(Vec::pop) else {
                            continue;
                        };
                        shop.put(item, pull, number, piece.turned);
                        number = shop.pulls[pull].lanes.len().checked_sub(1);
                    }
                }
            }
        }
    }

    /// Lays what is not laid yet, longest first.
    fn lay_rest(&mut self) -> Option<()> {
        let shop = &self.now.shop;
        let size = |i: &usize| shop.items[*i].forms().map(|form| form.1).min().unwrap_or(0);
        let mut rest: Vec<usize> =
            (0..shop.items.len()).filter(|&i| shop.items[i].home.is_none()).collect();
        rest.sort_by_key(|i| (std::cmp::Reverse(size(i)), *i));
        for item in rest {
            self.lay(item, Taste { open: 0.3, many: 60, from: 0, shake: 0.0 })?;
        }
        self.now.shop.keep();
        Some(())
    }

    /// Lays one item where it costs least.
    pub fn lay(&mut self, item: usize, taste: Taste) -> Option<()> {
        let of = self.now.shop.items[item];
        self.look(of.material, taste, 1);
        let (_, spot) = best(&self.now.shop, &of, taste)?;
        match spot {
            Spot::Pull(pull, lane, turned) => self.now.shop.put(item, pull, lane, turned),
            Spot::New(width, turned) => {
                let pull = self.now.shop.pull(of.material, width);
                self.now.shop.put(item, pull, None, turned);
            }
        }
        Some(())
    }

    /// Counts looks at all open pulls of a material, so many times.
    pub fn look(&mut self, material: usize, taste: Taste, times: usize) {
        self.looks += times * (1 + self.now.shop.open[material].len().min(taste.many));
    }

    /// What joints cost.
    fn joints_cost(&self) -> f64 {
        let cost = |was: &Was| {
            let more = count(self.now.courses[was.thing][was.row].len()) - count(was.courses.len());
            let (joints, cost) = self.things.joints(was.thing);
            real(more * joints) * cost
        };
        self.was.iter().map(cost).sum()
    }

    /// The cost at which nothing more can be saved, wherever courses part: what is laid covers as much.
    /// None is known where fewer joints would save more, too.
    fn enough(&self) -> f64 {
        let free = |thing: usize| self.things.joints(thing).1 > 0.0;
        if (0..self.rows.len()).any(free)
            || self.rows.iter().flatten().any(|r| r.lap > Length::ZERO)
        {
            return f64::NEG_INFINITY;
        }
        let shop = &self.now.shop;
        let one = |item: &Item| {
            let bench = &shop.benches[item.material];
            bench.worth() * real(item.width - bench.gap) * real(item.length - bench.gap)
        };
        let laid = shop.items.iter().filter(|item| item.home.is_some());
        laid.map(one).sum::<f64>() * (1.0 + NOTHING)
    }

    /// Whether nothing more can be saved.
    pub fn perfect(&self) -> bool {
        self.now.shop.total() <= self.enough()
    }

    /// Rounds of both kinds until the effort is over or nothing can be saved; the threshold falls from
    /// one part of the hottest to another.
    pub fn run(&mut self, lots: &mut Lots, effort: &Effort<'_>, heat: [f64; 2]) {
        let filled = self.now.shop.filled();
        if filled == 0 {
            return;
        }
        let mut cost = self.now.shop.total();
        let hot = HOT * cost / real(self::count(filled));
        let all = effort.left().max(1);
        let mut least = cost;
        let mut saved: Option<(f64, State)> = None;
        let mut copied = self.looks;
        let enough = self.enough();
        while cost > enough && !effort.over() {
            let (looks, extra) = (self.looks, self.now.extra);
            let left = share(effort.left(), all);
            // Several courses may be parted in one round: together they must keep the limit too.
            let heat = heat[1] + (heat[0] - heat[1]) * left;
            let allowed = hot * heat * heat * lots.unit();
            let refills = lots.unit() < REFILLED;
            let done = if refills { self.refill(lots, allowed) } else { self.round(lots) };
            let stands = done.is_some() && self.now.extra <= self.limit.max(extra);
            let change = self.now.shop.change() + self.joints_cost();
            if stands && change <= allowed {
                let leaves = change > 0.0 && cost <= least;
                // Copies of a large state are made no more often than they are worth.
                let due = saved.is_none() || self.looks - copied >= self.now.shop.items.len();
                if leaves && due && saved.as_ref().is_none_or(|(value, _)| *value > cost) {
                    saved = Some((cost, self.before(extra)));
                    copied = self.looks;
                }
                self.was.clear();
                self.now.shop.keep();
                cost += change;
                least = least.min(cost);
            } else {
                self.now.extra = extra;
                self.now.shop.back();
                for was in self.was.drain(..).rev() {
                    self.now.courses[was.thing][was.row] = was.courses;
                    self.now.pieces[was.thing][was.row] = was.pieces;
                }
            }
            effort.spend(LOOK[usize::from(refills)] * (self.looks - looks).max(LEAST));
        }
        if let Some((value, state)) = saved
            && value < cost
        {
            self.now = state;
        }
    }

    /// A copy of everything as it was before this round.
    fn before(&self, extra: i64) -> State {
        let mut state = self.now.clone();
        state.shop.back();
        for was in self.was.iter().rev() {
            state.courses[was.thing][was.row].clone_from(&was.courses);
            state.pieces[was.thing][was.row].clone_from(&was.pieces);
        }
        State { extra, ..state }
    }

    /// Takes pulls apart and lays what was in them; nothing where that did not come out.
    fn round(&mut self, lots: &mut Lots) -> Option<()> {
        let mut free = self.ruin(lots);
        let loose = self.loosen(&mut free, lots);
        let mut entries: Vec<(f64, Entry)> = Vec::new();
        let kind = lots.below(3);
        let noise = 0.3 * lots.unit();
        let key = |shop: &Shop, item: usize, lots: &mut Lots| {
            let of = &shop.items[item];
            let size = match kind {
                0 => of.area(),
                1 => real(of.width.max(of.length)),
                _ => real(of.length),
            };
            size * (1.0 + noise * lots.unit())
        };
        for pair in &loose {
            let course = self.now.pieces[pair.thing][pair.row][pair.first].first();
            let size = course.map_or(0.0, |&item| key(&self.now.shop, item, lots));
            let late = if lots.unit() < 0.5 { 0.3 } else { 1.0 };
            entries.push((late * size, Entry::Loose(*pair)));
        }
        for &item in &free {
            entries.push((key(&self.now.shop, item, lots), Entry::Item(item)));
        }
        entries.sort_by(|a, b| b.0.total_cmp(&a.0));
        let open = self.now.shop.open.iter().map(Vec::len).max().unwrap_or(0);
        let from = lots.below(open.max(1));
        let shake = if lots.below(4) == 0 { 0.5 } else { 0.03 };
        let taste = Taste { open: lots.unit(), many: MANY, from, shake };
        for (at, (_, entry)) in entries.iter().enumerate() {
            match *entry {
                Entry::Item(item) => self.lay(item, taste)?,
                Entry::Loose(pair) => {
                    let item = |e: &(f64, Entry)| match e.1 {
                        Entry::Item(item) => Some(item),
                        Entry::Loose(_) => None,
                    };
                    let rest: Vec<usize> = entries[at + 1..].iter().filter_map(item).collect();
                    self.slide(pair, &rest[..rest.len().min(3)], (taste, lots))?;
                }
            }
        }
        Some(())
    }

    /// Empties some pulls, rather such as waste much.
    fn ruin(&mut self, lots: &mut Lots) -> Vec<usize> {
        let mut free = Vec::new();
        for number in 0..=lots.below(4) {
            let tries = if number == 0 { 3 } else { 1 + lots.below(2) };
            let mut worst: Option<(f64, usize)> = None;
            for _ in 0..tries {
                let pull = self.some_pull(&free, lots);
                let Some(waste) = self.now.shop.waste(pull) else { continue };
                if worst.is_none_or(|(old, _)| waste > old) {
                    worst = Some((waste, pull));
                }
            }
            if let Some((_, pull)) = worst {
                free.extend(self.now.shop.empty(pull));
            }
        }
        free
    }

    /// A pull by lot: any, one with room, or one that shares a row with what is free.
    fn some_pull(&self, free: &[usize], lots: &mut Lots) -> usize {
        let shop = &self.now.shop;
        match lots.below(3) {
            0 if !free.is_empty() => {
                let item = free[lots.below(free.len())];
                if let Some([thing, row]) = shop.items[item].of {
                    let courses = &self.now.pieces[thing][row];
                    let other = &courses[lots.below(courses.len())];
                    if let Some(home) = other.first().and_then(|&i| shop.items[i].home) {
                        return home;
                    }
                }
            }
            1 => {
                let open = &shop.open[lots.below(shop.open.len())];
                if !open.is_empty() {
                    return open[lots.below(open.len())];
                }
            }
            _ => {}
        }
        lots.below(shop.pulls.len())
    }

    /// Frees pairs of courses of which one has lost a piece.
    fn loosen(&mut self, free: &mut Vec<usize>, lots: &mut Lots) -> Vec<Loose> {
        let mut loose: Vec<Loose> = Vec::new();
        let share = 0.2 + 0.8 * lots.unit();
        // In half of a search the other half may hold a piece.
        let here = |i: &usize| free.contains(i) || self.now.shop.items[*i].home.is_some();
        for &item in &*free {
            let Some([thing, row]) = self.now.shop.items[item].of else { continue };
            let done = loose.iter().any(|l| l.thing == thing && l.row == row);
            if done || lots.unit() > share {
                continue;
            }
            let courses = &self.now.pieces[thing][row];
            let Some(first) = courses.iter().position(|c| c.contains(&item)) else { continue };
            let more = self.now.extra + self.things.joints(thing).0 <= self.limit
                && courses.len() < self.rows[thing][row].courses;
            if courses.len() == 1 || (more && lots.unit() < 0.3) {
                if more && courses[first].iter().all(here) {
                    loose.push(Loose { thing, row, first, second: None });
                }
                continue;
            }
            let other = lots.below(courses.len() - 1);
            let other = if other >= first { other + 1 } else { other };
            if !courses[first].iter().chain(&courses[other]).all(here) {
                continue;
            }
            let (first, second) = (first.min(other), Some(first.max(other)));
            loose.push(Loose { thing, row, first, second });
        }
        for pair in &loose {
            let courses = &self.now.pieces[pair.thing][pair.row];
            let mut items = courses[pair.first].clone();
            items.extend(pair.second.iter().flat_map(|&s| courses[s].iter().copied()));
            for item in items {
                self.now.shop.take(item);
                free.retain(|&i| i != item);
            }
        }
        loose
    }
}

/// A number of things with a sign.
pub(super) fn count(n: usize) -> i64 {
    i64::try_from(n).unwrap_or(i64::MAX)
}

/// A part of a whole.
pub(super) fn share(part: u64, all: u64) -> f64 {
    let number = |n: u64| real(i64::try_from(n).unwrap_or(i64::MAX));
    number(part) / number(all)
}
