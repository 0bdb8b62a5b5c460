//! What rolls cost, for the programme that chooses how many of each product are ordered.

use super::buy;
use super::rates::{Kind, Rates};
use crate::cutting::Objective;
use crate::nest::mix::{Market, NEVER, Programme};
use crate::nest::straight::LaidPull;
use crate::nest::{self, Hushed, Instance, NestError, Nesting, Options, Watch};
use crate::plan::wanted::{self, Wanted};
use crate::stock::{Roll, Stock};
use crate::units::Money;

/// Where rolls count, no more pieces of a thickness are looked through for cheaper orders of as few: of more
/// rolls less of the price may be saved, for longer work.
const SMALL: u64 = 5_000;

/// The part of the work on the rolls that each cut of a cheaper order of as few may take.
const LOOK: u64 = 25;

/// The products of one order sheet with all that the supplier asks for them. An order that goes without spares which
/// another product has is none: it would save money by doing without what was asked for.
#[derive(Clone, Debug)]
pub struct Offers<'a> {
    /// By roll of the sheet; `None` on the shelf.
    products: Vec<Option<&'a Roll>>,
    rates: &'a Rates,
    spares: u64,
    /// So many of the spares are to be there.
    needed: u64,
}

/// Equal where every order of the products costs the same.
impl PartialEq for Offers<'_> {
    fn eq(&self, other: &Self) -> bool {
        let pallet = |offers: &Self| offers.rates.of(Kind::Pallet).each;
        let spares = |offers: &Self| (offers.spares, offers.needed);
        let same = self.products == other.products && spares(self) == spares(other);
        same && pallet(self) == pallet(other)
    }
}

impl<'a> Offers<'a> {
    /// For a sheet.
    #[must_use]
    pub fn new(sheet: &Wanted, stock: &'a Stock, rates: &'a Rates) -> Self {
        let product = |roll: &wanted::Roll| {
            let product = || stock.rolls.iter().find(|product| product.id == roll.id);
            if roll.shelf { None } else { product() }
        };
        let products: Vec<Option<&Roll>> = sheet.rolls.iter().map(product).collect();
        let spares = sheet.charges.spares();
        let had = products.iter().flatten().map(|roll| buy::spares_of(roll, 1, spares));
        Self { rates, spares, needed: had.max().unwrap_or(0), products }
    }

    /// How many spares an order must have: as many as any product could give.
    #[must_use]
    pub const fn needed(&self) -> u64 {
        self.needed
    }

    /// The same where so many spares must be there.
    #[must_use]
    pub fn needing(&self, needed: u64) -> Self {
        Self { needed, ..self.clone() }
    }

    /// The same where no order that was found has all spares that any product could give.
    #[must_use]
    pub fn with_any_spares(&self) -> Self {
        self.needing(0)
    }

    /// Whether so many of each, where any are cut, leave as many spares as are to be there.
    fn has_spares(&self, cut: &[u64]) -> bool {
        self.asked(cut).1
    }

