//! The price of a job: rolls, freight, cutting and wrapping; by item, kind, area and line.
//!
//! Steps: see that everything has a price and all prices one currency; buy ([`super::buy`]); count
//! the work ([`super::labour`]) and price it; share every amount among the items without remainder:
//! the rolls by what each item really takes of them ([`super::share`]), the rounding to whole rolls
//! and what is bought beyond them shown apart, freight in proportion, labour by the work.

use super::buy::{self, Bought, Purchase};
use super::labour::{self, Work};
use super::rates::{self, Kind, Rates};
use super::share::{self, NestShare};
use super::spread::spread;
use super::waste::{self, NestWaste, from_cents};
use crate::demand::Demand;
use crate::finding::codes::cost as codes;
use crate::finding::{Finding, Findings, Place};
use crate::plan::{Measured, Plan};
use crate::rules::Rules;
use crate::stock::{Roll, Stock};
use crate::takeoff::{self, Bare, Item, Takeoff};
use crate::units::{Area, Money};
use std::collections::BTreeMap;

/// What a price is computed from, beside the plan.
#[derive(Clone, Copy, Debug)]
pub struct Needs<'a> {
    /// What is to be insulated.
    pub takeoff: &'a Takeoff,
    /// What can be bought.
    pub stock: &'a Stock,
    /// The rules.
    pub rules: &'a Rules,
    /// The pieces and the schedule.
    pub demand: &'a Demand,
    /// Labour and freight.
    pub rates: &'a Rates,
}

/// An amount of work and what it costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Labour {
    /// What is done.
    pub kind: Kind,
    /// How much of it: thousandths of a metre, or a count.
    pub quantity: i128,
    /// What one metre or one piece costs.
    pub each: Money,
    /// Whether the rate is a placeholder.
    pub placeholder: bool,
    /// What all of it costs.
    pub money: Money,
}

/// Whether the rates by which labour is counted were given.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RatesAre {
    /// All that count were.
    Given,
    /// Some were.
    Partly,
    /// None was.
    Placeholders,
}

impl RatesAre {
    /// The heading above the word.
    pub const HEADING: &'static str = "labour rates";

    /// Of what comes to any money.
    #[must_use]
    pub fn of(labour: &[Labour]) -> Self {
        let counts = || labour.iter().filter(|line| line.money > Money::ZERO);
        match (counts().any(|line| line.placeholder), counts().any(|line| !line.placeholder)) {
            (false, _) => Self::Given,
            (true, true) => Self::Partly,
            (true, false) => Self::Placeholders,
        }
    }

    /// A word or two for a table.
    #[must_use]
    pub const fn word(self) -> &'static str {
        match self {
            Self::Given => "given",
            Self::Partly => "partly placeholders",
            Self::Placeholders => "placeholders",
        }
    }
}

/// What an item, or a group of them, costs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Amounts {
    /// Its share of the rolls, waste included.
    pub blanket: Money,
    /// Its part of the rounding to whole rolls, of spares and of what minimum orders add.
    pub rounding: Money,
    /// Its part of the freight.
    pub freight: Money,
    /// Cutting.
    pub cutting: Money,
    /// Wrapping and ties.
    pub wrapping: Money,
}

impl Amounts {
    /// All together.
    #[must_use]
    pub fn total(&self) -> Money {
        self.blanket + self.rounding + self.freight + self.cutting + self.wrapping
    }

    fn add(&mut self, other: &Self) {
        self.blanket += other.blanket;
        self.rounding += other.rounding;
        self.freight += other.freight;
        self.cutting += other.cutting;
        self.wrapping += other.wrapping;
    }
}

/// What one item, or a group of them, takes and costs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Group {
    /// Item, kind, area or line.
    pub name: String,
    /// How many pieces.
    pub pieces: u64,
    /// Plain area of the pieces.
    pub plain: Area,
    /// Area of the rolls that its share is, waste included.
    pub taken: Area,
    /// What it costs.
    pub amounts: Amounts,
    /// How many items it is, lengths of pipe not among them; of a plan that leaves some of the job out nothing
    /// is counted.
    pub others: u64,
    /// How much pipe it is, in nanometres; likewise.
    pub pipe: i128,
}

/// How much of something there is, in the unit in which it is priced.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Amount {
    /// So much pipe, in nanometres.
    Pipe(i128),
    /// So many items.
    Each(u64),
}

