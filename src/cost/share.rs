//! What each item really takes of the rolls: by the linear programme's own prices.
//!
//! For each thickness the programme over all layouts is solved to its end ([`straight::duals`]); its
//! dual says what each piece costs at the margin, in rolls or in money, waste included; where that is
//! less than its plain area it is lifted to it ([`super::lift`]). Summed over an item's pieces that is
//! the item's share. All shares together are what the programme needs, or what the pieces' area comes to where that
//! is more (other rolls than those bought are cheaper for their area); what the offcuts on the shelf save comes
//! off, and what is bought beyond it is the rounding to whole rolls:
//!
//! ```text
//!   shares - shelf + rounding = what the rolls come to
//! ```
//!
//! Everything from here on is whole numbers (thousand-millionths of the objective's unit), so this
//! holds without remainder.

use super::lift::{self, Basis, Charge};
use super::spread::spread;
use crate::cutting::Objective;
use crate::nest::straight;
pub use crate::nest::straight::Over;
use crate::nest::{self, Layout, Options, Placement, Pull, Status, Watch};
use crate::plan::{Piece, Plan, Wanted};
use crate::units::Area;
use std::collections::BTreeMap;

/// Parts of one roll, or of one currency unit, in which shares are counted.
pub const PARTS: i128 = 1_000_000_000;

/// Work for the prices by which a thickness is shared: a second or two. Four times the demo is solved to
/// its end in less than half of it.
const WORK: u64 = 3_000_000;

/// The same where the plan was stopped, since whoever stops it does not want to wait.
const STOPPED: u64 = 30_000;

/// The work for a thickness of a plan. It follows from the plan's status alone and knows no clock, so whoever
/// shares the same plan comes to the same shares, also where the programme is not solved to its end. How much
/// work made the plan does not count: nobody can check what a plan says of that.
fn work(plan: &Plan, at: usize) -> u64 {
    let stopped = plan.nests.get(at).is_some_and(|nest| nest.status == Status::Stopped);
    if stopped { STOPPED } else { WORK }
}

/// How one thickness is shared.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NestShare {
    /// What was to be least; shares are in [`PARTS`] of its unit.
    pub objective: Objective,
    /// Each item's share, by name.
    pub items: BTreeMap<String, i128>,
    /// For each of the plan's pieces of this nest, in order, the share of one, rounded down.
    pub pieces: Vec<i128>,
    /// What the shelf's offcuts save.
    pub shelf: i128,
    /// What the whole rolls come to.
    pub value: i128,
    /// Area bought, of what is cut.
    pub bought: Area,
    /// Which layouts the prices hold of.
    pub over: Over,
    /// By what the items' shares are made.
    pub basis: Basis,
}

impl NestShare {
    /// What the linear programme needs: all shares less what the shelf saves.
    #[must_use]
    pub fn linear(&self) -> i128 {
        self.items.values().sum::<i128>() - self.shelf
    }

    /// The rounding to whole rolls.
    #[must_use]
    pub fn rounding(&self) -> i128 {
        self.value - self.linear()
    }

    /// The area of blanket that a share is, by the area of the rolls bought.
    #[must_use]
    pub fn area(&self, share: i128) -> Area {
        if self.value <= 0 {
            return Area::ZERO;
        }
        // Square millimetres keep the product inside 128 bits.
        let mm2 = self.bought.nm2() / 1_000_000_000_000;
        Area::from_nm2(mm2 * share / self.value * 1_000_000_000_000)
    }
}

/// The shares of every thickness of a plan, in its order; where somebody stops it, by the prices found so far.
///
/// # Errors
/// When a piece fits no roll; the plan then belongs to other order sheets.
pub fn shares(
    plan: &Plan,
    sheets: &[Wanted],
    watch: &dyn Watch,
) -> Result<Vec<NestShare>, nest::NestError> {
    use rayon::prelude::*;
    sheets.par_iter().enumerate().map(|(at, sheet)| share(plan, at, sheet, watch)).collect()
}

/// Where only sums are wanted: nobody's share is known, and nothing is solved.
#[must_use]
pub fn unshared(plan: &Plan, sheets: &[Wanted]) -> Vec<NestShare> {
    sheets
        .iter()
        .enumerate()
        .map(|(at, sheet)| NestShare {
            objective: sheet.objective,
            items: BTreeMap::new(),
            pieces: Vec::new(),
            shelf: 0,
            value: value(plan, at, sheet),
            bought: bought(plan, at, sheet),
            over: Over::Known,
            basis: Basis::Prices,
        })
        .collect()
}

/// Area bought, of what is cut.
fn bought(plan: &Plan, at: usize, sheet: &Wanted) -> Area {
    plan.rolls
        .iter()
        .filter(|roll| roll.nest == at && !on_shelf(sheet, &roll.roll))
        .map(|roll| {
            let length = roll.length.unwrap_or_default();
            Area::of_rectangle(roll.width, length) * i128::from(roll.copies)
        })
        .sum()
}

