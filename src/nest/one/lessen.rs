//! Cheaper bins for a packing where they differ.
//!
//! A bin's items go into what others leave; if none is left over, the packing does without it, else what is left over
//! goes into the cheapest bin that holds it, where that costs less. Two bins become one where one costs less. The
//! programme counts bins in fractions and takes the one that is cheapest for its length, so where a dearer one with room
//! to spare is needed as well, cheap ones stay that nobody needs.

use super::core::{Core, Packed};
use super::effort::Effort;
use crate::nest::knapsack::{Counts, add};
use std::cmp::Reverse;

/// Packings of more bins, and of more items, stay as they are.
const BINS: u64 = 200;
const ITEMS: u64 = 5_000;

/// A bin and what lies in it.
struct Held {
    bin: usize,
    counts: Counts,
    free: i64,
}

/// The same items in bins that cost no more.
pub(super) fn lessen(core: &Core, packed: Vec<Packed>, effort: &Effort<'_>) -> Vec<Packed> {
    let bins: u64 = packed.iter().map(|pattern| pattern.copies).sum();
    if bins > BINS || core.demand.iter().sum::<u64>() > ITEMS {
        return packed;
    }
    let copies = packed.iter().flat_map(|pattern| (0..pattern.copies).map(move |_| pattern));
    let held = copies.map(|pattern| {
        let Packed { bin, counts, .. } = pattern.clone();
        let free = core.bins[bin].size - core.filled(&counts);
        Held { bin, counts, free }
    });
    let mut held: Vec<Held> = held.collect();
    while !effort.over() && (one_less(core, &mut held) || one_of_two(core, &mut held)) {
        effort.spend(bins + bins * bins * core.bins.len() as u64 / 1_000);
    }
    let mut packed: Vec<Packed> = Vec::new();
    held.sort_by(|a, b| (a.bin, &a.counts).cmp(&(b.bin, &b.counts)));
    for Held { bin, counts, .. } in held {
        match packed.last_mut() {
            Some(last) if last.bin == bin && last.counts == counts => last.copies += 1,
            _ => packed.push(Packed { bin, counts, copies: 1 }),
        }
    }
    packed
}

/// Does without one bin, the dearest that it can, or with a cheaper one.
fn one_less(core: &Core, held: &mut Vec<Held>) -> bool {
    let cost = |held: &Held| core.bins[held.bin].cost;
    let mut order: Vec<usize> = (0..held.len()).filter(|&at| cost(&held[at]) > 0).collect();
    order.sort_by_key(|&at| (Reverse(cost(&held[at])), at));
    let used = used(core, held);
    for at in order {
        let mut free: Vec<i64> = held.iter().map(|other| other.free).collect();
        free[at] = 0;
        let (mut moves, mut over): (Vec<(usize, usize)>, Counts) = (Vec::new(), Vec::new());
        for &(kind, count) in &held[at].counts {
            let size = core.sizes[kind];
            for _ in 0..count {
                let fullest = (0..free.len()).filter(|&to| free[to] >= size);
                let Some(to) = fullest.min_by_key(|&to| free[to]) else {
                    add(&mut over, kind, 1);
                    continue;
                };
                free[to] -= size;
                moves.push((kind, to));
            }
        }
        let other = match core.filled(&over) {
            0 => None,
            size => cheaper(core, &used, &[&held[at]], size),
        };
        if !over.is_empty() && other.is_none() {
            continue;
        }
        for (kind, to) in moves {
            add(&mut held[to].counts, kind, 1);
            held[to].free -= core.sizes[kind];
        }
        match other {
            Some(bin) => {
                let free = core.bins[bin].size - core.filled(&over);
                held[at] = Held { bin, counts: over, free };
            }
            None => drop(held.swap_remove(at)),
        }
        return true;
    }
    false
}

