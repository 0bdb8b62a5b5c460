//! The order: what to buy of each product, what to take from the shelf.
//!
//! Steps: add up the layouts' copies by nest and product; buy them with their spares as
//! [`crate::cost::buy`] does, with price breaks and minimum orders.

use super::proof::{counted, thickness_in_words};
use super::sources::{Sources, Stage};
use super::table::{Cell, Table};
use super::text::visible;
use crate::cost::Rates;
use crate::cost::buy;
use crate::cutting::Objective;
use crate::plan::{Nest, Plan, Roll};
use crate::stock;
use crate::units::{Area, Length, Money, joined};
use std::collections::BTreeMap;

/// So many of one product.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OrderLine {
    /// Index into the plan's nests.
    pub nest: usize,
    /// The product's or the offcut's name.
    pub roll: String,
    /// Where it lies, when it is on the shelf already.
    pub shelf: Option<String>,
    /// The product, where it is whole rolls on hand: bought for an earlier plan and not begun.
    pub whole: Option<String>,
    /// Nominal width.
    pub width: Length,
    /// Nominal length; absent for a roll without end.
    pub length: Option<Length>,
    /// How many the plan cuts.
    pub cut: u64,
    /// How many more are ordered as spares.
    pub spare: u64,
    /// How many more are bought, because the supplier sells no fewer or a price break makes it
    /// cheaper.
    pub more: u64,
    /// How many of all these are to be bought now, where the rest is ordered by a later release's plan.
    pub now: Option<u64>,
    /// Price of one at this quantity; nothing where none is given, or it lies on the shelf.
    pub price: Money,
    /// Whether a price is given for it.
    pub priced: bool,
    /// What they cost together; nothing for what lies on the shelf.
    pub total: Money,
}

impl OrderLine {
    /// How many in all.
    #[must_use]
    pub const fn count(&self) -> u64 {
        self.cut + self.spare + self.more
    }

    /// Whether it is bought, and nobody said for what.
    #[must_use]
    pub const fn unpriced(&self) -> bool {
        self.shelf.is_none() && !self.priced
    }

    /// Their area together.
    #[must_use]
    pub fn area(&self) -> Area {
        let one = self.length.map_or(Area::ZERO, |l| Area::of_rectangle(self.width, l));
        one * i128::from(self.count())
    }
}

/// The order's lines, by nest, bought products first.
#[must_use]
pub fn lines(plan: &Plan, sources: &Sources<'_>) -> Vec<OrderLine> {
    let mut found: BTreeMap<(usize, bool, &str), (&Roll, u64)> = BTreeMap::new();
    for roll in &plan.rolls {
        found.entry((roll.nest, roll.shelf, roll.roll.as_str())).or_insert((roll, 0)).1 +=
            roll.copies;
    }
    let mut lines: Vec<OrderLine> = found
        .into_values()
        .map(|(roll, copies)| OrderLine {
            nest: roll.nest,
            roll: roll.roll.clone(),
            shelf: sources.shelf(&roll.roll).map(str::to_owned),
            whole: plan.whole(&roll.roll).filter(|_| roll.shelf).map(str::to_owned),
            width: roll.width,
            length: roll.length,
            cut: copies,
            spare: 0,
            more: 0,
            now: None,
            price: roll.price,
            priced: sources.rolls.iter().any(|r| r.id == roll.roll && r.price.is_some()),
            total: if roll.shelf { Money::ZERO } else { roll.price.at_most_times(copies) },
        })
        .collect();
    let fallback = Rates::default();
    let rates = sources.extras.rates.unwrap_or(&fallback);
    let spares = sources.rules.order.spare_rolls;
    for bought in buy::purchase(plan, sources.rolls, spares, rates).lines {
        let line = lines.iter_mut().find(|l| l.nest == bought.nest && l.roll == bought.roll);
        if let Some(line) = line {
            (line.spare, line.more) = (bought.spare, bought.more);
            (line.price, line.total) = (bought.each.unwrap_or_default(), bought.price);
            let now = |stage: &Stage| stage.now.get(&line.roll).copied().unwrap_or(0);
            line.now = sources.extras.stage.map(now);
        }
    }
    lines
}

