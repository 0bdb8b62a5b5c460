//! Where the area of the rolls went, without remainder:
//! rolls = pieces + surplus + square cuts + edge trims + between + roll ends + kept.

use crate::cutting::Cutting;
use crate::nest::{self, Layout};
use crate::plan::wanted::{Piece, Wanted};
use crate::plan::{Areas, Roll};
use crate::units::Area;

/// The split of one nest; `rolls` are the layouts as the plan shows them.
pub(super) fn split(wanted: &Wanted, layouts: &[Layout], rolls: &[Roll]) -> Areas {
    let Cutting { square_cut, edge_trim, .. } = wanted.cutting;
    let mut all = Areas::default();
    for (layout, roll) in layouts.iter().zip(rolls) {
        let placed = layout.pulls.iter().flat_map(|pull| &pull.placements);
        let pieces: Area = placed.map(|place| wanted.pieces[place.piece].area()).sum();
        let one = roll.areas(pieces, square_cut, edge_trim);
        let copies = i128::from(layout.copies);
        all.rolls += one.rolls * copies;
        all.pieces += one.pieces * copies;
        all.square_cuts += one.square_cuts * copies;
        all.edge_trims += one.edge_trims * copies;
        all.roll_ends += one.roll_ends * copies;
        all.kept += one.kept * copies;
        all.between += one.between * copies;
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::sample;
    use crate::nest::{Placement, Pull};
    use crate::units::{Angle, Length};

    /// By hand: three of a piece lie on the roll where two are wanted.
    #[test]
    fn what_nobody_wanted_is_no_piece_that_was_wanted() {
        let text = r#"{ "name": "a", "objective": "rolls", "cutting": { "style": "straight" },
            "rolls": [ { "id": "A", "width": 1500, "length": 50000 } ],
            "pieces": [ { "id": "p", "width": 500, "length": 400, "quantity": 2 } ] }"#;
        let wanted = Wanted::from(&sample::instance(text));
        let place =
            |x| Placement { piece: 0, x: Length::from_mm(x), y: Length::ZERO, turn: Angle::ZERO };
        let pull = Pull {
            y: Length::ZERO,
            length: Length::from_mm(400),
            placements: [0, 500, 1000].map(place).to_vec(),
        };
        let layout = Layout { roll: 0, copies: 1, pulls: vec![pull] };
        let roll = crate::plan::sample::plan(1, 1).rolls.remove(0);
        let areas = split(&wanted, &[layout], &[roll]);
        let piece = wanted.pieces[0].area();
        assert_eq!((areas.pieces, areas.surplus), (piece * 2, piece));
    }
}
