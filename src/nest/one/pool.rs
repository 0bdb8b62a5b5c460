//! Every pattern that a packing of a given number of bins can have.
//!
//! Let whole prices `p` be such that no pattern is worth more than `M`, and let `B` bins be the
//! target. A packing into `B` bins has `sum over its patterns of (M - worth) <= B M - sum d_i p_i`,
//! so each of its patterns has `M - worth` at most that gap; all others are left out.
//!
//! 1. `after_k(r)`: the most that kinds `k ..` are worth in a room of `r` of which no more stays
//!    empty than the waste allowed (exact where the table is small enough, else on lengths rounded
//!    down to a coarser unit, which only lets more through).
//! 2. Depth first over kinds: a branch lives while `worth + after_k(room)` stays within the gap.
//!
//! Baldacci, Coniglio, Cordeau and Furini, INFORMS J. on Computing 36 (2024), pattern enumeration.

use super::core::whole;
use super::effort::Effort;
use crate::nest::knapsack::Counts;

/// Cells of the table of completions.
const MOST_CELLS: usize = 40_000_000;
const NONE: i64 = i64::MIN / 4;

/// Patterns, stored in one run.
#[derive(Clone, Debug, Default)]
pub(super) struct Pool {
    starts: Vec<usize>,
    entries: Vec<(u32, u32)>,
}

impl Pool {
    /// How many patterns there are.
    pub fn len(&self) -> usize {
        self.starts.len().saturating_sub(1)
    }

    /// A pattern's (kind, count) entries, by rising kind.
    pub fn pattern(&self, index: usize) -> &[(u32, u32)] {
        &self.entries[self.starts[index]..self.starts[index + 1]]
    }

    /// The patterns with every kind replaced by the kinds of its group, one piece each.
    pub fn spread(&self, groups: &[Vec<usize>]) -> Self {
        let mut spread = Self { starts: vec![0], entries: Vec::new() };
        for index in 0..self.len() {
            let from = spread.entries.len();
            for &(group, count) in self.pattern(index) {
                let members = groups[group as usize].iter().copied();
                let named = members.filter_map(|kind| u32::try_from(kind).ok());
                spread.entries.extend(named.map(|kind| (kind, count)));
            }
            spread.entries[from..].sort_unstable();
            spread.starts.push(spread.entries.len());
        }
        spread
    }

    /// A pattern as counts.
    pub fn counts(&self, index: usize) -> Counts {
        self.pattern(index).iter().map(|&(kind, count)| (kind as usize, u64::from(count))).collect()
    }
}

/// What the patterns must fit.
pub(super) struct Wanted<'a> {
    pub sizes: &'a [i64],
    pub demand: &'a [u64],
    pub capacity: i64,
    /// Most that a pattern may leave empty.
    pub waste: i64,
    pub prices: &'a [i64],
    /// A pattern must be worth at least this.
    pub least: i64,
}

/// The patterns wanted, and whether they are all: there are no more than `most` (and no more than
/// `quota` whose first kind is the same), and the effort was not over before. `conflicts` names the
/// kinds that a kind must not share a pattern with; empty for none. Nothing if the table does not fit this machine's memory.
pub(super) fn enumerate(
    wanted: &Wanted<'_>,
    conflicts: &[Vec<usize>],
    most: usize,
    quota: usize,
    effort: &Effort<'_>,
) -> Option<(Pool, bool)> {
    let after = After::new(wanted)?;
    effort.spend(after.values.len() as u64 / 500);
    let mut walk = Walk {
        wanted,
        conflicts,
        after,
        most,
        quota,
        end: most,
        full: false,
        effort,
        pool: Pool { starts: vec![0], entries: Vec::new() },
        path: Vec::new(),
        over: false,
    };
    walk.from(0, wanted.capacity, 0);
    Some((walk.pool, !walk.over && !walk.full))
}

struct Walk<'a> {
    wanted: &'a Wanted<'a>,
    conflicts: &'a [Vec<usize>],
    after: After,
    most: usize,
    quota: usize,
    /// The branch of a first kind ends when the pool is this large.
    end: usize,
    /// Whether a branch was ended so.
    full: bool,
    effort: &'a Effort<'a>,
    pool: Pool,
    path: Vec<(u32, u32)>,
    over: bool,
}