/// What is to be said of a plan that leaves later releases out, or is cut for one of several.
#[must_use]
pub fn of_releases(plan: &Plan, sources: &Sources<'_>) -> Vec<String> {
    let up_to = plan.up_to.map(|release| {
        format!(
            "This plan is for releases up to {release}; the plans of later ones go on from what is left of it."
        )
    });
    let stage = sources.extras.stage.map(|stage| {
        let lines = lines(plan, sources);
        let later = lines.iter().any(|line| line.now.is_some_and(|now| now < line.count()));
        let pulls = format!("For release {} cut pulls up to number {}", stage.release, stage.pulls);
        if !later {
            return format!("{pulls}.");
        }
        let now = lines.iter().filter_map(|line| {
            let count = line.now.filter(|count| *count > 0)?;
            Some(format!("{} of {}", counted(count, "roll", "rolls"), visible(&line.roll)))
        });
        let now: Vec<String> = now.collect();
        let now = if now.is_empty() { "nothing".to_owned() } else { joined(&now) };
        format!(
            "{pulls}, and for these buy {now}: the other rolls told below are not begun by them, and the plan of the next \
             release orders what it needs."
        )
    });
    up_to.into_iter().chain(stage).collect()
}

/// What is to be said of the order's price: nothing is bought, or some of it has no price.
#[must_use]
pub fn without_price(lines: &[OrderLine]) -> Option<String> {
    let bought: Vec<&OrderLine> = lines.iter().filter(|line| line.shelf.is_none()).collect();
    let unpriced: Vec<&OrderLine> = bought.iter().copied().filter(|line| line.unpriced()).collect();
    if bought.is_empty() {
        return Some("Nothing is to be bought.".to_owned());
    }
    if unpriced.len() == bought.len() {
        return Some("No prices were given.".to_owned());
    }
    let rolls = |line: &&OrderLine| {
        format!("{} of {}", counted(line.count(), "roll", "rolls"), visible(&line.roll))
    };
    let list: Vec<String> = unpriced.iter().map(rolls).collect();
    (!list.is_empty())
        .then(|| format!("Not counted in the price, as none was given: {}.", list.join(", ")))
}

/// What says that another order may cost less: that rolls are counted and not priced, or that courses are as wide as
/// products that are dear for their area.
#[must_use]
pub fn others(plan: &Plan, sources: &Sources<'_>) -> Vec<String> {
    let counted = chosen_by_number(plan, sources).map(str::to_owned);
    counted.into_iter().chain(narrower(plan, sources)).collect()
}

