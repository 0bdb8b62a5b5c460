//! What rolls cost, for the programme that chooses how many of each product are ordered.

use super::buy;
use super::rates::{Kind, Rates};
use crate::cutting::Objective;
use crate::nest::mix::{Market, Programme};
use crate::nest::{self, NestError, Nesting, Options, Watch};
use crate::plan::wanted::{self, Wanted};
use crate::rules::Rules;
use crate::stock::{Roll, Stock};
use crate::units::Money;

/// More than any order costs, where one cannot be had.
const NEVER: i64 = i64::MAX / 8;

/// The products of one order sheet with all that the supplier asks for them.
#[derive(Clone, Debug)]
pub struct Offers<'a> {
    /// By roll of the sheet; `None` on the shelf.
    products: Vec<Option<&'a Roll>>,
    rates: &'a Rates,
    spares: u64,
}

impl<'a> Offers<'a> {
    /// For a sheet.
    #[must_use]
    pub fn new(sheet: &Wanted, stock: &'a Stock, rules: &Rules, rates: &'a Rates) -> Self {
        let product = |roll: &wanted::Roll| {
            let product = || stock.rolls.iter().find(|product| product.id == roll.id);
            if roll.shelf { None } else { product() }
        };
        let products = sheet.rolls.iter().map(product).collect();
        Self { products, rates, spares: rules.order.spare_rolls }
    }

    /// Whether everything on offer has a price.
    #[must_use]
    pub fn priced(&self) -> bool {
        self.products.iter().flatten().all(|roll| roll.price.is_some())
    }
}

impl Market for Offers<'_> {
    fn shelf(&self, roll: usize) -> bool {
        self.products.get(roll).is_none_or(Option::is_none)
    }

    fn offer(&self, roll: usize, count: u64) -> Option<(u64, i64)> {
        let product = self.products.get(roll).copied().flatten()?;
        if product.available.is_some_and(|most| count > most) {
            return None;
        }
        let offer = buy::offer(product, count, self.rates)?;
        Some((offer.count, (offer.price + offer.freight).micros()))
    }

    /// Spares go to the product of which most is cut, as in [`buy::purchase`].
    fn together(&self, counts: &[u64]) -> i64 {
        let bought = || {
            let all = self.products.iter().zip(counts);
            all.filter_map(|(roll, &count)| Some(((*roll)?, count))).filter(|(_, n)| *n > 0)
        };
        let most = bought().min_by_key(|(roll, n)| (std::cmp::Reverse(*n), roll.id.as_str()));
        let price = |(roll, count): (&Roll, u64)| {
            let spare = match most {
                Some((main, _)) if main.id == roll.id => self.spares,
                _ => 0,
            };
            let offer = buy::offer(roll, count + spare, self.rates)?;
            Some((offer.price + offer.freight).micros())
        };
        bought().map(price).sum::<Option<i64>>().unwrap_or(NEVER)
    }

    fn plain(&self) -> bool {
        let freight = self.rates.of(Kind::Pallet).each > Money::ZERO;
        self.spares == 0
            && self.products.iter().flatten().all(|roll| {
                let terms = &roll.terms;
                let whole = roll.price.is_none_or(|price| price == price.rounded());
                let freight = freight && terms.per_pallet.is_some();
                terms.breaks.is_empty() && terms.minimum <= 1 && !freight && whole
            })
    }
}

/// The answer to an order sheet: where the price is to be least and everything has one, by the
/// programme over whole orders, else by the engine alone.
///
/// # Errors
/// As [`nest::solve`].
pub fn nested(
    sheet: &Wanted,
    (stock, rules, rates): (&Stock, &Rules, &Rates),
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    let instance = sheet.instance();
    let offers = Offers::new(sheet, stock, rules, rates);
    if sheet.objective != Objective::Price || !offers.priced() {
        return nest::solve(&instance, options, watch);
    }
    let mut programme = Programme::new(&instance, &offers, options);
    Ok(programme.solve(i64::MAX, watch)?.nesting)
}
