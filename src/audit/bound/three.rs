//! Straight cuts in three stages: the most that a roll is worth.
//!
//! 1. Along a strip: `S_w(l)`, the most that a stack of pieces no wider than `w` is worth on a length `l`. Of the
//!    ways that are no wider than the strip only the shortest of a piece counts, so each piece has one
//!    length from one width to another, and [`each`] gives `S_w` for all widths.
//! 2. Across a pull: `V(l) = max sum S_w(l)` over strips with `sum w <= W`, for every length at which some
//!    `S_w` grows.
//! 3. Along the roll, as in two stages ([`super::two`]).
//!
//! With `e` the greatest `S_w(l) / w`, `V(l)` is no more than `e W`. Where that alone keeps the pull within the
//! roll's claim for its length, no knapsack across is needed: near the optimum of the linear programme, of
//! which prices mostly come, that spares nearly all. Only where some pull exceeds its share are all counted
//! in full.

use super::knapsack::{Span, each, repeat, spans};
use super::sizes::{Room, Sizes};
use super::two::{Pull, along, countable, within_rate};
use super::work::Work;
use super::{Trouble, Why};
use crate::plan::{Certificate, Most};

/// The most numbers of stacks' worths that are kept at once.
const MOST: usize = 1 << 23;

/// That no roll is worth more than is said.
pub(super) fn check(
    sizes: &Sizes<'_>,
    certificate: &Certificate,
    work: &mut Work,
) -> Result<(), Trouble> {
    let mut known: Vec<((usize, usize), Stacks)> = Vec::new();
    for (room, most) in sizes.rooms.iter().zip(&certificate.most) {
        countable(sizes, room)?;
        let longest = match (room.along, sizes.pull) {
            (Some(along), pull) => along.min(pull),
            (None, usize::MAX) => return Err(Trouble::Unsure(Why::Long)),
            (None, pull) => pull,
        };
        let key = (room.across, longest);
        let at = if let Some(at) = known.iter().position(|(other, _)| *other == key) {
            at
        } else {
            known.push((key, Stacks::new(sizes, key, work)?));
            known.len() - 1
        };
        let stacks = &known[at].1;
        let pulls = stacks.pulls(sizes, (room, most), true, work)?;
        if pulls.iter().all(|pull| within_rate(sizes, (room, most), *pull)) {
            continue;
        }
        let pulls = stacks.pulls(sizes, (room, most), false, work)?;
        along(sizes, (room, most), &pulls, work)?;
    }
    Ok(())
}

/// Stacks on strips of every width.
struct Stacks {
    /// Widths of strips, increasing.
    widths: Vec<usize>,
    /// The most that a stack is worth, by width, for every length.
    worths: Vec<Vec<i64>>,
    across: usize,
}

impl Stacks {
    fn new(
        sizes: &Sizes<'_>,
        (across, longest): (usize, usize),
        work: &mut Work,
    ) -> Result<Self, Trouble> {
        let fits = |way: &&[usize; 2]| way[0] <= across && way[1] <= longest;
        let ways = sizes.kinds.iter().flat_map(|kind| kind.ways.iter().filter(fits));
        let mut widths: Vec<usize> = ways.map(|way| way[0]).collect();
        widths.sort_unstable();
        widths.dedup();
        if widths.len().saturating_mul(longest) > MOST {
            return Err(Trouble::Unsure(Why::Long));
        }
        let mut all: Vec<Span> = Vec::new();
        for kind in &sizes.kinds {
            let mark = |way: &[usize; 2]| (widths.partition_point(|&width| width < way[0]), way[1]);
            let ways = kind.ways.iter().filter(fits).map(mark).collect();
            all.extend(spans(ways, widths.len(), kind.price, kind.copies));
        }
        let mut worths: Vec<Vec<i64>> = Vec::with_capacity(widths.len());
        each(all, widths.len(), longest, work, &mut |_, row| worths.push(row.to_vec()))?;
        Ok(Self { widths, worths, across })
    }

    /// The most that pulls are worth, for every length at which that may grow; where `quick`, those that
    /// are within their share of the roll's claim for certain are left out.
    fn pulls(
        &self,
        sizes: &Sizes<'_>,
        (room, most): (&Room<'_>, &Most),
        quick: bool,
        work: &mut Work,
    ) -> Result<Vec<Pull>, Trouble> {
        let longest = self.worths.first().map_or(0, |row| row.len() - 1);
        let mut pulls: Vec<Pull> = Vec::new();
        for length in 1..=longest {
            work.spend(self.widths.len(), 1)?;
            if self.worths.iter().all(|row| row[length] == row[length - 1]) {
                continue;
            }
            // Strips that are worth more than any narrower one.
            let mut strips: Vec<(usize, i64)> = Vec::new();
            for (&width, row) in self.widths.iter().zip(&self.worths) {
                if row[length] > strips.last().map_or(0, |strip| strip.1) {
                    strips.push((width, row[length]));
                }
            }
            let dense = strips.iter().map(|&(width, worth)| {
                i128::from(worth) * self.across as i128 / width.max(1) as i128
            });
            let dense = i64::try_from(dense.max().unwrap_or(0)).unwrap_or(i64::MAX);
            if quick && within_rate(sizes, (room, most), Pull { length, worth: dense }) {
                continue;
            }
            let mut row = vec![0_i64; self.across + 1];
            work.spend(row.len(), strips.len())?;
            for (width, worth) in strips {
                repeat(&mut row, width, worth);
            }
            let worth = row[self.across];
            if quick || worth > pulls.last().map_or(0, |pull| pull.worth) {
                pulls.push(Pull { length, worth });
            }
        }
        Ok(pulls)
    }
}