impl Group {
    /// How much of it there is; `None` where pipe and other things are together, or nothing is counted.
    #[must_use]
    pub const fn amount(&self) -> Option<Amount> {
        match (self.pipe, self.others) {
            (0, 0) => None,
            (0, others) => Some(Amount::Each(others)),
            (pipe, 0) => Some(Amount::Pipe(pipe)),
            _ => None,
        }
    }

    /// What a metre of it costs where it is pipe, else one of it, all work and waste included, rounded to
    /// hundredths half to even.
    #[must_use]
    pub fn of_one(&self) -> Option<Money> {
        let total = self.amounts.total();
        match self.amount()? {
            Amount::Pipe(pipe) => total.times(1_000_000_000, pipe),
            Amount::Each(count) => total.times(1, i128::from(count)),
        }
    }

    /// Takes another group in.
    pub fn join(&mut self, other: &Self) {
        self.others += other.others;
        self.pipe += other.pipe;
        self.pieces += other.pieces;
        self.plain += other.plain;
        self.taken += other.taken;
        self.amounts.add(&other.amounts);
    }

    /// How many times its plain area it takes of the rolls.
    #[must_use]
    pub fn times(&self) -> f64 {
        self.taken.over(self.plain)
    }
}

/// The price of a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cost {
    /// The currency as it was given; may be empty.
    pub currency: String,
    /// What is bought.
    pub purchase: Purchase,
    /// Whether nobody gave a rate of freight for the pallets on which it comes.
    pub freight_open: bool,
    /// Labour.
    pub labour: Vec<Labour>,
    /// Everything.
    pub total: Money,
    /// Item by item, in the takeoff's order.
    pub items: Vec<Group>,
    /// By kind and size, dearest first.
    pub sizes: Vec<Group>,
    /// By kind.
    pub kinds: Vec<Group>,
    /// By area of the site.
    pub areas: Vec<Group>,
    /// By line.
    pub lines: Vec<Group>,
    /// How each thickness is shared.
    pub shares: Vec<NestShare>,
    /// Where each thickness's blanket goes.
    pub waste: Vec<NestWaste>,
}

impl Cost {
    /// What labour costs.
    #[must_use]
    pub fn labour(&self) -> Money {
        self.labour.iter().map(|line| line.money).sum()
    }

    /// What the offcuts that are kept were worth when they were bought.
    #[must_use]
    pub fn kept(&self) -> Money {
        self.waste.iter().filter_map(|nest| nest.parts.last()).map(|part| part.money).sum()
    }
}

/// Whether all that a job can come to at worst can be counted: as many rolls of each product as
/// pieces, spares or the fewest that are sold, each at its dearest, on pallets of their own. Tells
/// the product that comes to most.
#[must_use]
pub fn countable(demand: &Demand, stock: &Stock, rules: &Rules, rates: &Rates) -> Findings {
    let mut findings = Findings::new();
    let pieces = demand.pieces.iter().fold(0, |sum: u64, piece| sum.saturating_add(piece.quantity));
    let worst = |roll: &Roll| {
        let cut = roll.available.unwrap_or(u64::MAX).min(pieces);
        let count = cut.saturating_add(rules.order.spare_rolls).max(roll.terms.minimum);
        let breaks = roll.terms.breaks.iter().map(|(_, price)| *price);
        let dearest = roll.price.into_iter().chain(breaks).max().unwrap_or_default();
        let pallet = rates.of(Kind::Pallet).each;
        let pallet = if roll.terms.per_pallet.is_some() { pallet } else { Money::ZERO };
        (i128::from((dearest + pallet).micros()) * i128::from(count), count)
    };
    let all: i128 = stock.rolls.iter().map(|roll| worst(roll).0).sum();
    let most = stock.rolls.iter().max_by_key(|roll| worst(roll).0);
    if let Some(roll) = most.filter(|_| all > i128::from(Money::MOST.micros())) {
        let (name, count) = (crate::table::quoted(&roll.id), worst(roll).1);
        let reason = if count == roll.terms.minimum {
            "the fewest that are sold"
        } else {
            "as many as pieces"
        };
        findings.push(Finding::new(
            &codes::UNCOUNTABLE,
            roll.place.field("price", None),
            format!("{count} of the roll {name} ({reason}) can cost more than can be counted here"),
            "look at the roll's price, price breaks and minimum, and at the rate for a pallet",
        ));
    }
    findings
}

