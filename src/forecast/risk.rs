//! How sure an order is, when the quantities of the takeoff are not.
//!
//! Every simulated job multiplies each quantity (a pipe's length as it was taken off, before its
//! take-outs; a count) by `1 + u T`, where `u` is
//! the item's uncertainty and `T` is spread triangularly over -1 to 1, most likely 0. With a part `r`
//! in common, `T = sqrt(r) T_0 + sqrt(1 - r) T_i` with one `T_0` a job: whoever takes off too little
//! here takes off too little there. Counts of runs are not drawn; where fewer fittings are drawn than runs
//! name, the runs for which none is left end open there ([`Takeoff::opened`]). The job so drawn is expanded, and
//! nested on the rolls ordered with as few further ones as it needs ([`order`](super::order)).

use super::allowance::count;
use super::order::{Counted, Held, Need, Order, Ordered};
use super::quantile::{PARTS, quantile};
use super::simulate::{Follow, Shop, Trouble};
use crate::takeoff::{Item, Kind, Measure, Takeoff};
use crate::units::{Decimal, Length};
use rand::SeedableRng;
use rand_chacha::ChaCha8Rng;
use rand_distr::{Distribution, Triangular};
use rayon::prelude::*;
use serde::Serialize;
use std::collections::BTreeMap;

/// What is asked.
#[derive(Clone, Debug)]
pub struct Question {
    /// Simulated jobs.
    pub jobs: u32,
    /// Feeds every choice.
    pub seed: u64,
    /// The part of every deviation that all items have in common, 0 to 1.
    pub common: Decimal,
    /// The risk of running short that is accepted, as a part of one.
    pub accepted: Decimal,
    /// What is ordered of each product.
    pub ordered: Vec<Ordered>,
    /// The pieces that the plan cuts from it.
    pub held: Held,
}

/// How sure one thickness is. All numbers of rolls count those ordered of other products as they are,
/// and more or fewer of the one that is named.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OfThickness {
    /// The thickness.
    pub thickness: Length,
    /// The product of which further rolls are counted.
    pub roll: String,
    /// Rolls ordered, of all products: spares, minimum orders and price breaks included.
    pub ordered: u64,
    /// Of these rolls of other products.
    pub others: u64,
    /// Rolls that the plan cuts from; `None` where of other products more are ordered than it cuts.
    pub planned: Option<u64>,
    /// Rolls that the job as it stands takes when it is laid like the simulated ones; `None` where no
    /// number will do.
    pub alike: Option<u64>,
    /// Simulated jobs that want no more of any piece than the plan cuts, and so no more rolls.
    pub held: usize,
    /// Rolls that suffice in 50, 80 and 90 % of the simulated jobs; `None` where no number will do.
    pub rolls: [Option<u64>; 3],
    /// The chance that the order runs short, in per cent.
    pub short: f64,
    /// Further rolls that can be had; `None` is without limit.
    pub further: Option<u64>,
    /// Further rolls that bring the chance to the accepted risk or below; where no number that can be
    /// had does, the fewest that bring it as low as can be.
    pub spare: u64,
    /// The chance that it runs short then, in per cent.
    pub short_then: f64,
    /// Every number of rolls that occurred, and the chance in per cent that it suffices.
    pub curve: Vec<(u64, f64)>,
}

/// How sure an order is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Risk {
    /// Simulated jobs.
    pub jobs: u32,
    /// The seed.
    pub seed: u64,
    /// The part in common.
    pub common: Decimal,
    /// The accepted risk.
    pub accepted: Decimal,
    /// By thickness, thinnest first.
    pub nests: Vec<OfThickness>,
    /// The chance that some thickness runs short, in per cent.
    pub short: f64,
    /// The same with the spares of each thickness.
    pub short_then: f64,
}