    /// The products of which some are cut, and how many of each are asked for: those and the spares. And whether these
    /// are as many as are to be there.
    fn asked(&self, cut: &[u64]) -> (Vec<(usize, &'a Roll, u64)>, bool) {
        let products = self.products.iter().zip(cut).enumerate();
        let (numbers, all): (Vec<usize>, Vec<(&Roll, u64)>) = products
            .filter_map(|(k, (roll, &n))| Some((k, ((*roll)?, n))))
            .filter(|(_, (_, n))| *n > 0)
            .unzip();
        let spares = buy::spared(&all, self.spares, self.rates);
        let spare = |at: usize| spares.filter(|spares| spares.at == at).map_or(0, |s| s.count);
        let asked = numbers.into_iter().zip(all).enumerate();
        let asked = asked.map(|(at, (k, (roll, n)))| (k, roll, n + spare(at))).collect();
        (asked, spares.is_none_or(|spares| spares.count >= self.needed))
    }

    /// How many of a roll are bought where so many of each are cut: spares, minimum orders and price breaks
    /// included; `None` where it is not cut, or so many are not to be had.
    #[must_use]
    pub fn bought(&self, roll: usize, cut: &[u64]) -> Option<u64> {
        let (_, product, count) = self.asked(cut).0.into_iter().find(|(k, ..)| *k == roll)?;
        Some(buy::offer(product, count, self.rates)?.count)
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
        let offer = buy::offer(product, count, self.rates)?;
        Some((offer.count, (offer.price + offer.freight).micros()))
    }

    fn spares(&self) -> bool {
        self.spares > 0
    }

    fn with_spares(&self, roll: usize, count: u64) -> Option<i64> {
        let product = self.products.get(roll).copied().flatten()?;
        let spares = buy::spares_of(product, count, self.spares);
        if spares < self.needed {
            return None;
        }
        self.offer(roll, count.saturating_add(spares)).map(|(_, cost)| cost)
    }

    /// As [`buy::spared`] has it: of equals the one of which most spares are to be had, then the cheaper.
    fn most_beside(&self, roll: usize, count: u64, other: usize) -> u64 {
        let spares = |of: usize| {
            let product = self.products.get(of).copied().flatten();
            product.map_or(0, |product| buy::spares_of(product, count, self.spares))
        };
        if spares(roll) >= spares(other) { count } else { count.saturating_sub(1) }
    }

    /// With the spares, as in [`buy::purchase`].
    fn together(&self, counts: &[u64]) -> i64 {
        let (asked, has_spares) = self.asked(counts);
        if !has_spares {
            return NEVER;
        }
        let price = |(_, roll, count): (usize, &Roll, u64)| {
            let offer = buy::offer(roll, count, self.rates)?;
            Some((offer.price + offer.freight).micros())
        };
        asked.into_iter().map(price).sum::<Option<i64>>().unwrap_or(NEVER)
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

/// A market in which a roll of any product costs so much beside its price that fewer rolls are always cheaper.
struct Fewest<'a> {
    offers: &'a Offers<'a>,
    beside: i64,
}

impl Fewest<'_> {
    /// A price and what so many rolls cost beside it.
    fn with(&self, price: i64, count: u64) -> i64 {
        let count = i64::try_from(count).unwrap_or(i64::MAX);
        price.saturating_add(self.beside.saturating_mul(count))
    }
}

impl Market for Fewest<'_> {
    fn shelf(&self, roll: usize) -> bool {
        self.offers.shelf(roll)
    }

    /// What is bought beyond the count is no roll that is cut.
    fn offer(&self, roll: usize, count: u64) -> Option<(u64, i64)> {
        let (_, price) = self.offers.offer(roll, count)?;
        Some((count, self.with(price, count)))
    }

    fn spares(&self) -> bool {
        self.offers.spares()
    }

    fn with_spares(&self, roll: usize, count: u64) -> Option<i64> {
        Some(self.with(self.offers.with_spares(roll, count)?, count))
    }

    fn most_beside(&self, roll: usize, count: u64, other: usize) -> u64 {
        self.offers.most_beside(roll, count, other)
    }

    fn together(&self, counts: &[u64]) -> i64 {
        let products = counts.iter().enumerate().filter(|(roll, _)| !self.shelf(*roll));
        let count = products.fold(0, |sum: u64, (_, count)| sum.saturating_add(*count));
        self.with(self.offers.together(counts), count)
    }

    fn plain(&self) -> bool {
        self.offers.plain()
    }
}

/// What the products of an order sheet are bought by.
pub type Place<'a> = (&'a Stock, &'a Rates);

/// How many spares are asked for where no order was found with so many: one less each time; of many half as many, since
/// each is a search of its own.
#[must_use]
pub const fn fewer(spares: u64) -> u64 {
    if spares > MANY_SPARES { spares / 2 } else { spares.saturating_sub(1) }
}

/// More spares than this are asked for by half as many.
const MANY_SPARES: u64 = 4;

/// Whether two order sheets, each in its market, have the same answer by [`nested()`].
#[must_use]
pub fn alike(one: (&Wanted, Place<'_>), other: (&Wanted, Place<'_>)) -> bool {
    let ((sheet, market), (second, beside)) = (one, other);
    let offers = |sheet, (stock, rates)| Offers::new(sheet, stock, rates);
    sheet == second && offers(sheet, market) == offers(second, beside)
}

/// The answer to an order sheet: where the price is to be least and everything has one, by the
/// programme over whole orders, else by the engine alone. Where rolls count and pieces are not too
/// many, an order of as few rolls that costs less is looked for ([`cheaper`]).
///
/// # Errors
/// As [`nest::solve`].
pub fn nested(
    sheet: &Wanted,
    market: Place<'_>,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    nested_from((sheet, &[]), market, options, watch)
}

/// As [`nested()`]; where rolls or length count, with pulls that are known to hold all pieces, and no worse than they
/// are.
///
/// # Errors
/// As [`nest::solve`].
pub fn nested_from(
    (sheet, known): (&Wanted, &[LaidPull]),
    market: Place<'_>,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    let answer = valued((sheet, known), market, options, watch)?;
    Ok(nest::drawn_less(&sheet.instance(), answer, options, watch))
}

