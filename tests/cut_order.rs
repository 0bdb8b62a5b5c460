//! The order of cutting against its definition and against every order of small jobs.

use proptest::prelude::*;
use rollwright::sequence::shop::{Job, Pull, Share, Weights, deal, sequence};
use std::sync::atomic::{AtomicUsize, Ordering};

const WEIGHTS: Weights = Weights { open: 200, held: 200, setup: 10, roll: 50, late: None };

/// Random jobs: up to six pulls on up to three rolls, pieces that the pulls yield dealt at random to
/// up to four kits of up to three releases.
fn jobs() -> impl Strategy<Value = Job> {
    let pull = (0..3_usize, 0..3_usize, prop::collection::vec((0..4_usize, 1..3_u64), 1..4));
    let pulls = prop::collection::vec(pull, 1..=6);
    let releases = prop::collection::vec(1..=3_u32, 1..=4);
    (pulls, releases, any::<u64>()).prop_map(|(mut pulls, releases, lots)| {
        pulls.sort_by_key(|pull| pull.0);
        let mut made = [0_u64; 4];
        let pulls: Vec<Pull> = pulls
            .into_iter()
            .map(|(roll, setup, list)| {
                let mut counts = std::collections::BTreeMap::new();
                for (piece, count) in list {
                    *counts.entry(piece).or_insert(0) += count;
                }
                for (piece, count) in &counts {
                    made[*piece] += count;
                }
                Pull { roll, slot: setup, setup, pieces: counts.into_iter().collect() }
            })
            .collect();
        let kits = releases.len();
        let mut lots = lots;
        let shares = made
            .iter()
            .map(|&all| {
                let mut left = all;
                let mut list = Vec::new();
                for kit in 0..kits {
                    lots = lots.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
                    let quantity = if kit + 1 == kits { left } else { (lots >> 33) % (left + 1) };
                    if quantity > 0 {
                        list.push(Share { kit, quantity });
                    }
                    left -= quantity;
                }
                list
            })
            .collect();
        Job { pulls, fixed: vec![false; 3], shares, releases, begun: Vec::new(), weights: WEIGHTS }
    })
}

/// The most kits open at once when pulls that serve these kits are cut in this order: by definition.
fn most_open(serves: &[Vec<usize>]) -> usize {
    (0..serves.len())
        .map(|time| {
            let mut open: Vec<usize> = serves[..=time]
                .iter()
                .flatten()
                .filter(|kit| serves[time..].iter().flatten().any(|other| other == *kit))
                .copied()
                .collect();
            open.sort_unstable();
            open.dedup();
            open.len()
        })
        .max()
        .unwrap_or(0)
}

fn permutations(count: usize) -> Vec<Vec<usize>> {
    let mut all = vec![Vec::new()];
    for next in 0..count {
        all = all
            .into_iter()
            .flat_map(|order: Vec<usize>| {
                (0..=order.len()).map(move |at| {
                    let mut longer = order.clone();
                    longer.insert(at, next);
                    longer
                })
            })
            .collect();
    }
    all
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(300))]

    #[test]
    fn orders_are_whole_keep_releases_and_bounds_hold(
        job in jobs(),
        // However soon somebody wants to stop.
        asks in prop_oneof![Just(usize::MAX), 0_usize..40],
    ) {
        let asked = AtomicUsize::new(0);
        let done = sequence(&job, &|| asked.fetch_add(1, Ordering::Relaxed) >= asks);
        let mut order = done.order.clone();
        order.sort_unstable();
        prop_assert_eq!(order, (0..job.pulls.len()).collect::<Vec<_>>());
        prop_assert_eq!(done.score.late, 0);
        // Rolls hold as many pulls of each slot as before.
        let held = |rolls: &[usize]| {
            let mut held: Vec<_> = rolls.iter().zip(&job.pulls).map(|(r, p)| (*r, p.slot)).collect();
            held.sort_unstable();
            held
        };
        let as_laid: Vec<usize> = job.pulls.iter().map(|p| p.roll).collect();
        prop_assert_eq!(held(&done.rolls), held(&as_laid));
        // Every kit gets all it needs.
        for (piece, shares) in job.shares.iter().enumerate() {
            for share in shares {
                let got: u64 = done.dealt.iter().flatten()
                    .filter(|d| d.0 == piece && d.1 == Some(share.kit)).map(|d| d.2).sum();
                prop_assert_eq!(got, share.quantity);
            }
        }
        let serves: Vec<Vec<usize>> =
            done.dealt.iter().map(|d| d.iter().filter_map(|d| d.1).collect()).collect();
        prop_assert_eq!(done.score.most() as usize, most_open(&serves));
        let least = permutations(serves.len()).into_iter()
            .map(|order| most_open(&order.iter().map(|&at| serves[at].clone()).collect::<Vec<_>>()))
            .min().unwrap_or(0);
        prop_assert!(done.bound as usize <= least, "bound {} over {least}", done.bound);
    }
}

#[test]
fn kits_on_rolls_of_their_own_are_never_open_together() {
    // By construction: three kits, each with all its pieces on one roll.
    let pull = |roll: usize| Pull { roll, slot: roll, setup: roll, pieces: vec![(roll, 1)] };
    let pulls = (0..3).flat_map(|roll| [pull(roll), pull(roll), pull(roll)]).collect();
    let shares = (0..3).map(|kit| vec![Share { kit, quantity: 3 }]).collect();
    let job = Job {
        pulls,
        fixed: vec![false; 3],
        shares,
        releases: vec![3, 1, 2],
        begun: Vec::new(),
        weights: WEIGHTS,
    };
    let done = sequence(&job, &|| false);
    assert_eq!((done.score.most(), done.bound, done.score.rolls, done.score.setups), (1, 1, 3, 3));
    assert_eq!(done.order, [3, 4, 5, 6, 7, 8, 0, 1, 2], "release 1 is on the second roll");
}

#[test]
fn a_roll_that_keeps_its_order_is_cut_from_its_front() {
    let pull = |piece: usize| Pull { roll: 0, slot: 0, setup: 0, pieces: vec![(piece, 1)] };
    let job = Job {
        pulls: vec![pull(0), pull(1), pull(2)],
        fixed: vec![true],
        shares: (0..3).map(|kit| vec![Share { kit, quantity: 1 }]).collect(),
        releases: vec![3, 2, 1],
        begun: Vec::new(),
        weights: WEIGHTS,
    };
    let done = sequence(&job, &|| false);
    assert_eq!(done.order, [0, 1, 2]);
    assert_eq!(done.score.late, 0, "what lies in front is not late");
    // Where its pulls may change places nothing is in the way, so what goes first is late, and is told.
    let free = Job { fixed: vec![false], ..job };
    assert_eq!(deal(&free, &[0, 1, 2]).1.late, 2);
    assert_eq!(deal(&free, &[2, 1, 0]).1.late, 0);
}
