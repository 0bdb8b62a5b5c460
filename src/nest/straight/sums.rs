//! Pulls onto rolls that are filled to the last unit, where best fit leaves more open than there is to
//! spare.
//!
//! 1. A roll takes the longest pulls there are, until no more than twice the longest is free.
//! 2. That is filled by the greatest sum of lengths that does not exceed it, with no more of a length than
//!    there are: `R_j = R_(j-1) or R_(j-1) shifted by n_j l_j`, over parts of 1, 2, 4, ... pulls of each
//!    length, shortest first. `R` is a set of sums, a bit for each, and every `R_j` is kept, so that the
//!    sum can be traced back; long pulls are taken where there is a choice, so that short ones are there
//!    for the last rolls.
//! 3. The roll is cut as often as there are pulls for it.
//!
//! Minimum bin slack: Gupta and Ho, Production Planning & Control 10, 1999; sums in bits are common
//! practice (both from memory).

use super::pattern::{Cuts, PullCut, RollCut};
use std::cmp::Reverse;
use std::collections::BTreeMap;
use std::sync::Arc;

/// So many 64-bit words are kept for the sums of one roll, at most.
const WORDS: usize = 1 << 21;

/// A pull and how often it is cut.
type Many = (Arc<PullCut>, u64);

/// The pulls of one length.
struct Like {
    length: usize,
    /// How many are not on a roll yet.
    left: u64,
    /// They themselves, those on rolls included.
    pulls: Vec<Many>,
}

/// Packs all pulls on rolls of one `product` of the given length. The pulls must fit.
pub(super) fn filled(pulls: &[Many], product: usize, length: usize) -> Cuts {
    let mut by_length: BTreeMap<Reverse<usize>, Like> = BTreeMap::new();
    for (pull, copies) in pulls.iter().filter(|(_, copies)| *copies > 0) {
        let length = pull.length.max(1);
        let new = || Like { length, left: 0, pulls: Vec::new() };
        let like = by_length.entry(Reverse(length)).or_insert_with(new);
        like.left += copies;
        like.pulls.push((Arc::clone(pull), *copies));
    }
    let mut likes: Vec<Like> = by_length.into_values().collect();
    let mut cuts = Cuts::new();
    while let Some(longest) = likes.iter().find(|like| like.left > 0).map(|like| like.length) {
        let roll = one(&likes, length, 2 * longest);
        let copies = roll.iter().map(|&(at, n)| likes[at].left / n).min().unwrap_or(0);
        if copies == 0 {
            break;
        }
        for &(at, n) in &roll {
            likes[at].left -= n * copies;
        }
        deal(&mut likes, &roll, copies, |pulls, copies| {
            cuts.push((RollCut { roll: product, pulls }, copies));
        });
    }
    cuts
}

/// One roll, as lengths by number and how often each; the last `reach` by sums.
fn one(likes: &[Like], length: usize, reach: usize) -> Vec<(usize, u64)> {
    let mut left: Vec<u64> = likes.iter().map(|like| like.left).collect();
    let mut free = length;
    for (like, left) in likes.iter().zip(&mut left) {
        let wanted = free.saturating_sub(reach).div_ceil(like.length);
        let n = (wanted.min(free / like.length) as u64).min(*left);
        *left -= n;
        free -= like.length * usize::try_from(n).unwrap_or(0);
    }
    for (at, n) in sum(likes, &left, free) {
        left[at] -= n;
    }
    let taken = |at: usize| likes[at].left - left[at];
    (0..likes.len()).filter(|&at| taken(at) > 0).map(|at| (at, taken(at))).collect()
}

