//! Where the area of the rolls went, without remainder:
//! rolls = pieces + surplus + square cuts + edge trims + between + roll ends + kept.

use super::far_end;
use crate::nest::{self, Layout};
use crate::plan::wanted::{Piece, Wanted};
use crate::plan::{Areas, Roll};
use crate::units::{Area, Length};

/// The split of one nest; `rolls` are the layouts as the plan shows them.
pub(super) fn split(wanted: &Wanted, layouts: &[Layout], rolls: &[Roll]) -> Areas {
    let cutting = &wanted.cutting;
    let mut all = Areas::default();
    for (layout, roll) in layouts.iter().zip(rolls) {
        let copies = i128::from(layout.copies);
        let across = |length: Length| Area::of_rectangle(roll.width, length);
        let far = far_end(layout) - wanted.rolls[layout.roll].saved;
        let whole = across(roll.length.unwrap_or(far));
        let pieces: Area = layout
            .pulls
            .iter()
            .flat_map(|pull| &pull.placements)
            .map(|place| wanted.pieces[place.piece].area())
            .sum();
        let front = roll.square_cut(cutting.square_cut);
        let square = across(front);
        let pulled = far - front;
        let trims = Area::of_rectangle(cutting.edge_trim, pulled) * 2;
        let end = roll.length.map_or(Area::ZERO, |length| across(length - far));
        let kept = roll.kept();
        let end_is_kept = roll.offcuts.iter().any(|o| o.keep && o.y == far);
        let lost_end = if end_is_kept { Area::ZERO } else { end };
        all.rolls += whole * copies;
        all.pieces += pieces * copies;
        all.square_cuts += square * copies;
        all.edge_trims += trims * copies;
        all.roll_ends += lost_end * copies;
        all.kept += kept * copies;
        all.between += (whole - pieces - square - trims - lost_end - kept) * copies;
    }
    // What was made beyond what is wanted and could not be left out.
    let spare = |(piece, made): (&Piece, u64)| {
        piece.area() * i128::from(made.saturating_sub(piece.quantity))
    };
    let made = nest::made(layouts, wanted.pieces.len());
    all.surplus = wanted.pieces.iter().zip(made).map(spare).sum();
    all.pieces = all.pieces - all.surplus;
    all
}
