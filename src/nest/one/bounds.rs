//! Bounds that need no linear programme (one size of bin).
//!
//! * Area: `ceil(sum s_i / C)`.
//! * Large items: for each `K <= C/2`, items above `C - K` have bins of their own, items above `C/2`
//!   too, and items between `K` and `C/2` must find room beside the latter or in further bins.
//!   Martello and Toth, Discrete Applied Mathematics 28 (1990), bound L2.
//! * Dual feasible functions `u_k`: `x -> x` if `(k+1) x / C` is whole, else `floor((k+1) x / C) C / k`.
//!   Fekete and Schepers, Mathematical Programming 91 (2001), theorem 1.

use super::core::{Core, ceil_div};
use crate::nest::Basis;

/// Functions `u_k` up to this `k` are tried.
const MOST_STEPS: i128 = 60;

/// The best of the quick bounds, in bins.
pub(super) fn quick(core: &Core) -> (i64, Basis) {
    let capacity = i128::from(core.bins[0].size);
    let items = || {
        let sizes = core.sizes.iter().map(|&size| i128::from(size));
        sizes.zip(core.demand.iter().map(|&count| i128::from(count)))
    };
    let area: i128 = items().map(|(size, count)| size * count).sum();
    let mut best = (ceil_div(area, capacity), Basis::Area);
    let mut consider = |bound: i64| {
        if bound > best.0 {
            best = (bound, Basis::DualFeasible);
        }
    };
    for (limit, _) in items().filter(|&(size, _)| 2 * size <= capacity) {
        consider(large_items(items(), capacity, limit));
    }
    consider(large_items(items(), capacity, 0));
    for k in 1..=MOST_STEPS {
        // Everything times k, so that all is whole.
        let mapped = items().map(|(size, count)| {
            let steps = (k + 1) * size;
            let whole = steps % capacity == 0;
            count * if whole { k * size } else { steps / capacity * capacity }
        });
        consider(ceil_div(mapped.sum(), k * capacity));
    }
    best
}

fn large_items(items: impl Iterator<Item = (i128, i128)>, capacity: i128, limit: i128) -> i64 {
    let (mut alone, mut large, mut room, mut middle) = (0, 0, 0, 0);
    for (size, count) in items {
        if size > capacity - limit {
            alone += count;
        } else if 2 * size > capacity {
            large += count;
            room += count * (capacity - size);
        } else if size >= limit {
            middle += count * size;
        }
    }
    let more = ceil_div((middle - room).max(0), capacity);
    i64::try_from(alone + large).unwrap_or(i64::MAX).saturating_add(more)
}