/// Spares that the rules ask for and that are not to be had.
#[must_use]
pub fn spares(plan: &Plan, stock: &Stock, rules: &Rules, rates: &Rates) -> Findings {
    let asked = rules.order.spare_rolls;
    let short = |needed: &buy::Needed<'_>| {
        let (roll, cut, missing) = (needed.roll, needed.cut, needed.missing);
        let available = roll.available.filter(|_| missing > 0)?;
        Some(Finding::new(
            &codes::SPARES,
            roll.place.field("available", None),
            format!(
                "of {asked} spare rolls asked for of {} mm, {missing} cannot be had: {available} of {} are \
                 available, and {cut} of them are cut; spares are of the roll of which most is cut",
                roll.thickness,
                crate::table::quoted(&roll.id),
            ),
            "ask for fewer with [order] spare_rolls, or find out whether more can be had",
        ))
    };
    let mut findings = Findings::new();
    let needs = buy::needs(plan, &stock.rolls, asked, rates);
    findings.extend(needs.iter().filter_map(short));
    // Of a thickness that the shelf alone holds no product is cut, and none would get the spares.
    let none = (0..plan.nests.len()).filter(|&nest| {
        asked > buy::spares_before(plan, nest) && needs.iter().all(|needed| needed.nest != nest)
    });
    findings.extend(none.filter_map(|nest| {
        let thickness = plan.nests[nest].thickness;
        let roll = stock.rolls.iter().find(|roll| Some(roll.thickness) == thickness)?;
        Some(Finding::new(
            &codes::SPARES,
            roll.place.clone(),
            format!(
                "no spare roll of {} mm is ordered: all of it is cut from what is on hand",
                roll.thickness
            ),
            "order one by hand, if it shall be there",
        ))
    }));
    findings
}

/// Prices that are missing where they are needed, and currencies that differ.
#[must_use]
pub fn check(plan: &Plan, stock: &Stock, rates: &Rates) -> Findings {
    let mut findings = Findings::new();
    for roll in &stock.rolls {
        let cut = plan.rolls.iter().any(|used| used.roll == roll.id);
        if !cut {
            continue;
        }
        if roll.price.is_none() {
            findings.push(Finding::new(
                &codes::PRICE_MISSING,
                roll.place.field("price", None),
                format!("the roll {} is ordered and has no price", crate::table::quoted(&roll.id)),
                "give it one",
            ));
        }
    }
    findings.append(currencies(stock, rates));
    findings
}

/// Currencies that differ by more than the case of their letters, each told where it first stands.
#[must_use]
pub fn currencies(stock: &Stock, rates: &Rates) -> Findings {
    let mut findings = Findings::new();
    let rolls = stock.rolls.iter().map(|roll| (roll.terms.currency.as_str(), &roll.place));
    let all = rolls.map(|(word, place)| (word, place.field("currency", None)));
    let mut seen: Vec<(String, Place)> = Vec::new();
    for (word, place) in all.chain([(rates.currency.as_str(), rates.place.clone())]) {
        if word.is_empty()
            || seen.iter().any(|(known, _)| known.to_lowercase() == word.to_lowercase())
        {
            continue;
        }
        if let Some((first, at)) = seen.first() {
            let (word, first) = (crate::table::quoted(word), crate::table::quoted(first));
            findings.push(Finding::new(
                &codes::CURRENCIES,
                place.clone(),
                format!("the currency {word} differs from {first} at {at}"),
                "convert prices and rates to one currency",
            ));
        }
        seen.push((word.to_owned(), place));
    }
    findings
}

/// Products for which a rate of freight is given and no freight is counted, where they are on offer, and pallets
/// for which no rate is given.
#[must_use]
pub fn freight(stock: &Stock, rates: &Rates) -> Findings {
    let mut findings = Findings::new();
    let rate = rates.of(Kind::Pallet).each;
    let loose = stock.rolls.iter().filter(|roll| roll.offered && roll.terms.per_pallet.is_none());
    let loose: Vec<&Roll> = loose.collect();
    if let Some(first) = loose.first().filter(|_| rate > Money::ZERO) {
        let names: Vec<String> = loose.iter().map(|roll| crate::table::quoted(&roll.id)).collect();
        let what = format!(
            "a pallet's freight is {} in rates.toml, and none is counted for {}: how many go on one is not said",
            rate.exact(),
            names.join(", ")
        );
        let remedy = "fill in `per_pallet`; leave it if they come without freight";
        findings.push(Finding::new(
            &codes::FREIGHT,
            first.place.field("per_pallet", None),
            what,
            remedy,
        ));
    }
    let on_pallets = |roll: &&Roll| roll.offered && roll.terms.per_pallet.is_some();
    if let Some(first) = stock.rolls.iter().find(on_pallets)
        && rates.of(Kind::Pallet).placeholder
    {
        findings.push(Finding::new(
            &codes::FREIGHT_UNKNOWN,
            first.place.field("per_pallet", None),
            format!(
                "{} comes on pallets, and what the freight of one costs is not said, so none is counted",
                crate::table::quoted(&first.id)
            ),
            "put `pallet` under [freight] into rates.toml, 0 where it comes without freight",
        ));
    }
    findings
}

