//! Pieces that lie alone: no two fit side by side on any roll, so a roll holds what its length does.
//!
//! A line across a roll then meets one piece at most, in any layout, so the pieces lie one behind another,
//! each as short as it may lie there: one knapsack along, each piece no more often than it is wanted.

use super::Trouble;
use super::knapsack::join;
use super::sizes::{Kind, Sizes};
use super::two::{Pull, countable, refused, within_rate};
use super::work::Work;
use crate::audit::usable::two_narrowest;
use crate::plan::Certificate;

/// Whether no two priced pieces fit side by side.
pub(super) fn holds(sizes: &Sizes<'_>) -> bool {
    let narrowest = |kind: &Kind| {
        let across = kind.ways.iter().map(|way| way[0]).min()?;
        Some((across, kind.copies))
    };
    let two = two_narrowest(sizes.kinds.iter().filter_map(narrowest));
    let widest = sizes.rooms.iter().map(|room| room.across).max().unwrap_or(0);
    two.is_none_or(|(first, second)| first + second > widest)
}

/// That no roll is worth more than is said.
pub(super) fn check(
    sizes: &Sizes<'_>,
    certificate: &Certificate,
    work: &mut Work,
) -> Result<(), Trouble> {
    for (room, most) in sizes.rooms.iter().zip(&certificate.most) {
        countable(sizes, room)?;
        let fits = |way: &&[usize; 2]| way[0] <= room.across;
        let shortest = sizes.kinds.iter().filter_map(|kind| {
            Some((kind, kind.ways.iter().filter(fits).map(|way| way[1]).min()?))
        });
        let Some(length) = room.along else {
            for (kind, length) in shortest {
                let pull = Pull { length, worth: kind.price };
                if !within_rate(sizes, (room, most), pull) {
                    return Err(refused(sizes, room.name, most.worth, i128::from(most.worth) + 1));
                }
            }
            continue;
        };
        let mut row = vec![0_i64; length + 1];
        for (kind, size) in shortest.filter(|(_, size)| *size <= length) {
            join(&mut row, size, kind.price, kind.copies, work)?;
        }
        if row[length] > most.worth {
            return Err(refused(sizes, room.name, most.worth, i128::from(row[length])));
        }
    }
    Ok(())
}
