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
    for (place, &pull) in may.iter().enumerate() {
        classes.entry(&job.pulls[pull].pieces).or_default().push(place);
        needed[job.pulls[pull].roll] += worth(job, pull, need);
    }
    let mut classes: Vec<Vec<usize>> = classes.into_values().collect();
    classes.sort_by_key(|class| class[0]);
    let mut heap: BinaryHeap<(u64, Reverse<usize>)> = classes
        .iter()
        .enumerate()
        .map(|(at, class)| (worth(job, may[class[0]], need), Reverse(at)))
        .filter(|(worth, _)| *worth > 0)
        .collect();
    let mut like = Like::new(job, may, (&classes, &needed));
    let mut chosen = Vec::new();
    while let Some((was, Reverse(at))) = heap.pop() {
        if like.is_used_up(at) {
            continue;
        }
        let now = worth(job, may[classes[at][0]], need);
        if now == 0 {
            continue;
        }
        if now < was {
            heap.push((now, Reverse(at)));
            continue;
        }
        let Some(pull) = like.take(at).map(|place| may[place]) else { continue };
        cut(job, pull, need, spare);
        chosen.push(pull);
        heap.push((now, Reverse(at)));
    }
    needed_of(job, chosen, spare)
}

/// Cuts a pull: what is not needed of its pieces is spare.
fn cut(job: &Job, pull: usize, need: &mut [u64], spare: &mut [u64]) {
    for &(piece, count) in &job.pulls[pull].pieces {
        let used = count.min(need[piece]);
        need[piece] -= used;
        spare[piece] += count - used;
    }
}

