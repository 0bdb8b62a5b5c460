//! Where the area of the rolls went, without remainder:
//! rolls = pieces + surplus + square cuts + edge trims + between + roll ends + kept.

use super::far_end;
use crate::nest::Layout;
use crate::plan::wanted::Wanted;
use crate::plan::{Areas, Roll};
use crate::units::{Area, Length};

/// The split of one nest; `rolls` are the layouts as the plan shows them.
pub(super) fn split(wanted: &Wanted, layouts: &[Layout], rolls: &[Roll]) -> Areas {
    let cutting = &wanted.cutting;
    let mut all = Areas::default();
    for (layout, roll) in layouts.iter().zip(rolls) {
        let copies = i128::from(layout.copies);
        let across = |length: Length| Area::of_rectangle(roll.width, length);
        let far = far_end(layout);
        let whole = across(roll.length.unwrap_or(far));
        let pieces: Area = layout
            .pulls
            .iter()
            .flat_map(|pull| &pull.placements)
            .map(|place| wanted.pieces[place.piece].area())
            .sum();
        let square = across(cutting.square_cut);
        let pulled = far - cutting.square_cut;
        let trims = Area::of_rectangle(cutting.edge_trim, pulled) * 2;
        let end = roll.length.map_or(Area::ZERO, |length| across(length - far));
        let kept: Area = roll
            .offcuts
            .iter()
            .filter(|o| o.keep)
            .map(|o| Area::of_rectangle(o.width, o.length))
            .sum();
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
    all
}
