//! The order: the fewest rolls beside the cheapest, with what each proves.
//!
//! The cheapest is looked for over all counts of all products, priced as they would be bought (breaks,
//! minimum orders, freight, spares): [`nest::mix`](crate::nest::mix) for each thickness by itself, since no price of
//! one depends on another's count.
//!
//! Courses are as wide as the widest roll allows, so what is to be cut depends on what is ordered. An
//! order without the widest rolls of a thickness is one for the courses that the others allow: every
//! such *way* (in each thickness a greatest width) is a job of its own; there may be more of them than are looked
//! at, and then no bound holds for all. A way whose bound reaches the
//! cheapest found is ruled out without being cut. Where so few of the widest rolls can be had that no way was found to
//! cut the job with courses as wide as they are, the fewest rolls are those of the first way that suffices, and what
//! there is of the wider ones is cut from all the same. Steps: the fewest rolls; for each way the bounds of
//! its thicknesses, then, where together they leave room, the cheapest order of each; the best way. Where
//! both answers are the same order, the better cut of the two stands for both, and so does the cheapest where it has
//! fewer rolls than were found when fewest were looked for, or as many for less.

use super::change::cheapest;
use super::solve::{Setup, Solved, Trouble, assembled, sheets, solve};
use crate::cost::market::{Offers, fewer};
use crate::cost::{self, Needs, share};
use crate::cutting::Objective;
use crate::demand::Demand;
use crate::nest::mix::{Market, Mixed, NEVER, Programme};
use crate::nest::{Instance, NestError, Nesting, Options, Watch};
use crate::plan::{Measured, Wanted};
use crate::stock::Roll;
use crate::units::{Length, Money};
use rayon::prelude::*;
use std::cmp::Ordering;
use std::collections::{BTreeMap, BTreeSet};

/// The order studied.
#[derive(Clone, Debug)]
pub struct Study {
    /// The fewest rolls.
    pub fewest: Solved,
    /// The cheapest that was found, freight included.
    pub cheapest: Solved,
    /// No order costs less, whatever the breaks, minimums and freight.
    pub bound: Money,
    /// Whether the cheapest is cut for narrower rolls than the fewest, and leaves the wider ones out.
    pub narrower: bool,
    /// Rolls that the cheapest is cut from, though no courses are laid out for them in it.
    pub uncoursed: Vec<String>,
    /// Of what too little can be had, so that both are cut for narrower rolls than the widest on offer.
    pub short: Vec<Short>,
    /// Orders for one thickness that would be cheaper and are neither ruled out nor cut, cheapest first.
    pub open: Vec<Open>,
    /// Whether these are all there are.
    pub all: bool,
    /// Where there are more ways to lay out courses than were asked for, so many were: of the others nothing is known.
    pub unseen: Option<usize>,
    /// What is known of orders with more of the spares asked for.
    pub more_spares: MoreSpares,
    /// Orders that were ruled out one by one.
    pub tried: u32,
    /// Whether somebody, or the clock, ended the search before it was done.
    pub stopped: bool,
    /// What more or fewer rolls would mean, by nest of `fewest`.
    pub steps: Vec<Steps>,
    /// What one more or one less of each product of the cheapest order would mean.
    pub beside: Vec<Beside>,
}

/// What is known of orders that have more of the spares asked for than the cheapest.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MoreSpares {
    /// There are none.
    RuledOut,
    /// None was found; there may be some.
    NotFound,
}

/// A thickness of which the widest rolls are so few that courses are laid out for narrower ones.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Short {
    /// The thickness.
    pub thickness: Length,
    /// The rolls that no courses are laid out for, and how many of each can be had.
    pub wider: Vec<(String, Option<u64>)>,
    /// The widest of those that courses are laid out for.
    pub laid: Vec<String>,
}

/// What one more or one less roll of a thickness would mean for the fewest.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Steps {
    /// Index into the plan's nests.
    pub nest: usize,
    /// Rolls that are cut.
    pub rolls: u64,
    /// What the linear programme needs, in thousand-millionths of a roll.
    pub needed: i128,
    /// Whether one less is ruled out.
    pub proven: bool,
    /// The least that the bound leaves.
    pub bound: u64,
}

