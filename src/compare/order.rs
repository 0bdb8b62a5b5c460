//! The order: the fewest rolls beside the cheapest, with what each proves.
//!
//! The engine finds the least sum of fixed prices. Price breaks, minimum orders and freight are not
//! of that form, so it is asked three times: for the fewest rolls, for the least at list prices, and
//! for the least as if every product had its lowest break. Each answer is then priced as it would be
//! bought, and the cheapest is shown. The third question also gives the bound: nothing can cost less
//! than the least at the lowest prices that anybody offers.
//!
//! Courses are as wide as the widest roll allows, so pieces cut for wide rolls do not fit narrow ones.
//! The job is therefore also cut without the widest rolls of each thickness, in every combination; where that is cheapest,
//! it is shown, and the bound, which holds for pieces cut for the widest, says nothing about it.

use super::change::cheapest;
use super::solve::{Setup, Solved, Trouble, solve, sums};
use crate::cutting::Objective;
use crate::nest::{Options, Watch};
use crate::units::{Length, Money};
use std::collections::{BTreeMap, BTreeSet};

/// The order studied.
#[derive(Clone, Debug)]
pub struct Study {
    /// The fewest rolls.
    pub fewest: Solved,
    /// The cheapest that was found, freight included.
    pub cheapest: Solved,
    /// No purchase of rolls costs less, whatever the breaks, minimums and freight.
    pub bound: Money,
    /// Whether the cheapest is cut for narrower rolls than the widest on offer.
    pub narrower: bool,
    /// What more or fewer rolls would mean, by nest of `fewest`.
    pub steps: Vec<Steps>,
}

/// What one more or one less roll of a thickness would mean.
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
    /// Price of one more of the product of which most is cut, at its present break.
    pub one: Money,
}

impl Study {
    /// What the cheapest order costs, rolls and freight.
    #[must_use]
    pub fn price(&self) -> Money {
        self.cheapest.cost.purchase.rolls() + self.cheapest.cost.purchase.freight()
    }

    /// What the rolls that are cut cost, without spares and freight: what the bound is held against.
    #[must_use]
    pub fn cut(&self) -> Money {
        let lines = self.cheapest.cost.purchase.lines.iter();
        let each = |line: &crate::cost::Bought| line.each * i64::try_from(line.cut).unwrap_or(0);
        lines.map(each).sum()
    }

    /// Whether no order costs less: the bound is reached, and nothing but the rolls that are cut is
    /// paid for.
    #[must_use]
    pub fn proven(&self) -> bool {
        let purchase = &self.cheapest.cost.purchase;
        let extras = purchase.lines.iter().any(|line| line.more > 0);
        !self.narrower && self.cut() <= self.bound && !extras && purchase.freight() == Money::ZERO
    }
}

/// Studies the order of a job.
///
/// # Errors
/// See [`Trouble`].
pub fn study(base: &Setup, options: &Options, watch: &dyn Watch) -> Result<Study, Trouble> {
    let mut counting = base.clone();
    counting.rules.order.objective = Objective::Rolls;
    let fewest = solve(&counting, options, watch)?;
    let mut listed = base.clone();
    cheapest(&mut listed);
    let at_list = sums(&listed, options, watch)?;
    let breaks = base.stock.rolls.iter().any(|roll| !roll.terms.breaks.is_empty());
    let at_lowest = if breaks { Some(lowest(base, options, watch)?) } else { None };
    let bound = at_lowest.as_ref().map_or_else(|| bound_of(&at_list), |(_, bound)| *bound);
    let all = [Some(fewest.clone()), Some(at_list), at_lowest.map(|(solved, _)| solved)];
    let paid = |solved: &Solved| solved.cost.purchase.rolls() + solved.cost.purchase.freight();
    let key = |solved: &Solved| (paid(solved), solved.cost.purchase.count());
    let wide = all.into_iter().flatten().min_by_key(&key).unwrap_or_else(|| fewest.clone());
    let narrow = narrow(&listed, options, watch)?.into_iter().min_by_key(&key);
    let (cheapest, narrower) = match narrow {
        Some(narrow) if key(&narrow) < key(&wide) => (narrow, true),
        _ => (wide, false),
    };
    let steps = (0..fewest.plan.nests.len()).filter_map(|nest| steps(&fewest, nest)).collect();
    Ok(Study { fewest, cheapest, bound, narrower, steps })
}

