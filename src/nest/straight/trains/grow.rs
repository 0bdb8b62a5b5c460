//! Growth of a train from its leader: the next piece is always the one that is worth most for what it
//! makes the train longer; and leader and another piece by turns, the one with which that is worth most: what goes
//! best behind a piece may leave no hollow for the next.

use super::super::effort::Effort;
use super::super::pattern::Within;
use super::kinds::{Direction, Kind};
use super::{PAYS, Places, Train, Trains, real_of};
use std::collections::BTreeSet;

/// At most so many pieces in a train.
const MOST: usize = 24;
/// Pieces shorter than this share of the leader's length are not taken into its train.
const SHORTEST: f64 = 0.7;
/// Sizes of trains that are offered, beside the longest.
const SIZES: [usize; 8] = [2, 3, 4, 5, 6, 8, 11, 15];
/// For so many pieces of a train all kinds are looked at, then only those that were among so many best.
const SCANS: usize = 2;
const GOOD: usize = 16;

/// A train as it has grown.
#[derive(Clone)]
pub(super) struct Grown<'d> {
    pub direction: &'d Direction,
    pub kinds: Places,
    pub train: Train,
    /// What its pieces are worth, and what its blank costs.
    pub worth: i64,
    pub cost: f64,
}

impl Grown<'_> {
    pub fn pays(&self) -> f64 {
        real_of(self.worth) / self.cost
    }
}

/// A train that grows: kinds with where they begin.
#[derive(Default)]
pub(super) struct Growing {
    pub kinds: Places,
    pub end: i64,
    pub worth: i64,
    pub used: Vec<(usize, u64)>,
}