/// The greatest sum of lengths of what is `left` that does not exceed `free`.
fn sum(likes: &[Like], left: &[u64], free: usize) -> Vec<(usize, u64)> {
    let words = free / 64 + 1;
    let mut parts: Vec<(usize, u64, usize)> = Vec::new();
    for (at, like) in likes.iter().enumerate().rev() {
        let mut rest = left[at].min((free / like.length) as u64);
        let mut many = 1;
        while rest > 0 && (parts.len() + 2) * words <= WORDS {
            many = many.min(rest);
            parts.push((at, many, like.length * usize::try_from(many).unwrap_or(0)));
            rest -= many;
            many *= 2;
        }
    }
    let mut sums = vec![0_u64; words];
    sums[0] = 1;
    for (row, &(_, _, step)) in parts.iter().enumerate() {
        let (before, skip, shift) = (row * words, step / 64, step % 64);
        for word in 0..words {
            let at = |back: usize| word.checked_sub(back).map_or(0, |word| sums[before + word]);
            let low = if shift == 0 { 0 } else { at(skip + 1) >> (64 - shift) };
            let with = at(0) | (at(skip) << shift) | low;
            sums.push(with);
        }
    }
    let has = |row: usize, sum: usize| sums[row * words + sum / 64] >> (sum % 64) & 1 == 1;
    let mut total = (0..=free).rev().find(|&sum| has(parts.len(), sum)).unwrap_or(0);
    let mut taken = Vec::new();
    for (row, &(at, many, step)) in parts.iter().enumerate().rev() {
        if total >= step && has(row, total - step) {
            taken.push((at, many));
            total -= step;
        }
    }
    taken
}

/// Deals pulls to `copies` of a roll, as many at a time as get the same ones.
fn deal(
    likes: &mut [Like],
    roll: &[(usize, u64)],
    mut copies: u64,
    mut put: impl FnMut(Vec<Arc<PullCut>>, u64),
) {
    while copies > 0 {
        let alike = |&(at, n): &(usize, u64)| likes[at].pulls.last().map_or(0, |last| last.1 / n);
        let many = roll.iter().map(alike).min().unwrap_or(0).clamp(1, copies);
        let mut pulls = Vec::new();
        for &(at, n) in roll {
            for _ in 0..n {
                let Some((pull, left)) = likes[at].pulls.last_mut() else { break };
                pulls.push(Arc::clone(pull));
                *left -= many;
                if *left == 0 {
                    likes[at].pulls.pop();
                }
            }
        }
        put(pulls, many);
        copies -= many;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn pull(length: usize, width: usize) -> Arc<PullCut> {
        Arc::new(PullCut { length, width, places: Vec::new() })
    }

    /// What is cut of each length and width, from the pulls or from the rolls.
    fn census(pulls: impl Iterator<Item = (usize, usize, u64)>) -> BTreeMap<(usize, usize), u64> {
        let mut all = BTreeMap::new();
        for (length, width, n) in pulls.filter(|pull| pull.2 > 0) {
            *all.entry((length, width)).or_default() += n;
        }
        all
    }

    proptest! {
        /// Every pull is on a roll as often as asked, and no roll is overfull.
        #[test]
        fn all_pulls_are_laid_once(
            sizes in prop::collection::vec((1_usize..60, 1_usize..4, 0_u64..30), 0..12),
            length in 60_usize..400,
        ) {
            let pulls: Vec<Many> = sizes.iter().map(|&(l, w, n)| (pull(l, w), n)).collect();
            let cuts = filled(&pulls, 0, length);
            let on = cuts.iter().flat_map(|(roll, copies)| {
                roll.pulls.iter().map(|pull| (pull.length, pull.width, *copies))
            });
            prop_assert_eq!(census(on), census(sizes.into_iter()));
            for (roll, _) in &cuts {
                prop_assert!(roll.pulls.iter().map(|pull| pull.length).sum::<usize>() <= length);
            }
        }
    }

    #[test]
    fn rolls_are_filled_where_best_fit_leaves_some_open() {
        // By hand: 6 + 4 + 4 and 5 + 5 + 4 fill two rolls of 14; best fit lays 6 + 5, then 5 + 4 + 4.
        let pulls = [(pull(6, 1), 1), (pull(5, 1), 2), (pull(4, 1), 3)];
        assert_eq!(filled(&pulls, 0, 14).iter().map(|cut| cut.1).sum::<u64>(), 2);
    }
}
