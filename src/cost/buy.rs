//! What is bought: so many of each product, at its price break, above its minimum, on pallets.
//!
//! For each product on its own: of all quantities from what is needed upwards that can matter (the
//! need itself, the minimum, the start of each break) the cheapest with its freight is bought, the
//! smallest of equals. Pallets hold one product each and are counted whole.

use super::rates::{Kind, Rates};
use crate::plan::Plan;
use crate::stock::Roll;
use crate::units::{Area, Length, Money};
use std::collections::BTreeMap;

/// Why more is bought than is needed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Why {
    /// It is not.
    Needed,
    /// The supplier sells no fewer.
    Minimum,
    /// The next price break makes more cost less.
    Break,
}

/// So many of one product.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bought {
    /// Index into the plan's nests.
    pub nest: usize,
    /// The product's name.
    pub roll: String,
    /// Nominal width.
    pub width: Length,
    /// Nominal length.
    pub length: Length,
    /// How many the plan cuts.
    pub cut: u64,
    /// How many more are ordered as spares.
    pub spare: u64,
    /// How many more are bought for the reason in `why`.
    pub more: u64,
    /// Why.
    pub why: Why,
    /// Price of one at this quantity, rounded to hundredths.
    pub each: Money,
    /// Price of all.
    pub price: Money,
    /// Pallets; 0 where they are not counted.
    pub pallets: u64,
    /// Their freight.
    pub freight: Money,
}

impl Bought {
    /// How many in all.
    #[must_use]
    pub const fn count(&self) -> u64 {
        self.cut + self.spare + self.more
    }

    /// The area of one.
    #[must_use]
    pub const fn area(&self) -> Area {
        Area::of_rectangle(self.width, self.length)
    }

    /// Price and freight.
    #[must_use]
    pub fn total(&self) -> Money {
        self.price + self.freight
    }
}

/// All that is bought.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Purchase {
    /// By nest, then product.
    pub lines: Vec<Bought>,
}

impl Purchase {
    /// The price of the rolls.
    #[must_use]
    pub fn rolls(&self) -> Money {
        self.lines.iter().map(|line| line.price).sum()
    }

    /// The freight.
    #[must_use]
    pub fn freight(&self) -> Money {
        self.lines.iter().map(|line| line.freight).sum()
    }

    /// How many rolls.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.lines.iter().map(Bought::count).sum()
    }
}

/// What so many of a product cost.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Offer {
    /// How many.
    pub count: u64,
    /// Price of one.
    pub each: Money,
    /// Price of all.
    pub price: Money,
    /// Pallets.
    pub pallets: u64,
    /// Their freight.
    pub freight: Money,
    /// Why so many.
    pub why: Why,
}

/// A count as a factor of money.
pub(super) fn factor(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// What exactly `count` of a product cost; `None` where it has no price.
fn exactly(roll: &Roll, count: u64, rates: &Rates, why: Why) -> Option<Offer> {
    let listed = roll.price?;
    let reached = roll.terms.breaks.iter().rev().find(|(from, _)| *from <= count);
    let each = reached.map_or(listed, |(_, price)| *price).rounded();
    let pallets = roll.terms.per_pallet.map_or(0, |on_one| count.div_ceil(on_one.max(1)));
    Some(Offer {
        count,
        each,
        price: each * factor(count),
        pallets,
        freight: (rates.of(Kind::Pallet).each * factor(pallets)).rounded(),
        why,
    })
}

/// The cheapest way to have at least `need` of a product; `None` where it has no price.
#[must_use]
pub fn offer(roll: &Roll, need: u64, rates: &Rates) -> Option<Offer> {
    if need == 0 {
        return exactly(roll, 0, rates, Why::Needed);
    }
    let least = need.max(roll.terms.minimum);
    let first = if least > need { Why::Minimum } else { Why::Needed };
    let starts = roll.terms.breaks.iter().map(|(from, _)| *from).filter(|from| *from > least);
    let can = |count: &u64| roll.available.is_none_or(|most| *count <= most);
    let counts =
        [(least, first)].into_iter().chain(starts.filter(can).map(|from| (from, Why::Break)));
    counts
        .filter_map(|(count, why)| exactly(roll, count, rates, why))
        .min_by_key(|offer| (offer.price + offer.freight, offer.count))
}

/// The purchase for a plan: what it cuts, and `spares` of each thickness on the product of which
/// most is cut (the first of equals). Products without a price are left out; see
/// [`super::job::price`], which tells them.
#[must_use]
pub fn purchase(plan: &Plan, rolls: &[Roll], spares: u64, rates: &Rates) -> Purchase {
    let product = |name: &str| rolls.iter().find(|roll| roll.id == name);
    let mut needs: BTreeMap<(usize, &str), u64> = BTreeMap::new();
    for roll in plan.rolls.iter().filter(|roll| product(&roll.roll).is_some()) {
        *needs.entry((roll.nest, roll.roll.as_str())).or_default() += roll.copies;
    }
    let mut lines = Vec::with_capacity(needs.len());
    for nest in 0..plan.nests.len() {
        let here = || needs.iter().filter(move |((of, _), _)| *of == nest);
        let most = here().map(|(_, cut)| *cut).max();
        let mut left = spares;
        for ((_, name), &cut) in here() {
            let Some(roll) = product(name) else { continue };
            let spare = if Some(cut) == most { std::mem::take(&mut left) } else { 0 };
            let Some(offer) = offer(roll, cut + spare, rates) else { continue };
            lines.push(Bought {
                nest,
                roll: (*name).to_owned(),
                width: roll.width,
                length: roll.length,
                cut,
                spare,
                more: offer.count - cut - spare,
                why: offer.why,
                each: offer.each,
                price: offer.price,
                pallets: offer.pallets,
                freight: offer.freight,
            });
        }
    }
    Purchase { lines }
}
