//! What is bought: so many of each product, at its price break, above its minimum, on pallets.
//!
//! For each product on its own: of all quantities from what is needed upwards that can matter (the
//! need itself, the minimum, the start of each break) the cheapest with its freight is bought, the
//! smallest of equals, as far as so many are to be had. Pallets hold one product each and are counted whole.

use super::rates::{Kind, Rates};
use crate::plan::{Figures, Ordered, Plan};
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
    /// Price of one at this quantity, rounded to hundredths; `None` where none is given.
    pub each: Option<Money>,
    /// Price of all; nothing where none is given.
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

    /// The price of those that are cut: a part of the price of all.
    #[must_use]
    pub fn of_cut(&self) -> Money {
        self.each.unwrap_or_default().checked_times(self.cut).unwrap_or(self.price)
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

    /// How many rolls of one nest, and what is paid for them with their freight.
    #[must_use]
    pub fn of_nest(&self, nest: usize) -> (u64, Money) {
        let lines = || self.lines.iter().filter(|line| line.nest == nest);
        (lines().map(Bought::count).sum(), lines().map(Bought::total).sum())
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

    /// How many spares of each product.
    #[must_use]
    pub fn spares(&self) -> BTreeMap<String, u64> {
        let spares = self.lines.iter().filter(|line| line.spare > 0);
        spares.map(|line| (line.roll.clone(), line.spare)).collect()
    }

    /// As a plan tells it.
    #[must_use]
    pub fn order(&self) -> Vec<Ordered> {
        let line = |line: &Bought| Ordered {
            roll: line.roll.clone(),
            cut: line.cut,
            spare: line.spare,
            more: line.more,
        };
        self.lines.iter().map(line).collect()
    }
}

/// What so many of a product come to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Offer {
    /// How many.
    pub count: u64,
    /// Price of one; `None` where none is given.
    pub each: Option<Money>,
    /// Price of all; nothing where none is given.
    pub price: Money,
    /// Pallets.
    pub pallets: u64,
    /// Their freight.
    pub freight: Money,
    /// Why so many.
    pub why: Why,
}

/// What exactly `count` of a product come to; `None` where that is too much to count.
fn exactly(roll: &Roll, count: u64, rates: &Rates, why: Why) -> Option<Offer> {
    let reached = roll.terms.breaks.iter().rev().find(|(from, _)| *from <= count);
    let each = roll.price.map(|listed| reached.map_or(listed, |(_, price)| *price).rounded());
    let pallets = roll.terms.per_pallet.map_or(0, |on_one| count.div_ceil(on_one.max(1)));
    Some(Offer {
        count,
        each,
        price: each.unwrap_or_default().checked_times(count)?,
        pallets,
        freight: rates.of(Kind::Pallet).each.checked_times(pallets)?.rounded(),
        why,
    })
}

/// The cheapest way to have at least `need` of a product, without a price the fewest that are sold;
/// `None` where so many are not to be had, or cost too much to count.
#[must_use]
pub fn offer(roll: &Roll, need: u64, rates: &Rates) -> Option<Offer> {
    if need == 0 {
        return exactly(roll, 0, rates, Why::Needed);
    }
    let least = need.max(roll.terms.minimum);
    let first = if least > need { Why::Minimum } else { Why::Needed };
    let starts = roll.terms.breaks.iter().map(|(from, _)| *from).filter(|from| *from > least);
    let can = |count: u64| roll.available.is_none_or(|most| count <= most);
    let counts = [(least, first)].into_iter().chain(starts.map(|from| (from, Why::Break)));
    counts
        .filter(|(count, _)| can(*count))
        .filter_map(|(count, why)| exactly(roll, count, rates, why))
        .min_by_key(|offer| (offer.price + offer.freight, offer.count))
}

/// The spares of one thickness.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spares {
    /// Which of the products gets them.
    pub at: usize,
    /// How many.
    pub count: u64,
    /// How many more were asked for than can be had.
    pub missing: u64,
}

/// How many of so many spares are to be had of a product of which so many are cut.
#[must_use]
pub fn spares_of(roll: &Roll, cut: u64, spares: u64) -> u64 {
    spares.min(roll.available.map_or(u64::MAX, |most| most.saturating_sub(cut)))
}

/// Which product of a thickness gets the spares: that of which most is cut. Of equals it is the one of which
/// most spares are to be had, then the one for which they cost least, then the first by name. `None` where
/// nothing is cut.
#[must_use]
pub fn spared(cut: &[(&Roll, u64)], spares: u64, rates: &Rates) -> Option<Spares> {
    let most = cut.iter().map(|(_, count)| *count).max().filter(|most| *most > 0)?;
    let paid = |roll: &Roll, count: u64| offer(roll, count, rates).map(|o| o.price + o.freight);
    let of = |(at, (roll, cut)): (usize, &(&Roll, u64))| {
        let count = spares_of(roll, *cut, spares);
        let more = paid(roll, *cut).zip(paid(roll, *cut + count)).map(|(less, all)| all - less);
        let spares = Spares { at, count, missing: spares - count };
        ((spares.missing, more.unwrap_or(Money::MOST), roll.id.clone()), spares)
    };
    let equals = cut.iter().enumerate().filter(|(_, (_, count))| *count == most);
    equals.map(of).min_by(|a, b| a.0.cmp(&b.0)).map(|(_, spares)| spares)
}