/// Says that rolls are counted and not priced, where several priced products of a thickness are on offer.
fn chosen_by_number(plan: &Plan, sources: &Sources<'_>) -> Option<&'static str> {
    let several = |(at, nest): (usize, &Nest)| {
        let offered =
            |roll: &&stock::Roll| Some(roll.thickness) == nest.thickness && roll.price.is_some();
        let bought = |roll: &Roll| !roll.shelf && roll.nest == at;
        nest.objective == Objective::Rolls
            && sources.rolls.iter().filter(offered).count() > 1
            && plan.rolls.iter().any(bought)
    };
    plan.nests.iter().enumerate().any(several).then_some(
        "The order is the one with the fewest rolls. Where several products are on offer another may cost \
         less: rollwright price JOB --order looks for it (on the bench, under Run, the fewest rolls beside the \
         cheapest), and objective = \"price\" under [order] in rules.toml cuts by it.",
    )
}

/// Names the narrower products that cost less for their area than the widest one that courses are laid out for, where
/// that is bought for the least price: courses that it alone holds leave no choice.
fn narrower(plan: &Plan, sources: &Sources<'_>) -> Vec<String> {
    let one = |(at, nest): (usize, &Nest)| {
        if nest.objective != Objective::Price {
            return None;
        }
        let priced = sources.laid_out_for(nest).filter(|roll| roll.price.is_some());
        let laid: Vec<&stock::Roll> = priced.collect();
        let widest = laid.iter().map(|roll| roll.width).max()?;
        let bought = |product: &stock::Roll| {
            let mut cut = plan.rolls.iter().filter(|roll| roll.nest == at && !roll.shelf);
            cut.any(|roll| roll.roll == product.id)
        };
        let dear = laid.iter().find(|roll| roll.width == widest && bought(roll))?;
        let cheap =
            laid.iter().filter(|roll| roll.width < widest && costs_less_by_area(roll, dear));
        let names: Vec<String> = cheap.map(|roll| visible(&roll.id)).collect();
        let cost = match names.len() {
            0 => return None,
            1 => "costs",
            _ => "cost",
        };
        Some(format!(
            "{}: courses are laid out for the widest roll on offer, {}, and by area {} {cost} less. Laid out for narrower \
             rolls an order may be cheaper: rollwright price JOB --order looks for it, and says what to write to cut \
             by it.",
            thickness_in_words(nest),
            visible(&dear.id),
            joined(&names),
        ))
    };
    plan.nests.iter().enumerate().filter_map(one).collect()
}

/// Whether a square metre of one product costs less than of another, at list prices.
fn costs_less_by_area(one: &stock::Roll, other: &stock::Roll) -> bool {
    let area = |roll: &stock::Roll| Area::of_rectangle(roll.width, roll.length).nm2() / 1_000_000;
    let price = |roll: &stock::Roll| i128::from(roll.price.unwrap_or_default().micros());
    price(one) * area(other) < price(other) * area(one)
}

/// The order as a table.
#[must_use]
pub fn order(plan: &Plan, sources: &Sources<'_>) -> Table {
    let mut names = vec![
        "thickness mm",
        "source",
        "roll",
        "width mm",
        "length mm",
        "quantity",
        "of which spare",
        "of which for minimum or price",
        "price each",
        "price",
        "area m2",
    ];
    if sources.extras.stage.is_some() {
        names.push("of which to buy now");
    }
    let mut table = Table::new(&names);
    for line in lines(plan, sources) {
        let thickness = plan.nests.get(line.nest).and_then(|nest| nest.thickness);
        let mut row = vec![
            thickness.map_or(Cell::Empty, Cell::Millimetres),
            Cell::text(if line.shelf.is_some() { "shelf" } else { "buy" }),
            Cell::text(&line.roll),
            Cell::Millimetres(line.width),
            line.length.map_or(Cell::Empty, Cell::Millimetres),
            Cell::Count(line.count()),
            Cell::Count(line.spare),
            Cell::Count(line.more),
            if line.unpriced() { Cell::Empty } else { Cell::Money(line.price) },
            if line.unpriced() { Cell::Empty } else { Cell::Money(line.total) },
            Cell::SquareMetres(line.area()),
        ];
        if sources.extras.stage.is_some() {
            row.push(line.now.map_or(Cell::Empty, Cell::Count));
        }
        table.push(row);
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 740 for 60 square metres are 12.33 for one, 510 for 40 are 12.75.
    #[test]
    fn a_roll_costs_less_by_area_or_it_does_not() {
        let text = "roll,thickness,width,length,price\nW,10,1500,40 m,740\nN,10,1000,40 m,510\n";
        let rolls = stock::read_rolls("rolls.csv", text.as_bytes()).0.unwrap();
        let [wide, narrow] = <[stock::Roll; 2]>::try_from(rolls).unwrap();
        assert!(costs_less_by_area(&wide, &narrow));
        assert!(!costs_less_by_area(&narrow, &wide) && !costs_less_by_area(&wide, &wide));
    }
}