impl Walk<'_> {
    fn from(&mut self, first: usize, room: i64, worth: i64) {
        if self.over {
            return;
        }
        if self.pool.len() >= self.end {
            self.full = true;
            return;
        }
        let wanted = self.wanted;
        if room <= wanted.waste && worth >= wanted.least && !self.path.is_empty() {
            if self.pool.len() >= self.most {
                self.over = true;
                return;
            }
            if self.pool.len().is_multiple_of(4096) {
                self.effort.spend(500);
                self.over = self.effort.over();
            }
            self.pool.entries.extend_from_slice(&self.path);
            self.pool.starts.push(self.pool.entries.len());
        }
        for kind in first..wanted.sizes.len() {
            if worth + self.after.most(kind, room) < wanted.least {
                return;
            }
            let size = wanted.sizes[kind];
            if size > room || self.clashes(kind) {
                continue;
            }
            if self.path.is_empty() {
                self.end = self.pool.len().saturating_add(self.quota);
            }
            let (mut left, mut value) = (room, worth);
            for count in 1..=wanted.demand[kind] {
                left -= size;
                value += wanted.prices[kind];
                if left < 0 {
                    break;
                }
                if value + self.after.most(kind + 1, left) < wanted.least {
                    continue;
                }
                let (Ok(kind_name), Ok(count)) = (u32::try_from(kind), u32::try_from(count)) else {
                    break;
                };
                self.path.push((kind_name, count));
                self.from(kind + 1, left, value);
                self.path.pop();
            }
        }
    }
}

impl Walk<'_> {
    /// Whether a kind must not join the pattern so far.
    fn clashes(&self, kind: usize) -> bool {
        self.conflicts.get(kind).is_some_and(|others| {
            self.path.iter().any(|&(held, _)| others.contains(&(held as usize)))
        })
    }
}

/// The most that the kinds from some place on can be worth.
struct After {
    values: Vec<i64>,
    width: usize,
    /// Lengths are divided by this, and rounded down.
    unit: i64,
}

impl After {
    fn new(wanted: &Wanted<'_>) -> Option<Self> {
        let layers = wanted.sizes.len() + 1;
        let length = usize::try_from(wanted.capacity).ok()? + 1;
        let shrink = (layers * length).div_ceil(MOST_CELLS);
        let unit = i64::try_from(shrink).ok()?;
        let width = length / shrink + 2;
        let mut values = vec![NONE; layers * width];
        let spare =
            if unit == 1 { usize::try_from(wanted.waste).ok()?.min(width - 1) } else { width - 1 };
        values[(layers - 1) * width..][..=spare].fill(0);
        for kind in (0..layers - 1).rev() {
            let (earlier, later) = values.split_at_mut((kind + 1) * width);
            let (to, from) = (&mut earlier[kind * width..], &later[..width]);
            to.copy_from_slice(from);
            let size = usize::try_from(wanted.sizes[kind] / unit).ok()?;
            let fits = usize::try_from(wanted.capacity / wanted.sizes[kind]).ok()?;
            let limit = fits.min(usize::try_from(wanted.demand[kind]).unwrap_or(fits));
            let mut gain = 0;
            for count in 1..=limit {
                gain += wanted.prices[kind];
                let shift = (count * size).min(width);
                for (to, from) in to[shift..].iter_mut().zip(from) {
                    *to = (*to).max(from + gain);
                }
            }
        }
        Some(Self { values, width, unit })
    }

    fn most(&self, kind: usize, room: i64) -> i64 {
        let at = usize::try_from(room / self.unit).unwrap_or(0);
        self.values[kind * self.width + at]
    }
}

/// What a pattern is worth.
pub(super) fn worth(pattern: &[(u32, u32)], prices: &[i64]) -> i64 {
    pattern.iter().map(|&(kind, count)| prices[kind as usize] * whole(u64::from(count))).sum()
}
