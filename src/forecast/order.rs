//! Whether an order suffices for a simulated job.
//!
//! Rolls of several products cannot be counted together: one of 10 m is not one of 5 m. So of each
//! thickness one product is counted, of which further rolls would be bought ([`Counted`]), and the
//! rolls ordered of all others are there as they are, like offcuts of the shelf. A job is nested on
//! these with as few rolls of the counted product as they leave: it suffices if that is no more than
//! was ordered of it. What can be had does not limit a simulated job, or it could not be nested where it
//! runs short.

use super::simulate::{Shop, Trouble};
use crate::cutting::Objective;
use crate::demand;
use crate::nest::{self, NestError, Watch};
use crate::plan::{self, Wanted};
use crate::rules::Rules;
use crate::stock::{Offcut, Roll, Stock};
use crate::takeoff::Takeoff;
use crate::units::Length;
use std::cmp::Reverse;
use std::collections::BTreeMap;

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
    /// Further rolls that can be had; `None` is without limit.
    pub further: Option<u64>,
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
}

impl Order {
    /// What is ordered for a job, as it stands.
    pub fn new(takeoff: &Takeoff, shop: &Shop<'_>, ordered: &[Ordered]) -> Self {
        let (demand, _) = demand::expand(takeoff, shop.stock, shop.rules);
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
            let planned = of(main).map_or(0, |line| line.cut) + beside;
            let one = Counted {
                roll: main.id.clone(),
                ordered: count(main) + beside,
                others: beside,
                planned: (!others().any(more)).then_some(planned),
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
        if demand::expand(takeoff, &laid, shop.rules).0.is_none() {
            laid.rolls.clone_from(&shop.stock.rolls);
        }
        Self { laid, cut, counted }
    }

    /// Rolls by thickness with which a takeoff can be cut: those ordered of other products, and as few
    /// as they leave of the one that is counted. `None` where no number of that one will do.
    pub fn needs(
        &self,
        takeoff: &Takeoff,
        shop: &Shop<'_>,
        watch: &dyn Watch,
    ) -> Result<BTreeMap<Length, Option<u64>>, Trouble> {
        let (demand, findings) = demand::expand(takeoff, &self.laid, shop.rules);
        let demand = demand.ok_or(Trouble::Findings(findings))?;
        let mut needs: BTreeMap<Length, Option<u64>> = self
            .counted
            .iter()
            .map(|(thickness, counted)| (*thickness, Some(counted.others)))
            .collect();
        for mut sheet in plan::job::wanted("simulated", &demand, &self.cut, shop.rules) {
            if watch.stop() {
                return Err(Trouble::Stopped);
            }
            sheet.objective = Objective::Rolls;
            let thickness = sheet.thickness.unwrap_or_default();
            let need = needs.entry(thickness).or_insert(Some(0));
            match nest::solve(&sheet.instance(), &shop.options, watch) {
                Ok(answer) => {
                    let bought = answer.layouts.iter().filter(|l| !sheet.rolls[l.roll].shelf);
                    *need = need.map(|n| bought.fold(n, |n, l| n.saturating_add(l.copies)));
                }
                Err(_) if watch.stop() => return Err(Trouble::Stopped),
                Err(NestError::PieceFitsNoRoll { .. } | NestError::NotEnoughRolls { .. }) => {
                    *need = None;
                }
                Err(why) => return Err(Trouble::Nest(format!("{thickness} mm: {why}"))),
            }
        }
        Ok(needs)
    }
}

/// Whether a roll holds each piece of a sheet.
fn holds(sheet: &Wanted, roll: &Roll, rules: &Rules) -> bool {
    let takes = |across, along| roll.takes((across, along), &rules.table);
    sheet.pieces.iter().all(|piece| {
        (piece.turns.upright() && takes(piece.width, piece.length))
            || (piece.turns.sideways() && takes(piece.length, piece.width))
    })
}