/// An order for one thickness that is neither ruled out nor cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Open {
    /// The thickness.
    pub thickness: Option<Length>,
    /// Products and how many of each.
    pub rolls: Vec<(String, u64)>,
    /// What it costs.
    pub cost: Money,
    /// What the whole order costs at least with it.
    pub total: Money,
}

/// Whether an order with one roll less would do.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Less {
    /// The pieces do not fit; by at least so many hundredths of such a roll, where that is known.
    RuledOut(Option<u64>),
    /// It would go without spares that are asked for, so it is none.
    Unspared,
    /// Nobody knows.
    Open,
}

/// What one more or one less of a product of the cheapest order would mean.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Beside {
    /// Index into the plan's nests.
    pub nest: usize,
    /// The product.
    pub roll: String,
    /// How many are cut.
    pub cut: u64,
    /// How many are bought: spares, minimum orders and price breaks included.
    pub bought: u64,
    /// Whether one less would do.
    pub less: Less,
    /// What one less that is cut would save.
    pub saves: Money,
    /// What one more than is bought costs; `None` where it is not to be had.
    pub costs: Option<Money>,
}

impl Study {
    /// What the cheapest order costs, rolls and freight.
    #[must_use]
    pub fn price(&self) -> Money {
        paid(&self.cheapest)
    }

    /// Where fewer rolls were found when the cheapest were looked for, counts them.
    fn recount(&mut self) {
        for steps in &mut self.steps {
            let lines = self.fewest.cost.purchase.lines.iter();
            let rolls = lines.filter(|line| line.nest == steps.nest).map(|line| line.cut).sum();
            if rolls < steps.rolls {
                (steps.rolls, steps.proven) = (rolls, rolls <= steps.bound);
            }
        }
    }

    /// Whether no order has more of the spares asked for, and none with as many costs less.
    #[must_use]
    pub fn proven(&self) -> bool {
        self.all && self.more_spares == MoreSpares::RuledOut && self.price() <= self.bound
    }
}

/// What is paid for rolls and their freight.
fn paid(solved: &Solved) -> Money {
    solved.cost.purchase.rolls() + solved.cost.purchase.freight()
}

/// What everything costs, labour included, less the offcuts that are kept.
fn comes_to(solved: &Solved) -> Money {
    solved.cost.total - solved.cost.kept()
}

/// How many rolls are cut.
fn cut(solved: &Solved) -> u64 {
    solved.cost.purchase.lines.iter().map(|line| line.cut).sum()
}

/// Whether two answers buy the same rolls and the first is cut better: no more of them are cut, and all
/// comes to less.
pub(super) fn cut_better(a: &Solved, b: &Solved) -> bool {
    let bought = |solved: &Solved| -> Vec<(usize, String, u64)> {
        let lines = solved.cost.purchase.lines.iter();
        lines.map(|line| (line.nest, line.roll.clone(), line.count())).collect()
    };
    bought(a) == bought(b) && cut(a) <= cut(b) && comes_to(a) < comes_to(b)
}

/// Whether an answer to the same pieces is a better one to how few rolls will do, and costs no more: fewer are cut, or
/// as many for less, or the same rolls are cut better.
pub(super) fn better_for_both(a: &Solved, b: &Solved) -> bool {
    match cut(a).cmp(&cut(b)) {
        Ordering::Less => paid(a) <= paid(b),
        Ordering::Equal => paid(a) < paid(b) || cut_better(a, b),
        Ordering::Greater => false,
    }
}

