//! Branch and bound for the bounded knapsack.
//!
//! 1. Kinds by falling price per length (Horowitz and Sahni, JACM 21 (1974); for cutting stock
//!    Gilmore and Gomory, Operations Research 11 (1963)).
//! 2. Forward: take as many of each kind as fit. At the end, report the set if it beats the
//!    incumbent.
//! 3. Back: give back one piece of the last kind taken, and go forward from the next kind if
//!    `value + room * p_k / s_k` can still beat the incumbent (compared by cross products, exactly).
//! 4. Where waste is limited, a branch also ends when the kinds left cannot fill the room to within
//!    the waste allowed (sums reachable with the kinds from `k` on).

use super::{Counts, Kind, Sums, add, fitting};

/// How a search ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Verdict {
    /// The best value found, or the threshold.
    pub best: i64,
    /// Whether nothing better exists.
    pub complete: bool,
    /// Nodes visited.
    pub nodes: u64,
}

/// Kinds in search order, ready for many searches.
#[derive(Clone, Debug)]
pub struct Search {
    order: Vec<usize>,
    sizes: Vec<i64>,
    prices: Vec<i64>,
    limits: Vec<u64>,
    /// Smallest size from each place on.
    smallest: Vec<i64>,
    capacity: i64,
    waste: i64,
    /// Sums reachable from each place on, where waste is limited.
    reach: Vec<Sums>,
    taken: Vec<u64>,
}

impl Search {
    /// Sorts the kinds. `waste` limits what may stay empty of the capacity.
    #[must_use]
    pub fn new(kinds: &[Kind], capacity: i64, waste: Option<i64>) -> Self {
        let waste = waste.filter(|&waste| waste < capacity);
        let limited = waste.is_some();
        let mut order: Vec<usize> = (0..kinds.len())
            .filter(|&k| fitting(&kinds[k], capacity) > 0 && (limited || kinds[k].price > 0))
            .collect();
        order.sort_by(|&one, &other| {
            let (a, b) = (&kinds[one], &kinds[other]);
            let left = i128::from(b.price) * i128::from(a.size);
            let right = i128::from(a.price) * i128::from(b.size);
            left.cmp(&right).then(b.size.cmp(&a.size)).then(one.cmp(&other))
        });
        let sizes: Vec<i64> = order.iter().map(|&k| kinds[k].size).collect();
        let prices: Vec<i64> = order.iter().map(|&k| kinds[k].price).collect();
        let limits: Vec<u64> = order.iter().map(|&k| kinds[k].limit).collect();
        let mut smallest = vec![i64::MAX; sizes.len() + 1];
        for place in (0..sizes.len()).rev() {
            smallest[place] = smallest[place + 1].min(sizes[place]);
        }
        let mut reach = Vec::new();
        if limited && let Some(mut sums) = Sums::new(capacity) {
            reach.push(sums.clone());
            for &k in order.iter().rev() {
                sums.add(&kinds[k]);
                reach.push(sums.clone());
            }
            reach.reverse();
        }
        let taken = vec![0; order.len()];
        let waste = waste.unwrap_or(capacity);
        Self { order, sizes, prices, limits, smallest, capacity, waste, reach, taken }
    }

    /// Searches all sets worth more than `threshold`, the best of them last; `found` is told each
    /// improvement.
    pub fn run(
        &mut self,
        threshold: i64,
        nodes: u64,
        found: &mut dyn FnMut(i64, Counts),
    ) -> Verdict {
        self.taken.fill(0);
        self.descend(self.capacity, 0, threshold, nodes, found)
    }

    /// As [`Search::run`], for sets that hold at least one of `kind`.
    pub fn run_with(
        &mut self,
        kind: usize,
        threshold: i64,
        nodes: u64,
        found: &mut dyn FnMut(i64, Counts),
    ) -> Verdict {
        let Some(place) = self.order.iter().position(|&k| k == kind) else {
            return Verdict { best: threshold, complete: true, nodes: 0 };
        };
        self.taken.fill(0);
        self.limits[place] -= 1;
        let room = self.capacity - self.sizes[place];
        let with = &mut |value, mut counts: Counts| {
            add(&mut counts, kind, 1);
            found(value, counts);
        };
        let verdict = self.descend(room, self.prices[place], threshold, nodes, with);
        self.limits[place] += 1;
        verdict
    }

    fn descend(
        &mut self,
        room: i64,
        value: i64,
        threshold: i64,
        most_nodes: u64,
        found: &mut dyn FnMut(i64, Counts),
    ) -> Verdict {
        let count = self.order.len();
        let (mut room, mut value, mut best) = (room, value, threshold);
        let mut nodes = 0;
        let mut path: Vec<usize> = Vec::new();
        let mut place = 0;
        loop {
            // Forward from `place`, unless nothing there can beat the incumbent.
            while place < count && self.may_beat(place, room, value, best) {
                if self.sizes[place] <= room && self.limits[place] > 0 {
                    let fits = u64::try_from(room / self.sizes[place]).unwrap_or(0);
                    let take = fits.min(self.limits[place]);
                    self.taken[place] = take;
                    let take = i64::try_from(take).unwrap_or(0);
                    room -= take * self.sizes[place];
                    value += take * self.prices[place];
                    path.push(place);
                    nodes += 1;
                }
                place += 1;
            }
            if value > best && room <= self.waste {
                best = value;
                found(value, self.counts(&path));
            }
            if nodes >= most_nodes {
                for &place in &path {
                    self.taken[place] = 0;
                }
                return Verdict { best, complete: false, nodes };
            }
            // Back: one piece fewer of the last kind taken.
            let Some(&last) = path.last() else {
                return Verdict { best, complete: true, nodes };
            };
            self.taken[last] -= 1;
            room += self.sizes[last];
            value -= self.prices[last];
            if self.taken[last] == 0 {
                path.pop();
            }
            nodes += 1;
            place = last + 1;
        }
    }

    /// Whether kinds from `place` on may lift the value above the incumbent.
    fn may_beat(&self, place: usize, room: i64, value: i64, best: i64) -> bool {
        if self.smallest[place] > room {
            return false;
        }
        if self.prices[place] > 0 || value <= best {
            let lift = i128::from(room) * i128::from(self.prices[place]);
            let need = i128::from(best - value) * i128::from(self.sizes[place]);
            if lift <= need {
                return false;
            }
        }
        self.reach.is_empty() || {
            let sums = &self.reach[place];
            sums.below(room) >= room - self.waste
        }
    }

    fn counts(&self, path: &[usize]) -> Counts {
        let mut counts: Counts =
            path.iter().map(|&place| (self.order[place], self.taken[place])).collect();
        counts.sort_unstable();
        counts
    }
}
