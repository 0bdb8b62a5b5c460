//! In which sizes pieces may lie, and how much of a roll they may lie on.

use crate::plan::Wanted;
use crate::plan::wanted::{Piece, Roll};
use crate::units::Length;

/// How far a piece reaches across and along, as it may be turned; upright first, one size once.
pub(super) fn sizes(piece: &Piece) -> impl Iterator<Item = (Length, Length)> {
    let upright = (piece.width, piece.length);
    let sideways = (piece.length, piece.width);
    let turned = piece.turns.sideways() && !(piece.turns.upright() && upright == sideways);
    piece.turns.upright().then_some(upright).into_iter().chain(turned.then_some(sideways))
}

/// The same where every piece brings a gap.
pub(super) fn with_gap(piece: &Piece, gap: Length) -> impl Iterator<Item = (Length, Length)> {
    sizes(piece).map(move |(across, along)| (across + gap, along + gap))
}

/// Those in which it fits some roll and the table.
pub(super) fn fitting(
    sheet: &Wanted,
    piece: &Piece,
    gap: Length,
) -> impl Iterator<Item = (Length, Length)> {
    let limit = sheet.cutting.pull_limit.map(|limit| limit + gap);
    with_gap(piece, gap).filter(move |&(across, along)| {
        let within = |size: Length, most: Option<Length>| most.is_none_or(|most| size <= most);
        let on = |roll: &Roll| {
            let (width, length) = usable(sheet, roll, gap);
            across <= width && within(along, length)
        };
        within(along, limit) && sheet.rolls.iter().any(on)
    })
}

/// What pieces may take of a roll, across and along, with one gap more; nothing along where it has no end.
pub(super) fn usable(sheet: &Wanted, roll: &Roll, gap: Length) -> (Length, Option<Length>) {
    let cutting = &sheet.cutting;
    let across = roll.width - cutting.edge_trim * 2 + gap;
    (across, roll.length.map(|length| length - cutting.square_cut + gap))
}

/// The two least of some widths, each there so many times.
pub(super) fn two_narrowest<T: Ord + Copy>(
    widths: impl Iterator<Item = (T, u64)>,
) -> Option<(T, T)> {
    let mut all: Vec<T> = Vec::new();
    for (width, many) in widths {
        all.extend(std::iter::repeat_n(width, usize::from(many > 0) + usize::from(many > 1)));
    }
    all.sort_unstable();
    all.first().copied().zip(all.get(1).copied())
}
