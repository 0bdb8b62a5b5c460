//! Pulls onto rolls: best fit, longest pull first.
//!
//! A pull goes onto the fullest open roll that still holds it, else onto a new roll of the product
//! asked for. Like pulls are placed together and like rolls come out with a count of copies.

use super::pattern::{Cuts, PullCut, RollCut};
use std::collections::BTreeMap;
use std::sync::Arc;

/// An open roll: pulls by index, with how often each.
type Open = Vec<(usize, u64)>;

/// Packs all pulls on rolls of one `product` of the given length. The pulls must fit.
pub(super) fn best_fit(pulls: &[(Arc<PullCut>, u64)], product: usize, length: usize) -> Cuts {
    let mut order: Vec<usize> = (0..pulls.len()).collect();
    order.sort_by_key(|&p| (std::cmp::Reverse(pulls[p].0.length), p));
    // Free length -> rolls with it and their number.
    let mut open: BTreeMap<usize, Vec<(Open, u64)>> = BTreeMap::new();
    for p in order {
        let size = pulls[p].0.length.max(1);
        let mut left = pulls[p].1;
        while left > 0 {
            let Some((&free, _)) = open.range(size..).next() else { break };
            let Some(mut rolls) = open.remove(&free) else { break };
            let Some((roll, copies)) = rolls.pop() else { continue };
            let each = ((free / size) as u64).min(left);
            let filled = copies.min(left / each);
            if filled < copies {
                rolls.push((roll.clone(), copies - filled));
            }
            if !rolls.is_empty() {
                open.insert(free, rolls);
            }
            left -= each * filled;
            put(&mut open, free, size, (roll, filled), (p, each));
        }
        let each = ((length / size) as u64).min(left);
        if let Some(full) = left.checked_div(each) {
            put(&mut open, length, size, (Vec::new(), full), (p, each));
            left -= full * each;
            if left > 0 {
                put(&mut open, length, size, (Vec::new(), 1), (p, left));
            }
        }
    }
    let mut cuts = Cuts::new();
    for (roll, copies) in open.into_values().flatten() {
        let mut on = Vec::new();
        for (p, n) in roll {
            on.extend((0..n).map(|_| Arc::clone(&pulls[p].0)));
        }
        cuts.push((RollCut { roll: product, pulls: on }, copies));
    }
    cuts
}

fn put(
    open: &mut BTreeMap<usize, Vec<(Open, u64)>>,
    free: usize,
    size: usize,
    (mut roll, copies): (Open, u64),
    (pull, each): (usize, u64),
) {
    roll.push((pull, each));
    let used = size * usize::try_from(each).unwrap_or(usize::MAX);
    open.entry(free - used).or_default().push((roll, copies));
}