/// Simulates the risk of an order. `uncertain` gives each item's uncertainty, in the takeoff's order.
///
/// # Errors
/// See [`Trouble`].
pub fn risk(
    takeoff: &Takeoff,
    uncertain: &[Decimal],
    shop: &Shop<'_>,
    question: &Question,
    watch: &dyn Follow,
) -> Result<Risk, Trouble> {
    let order = Order::new(takeoff, shop, &question.ordered, &question.held);
    let needs: Vec<BTreeMap<Length, Need>> = (0..question.jobs)
        .into_par_iter()
        .map(|job| {
            let mut lots = ChaCha8Rng::seed_from_u64(question.seed);
            lots.set_stream(1 << 63 | u64::from(job));
            let drawn = draw(takeoff, uncertain, question.common, &mut lots);
            let needs = order.needs_at_most(&drawn, shop, watch)?;
            watch.sampled();
            Ok(needs)
        })
        .collect::<Result<_, Trouble>>()?;
    let alike = order.needs(takeoff, shop, watch)?;
    Ok(told(&needs, &alike, &order, question))
}

/// A takeoff with every quantity off by chance. Runs keep their ends as far as the fittings drawn have
/// them; items that vanish are left out with the names that others give them.
#[must_use]
pub fn draw(
    takeoff: &Takeoff,
    uncertain: &[Decimal],
    common: Decimal,
    lots: &mut ChaCha8Rng,
) -> Takeoff {
    let Ok(law) = Triangular::new(-1.0, 1.0, 0.0) else { return takeoff.clone() };
    let (shared, own) = (common.f64().sqrt(), (1.0 - common.f64()).max(0.0).sqrt());
    let all: f64 = law.sample(lots);
    let mut items: Vec<Item> = Vec::with_capacity(takeoff.items.len());
    for (item, by) in takeoff.items.iter().zip(uncertain) {
        let times = (1.0 + by.f64() * (shared * all + own * law.sample(lots))).max(0.0);
        let mut item = item.clone();
        match &mut item.kind {
            Kind::Pipe(pipe) => {
                // What was measured is off; what the fittings take out of it is known.
                let out = match pipe.measure {
                    Measure::Through(out) => out.mm_f64(),
                    Measure::Net => 0.0,
                };
                let length = ((pipe.length.mm_f64() + out) * times - out).max(0.0).round();
                pipe.length = Length::from_mm_f64_nearest(length).unwrap_or(pipe.length);
                if !pipe.length.is_positive() {
                    continue;
                }
            }
            _ => item.quantity = count(item.quantity, times, lots),
        }
        if item.quantity > 0 {
            items.push(item);
        }
    }
    Takeoff { items }.opened()
}

/// A part of the simulated jobs in per cent.
#[expect(clippy::cast_precision_loss, reason = "a ratio of counts")]
fn per_cent(count: usize, of: usize) -> f64 {
    100.0 * count as f64 / of.max(1) as f64
}

/// In how many of the simulated jobs so many rolls suffice.
fn sufficing(needs: &[Option<u64>], rolls: u64) -> usize {
    needs.iter().flatten().filter(|&&need| need <= rolls).count()
}

/// How sure one thickness is; `needs` are those of the simulated jobs.
fn of_thickness(
    (thickness, counted): (Length, &Counted),
    needs: &[Need],
    alike: Option<u64>,
    accepted: Decimal,
) -> OfThickness {
    let held = needs.iter().filter(|need| need.held).count();
    let mut needs: Vec<Option<u64>> = needs.iter().map(|need| need.rolls).collect();
    needs.sort_unstable_by_key(|need| need.unwrap_or(u64::MAX));
    let Counted { roll, ordered, others, planned, further, .. } = counted.clone();
    let short = |rolls: u64| per_cent(needs.len() - sufficing(&needs, rolls), needs.len());
    let accepted = accepted.f64() * 100.0 + 1e-9;
    // Of what can be had, only a number that some job needs lessens the chance.
    let to_be_had = further.map_or(u64::MAX, |further| ordered.saturating_add(further));
    let mut steps: Vec<u64> = needs.iter().flatten().copied().collect();
    steps.dedup();
    let more = steps.iter().copied().filter(|rolls| (ordered..=to_be_had).contains(rolls));
    let within: Vec<u64> = std::iter::once(ordered).chain(more).collect();
    let enough = within.iter().copied().find(|&rolls| short(rolls) <= accepted);
    let enough = enough.or(within.last().copied()).unwrap_or(ordered);
    OfThickness {
        thickness,
        roll,
        ordered,
        others,
        planned,
        alike,
        held,
        rolls: PARTS.map(|part| quantile(&needs, part).flatten()),
        short: short(ordered),
        further,
        spare: enough - ordered,
        short_then: short(enough),
        curve: steps.iter().map(|&rolls| (rolls, 100.0 - short(rolls))).collect(),
    }
}

