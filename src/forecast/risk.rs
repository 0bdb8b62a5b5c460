//! How sure an order is, when the quantities of the takeoff are not.
//!
//! Every simulated job multiplies each quantity (a pipe's length, a count) by `1 + u T`, where `u` is
//! the item's uncertainty and `T` is spread triangularly over -1 to 1, most likely 0. With a part `r`
//! in common, `T = sqrt(r) T_0 + sqrt(1 - r) T_i` with one `T_0` a job: whoever takes off too little
//! here takes off too little there. The job so drawn is expanded and nested like any other.

use super::allowance::count;
use super::quantile::{PARTS, quantile};
use super::simulate::{Follow, Shop, Trouble, sample};
use crate::takeoff::{Item, Kind, Takeoff};
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
    /// Rolls that are ordered, spares among them, by thickness.
    pub ordered: BTreeMap<Length, u64>,
    /// Of these the spares of each thickness.
    pub spares: u64,
}

/// How sure one thickness is.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OfThickness {
    /// The thickness.
    pub thickness: Length,
    /// Rolls ordered.
    pub ordered: u64,
    /// Of these what the plan cuts from.
    pub planned: u64,
    /// Rolls that the job as it stands takes when it is laid like the simulated ones.
    pub alike: u64,
    /// Rolls that suffice in 50, 80 and 90 % of the simulated jobs.
    pub rolls: [u64; 3],
    /// The chance that the order runs short, in per cent.
    pub short: f64,
    /// Further rolls that bring it to the accepted risk or below.
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
    let needs: Vec<BTreeMap<Length, u64>> = (0..question.jobs)
        .into_par_iter()
        .map(|job| {
            let mut lots = ChaCha8Rng::seed_from_u64(question.seed);
            lots.set_stream(1 << 63 | u64::from(job));
            let drawn = draw(takeoff, uncertain, question.common, &mut lots);
            let needs = rolls(&drawn, shop, watch)?;
            watch.sampled();
            Ok(needs)
        })
        .collect::<Result<_, Trouble>>()?;
    let alike = rolls(takeoff, shop, watch)?;
    Ok(told(&needs, &alike, question))
}

/// Rolls by thickness that a takeoff takes.
fn rolls(
    takeoff: &Takeoff,
    shop: &Shop<'_>,
    watch: &dyn Follow,
) -> Result<BTreeMap<Length, u64>, Trouble> {
    let sample = sample(takeoff, shop, watch)?;
    Ok(sample.nests.into_iter().map(|(thickness, t)| (thickness, t.rolls)).collect())
}

/// A takeoff with every quantity off by chance. Runs keep their ends; those that vanish are left out
/// with the names that others give them.
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
                let length = Length::from_mm_f64_nearest((pipe.length.mm_f64() * times).round());
                pipe.length = length.unwrap_or(pipe.length);
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
    let names: std::collections::BTreeSet<String> =
        items.iter().map(|item| item.id.clone()).collect();
    for item in &mut items {
        if let Kind::Pipe(pipe) = &mut item.kind {
            pipe.ends.retain(|end| names.contains(end));
        }
    }
    Takeoff { items }
}

/// A part of the simulated jobs in per cent.
#[expect(clippy::cast_precision_loss, reason = "a ratio of counts")]
fn per_cent(count: usize, of: usize) -> f64 {
    100.0 * count as f64 / of.max(1) as f64
}

fn told(
    needs: &[BTreeMap<Length, u64>],
    alike: &BTreeMap<Length, u64>,
    question: &Question,
) -> Risk {
    let jobs = needs.len();
    let mut by: BTreeMap<Length, Vec<u64>> = BTreeMap::new();
    let thicknesses = needs.iter().flat_map(BTreeMap::keys).chain(question.ordered.keys());
    for thickness in thicknesses {
        by.entry(*thickness).or_default();
    }
    for (thickness, counts) in &mut by {
        counts.extend(needs.iter().map(|need| need.get(thickness).copied().unwrap_or(0)));
        counts.sort_unstable();
    }
    let ordered = |thickness: &Length| question.ordered.get(thickness).copied().unwrap_or(0);
    let suffices = |counts: &[u64], rolls: u64| counts.partition_point(|&need| need <= rolls);
    let nests: Vec<OfThickness> = by
        .iter()
        .map(|(thickness, counts)| {
            let ordered = ordered(thickness);
            let short = |rolls: u64| per_cent(jobs - suffices(counts, rolls), jobs);
            let accepted = question.accepted.f64() * 100.0 + 1e-9;
            let most = counts.last().copied().unwrap_or(0).max(ordered);
            let enough = (ordered..=most).find(|&rolls| short(rolls) <= accepted).unwrap_or(most);
            let mut steps: Vec<u64> = counts.clone();
            steps.dedup();
            OfThickness {
                thickness: *thickness,
                ordered,
                planned: ordered.saturating_sub(question.spares),
                alike: alike.get(thickness).copied().unwrap_or(0),
                rolls: PARTS.map(|part| quantile(counts, part).unwrap_or(0)),
                short: short(ordered),
                spare: enough - ordered,
                short_then: short(enough),
                curve: steps.iter().map(|&rolls| (rolls, 100.0 - short(rolls))).collect(),
            }
        })
        .collect();
    let some_short = |more: bool| {
        let short = |need: &&BTreeMap<Length, u64>| {
            nests.iter().any(|nest| {
                let stock = nest.ordered + if more { nest.spare } else { 0 };
                need.get(&nest.thickness).copied().unwrap_or(0) > stock
            })
        };
        per_cent(needs.iter().filter(short).count(), jobs)
    };
    let Question { jobs, seed, common, accepted, .. } = *question;
    let (short, short_then) = (some_short(false), some_short(true));
    Risk { jobs, seed, common, accepted, nests, short, short_then }
}