/// As [`nested_from()`], where only its value counts: it is not drawn off sparingly.
///
/// # Errors
/// As [`nest::solve`].
pub fn valued(
    (sheet, known): (&Wanted, &[LaidPull]),
    (stock, rates): Place<'_>,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    let instance = sheet.instance();
    let offers = Offers::new(sheet, stock, rates);
    if sheet.objective == Objective::Price && offers.priced() {
        let solve =
            |offers: &Offers<'_>| Programme::new(&instance, offers, options).solve(i64::MAX, watch);
        let (mut offers, mut mixed) = (offers.clone(), solve(&offers)?);
        while mixed.cost >= NEVER && offers.needed > 0 && !watch.stop() {
            offers = offers.needing(fewer(offers.needed));
            mixed = solve(&offers)?;
        }
        return Ok(mixed.nesting);
    }
    let nesting = nest::solve_from(&instance, known, options, watch)?;
    let several = offers.products.iter().flatten().count() > 1;
    let counted = sheet.objective == Objective::Rolls && instance.demand() <= SMALL;
    if !counted || !several || !offers.priced() || watch.stop() {
        return Ok(nesting);
    }
    Ok(cheaper(nesting, (&instance, &offers), options, watch))
}

/// Of answers with as few rolls, or fewer, the one for which least is paid: this one, or what the programme over
/// whole orders comes to where a roll costs beside its price as much as all of them, and no less than what is paid
/// for them with minimums, spares and freight. One that has the spares asked for comes before all that do not.
/// Nothing is cut where its rows rule out all such orders. What is proven of the number of rolls stays.
fn cheaper(
    first: Nesting,
    (instance, offers): (&Instance, &Offers<'_>),
    options: &Options,
    watch: &dyn Watch,
) -> Nesting {
    let dearest = instance.rolls.iter().map(|roll| roll.price).max().unwrap_or_default();
    let rolls = u64::try_from(first.value).ok();
    let Some(listed) = rolls.and_then(|rolls| dearest.checked_times(rolls)) else { return first };
    let cut = first.used(instance.rolls.len());
    let any = offers.with_any_spares();
    let beside = listed.max(Money::from_micros(any.together(&cut)));
    let asked = Asked { instance, options, watch };
    if offers.has_spares(&cut) {
        return asked.of_as_few((offers, beside), &first).unwrap_or(first);
    }
    // With spares an order may cost more than this one without.
    let more = beside.checked_times(SPARED).unwrap_or(Money::LIMIT);
    let with = asked.of_as_few((offers, more), &first);
    with.or_else(|| asked.of_as_few((&any, beside), &first)).unwrap_or(first)
}

/// What an order with spares may cost, at most, against one that goes without.
const SPARED: u64 = 8;

/// What is asked for an order of as few rolls.
struct Asked<'a> {
    instance: &'a Instance,
    options: &'a Options,
    watch: &'a dyn Watch,
}

impl Asked<'_> {
    /// Another answer with as few rolls as this one, or fewer, that costs less or has the spares, where each roll counts so
    /// much beside its price.
    fn of_as_few(
        &self,
        (offers, beside): (&Offers<'_>, Money),
        first: &Nesting,
    ) -> Option<Nesting> {
        if beside >= Money::LIMIT {
            return None;
        }
        let mut priced = Instance { objective: Objective::Price, ..self.instance.clone() };
        for (roll, product) in priced.rolls.iter_mut().zip(&offers.products) {
            if product.is_some() {
                roll.price += beside;
            }
        }
        let fewest = Fewest { offers, beside: beside.micros() };
        let used = |nesting: &Nesting| nesting.used(self.instance.rolls.len());
        let paid = |nesting: &Nesting| fewest.together(&used(nesting));
        // No more rolls than there are.
        let most = fewest.with(0, u64::try_from(first.value).ok()?.saturating_add(1));
        let now = paid(first).min(most);
        let options = Options { work: self.options.work / LOOK, ..*self.options };
        let mut programme = Programme::new(&priced, &fewest, &options);
        if let Some(certificate) = &first.certificate {
            programme.learn(certificate);
        }
        let hushed = Hushed(self.watch);
        if programme.bound(now, &hushed) >= now {
            return None;
        }
        let other = programme.solve(now, &hushed).ok()?.nesting;
        (paid(&other) < now)
            .then(|| first.clone().replaced_by(Nesting::known(self.instance, other.layouts)))
    }
}