/// Studies the order of a job.
///
/// # Errors
/// See [`Trouble`].
pub fn study(base: &Setup, options: &Options, watch: &dyn Watch) -> Result<Study, Trouble> {
    let mut listed = base.clone();
    cheapest(&mut listed);
    let every_sheet = sheets(&listed)?.1;
    let wanted: BTreeSet<Length> = every_sheet.iter().filter_map(|sheet| sheet.thickness).collect();
    let asked = |sheet: &Wanted| {
        (sheet.thickness, Offers::new(sheet, &listed.stock, &listed.rates).needed())
    };
    // As many as any product of a thickness could give; fewer where no order with so many is found.
    let mut needed: Spares = every_sheet.iter().map(asked).collect();
    let (ways, every) = ways(&listed, &wanted);
    let few = Options { work: options.work / FEWEST, ..*options };
    let (fewest, first, scarce) = fewest(base, &ways, &few, watch)?;
    let searched = |needed: &Spares| {
        let mut search = Search::new((options, watch), base, &fewest, needed.clone());
        if !every {
            // Of ways that are not looked at nothing is known.
            search.bounds.push(Bounds::NOTHING);
        }
        for (number, way) in ways.iter().enumerate() {
            if watch.stop() {
                search.bounds.push(Bounds::NOTHING);
                continue;
            }
            match search.way(&laid_out(&listed, way, &scarce), against(way, &ways[first])) {
                Ok(()) => {}
                // Courses that the narrower rolls cannot be cut for.
                Err(Trouble::Findings(_)) if number != first => {}
                Err(other) => return Err(other),
            }
        }
        Ok(search)
    };
    let mut search = searched(&needed)?;
    let (mut none, mut ruled_out) = (needed.clone(), true);
    while search.best.is_none() && !search.has_needed(&fewest) && !watch.stop() {
        ruled_out &= search.ruled_out();
        let before = needed.clone();
        search.need_less(&mut needed);
        none.extend(before.into_iter().filter(|(of, count)| needed[of] < *count));
        search = searched(&needed)?;
    }
    // Where halves were passed over.
    while let Some(between) = between(&needed, &none).filter(|_| !watch.stop()) {
        let other = searched(&between)?;
        if other.best.is_some() || other.has_needed(&fewest) {
            (needed, search) = (between, other);
        } else {
            ruled_out &= other.ruled_out();
            none = between;
        }
    }
    let steps = (0..fewest.plan.nests.len()).filter_map(|nest| steps(&fewest, nest)).collect();
    let wider = search.best.as_ref().is_some_and(|best| best.way.is_lt());
    let mut study = search.told(steps);
    study.recount();
    study.unseen = (!every).then_some(ways.len());
    if !ruled_out || none.iter().any(|(of, none)| *none > needed[of] + 1) {
        study.more_spares = MoreSpares::NotFound;
    }
    if !wider {
        let setup = laid_out(&listed, &ways[first], &scarce);
        study.short = scarce.iter().map(|&thickness| short(&setup, thickness)).collect();
    }
    Ok(study)
}

/// In each thickness the greatest width that courses are laid out for.
type Way = BTreeMap<Length, Length>;

/// The fewest rolls of the first way whose rolls suffice, as far as that was found; which way that is, and the
/// thicknesses of which those before did not.
fn fewest(
    base: &Setup,
    ways: &[Way],
    options: &Options,
    watch: &dyn Watch,
) -> Result<(Solved, usize, BTreeSet<Length>), Trouble> {
    let mut counting = base.clone();
    counting.rules.order.objective = Objective::Rolls;
    // As wide as these courses are, the rolls did not suffice.
    let mut least: Way = Way::new();
    let mut why = None;
    for (number, way) in ways.iter().enumerate() {
        let narrow = |(thickness, most): (&Length, &Length)| way.get(thickness) < Some(most);
        if !least.iter().all(narrow) {
            continue;
        }
        let scarce: BTreeSet<Length> = least.keys().copied().collect();
        match solve(&laid_out(&counting, way, &scarce), options, watch) {
            Ok(solved) => return Ok((solved, number, scarce)),
            Err(Trouble::Short { thickness: Some(thickness), told })
                if way.contains_key(&thickness) =>
            {
                least.insert(thickness, way[&thickness]);
                why = Some(Trouble::Short { thickness: Some(thickness), told });
            }
            // Courses that the narrower rolls cannot be cut for.
            Err(Trouble::Findings(_)) if number > 0 => {}
            Err(other) => return Err(other),
        }
    }
    Err(why.unwrap_or(Trouble::Stopped))
}