/// The pulls, last chosen first, without those whose pieces are all spare.
fn needed_of(job: &Job, chosen: Vec<usize>, spare: &mut [u64]) -> Vec<usize> {
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

/// Classes of like pulls: which of a class is cut next. First comes a roll that is begun, then the roll of
/// which most is needed, then the pull that stands first. Pulls are told by their place among those that
/// may be cut.
struct Like {
    /// By class, the first pull left on each roll; also what a roll was before it was begun.
    heads: Vec<BinaryHeap<(bool, u64, Reverse<usize>)>>,
    /// How many pulls of a class are left.
    left: Vec<usize>,
    /// The next pull of the same class on the same roll.
    next: Vec<Option<usize>>,
    /// The roll of each pull.
    roll: Vec<usize>,
    /// By roll: whether it is begun, and the first pull of each class on it.
    begun: Vec<bool>,
    begins: Vec<Vec<(usize, usize)>>,
}

impl Like {
    fn new(job: &Job, may: &[usize], (classes, needed): (&[Vec<usize>], &[u64])) -> Self {
        let roll: Vec<usize> = may.iter().map(|&pull| job.pulls[pull].roll).collect();
        let mut next = vec![None; may.len()];
        let mut begins = vec![Vec::new(); needed.len()];
        let mut heads = Vec::with_capacity(classes.len());
        for (at, class) in classes.iter().enumerate() {
            let mut before: BTreeMap<usize, usize> = BTreeMap::new();
            let mut head = BinaryHeap::new();
            for &place in class {
                if let Some(before) = before.insert(roll[place], place) {
                    next[before] = Some(place);
                } else {
                    begins[roll[place]].push((at, place));
                    head.push((false, needed[roll[place]], Reverse(place)));
                }
            }
            heads.push(head);
        }
        let left = classes.iter().map(Vec::len).collect();
        let begun = vec![false; needed.len()];
        Self { heads, left, next, roll, begun, begins }
    }

    fn is_used_up(&self, class: usize) -> bool {
        self.left[class] == 0
    }

    /// Takes the pull of a class that is cut next.
    fn take(&mut self, class: usize) -> Option<usize> {
        loop {
            let (begun, needed, Reverse(place)) = self.heads[class].pop()?;
            let roll = self.roll[place];
            // A roll that was begun since stands further up.
            if begun != self.begun[roll] {
                continue;
            }
            self.left[class] -= 1;
            if !begun {
                self.begun[roll] = true;
                for &(other, first) in &self.begins[roll] {
                    if other != class {
                        self.heads[other].push((true, needed, Reverse(first)));
                    }
                }
            }
            if let Some(next) = self.next[place] {
                self.heads[class].push((true, needed, Reverse(next)));
            }
            return Some(place);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Pull, Share, Weights};
    use super::*;
    use proptest::prelude::*;

    /// The same choice by going through all pulls of a class.
    fn plain(job: &Job, may: &[usize], need: &mut [u64], spare: &mut [u64]) -> Vec<usize> {
        let mut needed = vec![0_u64; job.fixed.len()];
        for &pull in may {
            needed[job.pulls[pull].roll] += worth(job, pull, need);
        }
        let mut begun = vec![false; job.fixed.len()];
        let (mut left, mut chosen) = (may.to_vec(), Vec::new());
        // Classes in the order of their first pulls: of all pulls that are worth most, those that are like
        // the one whose class begins first.
        let class =
            |pull: usize| may.iter().position(|&p| job.pulls[p].pieces == job.pulls[pull].pieces);
        loop {
            let most = left.iter().map(|&pull| worth(job, pull, need)).max().unwrap_or(0);
            if most == 0 {
                return chosen;
            }
            let at = left
                .iter()
                .enumerate()
                .filter(|&(_, &pull)| worth(job, pull, need) == most)
                .max_by_key(|&(place, &pull)| {
                    let roll = job.pulls[pull].roll;
                    (Reverse(class(pull)), begun[roll], needed[roll], Reverse(place))
                });
            let Some((at, _)) = at else { return chosen };
            let pull = left.remove(at);
            begun[job.pulls[pull].roll] = true;
            cut(job, pull, need, spare);
            chosen.push(pull);
        }
    }

    proptest! {
        #[test]
        fn like_pulls_are_taken_as_by_going_through_all_of_them(
            pulls in prop::collection::vec((0_usize..3, 0_usize..3, 0_usize..4), 1..40),
            wanted in prop::collection::vec(0_u64..30, 3),
        ) {
            let mut pulls = pulls;
            pulls.sort_by_key(|pull| pull.2);
            let pulls: Vec<Pull> = pulls
                .into_iter()
                .map(|(one, other, roll)| {
                    let pieces = if one == other { vec![(one, 2)] } else {
                        vec![(one.min(other), 1), (one.max(other), 3)]
                    };
                    Pull { roll, slot: 0, setup: 0, pieces }
                })
                .collect();
            let job = Job {
                pulls,
                fixed: vec![false; 4],
                shares: vec![vec![Share { kit: 0, quantity: 1 }]; 3],
                releases: vec![1],
                begun: Vec::new(),
                weights: Weights::default(),
            };
            let may: Vec<usize> = (0..job.pulls.len()).collect();
            let (mut need, mut spare) = (wanted.clone(), vec![0; 3]);
            let by_all = plain(&job, &may, &mut need, &mut spare);
            let stays = needed_of(&job, by_all, &mut spare);
            let (mut need, mut spare) = (wanted, vec![0; 3]);
            let kept = cover(&job, &may, &mut need, &mut spare);
            prop_assert_eq!(kept, stays);
        }
    }

    fn small(pulls: &[(usize, &[(usize, u64)])], shares: &[&[usize]], releases: &[u32]) -> Job {
        let pull = |&(roll, pieces): &(usize, &[(usize, u64)])| Pull {
            roll,
            slot: 0,
            setup: 0,
            pieces: pieces.to_vec(),
        };
        let of = |kits: &&[usize]| kits.iter().map(|&kit| Share { kit, quantity: 1 }).collect();
        Job {
            pulls: pulls.iter().map(pull).collect(),
            fixed: vec![false; pulls.len()],
            shares: shares.iter().map(of).collect(),
            releases: releases.to_vec(),
            ..Job::default()
        }
    }

    /// By hand: the first pull gives two, one for each of two releases; the other waits for the third.
    #[test]
    fn what_is_made_beyond_a_release_serves_the_next() {
        let pulls: [(usize, &[(usize, u64)]); 2] = [(0, &[(0, 2)]), (1, &[(0, 1), (1, 1)])];
        assert_eq!(phases(&small(&pulls, &[&[0, 1, 2], &[2]], &[1, 2, 3])), [0, 2]);
    }

    #[test]
    fn what_lies_in_front_on_a_roll_of_fixed_order_is_cut_first() {
        let pulls: [(usize, &[(usize, u64)]); 2] = [(0, &[(1, 1)]), (0, &[(0, 1)])];
        let mut job = small(&pulls, &[&[0], &[1]], &[1, 2]);
        assert_eq!(phases(&job), [1, 0]);
        job.fixed[0] = true;
        assert_eq!(phases(&job), [0, 0]);
    }

    #[test]
    fn a_pull_that_others_made_needless_is_left_out() {
        let pulls: [(usize, &[(usize, u64)]); 2] = [(0, &[(0, 1)]), (1, &[(0, 1)])];
        let job = small(&pulls, &[&[0]], &[1]);
        let mut spare = vec![1];
        assert_eq!((needed_of(&job, vec![0, 1], &mut spare), spare), (vec![0], vec![0]));
    }
}
