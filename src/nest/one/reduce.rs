//! Bins that may be packed at once, because some best packing has them (one size of bin only).
//!
//! For an item `i` let `room = C - s_i`:
//! 1. nothing fits beside `i`: it has a bin to itself;
//! 2. some `j` fills the room exactly: what lies beside `i` in a best packing can change places
//!    with `j`, so `{i, j}` is packed;
//! 3. no two items fit beside `i`: the largest `j` that fits can change places with whatever lies
//!    beside `i`, so `{i, j}` is packed.
//!
//! Then the capacity falls to the largest sum that the items left can reach.
//! Martello and Toth, Discrete Applied Mathematics 28 (1990), dominance criterion, for sets of two.

use super::core::{Core, Packed};
use crate::nest::knapsack::{Kind, Sums};

/// Reachable sums are computed up to this much work (kinds times capacity over 64).
const MOST_WORDS: i64 = 20_000_000;

/// Packs what can be packed; `core` keeps the rest.
pub(super) fn reduce(core: &mut Core) -> Vec<Packed> {
    let mut packed = Vec::new();
    while let Some(pattern) = next(core) {
        for &(kind, count) in &pattern.counts {
            core.demand[kind] -= count * pattern.copies;
        }
        packed.push(pattern);
    }
    shrink_capacity(core);
    packed
}

fn next(core: &Core) -> Option<Packed> {
    let capacity = core.bins[0].size;
    let left: Vec<usize> = (0..core.sizes.len()).filter(|&k| core.demand[k] > 0).collect();
    let &last = left.last()?;
    let smallest = core.sizes[last];
    let second = match core.demand[last] {
        1 => left.len().checked_sub(2).map(|at| core.sizes[left[at]]),
        _ => Some(smallest),
    };
    for &i in &left {
        let room = capacity - core.sizes[i];
        if room < smallest {
            return Some(Packed { bin: 0, counts: vec![(i, 1)], copies: core.demand[i] });
        }
        if core.demand[i] == 1 && left.len() == 1 {
            return Some(Packed { bin: 0, counts: vec![(i, 1)], copies: 1 });
        }
        let from = left.partition_point(|&k| core.sizes[k] > room);
        let Some(&j) = left[from..].iter().find(|&&k| k != i || core.demand[k] > 1) else {
            return Some(Packed { bin: 0, counts: vec![(i, 1)], copies: core.demand[i] });
        };
        // The two smallest items other than `i` itself (the larger `i` is never among them unless
        // it is one of the last two kinds, where the test is then only harder to pass).
        let two_fit = second.is_none_or(|second| smallest + second <= room);
        if core.sizes[j] == room || !two_fit {
            let (counts, copies) = if i == j {
                (vec![(i, 2)], core.demand[i] / 2)
            } else {
                (vec![(i.min(j), 1), (i.max(j), 1)], core.demand[i].min(core.demand[j]))
            };
            return Some(Packed { bin: 0, counts, copies });
        }
    }
    None
}

fn shrink_capacity(core: &mut Core) {
    let capacity = core.bins[0].size;
    let kinds = i64::try_from(core.sizes.len()).unwrap_or(i64::MAX);
    if capacity.saturating_mul(kinds) / 64 > MOST_WORDS {
        return;
    }
    let Some(mut sums) = Sums::new(capacity) else { return };
    for (&size, &limit) in core.sizes.iter().zip(&core.demand) {
        sums.add(&Kind { size, limit, price: 0 });
    }
    core.bins[0].size = sums.below(capacity).max(1);
}
