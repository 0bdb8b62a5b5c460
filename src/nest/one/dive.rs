//! Rounding and diving: whole packings from the linear programme, patterns generated anew on what
//! is left.
//!
//! 1. Solve the programme for what is left to pack, with patterns that hold no more than that.
//! 2. Take the whole part of every weight; if there is none, one of the pattern with the largest.
//! 3. Try the quick packings on the rest.
//! 4. Again from 1. If its bound is then above the target, take back and try the next pattern, a
//!    few times.
//!
//! Wäscher and Gau, OR Spektrum 18 (1996), residual heuristics; Sadykov et al., INFORMS J. on
//! Computing 31 (2019), diving with strong generation.

use super::core::{Core, Packed, whole};
use super::effort::Effort;
use super::greedy::{Fill, cost, pack};
use super::lessen::lessen;
use super::lots::Lots;
use super::master::{Aim, Column, Generated, Master, float};

/// Patterns tried at each step before a dive is given up.
const ALTERNATIVES: usize = 3;

/// What is packed and what is left.
#[derive(Clone, Debug)]
pub(super) struct State {
    pub left: Vec<u64>,
    pub used: Vec<u64>,
    pub packed: Vec<Packed>,
    /// What the packed bins cost.
    pub cost: i64,
    /// What may still stay empty, where it is limited.
    pub waste: Option<i64>,
}

impl State {
    /// Nothing packed.
    pub fn new(core: &Core, waste: Option<i64>) -> Self {
        let used = vec![0; core.bins.len()];
        Self { left: core.demand.clone(), used, packed: Vec::new(), cost: 0, waste }
    }

    /// How many bins of each size are left.
    pub fn available(&self, core: &Core) -> Vec<Option<u64>> {
        let rest = |(bin, used): (&crate::nest::one::Bin, &u64)| {
            bin.available.map(|most| most.saturating_sub(*used))
        };
        core.bins.iter().zip(&self.used).map(rest).collect()
    }

    /// Packs a pattern as often as wanted, at most while its bins and items last (the last one is
    /// filled with what there is).
    pub fn take(&mut self, core: &Core, column: &Column, copies: u64) {
        let most = core.bins[column.bin].available.unwrap_or(u64::MAX);
        let mut copies = copies.min(most.saturating_sub(self.used[column.bin]));
        while copies > 0 {
            let mut counts = column.counts.clone();
            for (kind, count) in &mut counts {
                *count = (*count).min(self.left[*kind]);
            }
            counts.retain(|count| count.1 > 0);
            let Some(most) = counts.iter().map(|&(kind, count)| self.left[kind] / count).min()
            else {
                return;
            };
            let times = most.min(copies);
            let mut empty = core.bins[column.bin].size;
            for &(kind, count) in &counts {
                self.left[kind] -= count * times;
                empty -= core.sizes[kind] * whole(count);
            }
            self.waste = self.waste.map(|waste| waste - empty * whole(times));
            self.used[column.bin] += times;
            self.cost += core.bins[column.bin].cost * whole(times);
            self.packed.push(Packed { bin: column.bin, counts, copies: times });
            copies -= times;
        }
    }
}

/// Dives for a packing that costs at most `target`. The best packing seen is kept in `best`.
///
/// With `noise`, fractions are blurred by up to that much, so that another dive goes elsewhere.
pub(super) fn dive(
    master: &mut Master<'_>,
    mut state: State,
    target: i64,
    (noise, lots): (f64, &mut Lots),
    best: &mut Option<Vec<Packed>>,
    effort: &Effort<'_>,
) -> bool {
    let core = master.core();
    if !enter(master, &state, target, effort) {
        return false;
    }
    'deeper: loop {
        for choice in choices(master, noise, lots) {
            let mut next = state.clone();
            for (column, copies) in choice {
                next.take(core, &column, copies);
            }
            if finish(core, &next, best, effort) <= target {
                return true;
            }
            if next.left.iter().any(|&count| count > 0) && enter(master, &next, target, effort) {
                state = next;
                continue 'deeper;
            }
            if effort.over() {
                return false;
            }
        }
        return false;
    }
}

/// Solves the programme for what is left; whether the target is still in reach.
fn enter(master: &mut Master<'_>, state: &State, target: i64, effort: &Effort<'_>) -> bool {
    if state.waste.is_some_and(|waste| waste < 0) {
        return false;
    }
    master.restrict(&state.left, &state.available(master.core()), state.waste);
    matches!(master.generate(Aim::Below(target - state.cost), effort), Generated::Solved(_))
}

/// What to pack next: the whole parts; if there are none, one of a pattern, in order of preference.
fn choices(master: &Master<'_>, noise: f64, lots: &mut Lots) -> Vec<Vec<(Column, u64)>> {
    // Columns, not their numbers: the master may thin out its columns before a choice is tried.
    let column = |index: usize| master.columns()[index].clone();
    let mut whole_parts: Vec<(Column, u64)> = Vec::new();
    let mut parts: Vec<(f64, usize)> = Vec::new();
    for (index, &weight) in master.weights().iter().enumerate() {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "weights are not negative and far below 2^53"
        )]
        let floor = (weight + 1e-6).floor() as u64;
        if floor > 0 {
            whole_parts.push((column(index), floor));
        }
        let part = weight - float(floor);
        if part > 1e-6 {
            parts.push((part + noise * lots.next(), index));
        }
    }
    parts.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.1.cmp(&other.1)));
    let singles = parts.iter().take(ALTERNATIVES).map(|&(_, index)| vec![(column(index), 1)]);
    if whole_parts.is_empty() { singles.collect() } else { vec![whole_parts] }
}

/// Packs the rest quickly; the cost of the best packing so far.
pub(super) fn finish(
    core: &Core,
    state: &State,
    best: &mut Option<Vec<Packed>>,
    effort: &Effort<'_>,
) -> i64 {
    let mut value = best.as_ref().map_or(i64::MAX, |best| cost(core, best));
    for fill in [Fill::Falling, Fill::Tight(200)] {
        if let Some(rest) = pack(core, &state.left, &state.used, fill, effort) {
            let all = || [&state.packed[..], &rest[..]].concat();
            let packed = if core.bins.len() > 1 { lessen(core, all(), effort) } else { all() };
            let total = cost(core, &packed);
            if total < value {
                value = total;
                *best = Some(packed);
            }
        }
    }
    value
}