/// The most ways in which rolls are left out.
const WAYS: usize = 15;

/// The job cut without the widest rolls of some thicknesses, in every combination (at most [`WAYS`]);
/// those that cannot hold it are left out.
fn narrow(listed: &Setup, options: &Options, watch: &dyn Watch) -> Result<Vec<Solved>, Trouble> {
    let mut widths: BTreeMap<Length, BTreeSet<Length>> = BTreeMap::new();
    for roll in &listed.stock.rolls {
        widths.entry(roll.thickness).or_default().insert(roll.width);
    }
    // For each thickness the greatest width that is kept; the first way keeps everything.
    let mut ways: Vec<BTreeMap<Length, Length>> = vec![BTreeMap::new()];
    for (thickness, widths) in &widths {
        let longer: Vec<BTreeMap<Length, Length>> = ways
            .iter()
            .flat_map(|way| {
                widths.iter().rev().map(|width| {
                    let mut way = way.clone();
                    way.insert(*thickness, *width);
                    way
                })
            })
            .collect();
        ways = longer;
    }
    let mut all = Vec::new();
    for way in ways.iter().skip(1).take(WAYS) {
        let mut setup = listed.clone();
        setup
            .stock
            .rolls
            .retain(|roll| way.get(&roll.thickness).is_none_or(|most| roll.width <= *most));
        match sums(&setup, options, watch) {
            Ok(solved) => all.push(solved),
            Err(Trouble::Findings(_) | Trouble::Nest(_)) => {}
            Err(other) => return Err(other),
        }
    }
    Ok(all)
}

/// The plan's bound as money.
fn bound_of(solved: &Solved) -> Money {
    Money::from_micros(solved.plan.bound.millionths())
}

/// The plan as if every product had its lowest price, priced as it would be bought.
fn lowest(base: &Setup, options: &Options, watch: &dyn Watch) -> Result<(Solved, Money), Trouble> {
    let mut setup = base.clone();
    cheapest(&mut setup);
    for roll in &mut setup.stock.rolls {
        let least = roll.terms.breaks.iter().map(|(_, price)| *price).chain(roll.price).min();
        roll.price = least;
        roll.terms.breaks.clear();
    }
    let solved = sums(&setup, options, watch)?;
    let bound = bound_of(&solved);
    // Priced as it would be bought; the plan and its shares stay.
    let needs = crate::cost::Needs {
        takeoff: &base.takeoff,
        stock: &base.stock,
        rules: &setup.rules,
        demand: &solved.demand,
        rates: &base.rates,
    };
    let cost = crate::cost::price(&solved.plan, &solved.sheets, &needs, solved.cost.shares.clone())
        .map_err(Trouble::Findings)?;
    Ok((Solved { cost, ..solved }, bound))
}

fn steps(solved: &Solved, nest: usize) -> Option<Steps> {
    let of = solved.plan.nests.get(nest)?;
    let share = solved.cost.shares.get(nest)?;
    let lines = solved.cost.purchase.lines.iter().filter(|line| line.nest == nest);
    let most = lines.clone().max_by_key(|line| line.cut)?;
    Some(Steps {
        nest,
        rolls: lines.map(|line| line.cut).sum(),
        needed: share.linear(),
        proven: of.value <= of.bound,
        bound: u64::try_from(of.bound.millionths() / 1_000_000).unwrap_or(0),
        one: most.each,
    })
}