fn share(
    plan: &Plan,
    at: usize,
    sheet: &Wanted,
    watch: &dyn Watch,
) -> Result<NestShare, nest::NestError> {
    let instance = sheet.instance();
    let layouts = layouts(plan, at, sheet);
    let options = Options { seed: 1, work: work(plan, at) };
    let duals = straight::duals(&instance, &layouts, &options, watch)?;
    // Prices of an instance that counts rolls by money are those of one unit of money a roll.
    let unit = match instance.objective {
        Objective::Price => 1e3,
        Objective::Rolls => 1e9,
        Objective::Length => 0.0,
    };
    let mut each: Vec<i128> = duals.each.iter().map(|&price| parts(price * unit)).collect();
    let shelf: i128 = instance
        .rolls
        .iter()
        .zip(&duals.scarce)
        .map(|(roll, &saves)| parts(saves * unit) * i128::from(roll.available.unwrap_or(0)))
        .sum();
    let value = value(plan, at, sheet);
    let wanted = |each: &[i128]| -> i128 {
        sheet.pieces.iter().zip(each).map(|(p, one)| one * i128::from(p.quantity)).sum()
    };
    // The programme never needs more than the plan has, but for the last digits of floating point.
    let (sum, most) = (wanted(&each), value + shelf);
    if sum > most && sum > 0 {
        for one in &mut each {
            *one = *one * most.max(0) / sum;
        }
    }
    let bought = bought(plan, at, sheet);
    let charges: Vec<Charge> = sheet
        .pieces
        .iter()
        .zip(&each)
        .map(|(piece, &one)| Charge {
            one,
            floor: lift::floor(piece.area(), value, bought),
            quantity: i128::from(piece.quantity),
        })
        .collect();
    let (basis, all) = lift::lifted(&charges, most);
    let mut items: BTreeMap<String, i128> = BTreeMap::new();
    for (piece, all) in sheet.pieces.iter().zip(&all) {
        let uses: Vec<i128> = piece.uses.iter().map(|used| i128::from(used.quantity)).collect();
        for (used, share) in piece.uses.iter().zip(spread(*all, &uses)) {
            *items.entry(used.item.clone()).or_default() += share;
        }
    }
    let pieces = charges.iter().zip(all).map(|(one, all)| all / one.quantity.max(1)).collect();
    Ok(NestShare {
        objective: sheet.objective,
        items,
        pieces,
        shelf,
        value,
        bought,
        over: duals.over,
        basis,
    })
}

#[expect(clippy::cast_possible_truncation, reason = "clamped to what an i128 surely holds")]
fn parts(value: f64) -> i128 {
    value.clamp(0.0, 1e27).floor() as i128
}

fn on_shelf(sheet: &Wanted, roll: &str) -> bool {
    sheet.rolls.iter().any(|product| product.id == roll && product.shelf)
}

/// What a nest's rolls come to, in [`PARTS`].
fn value(plan: &Plan, at: usize, sheet: &Wanted) -> i128 {
    let rolls = plan.rolls.iter().filter(|roll| roll.nest == at);
    rolls
        .filter(|roll| !on_shelf(sheet, &roll.roll))
        .map(|roll| {
            let one = match sheet.objective {
                Objective::Rolls => PARTS,
                Objective::Price => i128::from(roll.price.micros()) * 1000,
                Objective::Length => 0,
            };
            one * i128::from(roll.copies)
        })
        .sum()
}

/// A plan's layouts as the engine sees them. What is not on the order sheet is left out.
#[must_use]
pub fn layouts(plan: &Plan, at: usize, sheet: &Wanted) -> Vec<Layout> {
    let piece: BTreeMap<&str, usize> =
        sheet.pieces.iter().enumerate().map(|(i, piece)| (piece.code.as_str(), i)).collect();
    let roll: BTreeMap<&str, usize> =
        sheet.rolls.iter().enumerate().map(|(i, roll)| (roll.id.as_str(), i)).collect();
    let known = plan.rolls.iter().filter(|roll| roll.nest == at);
    known
        .filter_map(|cut| {
            let roll = *roll.get(cut.roll.as_str())?;
            let saved = sheet.rolls[roll].saved;
            let pulls = cut.pulls.iter().map(|pull| Pull {
                y: pull.y + saved,
                length: pull.length,
                placements: pull
                    .placements
                    .iter()
                    .filter_map(|place| {
                        let piece = *piece.get(place.piece.as_str())?;
                        Some(Placement { piece, x: place.x, y: place.y + saved, turn: place.turn })
                    })
                    .collect(),
            });
            Some(Layout { roll, copies: cut.copies, pulls: pulls.collect() })
        })
        .collect()
}

/// The plain area of one of a plan's pieces.
#[must_use]
pub fn plain(piece: &Piece) -> Area {
    let square = || Area::of_rectangle(piece.width, piece.length);
    piece.outline.as_ref().map_or_else(square, crate::geometry::Outline::area)
}