/// What one nest of a plan needs of one product.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Needed<'r> {
    /// Index into the plan's nests.
    pub nest: usize,
    /// The product.
    pub roll: &'r Roll,
    /// How many the plan cuts.
    pub cut: u64,
    /// How many more are ordered as spares.
    pub spare: u64,
    /// Of the product of which most is cut, how many spares more were asked for in its thickness than can be
    /// had.
    pub missing: u64,
}

/// How many rolls of each nest, by name, are cut.
pub type Cut<'p> = BTreeMap<(usize, &'p str), u64>;

/// The rolls that a plan cuts.
fn cut(plan: &Plan) -> Cut<'_> {
    let mut cut = Cut::new();
    for used in &plan.rolls {
        *cut.entry((used.nest, used.roll.as_str())).or_default() += used.copies;
    }
    cut
}

/// Spares of a nest's thickness that were ordered for earlier plans.
pub(super) fn spares_before(plan: &Plan, nest: usize) -> u64 {
    let thickness = plan.nests.get(nest).and_then(|nest| nest.thickness);
    plan.already
        .as_ref()
        .zip(thickness)
        .map_or(0, |(already, thickness)| already.spares_of(thickness))
}

/// What a plan needs of each product: what it cuts, and the spares ([`spared`]) that were not ordered
/// before; by nest, then by name. What is on no offer, such as offcuts, is left out.
#[must_use]
pub fn needs<'r>(plan: &Plan, rolls: &'r [Roll], spares: u64, rates: &Rates) -> Vec<Needed<'r>> {
    needs_of(plan, &cut(plan), rolls, (spares, rates))
}

/// As [`needs`], where only so many of the plan's rolls are cut.
fn needs_of<'r>(
    plan: &Plan,
    cut: &Cut<'_>,
    rolls: &'r [Roll],
    (spares, rates): (u64, &Rates),
) -> Vec<Needed<'r>> {
    let product = |name: &str| rolls.iter().find(|roll| roll.id == name);
    let mut all = Vec::with_capacity(cut.len());
    for nest in 0..plan.nests.len() {
        let here = cut.iter().filter(|((of, _), _)| *of == nest);
        let here: Vec<(&Roll, u64)> =
            here.filter_map(|((_, name), count)| Some((product(name)?, *count))).collect();
        let spares = spared(&here, spares.saturating_sub(spares_before(plan, nest)), rates);
        for (at, (roll, cut)) in here.into_iter().enumerate() {
            let own = spares.filter(|spares| spares.at == at);
            let (spare, missing) = own.map_or((0, 0), |own| (own.count, own.missing));
            all.push(Needed { nest, roll, cut, spare, missing });
        }
    }
    all
}

/// The purchase for a plan: what it cuts, and `spares` of each thickness. What has no price is
/// bought too; see [`super::job::check`], which tells it, and what costs too much to count.
#[must_use]
pub fn purchase(plan: &Plan, rolls: &[Roll], spares: u64, rates: &Rates) -> Purchase {
    purchase_of(plan, &cut(plan), rolls, (spares, rates))
}

/// The purchase where rolls are bought as they are begun, and so many are: as [`purchase`] for these.
#[must_use]
pub fn purchase_of(
    plan: &Plan,
    begun: &Cut<'_>,
    rolls: &[Roll],
    (spares, rates): (u64, &Rates),
) -> Purchase {
    let line = |needed: Needed<'_>| {
        let offer = offer(needed.roll, needed.cut + needed.spare, rates)?;
        Some(Bought {
            nest: needed.nest,
            roll: needed.roll.id.clone(),
            width: needed.roll.width,
            length: needed.roll.length,
            cut: needed.cut,
            spare: needed.spare,
            more: offer.count - needed.cut - needed.spare,
            why: offer.why,
            each: offer.each,
            price: offer.price,
            pallets: offer.pallets,
            freight: offer.freight,
        })
    };
    let needed = needs_of(plan, begun, rolls, (spares, rates));
    Purchase { lines: needed.into_iter().filter_map(line).collect() }
}

/// What two plans of one job are compared by, their rolls at the price at which they are bought.
#[must_use]
pub fn figures(plan: &Plan, joints: u64, rolls: &[Roll], spares: u64, rates: &Rates) -> Figures {
    let purchase = purchase(plan, rolls, spares, rates);
    Figures::of(plan, joints, |nest| purchase.of_nest(nest))
}
