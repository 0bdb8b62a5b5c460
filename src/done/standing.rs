//! What of a plan is still to be cut, as an answer to what is still wanted.
//!
//! A new plan is made from nothing, as the rest may be laid better on what is on hand; but the old one, less
//! what is cut, is a plan for the rest as well wherever nothing else has changed, and then nothing that costs
//! more needs to be taken.

use super::Done;
use super::on_hand::{name_of_part, name_of_whole};
use super::read::Tickets;
use crate::nest::{Layout, Placement, Pull};
use crate::plan::{self, Plan, Wanted};
use crate::units::Length;
use std::collections::BTreeMap;

/// The pulls of a plan that are not cut, on the rolls of an order sheet that was made after `done` of it;
/// `None` where they do not give all that is wanted, or where what was left of a roll does not hold its pulls
/// (a part may be damaged).
#[must_use]
pub fn standing(plan: &Plan, done: &Done, sheet: &Wanted) -> Option<Vec<Layout>> {
    let mut left: Vec<u64> = sheet.pieces.iter().map(|piece| piece.quantity).collect();
    let pieces = places_of(plan, sheet);
    let mut used: Vec<u64> = vec![0; sheet.rolls.len()];
    let mut layouts = Vec::new();
    for (number, (roll, pulls)) in Tickets::of(plan).0 {
        if plan.nests.get(roll.nest).is_none_or(|nest| nest.thickness != sheet.thickness) {
            continue;
        }
        let happened = done.tickets.get(&number).cloned().unwrap_or_default();
        let mut open: Vec<&plan::Pull> =
            pulls.iter().filter(|(n, _)| !happened.is_cut(**n)).map(|(_, pull)| *pull).collect();
        open.sort_by_key(|pull| pull.y);
        let Some(first) = open.first() else { continue };
        let ahead = sheet.cutting.square_cut - first.y;
        let names = if happened.untouched() {
            [name_of_whole(&roll.roll), roll.roll.clone()]
        } else {
            ["rest", "part 1"].map(|what| name_of_part(plan, number, what))
        };
        let end = open.iter().map(|pull| pull.y + pull.length + ahead).max()?;
        let fits = |&k: &usize| {
            let new = &sheet.rolls[k];
            names.contains(&new.id)
                && new.width == roll.width
                && new.available.is_none_or(|most| used[k] < most)
                && new.length.is_none_or(|length| end <= length)
        };
        // What is on hand goes before what would be bought.
        let to = (0..sheet.rolls.len()).filter(fits).max_by_key(|&k| sheet.rolls[k].shelf)?;
        used[to] += 1;
        let pulls: Vec<Pull> = open.iter().map(|pull| moved(pull, ahead, &pieces)).collect();
        for place in pulls.iter().flat_map(|pull| &pull.placements) {
            left[place.piece] = left[place.piece].saturating_sub(1);
        }
        layouts.push(Layout { roll: to, copies: 1, pulls });
    }
    for layout in &mut layouts {
        layout.pulls.retain(|pull| !pull.placements.is_empty());
    }
    layouts.retain(|layout| !layout.pulls.is_empty());
    left.iter().all(|&n| n == 0).then_some(layouts)
}

/// By a plan's piece, which of the sheet's it is.
fn places_of<'p>(plan: &'p Plan, sheet: &Wanted) -> BTreeMap<&'p str, usize> {
    let same = |piece: &'p plan::Piece| {
        let thickness = plan.nests.get(piece.nest)?.thickness;
        let at = sheet.pieces.iter().position(|new| {
            (new.width, new.length) == (piece.width, piece.length)
                && new.outline == piece.outline
                && new.turns == piece.turns
        })?;
        (thickness == sheet.thickness).then_some((piece.piece.as_str(), at))
    };
    plan.pieces.iter().filter_map(same).collect()
}

/// A pull so much further along, with the pieces that are wanted.
fn moved(pull: &plan::Pull, ahead: Length, pieces: &BTreeMap<&str, usize>) -> Pull {
    let place = |old: &plan::Placement| {
        let piece = *pieces.get(old.piece.as_str())?;
        Some(Placement { piece, x: old.x, y: old.y + ahead, turn: old.turn })
    };
    let placements = pull.placements.iter().filter_map(place).collect();
    Pull { y: pull.y + ahead, length: pull.length, placements }
}