/// What is told of a thickness of which too little can be had, in the job as it is laid out.
fn short(setup: &Setup, thickness: Length) -> Short {
    let rolls = || setup.stock.of(thickness);
    let laid = || rolls().filter(|roll| roll.is_laid_out_for());
    let width = laid().map(|roll| roll.width).max();
    let wider = rolls().filter(|roll| roll.offered && Some(roll.width) > width);
    Short {
        thickness,
        wider: wider.map(|roll| (roll.id.clone(), roll.available)).collect(),
        laid: laid().filter(|roll| Some(roll.width) == width).map(|roll| roll.id.clone()).collect(),
    }
}

/// The fewest rolls, which are mostly proven at once, get this part of the work.
const FEWEST: u64 = 4;

/// The most ways in which rolls are left out.
const WAYS: usize = 64;

/// Courses for all rolls of the thicknesses that are wanted, then without the widest of one of them, of two, and so on:
/// ways with fewer left out come first, no more than [`WAYS`]; whether these are all.
fn ways(listed: &Setup, wanted: &BTreeSet<Length>) -> (Vec<Way>, bool) {
    let mut widths: BTreeMap<Length, BTreeSet<Length>> = BTreeMap::new();
    let laid_out_for = |roll: &&Roll| roll.is_laid_out_for() && wanted.contains(&roll.thickness);
    for roll in listed.stock.rolls.iter().filter(laid_out_for) {
        widths.entry(roll.thickness).or_default().insert(roll.width);
    }
    let widths: Vec<(Length, Vec<Length>)> = widths
        .into_iter()
        .map(|(thickness, widths)| (thickness, widths.into_iter().rev().collect()))
        .collect();
    // How many of the widest are left out by thickness. Each way comes once: from it those follow that leave out one
    // more of the last thickness of which any is left out, or of one behind it.
    let mut narrowed: Vec<Vec<usize>> = vec![vec![0; widths.len()]];
    let mut at = 0;
    while at < narrowed.len() && narrowed.len() <= WAYS {
        let last = narrowed[at].iter().rposition(|&out| out > 0).unwrap_or(0);
        for which in last..widths.len() {
            if narrowed[at][which] + 1 < widths[which].1.len() {
                let mut next = narrowed[at].clone();
                next[which] += 1;
                narrowed.push(next);
            }
        }
        at += 1;
    }
    let every = narrowed.len() <= WAYS;
    let way = |out: &Vec<usize>| {
        widths
            .iter()
            .zip(out)
            .map(|((thickness, widths), &out)| (*thickness, widths[out]))
            .collect()
    };
    (narrowed.iter().take(WAYS).map(way).collect(), every)
}

/// How a way stands to that of the fewest rolls: less where it has wider courses of a thickness, greater where it has
/// only narrower ones.
fn against(way: &Way, fewest: &Way) -> Ordering {
    if way == fewest {
        return Ordering::Equal;
    }
    let wider =
        way.iter().any(|(thickness, width)| fewest.get(thickness).is_some_and(|w| width > w));
    if wider { Ordering::Less } else { Ordering::Greater }
}

/// A job with courses laid out for no rolls wider than a way says. Wider ones are left out, or, of a thickness of
/// which too little can be had, only cut from.
fn laid_out(listed: &Setup, way: &Way, scarce: &BTreeSet<Length>) -> Setup {
    let mut setup = listed.clone();
    let wider = |roll: &Roll| way.get(&roll.thickness).is_some_and(|most| roll.width > *most);
    setup
        .stock
        .rolls
        .retain(|roll| !wider(roll) || !roll.is_laid_out_for() || scarce.contains(&roll.thickness));
    for roll in setup.stock.rolls.iter_mut().filter(|roll| wider(roll)) {
        roll.courses = false;
    }
    setup
}

