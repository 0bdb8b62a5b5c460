//! Whether an order suffices for a simulated job.
//!
//! Rolls of several products cannot be counted together: one of 10 m is not one of 5 m. So of each
//! thickness one product is counted, of which further rolls would be bought ([`Counted`]), and the
//! rolls ordered of all others are there as they are, like offcuts of the shelf. A job is nested on
//! these with as few rolls of the counted product as they leave: it suffices if that is no more than
//! was ordered of it. What can be had does not limit a simulated job, or it could not be nested where it
//! runs short.

use super::simulate::{Shop, Trouble};
use crate::cutting::{Objective, Turns};
use crate::geometry::Outline;
use crate::nest::{self, NestError, Watch};
use crate::plan::{self, Plan, Wanted};
use crate::rules::Rules;
use crate::stock::{Offcut, Roll, Stock};
use crate::takeoff::Takeoff;
use crate::units::Length;
use std::cmp::Reverse;
use std::collections::BTreeMap;

/// What makes pieces alike: thickness, size across and along, shape, how they may be turned.
type Likeness = (Length, Length, Length, Option<Outline>, Turns);

/// The pieces that a plan cuts from what it orders. A job that wants no more of any piece needs no more rolls.
#[derive(Clone, Debug, Default)]
pub struct Held(BTreeMap<Likeness, u64>);

impl Held {
    /// The pieces of a plan.
    #[must_use]
    pub fn by(plan: &Plan) -> Self {
        let mut held = BTreeMap::new();
        for piece in &plan.pieces {
            let nest = plan.nests.get(piece.nest);
            let thickness = nest.and_then(|nest| nest.thickness).unwrap_or_default();
            let (outline, turns) = (piece.outline.clone(), piece.turns.clone());
            let key = (thickness, piece.width, piece.length, outline, turns);
            *held.entry(key).or_insert(0) += piece.quantity;
        }
        Self(held)
    }

    /// Whether all that is to be cut from one thickness is among them.
    fn holds(&self, sheet: &Wanted) -> bool {
        let thickness = sheet.thickness.unwrap_or_default();
        let all = |piece: &plan::wanted::Piece| {
            let (outline, turns) = (piece.outline.clone(), piece.turns.clone());
            let key = (thickness, piece.width, piece.length, outline, turns);
            self.0.get(&key).is_some_and(|&count| piece.quantity <= count)
        };
        sheet.pieces.iter().all(all)
    }
}

/// What is ordered of one product.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ordered {
    /// The product's name.
    pub roll: String,
    /// How many the plan cuts.
    pub cut: u64,
    /// How many are ordered in all: spares, minimum orders and price breaks included.
    pub count: u64,
}

/// The product that is counted in one thickness, and what is ordered.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Counted {
    /// Its name.
    pub roll: String,
    /// Rolls ordered of all products.
    pub ordered: u64,
    /// Of these rolls of other products.
    pub others: u64,
    /// Rolls that the plan cuts, all others ordered among them; `None` where of the others more are
    /// ordered than it cuts.
    pub planned: Option<u64>,
    /// Rolls with which the plan's own pieces can be cut: those that it cuts of this product, and all
    /// others ordered.
    holding: u64,
    /// Further rolls that can be had; `None` is without limit.
    pub further: Option<u64>,
}

/// What a takeoff needs of one thickness.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Need {
    /// Rolls; `None` where no number will do.
    pub rolls: Option<u64>,
    /// Whether it wants no more of any piece than the plan cuts, whose rolls therefore hold it.
    pub held: bool,
}

/// An order that simulated jobs are held against.
#[derive(Clone, Debug)]
pub(super) struct Order {
    /// What courses are laid for: products that are ordered or counted.
    laid: Stock,
    /// What pieces are cut from: products that are counted, without limit; the others ordered, and the
    /// shelf, as offcuts.
    cut: Stock,
    /// By thickness.
    pub counted: BTreeMap<Length, Counted>,
    /// What the plan cuts.
    held: Held,
}

