//! Which pulls are cut for which release.
//!
//! Steps, release by release from the earliest: what its kits and those before still need of each
//! piece; choose pulls one after another, always the one of whose pieces most are needed (with
//! needs only falling, a pull's worth only falls, so a heap that looks again at its head finds it;
//! of like pulls one on a roll that is begun, else on the roll of which most is needed);
//! then let go, last chosen first, whatever the others make up for. What no release needs is cut
//! with the last. A pull in front of another on a roll that keeps its order goes with it.

use super::Job;
use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

/// For each pull the number of its phase, from 0, one phase a release.
pub(super) fn phases(job: &Job) -> Vec<usize> {
    let mut by_release: BTreeMap<u32, Vec<(usize, u64)>> = BTreeMap::new();
    for (piece, shares) in job.shares.iter().enumerate() {
        for share in shares {
            let list = by_release.entry(job.releases[share.kit]).or_default();
            list.push((piece, share.quantity));
        }
    }
    let last = by_release.len().saturating_sub(1);
    let mut phase = vec![last; job.pulls.len()];
    let mut free: Vec<bool> = vec![true; job.pulls.len()];
    let mut need = vec![0_u64; job.shares.len()];
    // What chosen pulls make beyond what was needed when they were chosen.
    let mut spare = vec![0_u64; job.shares.len()];
    for (number, list) in by_release.into_values().enumerate().take(last) {
        for (piece, quantity) in list {
            let from_spare = spare[piece].min(quantity);
            spare[piece] -= from_spare;
            need[piece] += quantity - from_spare;
        }
        let may: Vec<usize> = (0..job.pulls.len()).filter(|&pull| free[pull]).collect();
        let chosen = cover(job, &may, &mut need, &mut spare);
        for pull in chosen {
            free[pull] = false;
            phase[pull] = number;
        }
    }
    for pull in (1..job.pulls.len()).rev() {
        let roll = job.pulls[pull].roll;
        if job.fixed[roll] && job.pulls[pull - 1].roll == roll {
            phase[pull - 1] = phase[pull - 1].min(phase[pull]);
        }
    }
    phase
}

/// How much of a pull is needed, in thousandths of its pieces.
fn worth(job: &Job, pull: usize, need: &[u64]) -> u64 {
    let pieces = &job.pulls[pull].pieces;
    let all: u64 = pieces.iter().map(|p| p.1).sum();
    let helps: u64 = pieces.iter().map(|&(piece, count)| count.min(need[piece])).sum();
    (helps * 1000).div_ceil(all.max(1))
}

/// Pulls among `may` that yield what is needed; what they yield beyond it is spare.
pub(super) fn cover(job: &Job, may: &[usize], need: &mut [u64], spare: &mut [u64]) -> Vec<usize> {
    // Like pulls are one class: which of them is taken is a question of rolls only.
    let mut classes: BTreeMap<&[(usize, u64)], Vec<usize>> = BTreeMap::new();
    let mut needed = vec![0_u64; job.fixed.len()];
    for &pull in may {
        classes.entry(&job.pulls[pull].pieces).or_default().push(pull);
        needed[job.pulls[pull].roll] += worth(job, pull, need);
    }
    let mut classes: Vec<Vec<usize>> = classes.into_values().collect();
    classes.sort_by_key(|class| class[0]);
    let mut heap: BinaryHeap<(u64, Reverse<usize>)> = classes
        .iter()
        .enumerate()
        .map(|(at, class)| (worth(job, class[0], need), Reverse(at)))
        .filter(|(worth, _)| *worth > 0)
        .collect();
    let mut begun = vec![false; job.fixed.len()];
    let mut chosen = Vec::new();
    while let Some((was, Reverse(at))) = heap.pop() {
        let Some(&first) = classes[at].first() else { continue };
        let now = worth(job, first, need);
        if now == 0 {
            continue;
        }
        if now < was {
            heap.push((now, Reverse(at)));
            continue;
        }
        let of = |pull: usize| job.pulls[pull].roll;
        let best = classes[at]
            .iter()
            .enumerate()
            .max_by_key(|&(place, &pull)| (begun[of(pull)], needed[of(pull)], Reverse(place)));
        let best = best.map_or(0, |(place, _)| place);
        let pull = classes[at].remove(best);
        begun[of(pull)] = true;
        for &(piece, count) in &job.pulls[pull].pieces {
            let used = count.min(need[piece]);
            need[piece] -= used;
            spare[piece] += count - used;
        }
        chosen.push(pull);
        heap.push((now, Reverse(at)));
    }
    let mut kept = Vec::new();
    for pull in chosen.into_iter().rev() {
        let pieces = &job.pulls[pull].pieces;
        if pieces.iter().all(|&(piece, count)| spare[piece] >= count) {
            for &(piece, count) in pieces {
                spare[piece] -= count;
            }
        } else {
            kept.push(pull);
        }
    }
    kept
}
