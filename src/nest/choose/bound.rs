//! Bounds that hold whatever is chosen.
//!
//! A bill's pieces are worth at least what the group's least bill is worth at any prices, so an
//! instance in which the groups stand as one further piece with that worth is never dearer than the
//! true one; its certificate's bound holds for every choice. By area it needs no list of bills.

use crate::cutting::Turns;
use crate::nest::bound::{Certificate, Most};
use crate::nest::{Instance, Piece};
use crate::units::Length;

/// The side of the squares in which areas are counted, nanometres: fine enough to lose nothing that
/// matters, coarse enough for 64 bits.
const SIDE: i64 = 1_000;

/// The area of a square in which areas are counted, in square nanometres.
pub const SQUARE: i128 = (SIDE as i128) * (SIDE as i128);

/// So many squares as pieces, for bounds by area alone.
#[must_use]
pub fn square(quantity: u64) -> Piece {
    let side = Length::from_nm(SIDE);
    let turns = Turns::none();
    Piece { id: String::new(), width: side, length: side, outline: None, quantity, turns }
}

/// The bound by area; `chosen` is the least area (in square nanometres) that the groups take of
/// this material, whatever is chosen. `None` where the rolls on hand cannot hold that much.
#[must_use]
pub fn by_area(instance: &Instance, chosen: i128) -> Option<i64> {
    let mut prices: Vec<i64> = instance.pieces.iter().map(area).collect();
    prices.push(down(chosen));
    let certificate = Certificate::new(prices, roll_areas(instance));
    certificate.bound(&with_groups(instance))
}

/// The area that a piece takes, in squares, rounded down.
pub(super) fn area(piece: &Piece) -> i64 {
    down(takes(piece))
}

/// The area that a piece takes, in square nanometres: of curved pieces that of their outlines, in straight
/// cuts too, as several may lie interlocked in a blank.
pub(super) fn takes(piece: &Piece) -> i128 {
    piece.area().nm2()
}

/// The area of each roll between its trims, in squares, rounded up.
pub(super) fn roll_areas(instance: &Instance) -> Vec<Most> {
    let cut = &instance.cutting;
    let up = |nm2: i128| i64::try_from(nm2.div_euclid(SQUARE) + 1).unwrap_or(i64::MAX);
    let most = |roll: &crate::nest::Roll| {
        let width = i128::from((roll.width - cut.edge_trim * 2).nm().max(0));
        let per = Length::from_mm(1000).nm();
        match roll.length {
            Some(length) => {
                let along = i128::from((length - cut.square_cut).nm().max(0));
                Most { worth: up(width * along), per: 0 }
            }
            None => Most { worth: up(width * i128::from(per)), per },
        }
    };
    instance.rolls.iter().map(most).collect()
}

fn down(nm2: i128) -> i64 {
    i64::try_from(nm2.div_euclid(SQUARE)).unwrap_or(i64::MAX)
}

/// The instance with the groups as one further piece.
pub(super) fn with_groups(instance: &Instance) -> Instance {
    let mut all = instance.clone();
    all.pieces.push(Piece {
        id: "groups".to_owned(),
        width: Length::from_nm(1),
        length: Length::from_nm(1),
        outline: None,
        quantity: 1,
        turns: Turns::none(),
    });
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::sample;

    /// By hand: 1500 nm squared are 2.25 squares of 1000 nm; a piece counts for no more, a roll for no less.
    #[test]
    fn areas_are_rounded_so_that_a_bound_never_rises() {
        let text = r#"{ "name": "a", "objective": "rolls", "cutting": { "style": "straight" },
            "rolls": [ { "id": "A", "width": 0.0015, "length": 0.0015 } ],
            "pieces": [ { "id": "p", "width": 0.0015, "length": 0.0015, "quantity": 1 } ] }"#;
        let instance = sample::instance(text);
        assert_eq!(area(&instance.pieces[0]), 2);
        assert_eq!(roll_areas(&instance)[0].worth, 3);
    }
}