/// Puts what lies in two bins into one that costs less than both: the two by which most is saved.
fn one_of_two(core: &Core, held: &mut Vec<Held>) -> bool {
    let used = used(core, held);
    let mut best: Option<(i64, [usize; 2], usize)> = None;
    for one in 0..held.len() {
        for two in one + 1..held.len() {
            let size = [one, two].map(|at| core.bins[held[at].bin].size - held[at].free);
            let Some(bin) = cheaper(core, &used, &[&held[one], &held[two]], size[0] + size[1])
            else {
                continue;
            };
            let cost = [one, two].map(|at| core.bins[held[at].bin].cost);
            let saved = cost[0] + cost[1] - core.bins[bin].cost;
            if best.as_ref().is_none_or(|best| saved > best.0) {
                best = Some((saved, [one, two], bin));
            }
        }
    }
    let Some((_, [one, two], bin)) = best else { return false };
    let mut counts = held[one].counts.clone();
    for &(kind, count) in &held[two].counts {
        add(&mut counts, kind, count);
    }
    let free = core.bins[bin].size - core.filled(&counts);
    held[one] = Held { bin, counts, free };
    held.swap_remove(two);
    true
}

/// How many bins of each kind are in use.
fn used(core: &Core, held: &[Held]) -> Vec<u64> {
    let mut used = vec![0; core.bins.len()];
    for held in held {
        used[held.bin] += 1;
    }
    used
}

/// The cheapest kind of bin that takes so much in the place of these, for less than they cost together.
fn cheaper(core: &Core, used: &[u64], these: &[&Held], size: i64) -> Option<usize> {
    let most: i64 = these.iter().map(|held| core.bins[held.bin].cost).sum();
    let holds = |&bin: &usize| {
        let freed = these.iter().filter(|held| held.bin == bin).count() as u64;
        let kind = &core.bins[bin];
        let there = kind.available.is_none_or(|available| used[bin] - freed < available);
        kind.cost < most && kind.size >= size && there
    };
    (0..core.bins.len()).filter(holds).min_by_key(|&bin| core.bins[bin].cost)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::one::Bin;
    use crate::nest::{Options, Quiet};

    /// Items of 6 in bins of 25 at 300 and of 6 at 72, packed so.
    fn lessened(items: u64, packed: &[(usize, u64, u64)]) -> Vec<(usize, u64, u64)> {
        let bins = [(25, 300, None), (6, 72, Some(3))];
        let bin = |(size, cost, available)| Bin { size, cost, available };
        let core = Core { bins: bins.map(bin).to_vec(), sizes: vec![6], demand: vec![items] };
        let pattern = |&(bin, count, copies): &(usize, u64, u64)| Packed {
            bin,
            counts: vec![(0, count)],
            copies,
        };
        let packed = packed.iter().map(pattern).collect();
        let effort = Effort::new(&Options::default(), &Quiet);
        let told = |pattern: &Packed| (pattern.bin, pattern.counts[0].1, pattern.copies);
        lessen(&core, packed, &effort).iter().map(told).collect()
    }

    /// By hand: four to a large bin, so seventeen fill four of them and one small one; one by itself needs no large one.
    #[test]
    fn cheap_bins_that_nobody_needs_are_left_out_and_dear_ones_exchanged() {
        assert_eq!(lessened(17, &[(0, 4, 3), (0, 2, 1), (1, 1, 3)]), [(0, 4, 4), (1, 1, 1)]);
        assert_eq!(lessened(1, &[(0, 1, 1)]), [(1, 1, 1)]);
        assert_eq!(lessened(4, &[(0, 4, 1)]), [(0, 4, 1)]);
        assert_eq!(lessened(20, &[(0, 4, 5)]), [(0, 4, 5)]);
    }

    /// By hand: what lies in two bins of 43 at 503, 13 and 42 of length, goes into one of 64 at 756.
    #[test]
    fn two_bins_become_one_that_costs_less() {
        let bins = [(43, 503), (64, 756)].map(|(size, cost)| Bin { size, cost, available: None });
        let core = Core { bins: bins.to_vec(), sizes: vec![21, 13], demand: vec![2, 4] };
        let packed = [[(0, 2)], [(1, 3)], [(1, 1)]].map(|counts| Packed {
            bin: 0,
            counts: counts.to_vec(),
            copies: 1,
        });
        let effort = Effort::new(&Options::default(), &Quiet);
        let found = lessen(&core, packed.to_vec(), &effort);
        let told: Vec<(usize, &Counts)> =
            found.iter().map(|held| (held.bin, &held.counts)).collect();
        assert_eq!(told, [(0, &vec![(1, 3)]), (1, &vec![(0, 2), (1, 1)])]);
    }
}