impl Trains {
    /// A train begun by this leader: the sizes that pay, or the best of those that do nearly.
    pub(super) fn grow<'d>(
        &self,
        direction: &'d Direction,
        leader: usize,
        (prices, left): (&[i64], &[u64]),
        (rate, least_paid): (f64, f64),
        effort: &Effort<'_>,
    ) -> Vec<Grown<'d>> {
        let first = &direction.kinds[leader];
        let least = whole(real_of(first.body[1]) * SHORTEST);
        let within = |most: i64| {
            direction.by_length.partition_point(|&k| direction.kinds[k].body[1] <= most)
        };
        let mut candidates: Vec<usize> = direction.by_length
            [within(least - 1)..within(first.body[1])]
            .iter()
            .copied()
            .filter(|&k| {
                let kind = &direction.kinds[k];
                let class = kind.class;
                kind.blank[1] <= first.blank[1] && prices[class] > 0 && left[class] > 0
            })
            .collect();
        let mut growing = Growing::default();
        growing.add(direction, leader, 0, prices);
        let mut found: Vec<Grown<'d>> = Vec::new();
        let partner = self.partner(direction, leader, &candidates, (prices, left), effort);
        let mut good: BTreeSet<usize> = BTreeSet::new();
        while growing.kinds.len() < MOST {
            effort.spend(20 * candidates.len() * growing.kinds.len().min(3));
            let mut ranked: Vec<(f64, usize, i64)> = Vec::with_capacity(candidates.len());
            for &k in &candidates {
                let kind = &direction.kinds[k];
                let Some(at) = self.next(direction, &growing, k, left) else { continue };
                let longer = (at + kind.blank[0] - growing.end).max(1);
                ranked.push((real_of(prices[kind.class]) / real_of(longer), k, at));
            }
            // The first kind of those that are worth the same.
            let order = |a: &(f64, usize, i64), b: &(f64, usize, i64)| {
                b.0.total_cmp(&a.0).then(a.1.cmp(&b.1))
            };
            let best = ranked.iter().copied().min_by(order);
            // What goes well with the first pieces goes well in all the train.
            if growing.kinds.len() <= SCANS {
                if ranked.len() > GOOD {
                    ranked.select_nth_unstable_by(GOOD, order);
                }
                good.extend(ranked.iter().take(GOOD).map(|one| one.1));
            }
            if growing.kinds.len() == SCANS {
                candidates = good.iter().copied().collect();
            }
            let last = best.is_none();
            if let Some((_, k, at)) = best {
                growing.add(direction, k, at, prices);
            }
            found.extend(self.so_far(direction, &growing, (last, left), (rate, least_paid)));
            if last {
                break;
            }
        }
        if let Some(partner) = partner {
            let mut growing = Growing::default();
            growing.add(direction, leader, 0, prices);
            while growing.kinds.len() < MOST {
                effort.spend(20 * growing.kinds.len().min(3));
                let k = if growing.kinds.len() % 2 == 1 { partner } else { leader };
                let at = self.next(direction, &growing, k, left);
                if let Some(at) = at {
                    growing.add(direction, k, at, prices);
                }
                found.extend(self.so_far(
                    direction,
                    &growing,
                    (at.is_none(), left),
                    (rate, least_paid),
                ));
                if at.is_none() {
                    break;
                }
            }
        }
        // The one that pays best, the longest of the others that pay, and the best that deals like pieces evenly on
        // trains side by side.
        let by_pay = |a: &&Grown<'_>, b: &&Grown<'_>| a.pays().total_cmp(&b.pays());
        let share = even_share(direction, first, left[first.class], self.gap);
        let shares = found.iter().filter(|grown| Some(grown.kinds.len()) == share);
        let even = shares.max_by(by_pay).cloned();
        let best = (0..found.len()).max_by(|&a, &b| found[a].pays().total_cmp(&found[b].pays()));
        let Some(best) = best else { return found };
        let best = found.remove(best);
        let longest = found.into_iter().rfind(|grown| grown.pays() > PAYS);
        [Some(best), longest, even].into_iter().flatten().collect()
    }

    /// Where a piece of a kind goes next; `None` where none is left, or the train would be too long.
    fn next(
        &self,
        direction: &Direction,
        growing: &Growing,
        k: usize,
        left: &[u64],
    ) -> Option<i64> {
        let kind = &direction.kinds[k];
        if growing.used(kind.class) >= left[kind.class] {
            return None;
        }
        let at = growing.place(direction, k, self.gap);
        (at + kind.blank[0] <= direction.longest).then_some(at)
    }

    /// The train as it stands, where it has a size that is offered, or is at its last, and is worth enough.
    fn so_far<'d>(
        &self,
        direction: &'d Direction,
        growing: &Growing,
        (last, left): (bool, &[u64]),
        (rate, least_paid): (f64, f64),
    ) -> Option<Grown<'d>> {
        let many = growing.kinds.len();
        let share = || {
            let &(leader, _) = growing.kinds.first()?;
            let first = &direction.kinds[leader];
            even_share(direction, first, left[first.class], self.gap)
        };
        let size =
            many > 1 && (last || SIZES.contains(&many) || many == MOST || share() == Some(many));
        let pays = || growing.worth_of(self.cost(direction, growing, rate)) > least_paid;
        (size && pays()).then(|| self.grown(direction, growing, rate))
    }

    /// The kind with which the leader by turns is worth most for what the two make a train longer, where that is more
    /// than the leader is worth by itself.
    fn partner(
        &self,
        direction: &Direction,
        leader: usize,
        candidates: &[usize],
        (prices, left): (&[i64], &[u64]),
        effort: &Effort<'_>,
    ) -> Option<usize> {
        effort.spend(20 * candidates.len());
        let worth = |k: usize| real_of(prices[direction.kinds[k].class]);
        let by_turns = |k: usize| {
            let mut two = Growing::default();
            two.add(direction, leader, 0, prices);
            let at = self.next(direction, &two, k, left)?;
            two.add(direction, k, at, prices);
            let again = two.place(direction, leader, self.gap).max(1);
            Some((worth(leader) + worth(k)) / real_of(again))
        };
        // The leader comes no sooner behind the other than behind itself or its own outline, so most are worth too little
        // wherever they lie.
        let own = direction.behind(leader, leader, self.gap).max(1);
        let soonest = real_of(own.min(direction.kinds[leader].body[0] + self.gap).max(1));
        let mut best = (worth(leader) / real_of(own), None);
        for &k in candidates.iter().filter(|&&k| k != leader) {
            if (worth(leader) + worth(k)) / soonest < best.0 {
                continue;
            }
            // The first kind of those that are worth the same.
            let better =
                |paid: f64| paid > best.0 || paid >= best.0 && best.1.is_some_and(|b| k < b);
            if let Some(paid) = by_turns(k).filter(|&paid| better(paid)) {
                best = (paid, Some(k));
            }
        }
        best.1
    }

    /// What the blank of a train costs.
    fn cost(&self, direction: &Direction, growing: &Growing, rate: f64) -> f64 {
        let square = real_of(self.unit[0]) * real_of(self.unit[1]);
        let long = growing.kinds.first().map_or(0, |&(k, _)| direction.kinds[k].blank[1]);
        rate * real_of(long + self.gap) / square * real_of(growing.end + self.gap)
    }

    /// The train as it stands, with what it is worth.
    pub(super) fn grown<'d>(
        &self,
        direction: &'d Direction,
        growing: &Growing,
        rate: f64,
    ) -> Grown<'d> {
        Grown {
            direction,
            kinds: growing.kinds.clone(),
            train: self.finish(direction, growing),
            worth: growing.worth,
            cost: self.cost(direction, growing, rate),
        }
    }

    /// The train as it stands.
    fn finish(&self, direction: &Direction, growing: &Growing) -> Train {
        let middle = growing.kinds.iter().map(|&(k, _)| direction.kinds[k].middle()).max();
        let middle = middle.unwrap_or(0);
        let (mut members, mut far) = (Vec::with_capacity(growing.kinds.len()), 0);
        for &(k, u) in &growing.kinds {
            let kind = &direction.kinds[k];
            let v = middle - kind.middle();
            far = far.max(v + kind.blank[1]);
            let (x, y) = if direction.across { (u, v) } else { (v, u) };
            members.push((kind.class, Within { x, y, quarters: kind.quarters, length: 0 }));
        }
        let (width, length) =
            if direction.across { (growing.end, far) } else { (far, growing.end) };
        let units = |size: i64, unit: i64| {
            let up = (size + self.gap).div_euclid(unit)
                + i64::from((size + self.gap).rem_euclid(unit) != 0);
            usize::try_from(up).unwrap_or(0)
        };
        let size = [units(width, self.unit[0]), units(length, self.unit[1])];
        let rounded = i64::try_from(size[1]).unwrap_or(0) * self.unit[1] - self.gap;
        for (_, within) in &mut members {
            within.length = rounded;
        }
        let mut counts = growing.used.clone();
        counts.sort_unstable();
        Train { members, size, counts }
    }
}