/// The price of a plan.
///
/// # Errors
/// Findings where prices are missing or currencies mixed.
pub fn price(
    (plan, measured): (&Plan, &Measured<'_>),
    needs: &Needs<'_>,
    shares: Vec<NestShare>,
) -> Result<Cost, Findings> {
    let findings = check(plan, needs.stock, needs.rates);
    if findings.has_errors() {
        return Err(findings);
    }
    let spares = needs.rules.order.spare_rolls;
    let purchase = buy::purchase(plan, &needs.stock.rolls, spares, needs.rates);
    let asked = buy::needs(plan, &needs.stock.rolls, spares, needs.rates);
    if purchase.lines.len() < asked.len() {
        let what = "a roll costs more than can be counted, or fewer can be had than are cut";
        return Err(uncountable(&needs.rates.place, what));
    }
    let work = labour::work((plan, measured), needs.demand, needs.rules.table.square_cut);
    let labour = priced(&work, needs.rates)?;
    let total = purchase.lines.iter().map(Bought::total).chain(labour.iter().map(|l| l.money));
    let total = Money::checked_sum(total).ok_or_else(|| {
        uncountable(&needs.rates.place, "the whole job costs more than can be counted here")
    })?;
    let items = items(plan, needs, (&shares, &purchase), (&work, &labour));
    let waste = shares
        .iter()
        .enumerate()
        .filter_map(|(at, share)| {
            let bought = of_nest(&purchase, at).map(|line| (line.roll.as_str(), line.of_cut()));
            let bought: Vec<_> = bought.collect();
            waste::of_nest(plan, at, share, (&bought, &needs.rules.table))
        })
        .collect();
    let by = |name: &dyn Fn(&Item) -> String| grouped(&needs.takeoff.items, &items, name);
    let mut sizes =
        by(&|item| format!("{} {}, {}", kind(&item.kind), size(&item.kind), item.build));
    sizes.sort_by(|a, b| b.times().total_cmp(&a.times()).then_with(|| a.name.cmp(&b.name)));
    let currency = needs.stock.rolls.iter().map(|roll| roll.terms.currency.as_str());
    let currency = currency.chain([needs.rates.currency.as_str()]).find(|word| !word.is_empty());
    let pallets = purchase.lines.iter().any(|line| line.pallets > 0);
    Ok(Cost {
        currency: currency.unwrap_or_default().to_owned(),
        freight_open: pallets && needs.rates.of(Kind::Pallet).placeholder,
        purchase,
        labour,
        total,
        sizes,
        kinds: by(&|item| kind(&item.kind).to_owned()),
        areas: by(&|item| item.area.clone()),
        lines: by(&|item| item.line.clone()),
        items,
        shares,
        waste,
    })
}

fn of_nest(purchase: &Purchase, nest: usize) -> impl Iterator<Item = &Bought> {
    purchase.lines.iter().filter(move |line| line.nest == nest)
}

/// The finding on an amount that cannot be counted.
fn uncountable(place: &Place, what: impl Into<String>) -> Findings {
    let mut findings = Findings::new();
    let remedy = "look at the prices, the rates and the quantities";
    findings.push(Finding::new(&codes::UNCOUNTABLE, place.clone(), what.into(), remedy));
    findings
}

/// The work of all items, priced; each line rounded to hundredths.
fn priced(work: &BTreeMap<&str, Work>, rates: &Rates) -> Result<Vec<Labour>, Findings> {
    let cut: i128 = work.values().map(|one| one.cut).sum();
    let pieces: u64 = work.values().map(|one| one.pieces).sum();
    let ties: u64 = work.values().map(|one| one.ties).sum();
    let line = |kind: Kind, quantity: i128, under: i128| {
        let rate = rates.of(kind);
        let money = rate.each.times(quantity, under).filter(|money| *money <= Money::MOST);
        let money = money.ok_or_else(|| {
            let key = rates::KEYS.get(kind as usize).map_or("", |key| key.name);
            let what = format!("all work at the rate `{key}` costs more than can be counted here");
            uncountable(&rates.place, what)
        })?;
        Ok(Labour { kind, quantity, each: rate.each, placeholder: rate.placeholder, money })
    };
    // Whole millimetres, half to even, are what is shown and what is paid for.
    let (mm, rest) = (cut / 1_000_000, cut % 1_000_000);
    let up = rest > 500_000 || (rest == 500_000 && mm % 2 != 0);
    let lines = [
        line(Kind::CutMetre, mm + i128::from(up), 1000),
        line(Kind::CutPiece, i128::from(pieces), 1),
        line(Kind::WrapPiece, i128::from(pieces), 1),
        line(Kind::Tie, i128::from(ties), 1),
    ];
    lines.into_iter().collect()
}

/// Every item with what it takes and costs; the sums are those of purchase and labour.
fn items(
    plan: &Plan,
    needs: &Needs<'_>,
    (shares, purchase): (&[NestShare], &Purchase),
    (work, labour): (&BTreeMap<&str, Work>, &[Labour]),
) -> Vec<Group> {
    let takeoff = &needs.takeoff.items;
    // What is cut already, or wanted by a later release, is not in the price.
    let whole = plan.already.is_none() && plan.up_to.is_none();
    let begun = |item: &Item| {
        let (others, pipe) = match &item.kind {
            takeoff::Kind::Pipe(pipe) => {
                (0, i128::from(pipe.length.nm()) * i128::from(item.quantity))
            }
            _ => (item.quantity, 0),
        };
        let (others, pipe) = if whole { (others, pipe) } else { (0, 0) };
        Group { name: item.id.clone(), others, pipe, ..Group::default() }
    };
    let mut groups: Vec<Group> = takeoff.iter().map(begun).collect();
    let at: BTreeMap<&str, usize> =
        takeoff.iter().enumerate().map(|(at, item)| (item.id.as_str(), at)).collect();
    for piece in &plan.pieces {
        for used in &piece.uses {
            if let Some(group) = at.get(used.item.as_str()).and_then(|&at| groups.get_mut(at)) {
                group.pieces += used.quantity;
                group.plain += share::plain(piece) * i128::from(used.quantity);
            }
        }
    }
    for (nest, share) in shares.iter().enumerate() {
        let weights = |item: &Item| share.items.get(&item.id).copied().unwrap_or(0);
        let mut weights: Vec<i128> = takeoff.iter().map(weights).collect();
        for (group, weight) in groups.iter_mut().zip(&weights) {
            group.taken += share.area(*weight);
        }
        if weights.iter().all(|weight| *weight == 0) {
            // Where its rolls cost nothing there is nothing to share but freight, which goes by area.
            weights = areas(plan, nest, takeoff);
        }
        let cut: Money = of_nest(purchase, nest).map(Bought::of_cut).sum();
        let whole: Money = of_nest(purchase, nest).map(|line| line.price).sum();
        let freight: Money = of_nest(purchase, nest).map(|line| line.freight).sum();
        let linear = cut.times(share.linear(), share.value).unwrap_or(cut);
        give(&mut groups, linear, &weights, |amounts| &mut amounts.blanket);
        give(&mut groups, whole - linear, &weights, |amounts| &mut amounts.rounding);
        give(&mut groups, freight, &weights, |amounts| &mut amounts.freight);
    }
    let done = |item: &Item| work.get(item.id.as_str()).copied().unwrap_or_default();
    for line in labour {
        let weight = |item: &Item| match line.kind {
            Kind::CutMetre => done(item).cut,
            Kind::Tie => i128::from(done(item).ties),
            Kind::CutPiece | Kind::WrapPiece | Kind::Pallet => i128::from(done(item).pieces),
        };
        let weights: Vec<i128> = takeoff.iter().map(weight).collect();
        give(&mut groups, line.money, &weights, |amounts| match line.kind {
            Kind::CutMetre | Kind::CutPiece => &mut amounts.cutting,
            Kind::WrapPiece | Kind::Tie | Kind::Pallet => &mut amounts.wrapping,
        });
    }
    groups
}

/// Shares an amount out in hundredths.
fn give(
    groups: &mut [Group],
    money: Money,
    weights: &[i128],
    to: impl Fn(&mut Amounts) -> &mut Money,
) {
    let shares = spread(i128::from(money.whole_cents()), weights);
    for (group, cents) in groups.iter_mut().zip(shares) {
        *to(&mut group.amounts) += from_cents(cents);
    }
}

/// Plain area of each item's pieces in one nest, as weights.
fn areas(plan: &Plan, nest: usize, takeoff: &[Item]) -> Vec<i128> {
    let mut sums: BTreeMap<&str, i128> = BTreeMap::new();
    for piece in plan.pieces.iter().filter(|piece| piece.nest == nest) {
        for used in &piece.uses {
            let area = share::plain(piece) * i128::from(used.quantity);
            *sums.entry(used.item.as_str()).or_default() += area.nm2();
        }
    }
    takeoff.iter().map(|item| sums.get(item.id.as_str()).copied().unwrap_or(0)).collect()
}

/// Items put together by a name, in the order of the names.
fn grouped(takeoff: &[Item], items: &[Group], name: &dyn Fn(&Item) -> String) -> Vec<Group> {
    let mut groups: BTreeMap<String, Group> = BTreeMap::new();
    for (item, group) in takeoff.iter().zip(items) {
        let name = name(item);
        let sum = groups.entry(name.clone()).or_insert(Group { name, ..Group::default() });
        sum.join(group);
    }
    groups.into_values().collect()
}

/// The word for a kind.
#[must_use]
pub const fn kind(kind: &takeoff::Kind) -> &'static str {
    match kind {
        takeoff::Kind::Pipe(_) => "pipe",
        takeoff::Kind::Elbow(_) => "elbow",
        takeoff::Kind::Tee(_) => "tee",
        takeoff::Kind::Reducer(_) => "reducer",
        takeoff::Kind::Cap(_) => "cap",
        takeoff::Kind::Flange(_) => "flange",
        takeoff::Kind::Valve(_) => "valve",
        takeoff::Kind::Shell(_) => "shell",
        takeoff::Kind::Head(_) => "head",
        takeoff::Kind::Disc(_) => "disc",
    }
}

