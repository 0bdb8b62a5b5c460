//! What of a plan is still to be cut, as an answer to what is still wanted.
//!
//! A new plan is made from nothing, as the rest may be laid better on what is on hand; but the old one, less
//! what is cut, is a plan for the rest as well wherever nothing else has changed, and then nothing that costs
//! more needs to be taken. Where a piece was spoilt or came in addition, what is missing goes behind the old pulls, or on
//! what they leave.

use super::Done;
use super::on_hand::{name_of_part, name_of_whole};
use super::read::Tickets;
use crate::nest::{self, Layout, Nesting, Placement, Pull};
use crate::plan::wanted::{Hand, Piece, Roll};
use crate::plan::{self, Plan, Wanted};
use crate::units::{Length, Money};
use std::collections::BTreeMap;

/// What of a plan is still to be cut.
#[derive(Debug)]
pub struct Standing {
    /// Its pulls, each on a roll of its own.
    layouts: Vec<Layout>,
    /// How many of each piece that is wanted they do not give.
    missing: Vec<u64>,
}

/// The pulls of a plan that are not cut, on the rolls of an order sheet that was made after `done` of it; those of a roll
/// of which what is left does not hold them (a part may be damaged) do not stand.
#[must_use]
pub fn standing(plan: &Plan, done: &Done, sheet: &Wanted) -> Standing {
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
        let end = open.iter().map(|pull| pull.y + pull.length + ahead).max().unwrap_or_default();
        let fits = |&k: &usize| {
            let new = &sheet.rolls[k];
            names.contains(&new.id)
                && new.width == roll.width
                && new.available.is_none_or(|most| used[k] < most)
                && new.length.is_none_or(|length| end <= length)
        };
        // What is on hand goes before what would be bought.
        let to = (0..sheet.rolls.len()).filter(fits).max_by_key(|&k| sheet.rolls[k].shelf);
        let Some(to) = to else { continue };
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
    Standing { layouts, missing: left }
}

impl Standing {
    /// Layouts of all that is wanted: what is missing is laid by `lay`, behind the pulls and on rolls that they do not
    /// take. `None` where it finds no room.
    pub fn completed(
        mut self,
        sheet: &Wanted,
        lay: impl FnOnce(&Wanted) -> Option<Nesting>,
    ) -> Option<Vec<Layout>> {
        let missing: Vec<usize> =
            (0..self.missing.len()).filter(|&p| self.missing[p] > 0).collect();
        if missing.is_empty() {
            return Some(self.layouts);
        }
        let piece = |&p: &usize| Piece { quantity: self.missing[p], ..sheet.pieces[p].clone() };
        let used = nest::used(&self.layouts, sheet.rolls.len());
        let free = sheet.rolls.iter().zip(used).map(|(roll, used)| {
            let available = roll.available.map(|most| most.saturating_sub(used));
            Roll { available, ..roll.clone() }
        });
        let behind: Vec<(usize, Roll)> =
            (0..self.layouts.len()).filter_map(|at| Some((at, self.behind(at, sheet)?))).collect();
        let rolls = free.chain(behind.iter().map(|(_, roll)| roll.clone())).collect();
        let pieces = missing.iter().map(piece).collect();
        let found = lay(&Wanted { rolls, pieces, ..sheet.clone() })?;
        for mut layout in found.layouts {
            for place in layout.pulls.iter_mut().flat_map(|pull| &mut pull.placements) {
                place.piece = missing[place.piece];
            }
            let Some(part) = layout.roll.checked_sub(sheet.rolls.len()) else {
                self.layouts.push(layout);
                continue;
            };
            let onto = &mut self.layouts[behind[part].0];
            let ahead = onto.far_end() + sheet.cutting.gap - sheet.cutting.square_cut;
            onto.pulls.extend(layout.pulls.iter().map(|pull| pull.moved(ahead)));
        }
        Some(self.layouts)
    }

    /// What lies behind a layout's pulls, as a roll of its own, whose square cut is the gap's; nothing of one without end.
    fn behind(&self, at: usize, sheet: &Wanted) -> Option<Roll> {
        let layout = &self.layouts[at];
        let roll = &sheet.rolls[layout.roll];
        let length = roll.length? - layout.far_end() - sheet.cutting.gap;
        length.is_positive().then(|| Roll {
            id: format!("behind {}", at + 1),
            length: Some(length + sheet.cutting.square_cut),
            saved: Length::ZERO,
            price: Money::ZERO,
            available: Some(1),
            shelf: true,
            hand: Hand::Begun,
            ..roll.clone()
        })
    }
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