/// How many of so many like pieces each train along the roll has where as many as there is room for lie side by side
/// and have as many each; of few pieces, as trains have no more than [`MOST`]. Across the roll a short train saves
/// nothing.
fn even_share(direction: &Direction, first: &Kind, many: u64, gap: i64) -> Option<usize> {
    if direction.across {
        return None;
    }
    let beside = (direction.widest + gap).div_euclid((first.blank[1] + gap).max(1));
    let share = many.div_ceil(u64::try_from(beside).ok().filter(|n| *n > 0)?);
    usize::try_from(share).ok().filter(|share| (2..=MOST).contains(share))
}

impl Growing {
    /// What its pieces are worth for what its blank costs.
    fn worth_of(&self, cost: f64) -> f64 {
        real_of(self.worth) / cost
    }

    fn used(&self, class: usize) -> u64 {
        self.used.iter().find(|(c, _)| *c == class).map_or(0, |(_, n)| *n)
    }

    /// The first place behind all pieces so far.
    fn place(&self, direction: &Direction, k: usize, gap: i64) -> i64 {
        let mut at = 0;
        for &(i, u) in self.kinds.iter().rev() {
            if u + direction.kinds[i].body[0] + gap > at {
                at = at.max(u + direction.behind(i, k, gap));
            }
        }
        at
    }

    pub fn add(&mut self, direction: &Direction, k: usize, at: i64, prices: &[i64]) {
        let kind = &direction.kinds[k];
        self.kinds.push((k, at));
        self.end = self.end.max(at + kind.blank[0]);
        self.worth = self.worth.saturating_add(prices[kind.class]);
        match self.used.iter_mut().find(|(c, _)| *c == kind.class) {
            Some((_, n)) => *n += 1,
            None => self.used.push((kind.class, 1)),
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "a share of a length")]
fn whole(value: f64) -> i64 {
    value as i64
}