/// An item's size in words, with what else decides what one of it, or a metre, costs; numbers without a unit are
/// millimetres, as those of a takeoff.
#[must_use]
pub fn size(kind: &takeoff::Kind) -> String {
    match kind {
        takeoff::Kind::Pipe(pipe) => pipe.size.text.clone(),
        takeoff::Kind::Elbow(elbow) => {
            let (size, angle) = (&elbow.size.text, elbow.angle);
            format!("{size}, {angle} degrees, radius {}", elbow.radius)
        }
        takeoff::Kind::Tee(tee) => {
            let branch = match &tee.branch {
                branch if *branch == tee.run => String::new(),
                branch => format!(" x {}", branch.text),
            };
            format!("{}{branch}, {} degrees", tee.run.text, tee.angle)
        }
        takeoff::Kind::Reducer(part) => {
            let hand = if part.eccentric { ", eccentric" } else { "" };
            format!("{} x {}{hand}", part.large.text, part.small.text)
        }
        takeoff::Kind::Cap(cap) => cap.size.text.clone(),
        takeoff::Kind::Flange(flange) => {
            let bare = match flange.bare {
                Bare::Covered => "",
                Bare::Blind => ", blind",
                Bare::Uninsulated | Bare::Closed | Bare::Flush => ", left bare",
            };
            format!("{}, {} across{bare}", flange.size.text, flange.diameter)
        }
        takeoff::Kind::Valve(valve) => {
            format!("{}, {} face to face", valve.flange.size.text, valve.face_to_face)
        }
        takeoff::Kind::Shell(shell) => format!("OD {}", shell.diameter),
        takeoff::Kind::Head(head) => {
            format!("OD {}, {}", head.diameter, head.form.word())
        }
        takeoff::Kind::Disc(disc) if disc.inside.is_positive() => {
            format!("OD {}, ID {}", disc.outside, disc.inside)
        }
        takeoff::Kind::Disc(disc) => format!("OD {}", disc.outside),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: of two neighbours as near the even one, else the nearer.
    #[test]
    fn half_a_millimetre_of_a_cut_is_rounded_to_the_even_one() {
        for (nm, mm) in [
            (1_000_500_000, 1000),
            (1_001_500_000, 1002),
            (1_000_500_001, 1001),
            (1_001_499_999, 1001),
        ] {
            let work = [("P-1", Work { cut: nm, ..Work::default() })].into();
            let lines = priced(&work, &Rates::default()).unwrap();
            assert_eq!((lines[0].kind, lines[0].quantity), (Kind::CutMetre, mm), "{nm}");
        }
    }
}
