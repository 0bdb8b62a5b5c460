//! Choices searched around: a few things are made in other ways, and the materials that this changes are
//! nested anew with little work.
//!
//! The programme counts pulls in parts, so where rolls hold few pulls, or all is a handful of pulls, its
//! choice may be far from the best whole one. Late acceptance (Burke and Bykov, EJOR 258, 2017): an answer
//! is gone on from if it is no worse than the one that stood some tries ago.

use super::few::{Combination, Known, PROVEN, Taken, nest_all};
use super::{Listing, Made, Rank};
use crate::nest::straight::lots::Lots;
use crate::nest::{Options, Watch};

/// One part in so many of the work goes into each nest.
const SHARE: u64 = 100;

/// Less work than this finds too little.
const LEAST: u64 = 5_000;

/// An answer is held against the one of so many tries ago.
const AGO: usize = 12;

/// One part in so many of a nest's work is counted for a choice that is not nested.
const LOOK: u64 = 64;

/// The best choice that is found from `from`, by nests with little work; `from` itself if none is better.
pub(super) fn search(
    listing: &Listing<'_>,
    from: Taken,
    known: &mut Known,
    options: &Options,
    watch: &dyn Watch,
) -> Option<Made> {
    let each = Options { work: (options.work / SHARE).max(LEAST), ..*options };
    let open: Vec<usize> =
        (0..listing.groups.len()).filter(|&g| listing.groups[g].is_open()).collect();
    let mut lots = Lots::new(options.seed);
    let mut first = Combination::new(listing, from)?;
    let mut at = nest_all(&mut first, known, &each, watch).ok()?;
    let mut best = at.clone();
    let mut before: Vec<Rank> = vec![at.rank(listing); AGO];
    let mut left = options.work;
    let mut tries = 0;
    while left > 0 && !open.is_empty() && !watch.stop() {
        left = left.saturating_sub(each.work / LOOK + 1);
        let slot = tries % AGO;
        tries += 1;
        let then = before[slot];
        let taken = other(&open, &at.taken, &mut lots);
        if taken == at.taken || listing.extra(&taken) > i128::from(listing.limit) {
            continue;
        }
        let Some(mut combination) = Combination::new(listing, taken) else { continue };
        if combination.bound() > then.0.max(at.value) {
            continue;
        }
        let many = known.len();
        let made = nest_all(&mut combination, known, &each, watch);
        if known.len() > many {
            let proven = made.as_ref().is_ok_and(Made::is_proven);
            left = left.saturating_sub(if proven { each.work / PROVEN } else { each.work });
        }
        let Ok(made) = made else { continue };
        let rank = made.rank(listing);
        if rank <= then || rank <= at.rank(listing) {
            if rank < best.rank(listing) {
                best = made.clone();
            }
            at = made;
        }
        before[slot] = at.rank(listing);
    }
    Some(best)
}

/// One or two groups made otherwise: some of the things that one way makes are made in another.
fn other(open: &[usize], taken: &Taken, lots: &mut Lots) -> Taken {
    let mut taken = taken.clone();
    for _ in 0..=usize::from(lots.below(2) > 0) {
        let group = open[lots.below(open.len())];
        let ways = &mut taken[group];
        let made: Vec<usize> = (0..ways.len()).filter(|&way| ways[way] > 0).collect();
        let from = made[lots.below(made.len())];
        let to = (from + 1 + lots.below(ways.len() - 1)) % ways.len();
        let things = if lots.below(2) > 0 {
            ways[from]
        } else {
            1 + lots.below(usize::try_from(ways[from]).unwrap_or(usize::MAX)) as u64
        };
        ways[from] -= things;
        ways[to] += things;
    }
    taken
}
