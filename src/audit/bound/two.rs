//! Straight cuts in two stages: the most that a roll is worth.
//!
//! 1. Across: `V(l)`, the most that a pull of length `l` is worth. A piece may be taken in the ways that are
//!    no longer than the pull, and of these only the narrowest counts: the others take more room for as
//!    much. So each piece has one width from one length to another, and [`each`] gives `V` for all lengths.
//! 2. Along: `G(L) = max sum V(l_j)` with `sum l_j <= L`, a knapsack that takes a pull any number of times.
//!
//! Where every `V(l) / l` is at most `z / L` nothing needs to be laid along: no sum of pulls is then worth more
//! than `z`. Of a roll without end just that is claimed.

use super::knapsack::{Span, each, repeat, spans};
use super::sizes::{Room, Sizes};
use super::work::Work;
use super::{Trouble, Why, exceeded};
use crate::plan::{Certificate, Most};

/// A pull that is worth more than any shorter one.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pull {
    pub(super) length: usize,
    pub(super) worth: i64,
}

/// That no roll is worth more than is said.
pub(super) fn check(
    sizes: &Sizes<'_>,
    certificate: &Certificate,
    work: &mut Work,
) -> Result<(), Trouble> {
    let mut known: Vec<(usize, Vec<Pull>)> = Vec::new();
    for (room, most) in sizes.rooms.iter().zip(&certificate.most) {
        countable(sizes, room)?;
        let at = known.iter().position(|(across, _)| *across == room.across);
        let at = if let Some(at) = at {
            at
        } else {
            known.push((room.across, pulls(sizes, room.across, work)?));
            known.len() - 1
        };
        along(sizes, (room, most), &known[at].1, work)?;
    }
    Ok(())
}

/// That what is added up stays in 64 bits.
pub(super) fn countable(sizes: &Sizes<'_>, room: &Room<'_>) -> Result<(), Trouble> {
    let longest = sizes.kinds.iter().flat_map(|kind| &kind.ways).map(|way| way[1]).max();
    let pull = if sizes.pull == usize::MAX { 0 } else { sizes.pull };
    let length = room.along.unwrap_or_else(|| longest.unwrap_or(0).max(pull));
    let worth = sizes.by_area(room, length);
    if worth > i128::from(i64::MAX / 4) { Err(Trouble::Unsure(Why::Large)) } else { Ok(()) }
}

/// The pulls of a width that are worth more than any shorter one.
fn pulls(sizes: &Sizes<'_>, across: usize, work: &mut Work) -> Result<Vec<Pull>, Trouble> {
    let fits = |way: &&[usize; 2]| way[0] <= across;
    let ways = sizes.kinds.iter().flat_map(|kind| kind.ways.iter().filter(fits));
    let mut lengths: Vec<usize> = ways.map(|way| way[1]).collect();
    lengths.sort_unstable();
    lengths.dedup();
    let mut all: Vec<Span> = Vec::new();
    for kind in &sizes.kinds {
        let mark = |way: &[usize; 2]| (lengths.partition_point(|&length| length < way[1]), way[0]);
        let ways = kind.ways.iter().filter(fits).map(mark).collect();
        all.extend(spans(ways, lengths.len(), kind.price, kind.copies));
    }
    let mut pulls: Vec<Pull> = Vec::new();
    each(all, lengths.len(), across, work, &mut |mark, row| {
        let (length, worth) = (lengths[mark], row[across]);
        if worth > pulls.last().map_or(0, |pull| pull.worth) {
            pulls.push(Pull { length, worth });
        }
    })?;
    Ok(pulls)
}

/// That pulls along a roll are worth no more than is said.
pub(super) fn along(
    sizes: &Sizes<'_>,
    (room, most): (&Room<'_>, &Most),
    pulls: &[Pull],
    work: &mut Work,
) -> Result<(), Trouble> {
    if pulls.iter().all(|pull| within_rate(sizes, (room, most), *pull)) {
        return Ok(());
    }
    let Some(length) = room.along else {
        let worst = pulls.iter().find(|pull| !within_rate(sizes, (room, most), **pull));
        let (length, worth) = worst.map_or((0, 0), |pull| (pull.length, pull.worth));
        let per = most.per.map_or(0, |per| i128::from(per.nm()));
        let own = (i128::try_from(length).unwrap_or(0) * i128::from(sizes.along)).max(1);
        return Err(refused(sizes, room.name, most.worth, i128::from(worth) * per / own + 1));
    };
    let mut row = vec![0_i64; length + 1];
    let fit: Vec<&Pull> = pulls.iter().filter(|pull| pull.length <= length).collect();
    work.spend(row.len(), fit.len())?;
    for pull in fit {
        repeat(&mut row, pull.length, pull.worth);
    }
    let worth = row[length];
    if worth > most.worth {
        return Err(refused(sizes, room.name, most.worth, i128::from(worth)));
    }
    Ok(())
}

/// Whether a pull is worth no more than its share of the roll's length.
pub(super) fn within_rate(sizes: &Sizes<'_>, (room, most): (&Room<'_>, &Most), pull: Pull) -> bool {
    let own = i128::try_from(pull.length).unwrap_or(i128::MAX);
    let (own, whole) = match room.along {
        Some(along) => (own, i128::try_from(along).unwrap_or(i128::MAX)),
        None => (own * i128::from(sizes.along), most.per.map_or(0, |per| i128::from(per.nm()))),
    };
    let both =
        i128::from(pull.worth).checked_mul(whole).zip(i128::from(most.worth).checked_mul(own));
    both.is_some_and(|(worth, may)| worth <= may)
}

/// That a roll can be worth more than is said; not for sure where sizes were rounded.
pub(super) fn refused(sizes: &Sizes<'_>, roll: &str, claimed: i64, worth: i128) -> Trouble {
    if sizes.exact {
        Trouble::False(exceeded(roll, claimed, worth))
    } else {
        Trouble::Unsure(Why::Fine)
    }
}