/// How many spares, by thickness.
type Spares = BTreeMap<Option<Length>, u64>;

/// Of one thickness as many as lie halfway between those that an order has and those that none was found with.
fn between(needed: &Spares, none: &Spares) -> Option<Spares> {
    let halfway = |(of, had): (&Option<Length>, &u64)| {
        let more = none[of].saturating_sub(*had) / 2;
        (more > 0).then(|| (*of, had + more))
    };
    let (of, count) = needed.iter().find_map(halfway)?;
    let mut between = needed.clone();
    between.insert(of, count);
    Some(between)
}

/// What an order costs at most of which nothing is known; all thicknesses together stay below [`NEVER`].
const UNKNOWN: i64 = NEVER / 16;

/// How many of the spares asked for an answer does without, by thickness.
fn missing(setup: &Setup, solved: &Solved) -> Spares {
    let asked = setup.rules.order.spare_rolls;
    let mut missing = Spares::new();
    for needed in cost::buy::needs(&solved.plan, &setup.stock.rolls, asked, &setup.rates) {
        let thickness = solved.plan.nests.get(needed.nest).and_then(|nest| nest.thickness);
        *missing.entry(thickness).or_default() += needed.missing;
    }
    missing
}

/// The search over ways.
struct Search<'s> {
    options: &'s Options,
    watch: &'s dyn Watch,
    base: &'s Setup,
    /// How many an order must have.
    needed: Spares,
    /// Thicknesses of which some way has an order with the spares, or may have one.
    spared: BTreeSet<Option<Length>>,
    fewest: &'s Solved,
    best: Option<Best>,
    /// What the cheapest order found costs.
    least: i64,
    /// What was solved, by [`nameless`] instance, with the cost below which it was.
    known: Vec<(Instance, i64, Mixed)>,
    /// What is known of each way.
    bounds: Vec<Bounds>,
}

/// The cheapest way.
struct Best {
    solved: Solved,
    /// Which way it is, against that of the fewest rolls.
    way: Ordering,
    /// Rolls that no courses are laid out for.
    uncoursed: Vec<String>,
    beside: Vec<Beside>,
}

/// What is known of one way.
struct Bounds {
    /// By thickness.
    least: Vec<i64>,
    open: Vec<Open>,
    all: bool,
    tried: u32,
}

impl Bounds {
    /// Of a way that was not looked at.
    const NOTHING: Self = Self { least: Vec::new(), open: Vec::new(), all: false, tried: 0 };

    /// What an order of this way costs at least.
    fn total(&self) -> i64 {
        self.least.iter().sum()
    }
}

impl<'s> Search<'s> {
    fn new(
        (options, watch): (&'s Options, &'s dyn Watch),
        base: &'s Setup,
        fewest: &'s Solved,
        needed: Spares,
    ) -> Self {
        let (best, spared) = (None, BTreeSet::new());
        let (least, known, bounds) = (UNKNOWN, Vec::new(), Vec::new());
        let mut new =
            Self { options, watch, base, needed, spared, fewest, best, least, known, bounds };
        // One that does without spares is no order to be compared with those that have them.
        if new.has_needed(fewest) {
            new.least = paid(fewest).micros();
        }
        new
    }

    /// Whether an answer has the spares that orders must have.
    fn has_needed(&self, solved: &Solved) -> bool {
        let asked = self.base.rules.order.spare_rolls;
        let missing = missing(self.base, solved);
        missing.iter().all(|(of, missing)| *missing <= asked.saturating_sub(self.needed_of(*of)))
    }

    /// How many spares of a thickness an order must have.
    fn needed_of(&self, thickness: Option<Length>) -> u64 {
        self.needed.get(&thickness).copied().unwrap_or(0)
    }

    /// Asks for fewer spares of the thicknesses of which no way has an order with so many; of all, where each has one.
    fn need_less(&self, needed: &mut Spares) {
        let without = |of: &(&Option<Length>, &mut u64)| *of.1 > 0 && !self.spared.contains(of.0);
        let less = needed.iter_mut().filter(without).map(|(_, count)| *count = fewer(*count));
        if less.count() == 0 {
            for count in needed.values_mut() {
                *count = fewer(*count);
            }
        }
    }

