//! Cuts in the model's units back to layouts of the instance's pieces.
//!
//! Classes are dealt out to their pieces in order; what is more than the demand is not cut. A
//! pattern's copies are split only where a piece runs out.

use super::model::Model;
use super::pattern::{Cuts, Place, PullCut, RollCut, Within};
use crate::cutting::{Objective, Turns};
use crate::nest::{Instance, Layout, Placement, Pull};
use crate::units::{Angle, Length};

/// The layouts, in the order of the rolls.
pub(super) fn layouts(instance: &Instance, model: &Model, cuts: &Cuts) -> Vec<Layout> {
    let mut dealer = Dealer::new(instance, model);
    let mut layouts = Vec::new();
    let mut order: Vec<&(RollCut, u64)> = cuts.iter().collect();
    order.sort();
    for (roll, copies) in order {
        let counts = roll.counts();
        let mut left = *copies;
        while left > 0 {
            let same = dealer.same(&counts).min(left);
            let pulls = lay(instance, model, roll, &mut dealer, same);
            if !pulls.is_empty() {
                layouts.push(Layout { roll: roll.roll, copies: same, pulls });
            }
            left -= same;
        }
    }
    if instance.objective == Objective::Length { joined(layouts, instance, model) } else { layouts }
}

/// All pulls on the one roll without end, one after the other.
fn joined(layouts: Vec<Layout>, instance: &Instance, model: &Model) -> Vec<Layout> {
    let mut y = instance.cutting.square_cut.nm();
    let mut pulls = Vec::new();
    for layout in layouts {
        for _ in 0..layout.copies {
            for pull in &layout.pulls {
                let ahead = Length::from_nm(y) - pull.y;
                let placements = pull
                    .placements
                    .iter()
                    .map(|placed| Placement { y: placed.y + ahead, ..*placed })
                    .collect();
                pulls.push(Pull { y: Length::from_nm(y), length: pull.length, placements });
                y += pull.length.nm() + model.gap;
            }
        }
    }
    if pulls.is_empty() { Vec::new() } else { vec![Layout { roll: 0, copies: 1, pulls }] }
}

/// One roll with its pieces, taken from the dealer for `copies` rolls.
fn lay(
    instance: &Instance,
    model: &Model,
    roll: &RollCut,
    dealer: &mut Dealer<'_>,
    copies: u64,
) -> Vec<Pull> {
    let mut y = instance.cutting.square_cut.nm();
    let mut pulls = Vec::new();
    for pull in &roll.pulls {
        let (mut placements, mut length) = (Vec::new(), 0);
        for place in &pull.places {
            let dealt = dealer.deal(place.class, copies);
            // A curved piece stays for the rectangles in its hollows, though nobody wants it.
            let spare = || model.classes[place.class].pieces.last().copied();
            let Some(piece) = dealt.or_else(|| spare().filter(|_| holds(model, pull, place)))
            else {
                continue;
            };
            let alone = Within { x: 0, y: 0, quarters: 0, length: 0 };
            let within = place.within.unwrap_or(alone);
            let (across, along) = (nm(place.x, model.unit[0]), nm(place.y, model.unit[1]));
            let turn = match place.within {
                Some(within) if curved(model, place) => {
                    Angle::from_degrees(90 * i64::from(within.quarters))
                }
                _ => turn(&instance.pieces[piece].turns, place, instance, piece),
            };
            placements.push(Placement {
                piece,
                x: Length::from_nm(instance.cutting.edge_trim.nm() + across + within.x),
                y: Length::from_nm(y + along + within.y),
                turn,
            });
            let piece = &instance.pieces[piece];
            let upright = turn == Angle::ZERO || turn == Angle::from_degrees(180);
            let own = if upright { piece.length.nm() } else { piece.width.nm() };
            length = length.max(along + if place.within.is_some() { within.length } else { own });
        }
        if placements.is_empty() {
            continue;
        }
        pulls.push(Pull { y: Length::from_nm(y), length: Length::from_nm(length), placements });
        y += length + model.gap;
    }
    pulls
}

fn curved(model: &Model, place: &Place) -> bool {
    model.classes[place.class].curved.is_some()
}

/// Whether a curved piece shares its blank with a rectangle.
fn holds(model: &Model, pull: &PullCut, place: &Place) -> bool {
    let blank = |place: &Place| place.within.map(|_| (place.x, place.y));
    let here = blank(place);
    let with = |other: &Place| blank(other) == here && !curved(model, other);
    here.is_some() && curved(model, place) && pull.places.iter().any(with)
}

fn nm(units: usize, unit: i64) -> i64 {
    i64::try_from(units).unwrap_or(i64::MAX).saturating_mul(unit)
}

/// The turn that lays the bounding box as the place says.
fn turn(turns: &Turns, place: &Place, instance: &Instance, piece: usize) -> Angle {
    let square = instance.pieces[piece].width == instance.pieces[piece].length;
    let (first, second) = if place.turned || (square && !turns.upright()) {
        (Angle::QUARTER, Angle::from_degrees(270))
    } else {
        (Angle::ZERO, Angle::from_degrees(180))
    };
    if turns.allow(first) { first } else { second }
}

/// Hands out a class's pieces in order.
struct Dealer<'a> {
    model: &'a Model,
    left: Vec<u64>,
    at: Vec<usize>,
}

impl<'a> Dealer<'a> {
    fn new(instance: &Instance, model: &'a Model) -> Self {
        let left = instance.pieces.iter().map(|piece| piece.quantity).collect();
        Self { model, left, at: vec![0; model.classes.len()] }
    }

    /// The piece now handed out for a class, and how many of it are left.
    fn head(&mut self, class: usize) -> Option<(usize, u64)> {
        let pieces = &self.model.classes[class].pieces;
        while let Some(&piece) = pieces.get(self.at[class]) {
            if self.left[piece] > 0 {
                return Some((piece, self.left[piece]));
            }
            self.at[class] += 1;
        }
        None
    }

    /// For how many rolls with these counts the same pieces can be dealt.
    fn same(&mut self, counts: &[(usize, u64)]) -> u64 {
        let mut copies = u64::MAX;
        for &(class, n) in counts {
            if let Some((_, left)) = self.head(class) {
                copies = copies.min((left / n).max(1));
            }
        }
        copies
    }

    fn deal(&mut self, class: usize, copies: u64) -> Option<usize> {
        let (piece, left) = self.head(class)?;
        self.left[piece] = left.saturating_sub(copies);
        Some(piece)
    }
}

/// What a roll's cuts hold beyond nothing: the pulls' length, gaps included.
pub(super) fn used(pulls: &[std::sync::Arc<PullCut>]) -> usize {
    pulls.iter().map(|pull| pull.length).sum()
}
