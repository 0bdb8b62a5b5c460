//! Quick packings.
//!
//! * Fill by falling size: each bin takes as many as fit of each size in turn (first fit
//!   decreasing, bin by bin); a bin is repeated while the demand lasts.
//! * Fill tightly: each bin takes the largest item left, and then the set that leaves least room,
//!   by branch and bound with few nodes. Gupta and Ho, Production Planning and Control 10 (1999);
//!   with the largest item fixed: Fleszar and Hindi, C&OR 29 (2002).
//!
//! With several bins, each step takes the bin whose cost per length filled is least.

use super::core::{Core, Packed, whole};
use super::effort::Effort;
use crate::nest::knapsack::{Counts, Kind, Search, add};

/// How hard each bin is filled.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Fill {
    /// By falling size.
    Falling,
    /// As full as this many nodes make it.
    Tight(u64),
}

/// Packs `demand`, with `used` bins of each size gone; nothing if the bins run out.
pub(super) fn pack(
    core: &Core,
    demand: &[u64],
    used: &[u64],
    fill: Fill,
    effort: &Effort<'_>,
) -> Option<Vec<Packed>> {
    let mut left = demand.to_vec();
    let mut used = used.to_vec();
    let mut packed = Vec::new();
    while let Some(first) = left.iter().position(|&count| count > 0) {
        let mut best: Option<(i128, i128, Packed)> = None;
        for (bin, kind) in core.bins.iter().enumerate() {
            let rest = kind.available.map_or(u64::MAX, |most| most.saturating_sub(used[bin]));
            if rest == 0 || kind.size < core.sizes[first] {
                continue;
            }
            let counts = match fill {
                Fill::Falling => falling(core, &left, kind.size),
                Fill::Tight(nodes) => tight(core, &left, kind.size, first, nodes, effort),
            };
            let filled = core.filled(&counts);
            let copies = counts.iter().map(|&(k, count)| left[k] / count).min().unwrap_or(0);
            let copies = copies.min(rest).max(1);
            let (cost, filled) = (i128::from(kind.cost), i128::from(filled));
            let better = best
                .as_ref()
                .is_none_or(|(best_cost, best_filled, _)| cost * best_filled < best_cost * filled);
            if better {
                best = Some((cost, filled, Packed { bin, counts, copies }));
            }
        }
        let (.., pattern) = best?;
        for &(k, count) in &pattern.counts {
            left[k] -= count * pattern.copies;
        }
        used[pattern.bin] += pattern.copies;
        packed.push(pattern);
    }
    Some(packed)
}

fn falling(core: &Core, left: &[u64], capacity: i64) -> Counts {
    let mut room = capacity;
    let mut counts = Vec::new();
    for (k, (&size, &rest)) in core.sizes.iter().zip(left).enumerate() {
        if size <= room && rest > 0 {
            let take = rest.min(u64::try_from(room / size).unwrap_or(0));
            room -= size * whole(take);
            counts.push((k, take));
        }
    }
    counts
}

fn tight(
    core: &Core,
    left: &[u64],
    capacity: i64,
    first: usize,
    nodes: u64,
    effort: &Effort<'_>,
) -> Counts {
    let mut kinds: Vec<Kind> = core
        .sizes
        .iter()
        .zip(left)
        .map(|(&size, &limit)| Kind { size, limit, price: size })
        .collect();
    kinds[first].limit -= 1;
    let room = capacity - core.sizes[first];
    let mut counts = Vec::new();
    let mut search = Search::new(&kinds, room, None);
    let verdict = search.run(0, nodes, &mut |_, found| counts = found);
    effort.spend(verdict.nodes / 100 + 1);
    add(&mut counts, first, 1);
    counts
}

/// What a packing costs.
pub(super) fn cost(core: &Core, packed: &[Packed]) -> i64 {
    packed.iter().map(|pattern| core.bins[pattern.bin].cost * whole(pattern.copies)).sum()
}