    /// Whether no way has an order with the spares: none below what an order costs at most.
    fn ruled_out(&self) -> bool {
        let none = |way: &Bounds| way.total() >= UNKNOWN;
        self.bounds.iter().all(none)
    }

    /// Looks at a way; `against` says where it stands to that of the fewest rolls.
    fn way(&mut self, setup: &Setup, against: Ordering) -> Result<(), Trouble> {
        let other = against.is_ne();
        let (demand, sheets) = sheets(setup)?;
        let instances: Vec<Instance> = sheets.iter().map(Wanted::instance).collect();
        let offers = |sheet: &Wanted| {
            let needed = self.needed_of(sheet.thickness);
            Offers::new(sheet, &setup.stock, &setup.rates).needing(needed)
        };
        let offers: Vec<Offers<'_>> = sheets.iter().map(offers).collect();
        let mut programmes: Vec<Programme<'_>> = instances
            .iter()
            .zip(&offers)
            .map(|(instance, offers)| Programme::new(instance, offers, self.options))
            .collect();
        let (below, watch) = (self.least, self.watch);
        let mut least: Vec<i64> =
            programmes.par_iter_mut().map(|one| one.bound(below, watch)).collect();
        let mut known = Bounds { least: least.clone(), open: Vec::new(), all: true, tried: 0 };
        let may = |(sheet, &least): (&Wanted, &i64)| (least < below).then_some(sheet.thickness);
        // Spares of a thickness that cannot be had.
        let none = |(&least, offers): (&i64, &Offers<'_>)| least >= UNKNOWN && offers.needed() > 0;
        let none = least.iter().zip(&offers).any(none);
        if none || least.iter().sum::<i64>() >= self.least && (self.best.is_some() || other) {
            self.spared.extend(sheets.iter().zip(&least).filter_map(may));
            self.bounds.push(known);
            return Ok(());
        }
        if watch.stop() {
            self.bounds.push(Bounds { all: false, ..known });
            return Ok(());
        }
        // What a thickness may cost where the others cost as little as they can.
        let room: Vec<i64> =
            (0..least.len()).map(|at| self.least - least.iter().sum::<i64>() + least[at]).collect();
        let found: Vec<Result<Mixed, NestError>> = programmes
            .par_iter_mut()
            .enumerate()
            .map(|(at, one)| match self.kept(&instances[at], room[at]) {
                Some(mixed) => Ok(mixed.clone()),
                None => one.solve(room[at].saturating_add(1), watch),
            })
            .collect();
        let mut mixed = Vec::with_capacity(found.len());
        for (sheet, one) in sheets.iter().zip(found) {
            match one {
                Ok(one) => mixed.push(one),
                // Other rolls that cannot hold the pieces are no order.
                Err(NestError::PieceFitsNoRoll { .. }) if other => return Ok(()),
                Err(_) if other || watch.stop() => {
                    self.bounds.push(Bounds { all: false, ..known });
                    return Ok(());
                }
                Err(why) => return Err(Trouble::of_nest(&why, sheet, &setup.stock)),
            }
        }
        for (least, one) in least.iter_mut().zip(&mixed) {
            *least = one.bound.max(*least);
        }
        known.all = mixed.iter().all(|one| one.all);
        known.tried = mixed.iter().map(|one| one.tried).sum();
        known.open = open(&sheets, &mixed, &least);
        known.least = least;
        for ((instance, one), room) in instances.iter().zip(&mixed).zip(&room) {
            self.known.push((nameless(instance), *room, one.clone()));
        }
        self.bounds.push(known);
        let found = |(sheet, one): (&Wanted, &Mixed)| (one.cost < NEVER).then_some(sheet.thickness);
        self.spared.extend(sheets.iter().zip(&mixed).filter_map(found));
        let without =
            |(one, offers): (&Mixed, &Offers<'_>)| one.cost >= NEVER && offers.needed() > 0;
        if mixed.iter().zip(&offers).any(without) {
            return Ok(());
        }
        let cost: i64 = mixed.iter().map(|one| one.cost).sum();
        if cost < self.least || self.best.is_none() {
            self.least = self.least.min(cost);
            let mut solved = whole(setup, demand, sheets, &mixed, (self.options, watch))?;
            // With courses for other rolls the pieces are others.
            if !other && cut_better(self.fewest, &solved) {
                solved = self.fewest.clone();
            }
            let beside = beside(&mut programmes, (&offers, &solved), &mixed);
            let coursed = |id: &str| self.base.stock.rolls.iter().any(|r| r.id == id && r.courses);
            let uncoursed = setup.stock.rolls.iter().filter(|r| !r.courses && coursed(&r.id));
            let uncoursed = uncoursed.map(|roll| roll.id.clone()).collect();
            self.best = Some(Best { solved, way: against, uncoursed, beside });
        }
        Ok(())
    }

    /// The answer to what was solved before with as much room, or to its end, or came to less than the room it
    /// had: then more would change nothing, as only what is cheaper than the best found is looked at.
    fn kept(&self, instance: &Instance, room: i64) -> Option<&Mixed> {
        let instance = nameless(instance);
        let same = |known: &&(Instance, i64, Mixed)| {
            let (had, mixed) = (known.1, &known.2);
            let enough = had >= room || mixed.bound == mixed.cost || mixed.cost <= had;
            known.0 == instance && enough
        };
        self.known.iter().find(same).map(|known| &known.2)
    }

    fn told(mut self, steps: Vec<Steps>) -> Study {
        let fewest = self.fewest.clone();
        let (base, best) = (self.base, self.best.take());
        let lacking = |solved: &Solved| missing(base, solved).values().sum::<u64>();
        let rank = |solved: &Solved| (lacking(solved), paid(solved));
        let best = match best {
            Some(best) if rank(&best.solved) <= rank(&fewest) => best,
            _ => Best {
                solved: fewest.clone(),
                way: Ordering::Equal,
                uncoursed: Vec::new(),
                beside: Vec::new(),
            },
        };
        // What is known of orders with spares says nothing of one that does without.
        if !self.has_needed(&best.solved) {
            self.bounds.push(Bounds::NOTHING);
        }
        let better = best.way.is_eq() && better_for_both(&best.solved, &fewest);
        let fewest = if better { best.solved.clone() } else { fewest };
        let price = paid(&best.solved);
        let bound = self.bounds.iter().map(Bounds::total).min().unwrap_or(0);
        let mut open: Vec<Open> =
            self.bounds.iter().flat_map(|way| way.open.iter().cloned()).collect();
        open.retain(|open| open.total < price);
        // Several ways can hold the same order of one thickness; the one with the least total counts.
        let key = |open: &Open| (open.thickness, open.rolls.clone());
        open.sort_by_key(|open| (key(open), open.total));
        open.dedup_by_key(|open| key(open));
        open.sort_by_key(|open| (open.total, open.rolls.clone()));
        let all = self.bounds.iter().all(|way| way.all || Money::from_micros(way.total()) >= price);
        Study {
            bound: Money::from_micros(bound).min(price),
            narrower: best.way.is_gt(),
            uncoursed: best.uncoursed,
            short: Vec::new(),
            beside: best.beside,
            cheapest: best.solved,
            open,
            all,
            unseen: None,
            more_spares: MoreSpares::RuledOut,
            tried: self.bounds.iter().map(|way| way.tried).sum(),
            stopped: self.watch.stop(),
            fewest,
            steps,
        }
    }
}

/// An instance without names: pieces of one thickness have other codes where those of another are others.
fn nameless(instance: &Instance) -> Instance {
    let mut instance = instance.clone();
    instance.name.clear();
    for piece in &mut instance.pieces {
        piece.id.clear();
    }
    instance
}

/// What was left open in one way.
fn open(sheets: &[Wanted], mixed: &[Mixed], least: &[i64]) -> Vec<Open> {
    let all: i64 = least.iter().sum();
    let of = |at: usize| {
        let (sheet, others) = (&sheets[at], all - least[at]);
        mixed[at].open.iter().map(move |open| Open {
            thickness: sheet.thickness,
            rolls: sheet
                .rolls
                .iter()
                .zip(&open.counts)
                .filter(|(roll, count)| !roll.shelf && **count > 0)
                .map(|(roll, count)| (roll.id.clone(), *count))
                .collect(),
            cost: Money::from_micros(open.cost),
            total: Money::from_micros(open.cost + others),
        })
    };
    (0..mixed.len()).flat_map(of).collect()
}

/// One roll less and one more of each product of the cheapest order.
fn beside(
    programmes: &mut [Programme<'_>],
    (offers, solved): (&[Offers<'_>], &Solved),
    mixed: &[Mixed],
) -> Vec<Beside> {
    let mut all = Vec::new();
    for (nest, one) in mixed.iter().enumerate() {
        let rolls = &solved.sheets[nest].rolls;
        let mut cut = vec![0_u64; rolls.len()];
        for used in solved.plan.rolls.iter().filter(|used| used.nest == nest) {
            if let Some(at) = rolls.iter().position(|roll| roll.id == used.roll) {
                cut[at] += used.copies;
            }
        }
        let market = &offers[nest];
        let any = market.with_any_spares();
        for k in (0..cut.len()).filter(|&k| cut[k] > 0 && !market.shelf(k)) {
            let bought = market.bought(k, &cut).unwrap_or(cut[k]);
            let mut less = cut.clone();
            less[k] -= 1;
            let (cost, fewer) = (any.together(&cut), any.together(&less));
            let of_bought = market.offer(k, bought).map_or(0, |(_, cost)| cost);
            let short = programmes[nest].short(&less, k);
            let with_spares = market.together(&less);
            let proven = one.bound == one.cost && with_spares < cost;
            all.push(Beside {
                nest,
                roll: rolls[k].id.clone(),
                cut: cut[k],
                bought,
                less: match short {
                    Some(hundredths) => Less::RuledOut(Some(hundredths)),
                    None if with_spares >= NEVER => Less::Unspared,
                    None if proven => Less::RuledOut(None),
                    None => Less::Open,
                },
                saves: Money::from_micros(cost - fewer),
                costs: market
                    .offer(k, bought + 1)
                    .map(|(_, more)| Money::from_micros(more - of_bought)),
            });
        }
    }
    all
}

/// The way's answers as a plan that passed the audit, with its price.
fn whole(
    setup: &Setup,
    demand: Demand,
    sheets: Vec<Wanted>,
    mixed: &[Mixed],
    (options, watch): (&Options, &dyn Watch),
) -> Result<Solved, Trouble> {
    let nestings = mixed.iter().map(|one| one.nesting.clone());
    let nested: Vec<(Wanted, Nesting)> = sheets.iter().cloned().zip(nestings).collect();
    let plan = assembled(setup, (&demand, &sheets), &nested, options, watch)?;
    let shares = share::unshared(&plan, &sheets);
    let Setup { rules, takeoff, stock, rates, .. } = setup;
    let needs = Needs { takeoff, stock, rules, demand: &demand, rates };
    let cost =
        cost::price((&plan, &Measured::of(&plan)), &needs, shares).map_err(Trouble::Findings)?;
    Ok(Solved { demand, sheets, plan, cost })
}

fn steps(solved: &Solved, nest: usize) -> Option<Steps> {
    let of = solved.plan.nests.get(nest)?;
    let share = solved.cost.shares.get(nest)?;
    let lines = solved.cost.purchase.lines.iter().filter(|line| line.nest == nest);
    Some(Steps {
        nest,
        rolls: lines.map(|line| line.cut).sum(),
        needed: share.linear(),
        proven: of.value <= of.bound,
        bound: u64::try_from(of.bound.millionths() / 1_000_000).unwrap_or(0),
    })
}