fn told(
    needs: &[BTreeMap<Length, Need>],
    alike: &BTreeMap<Length, Need>,
    order: &Order,
    question: &Question,
) -> Risk {
    // A thickness that is on offer and nowhere wanted is left out.
    let wanted = |(thickness, counted): &(&Length, &Counted)| {
        let takes = |needs: &BTreeMap<Length, Need>| {
            needs.get(thickness).is_some_and(|need| need.rolls != Some(counted.others))
        };
        counted.ordered > 0 || takes(alike) || needs.iter().any(takes)
    };
    let of = |needs: &BTreeMap<Length, Need>, thickness: &Length| {
        needs.get(thickness).copied().unwrap_or(Need { rolls: Some(0), held: true })
    };
    let nests: Vec<OfThickness> = order
        .counted
        .iter()
        .filter(wanted)
        .map(|(thickness, counted)| {
            let counts: Vec<Need> = needs.iter().map(|need| of(need, thickness)).collect();
            let alike = of(alike, thickness).rolls;
            of_thickness((*thickness, counted), &counts, alike, question.accepted)
        })
        .collect();
    let some_short = |more: bool| {
        let short = |need: &&BTreeMap<Length, Need>| {
            nests.iter().any(|nest| {
                let stock = nest.ordered + if more { nest.spare } else { 0 };
                of(need, &nest.thickness).rolls.is_none_or(|need| need > stock)
            })
        };
        per_cent(needs.iter().filter(short).count(), needs.len())
    };
    let Question { jobs, seed, common, accepted, .. } = *question;
    let (short, short_then) = (some_short(false), some_short(true));
    Risk { jobs, seed, common, accepted, nests, short, short_then }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::Options;
    use crate::rules::Rules;
    use crate::stock::{self, Stock};

    /// One of two jobs has a piece that no number of rolls holds: it runs short, and with it the whole.
    #[test]
    fn what_no_number_of_rolls_holds_runs_short_in_the_whole_too() {
        let text = "roll,thickness,width,length\nB10,10,1500,20 m\n";
        let rolls = stock::read_rolls("rolls.csv", text.as_bytes()).0.unwrap();
        let (stock, rules) = (Stock { rolls, offcuts: Vec::new() }, Rules::default());
        let options = Options { seed: 1, work: 1 };
        let shop = Shop { stock: &stock, rules: &rules, options, chosen: None };
        let ordered = vec![Ordered { roll: "B10".to_owned(), cut: 1, count: 1 }];
        let takeoff = Takeoff { items: Vec::new() };
        let order = Order::new(&takeoff, &shop, &ordered, &Held::default());
        let need = |rolls| [(Length::from_mm(10), Need { rolls, held: false })].into();
        let question = Question {
            jobs: 2,
            seed: 1,
            common: Decimal::ZERO,
            accepted: Decimal::ZERO,
            ordered,
            held: Held::default(),
        };
        let risk = told(&[need(Some(1)), need(None)], &need(Some(1)), &order, &question);
        assert!((risk.nests[0].short - 50.0).abs() < 1e-9, "{risk:?}");
        assert!((risk.short - 50.0).abs() + (risk.short_then - 50.0).abs() < 1e-9, "{risk:?}");
    }
}
