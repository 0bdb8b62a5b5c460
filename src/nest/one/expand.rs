//! From sizes back to the caller's items.
//!
//! Items of one size were packed as one kind; here each packed piece is given to the first item of
//! its size that still needs one. A pattern with many copies is cut into runs of equal copies.

use super::core::Packed;
use super::master::Bound;
use super::problem::{Certificate, Pattern};

/// Patterns over the caller's items.
pub(super) fn expand(
    packed: &[Packed],
    groups: &[Option<usize>],
    items: &[(i64, u64)],
) -> Vec<Pattern> {
    let kinds = groups.iter().flatten().max().map_or(0, |&most| most + 1);
    // For each kind, the items still to be served: (item, how many).
    let mut queues: Vec<Vec<(usize, u64)>> = vec![Vec::new(); kinds];
    for (item, group) in groups.iter().enumerate().rev() {
        if let Some(kind) = group {
            queues[*kind].push((item, items[item].1));
        }
    }
    let mut patterns = Vec::new();
    for pattern in packed {
        let mut copies = pattern.copies;
        while copies > 0 {
            let (items, run) = serve(pattern, copies, &mut queues);
            if items.is_empty() {
                break;
            }
            patterns.push(Pattern { bin: pattern.bin, items, copies: run });
            copies -= run;
        }
    }
    patterns
}

/// Serves one copy, and as many more as can be served in the same way.
fn serve(
    pattern: &Packed,
    copies: u64,
    queues: &mut [Vec<(usize, u64)>],
) -> (Vec<(usize, u64)>, u64) {
    let mut given: Vec<(usize, usize, u64)> = Vec::new();
    for &(kind, count) in &pattern.counts {
        let mut wanted = count;
        for &(item, left) in queues[kind].iter().rev() {
            let take = wanted.min(left);
            if take > 0 {
                given.push((kind, item, take));
                wanted -= take;
            }
        }
    }
    let left_of = |queues: &[Vec<(usize, u64)>], kind: usize, item: usize| {
        queues[kind].iter().find(|entry| entry.0 == item).map_or(0, |entry| entry.1)
    };
    let run = given
        .iter()
        .map(|&(kind, item, take)| left_of(queues, kind, item) / take)
        .min()
        .unwrap_or(0)
        .min(copies)
        .max(1);
    for &(kind, item, take) in &given {
        for entry in queues[kind].iter_mut().filter(|entry| entry.0 == item) {
            entry.1 -= take * run;
        }
        while queues[kind].last().is_some_and(|entry| entry.1 == 0) {
            queues[kind].pop();
        }
    }
    let mut items: Vec<(usize, u64)> =
        given.into_iter().map(|(_, item, take)| (item, take)).collect();
    items.sort_unstable();
    (items, run)
}

/// The bound's prices for the caller's items.
pub(super) fn certificate(bound: &Bound, kept: &[usize], groups: &[Option<usize>]) -> Certificate {
    let price = |group: &Option<usize>| {
        let kind = group.and_then(|group| kept.iter().position(|&k| k == group));
        kind.map_or(0, |kind| bound.prices[kind])
    };
    Certificate {
        prices: groups.iter().map(price).collect(),
        rents: bound.rents.clone(),
        denominator: bound.denominator,
        most: bound.most.clone(),
        bound: bound.value,
    }
}