impl Order {
    /// What is ordered for a job, as it stands.
    pub fn new(takeoff: &Takeoff, shop: &Shop<'_>, ordered: &[Ordered], held: &Held) -> Self {
        let (demand, _) = shop.expand(takeoff, shop.stock);
        let sheets = demand.map_or_else(Vec::new, |demand| {
            plan::job::wanted("as it stands", &demand, shop.stock, shop.rules)
        });
        let of = |roll: &Roll| ordered.iter().find(|line| line.roll == roll.id);
        let count = |roll: &Roll| of(roll).map_or(0, |line| line.count);
        let mut laid = Stock { rolls: Vec::new(), offcuts: shop.stock.offcuts.clone() };
        let mut cut = laid.clone();
        let mut counted = BTreeMap::new();
        let mut by: BTreeMap<Length, Vec<&Roll>> = BTreeMap::new();
        for roll in &shop.stock.rolls {
            by.entry(roll.thickness).or_default().push(roll);
        }
        for (thickness, rolls) in by {
            let sheet = sheets.iter().find(|sheet| sheet.thickness == Some(thickness));
            let further = |roll: &Roll| roll.available.map(|most| most.saturating_sub(count(roll)));
            let Some(main) = rolls.iter().copied().min_by_key(|roll| {
                let holds = sheet.is_none_or(|sheet| holds(sheet, roll, shop.rules));
                let size = Reverse((count(roll), roll.width, roll.length));
                (!holds, further(roll) == Some(0), size, roll.id.as_str())
            }) else {
                continue;
            };
            let others = || rolls.iter().copied().filter(|roll| roll.id != main.id);
            let more = |roll: &Roll| of(roll).is_some_and(|line| line.count > line.cut);
            let beside: u64 = others().map(count).sum();
            let holding = of(main).map_or(0, |line| line.cut) + beside;
            let one = Counted {
                roll: main.id.clone(),
                ordered: count(main) + beside,
                others: beside,
                planned: (!others().any(more)).then_some(holding),
                holding,
                further: further(main),
            };
            counted.insert(thickness, one);
            laid.rolls
                .extend(rolls.iter().filter(|r| r.id == main.id || count(r) > 0).copied().cloned());
            cut.rolls.push(Roll { available: None, ..main.clone() });
            cut.offcuts.extend(others().filter(|roll| count(roll) > 0).map(|roll| Offcut {
                id: roll.id.clone(),
                thickness,
                width: roll.width,
                length: roll.length,
                quantity: count(roll),
                shelf: String::new(),
                place: roll.place.clone(),
            }));
        }
        // Something may have been made for a roll that only the shelf has.
        if shop.expand(takeoff, &laid).0.is_none() {
            laid.rolls.clone_from(&shop.stock.rolls);
        }
        Self { laid, cut, counted, held: held.clone() }
    }

    /// What a takeoff needs by thickness: the rolls ordered of other products, and as few as they leave of the
    /// one that is counted.
    pub fn needs(
        &self,
        takeoff: &Takeoff,
        shop: &Shop<'_>,
        watch: &dyn Watch,
    ) -> Result<BTreeMap<Length, Need>, Trouble> {
        let (demand, findings) = shop.expand(takeoff, &self.laid);
        let demand = demand.ok_or(Trouble::Findings(findings))?;
        let nothing = |counted: &Counted| Need { rolls: Some(counted.others), held: true };
        let mut needs: BTreeMap<Length, Need> = self
            .counted
            .iter()
            .map(|(thickness, counted)| (*thickness, nothing(counted)))
            .collect();
        for mut sheet in plan::job::wanted("simulated", &demand, &self.cut, shop.rules) {
            if watch.stop() {
                return Err(Trouble::Stopped);
            }
            sheet.objective = Objective::Rolls;
            let thickness = sheet.thickness.unwrap_or_default();
            let need = needs.entry(thickness).or_insert(Need { rolls: Some(0), held: true });
            need.held = self.held.holds(&sheet);
            match nest::solve(&sheet.instance(), &shop.options, watch) {
                Ok(answer) => {
                    let bought = answer.layouts.iter().filter(|l| !sheet.rolls[l.roll].shelf);
                    let all = |n| bought.fold(n, |n: u64, l| n.saturating_add(l.copies));
                    need.rolls = need.rolls.map(all);
                }
                Err(_) if watch.stop() => return Err(Trouble::Stopped),
                Err(NestError::PieceFitsNoRoll { .. } | NestError::NotEnoughRolls { .. }) => {
                    need.rolls = None;
                }
                Err(why) => return Err(Trouble::Nest(format!("{thickness} mm: {why}"))),
            }
        }
        Ok(needs)
    }

    /// The same, where what wants no more of any piece than the plan cuts needs no more rolls than it.
    pub fn needs_at_most(
        &self,
        takeoff: &Takeoff,
        shop: &Shop<'_>,
        watch: &dyn Watch,
    ) -> Result<BTreeMap<Length, Need>, Trouble> {
        let mut needs = self.needs(takeoff, shop, watch)?;
        for (thickness, need) in needs.iter_mut().filter(|(_, need)| need.held) {
            if let Some(counted) = self.counted.get(thickness) {
                let most = counted.holding;
                need.rolls = Some(need.rolls.map_or(most, |rolls| rolls.min(most)));
            }
        }
        Ok(needs)
    }
}

/// Whether a roll holds each piece of a sheet.
fn holds(sheet: &Wanted, roll: &Roll, rules: &Rules) -> bool {
    let takes = |across, along| roll.takes((across, along), &rules.table);
    sheet.pieces.iter().all(|piece| piece.turns.fit((piece.width, piece.length), takes))
}
