//! What to add to the plain area for waste, before the detailed takeoff.
//!
//! Steps, for each size of job (a multiple of the quantities) and each simulated job: pipe totals are
//! drawn as runs ([`Law`](super::Law)); counts are the multiple, fractions decided by lot; the takeoff
//! so drawn is expanded and nested; the allowance is the area of rolls over the pieces' plain area,
//! less one. Jobs in which nothing is drawn are left out. It is given twice: as rolls are bought, whole; and as blanket is used, roll ends that
//! are worth keeping left out, which is the figure to add to a price where what is left has a use.

use super::law::Shape;
use super::quantile::{at_parts, within};
use super::quantities::Quantity;
use super::simulate::{Follow, Sample, Shop, Trouble, sample};
use crate::nest::Options;
use crate::takeoff::{Item, Kind, Takeoff};
use crate::units::{Decimal, Length};
use rand::{RngExt, SeedableRng};
use rand_chacha::ChaCha8Rng;
use rayon::prelude::*;
use serde::Serialize;
use std::collections::BTreeMap;

/// What is asked.
#[derive(Clone, Debug)]
pub struct Question {
    /// Simulated jobs of each size.
    pub jobs: u32,
    /// Feeds every choice.
    pub seed: u64,
    /// Sizes of the job, as multiples of the quantities.
    pub sizes: Vec<Decimal>,
    /// An allowance from a handbook or from habit, in per cent, to be looked at beside.
    pub handbook: Option<Decimal>,
    /// Work with which one of the jobs is laid again.
    pub thorough: Options,
    /// Where the quantities come from, for people: it is told beside the answer.
    pub source: String,
}

/// One of the simulated jobs, laid as all of them are and with the work of a plan.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Again {
    /// The size of the job.
    pub size: Decimal,
    /// Its allowance on blanket used, laid as all are and with the work of a plan.
    pub used: [f64; 2],
    /// By thickness, its rolls likewise.
    pub rolls: Vec<(Length, [u64; 2])>,
}

/// The allowance at one size of job. Allowances are in per cent of the plain area.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AtSize {
    /// The multiple of the quantities.
    pub size: Decimal,
    /// Simulated jobs in which nothing was to be cut; none of them counts in the other figures.
    pub empty: u64,
    /// Mean plain area of the pieces, square metres.
    pub plain: f64,
    /// Allowance on whole rolls, at 50, 80 and 90 %.
    pub whole: [f64; 3],
    /// Allowance on blanket used, at 50, 80 and 90 %.
    pub used: [f64; 3],
    /// Rolls of each thickness, at 50, 80 and 90 %.
    pub rolls: Vec<(Length, [u64; 3])>,
    /// In which part of the simulated jobs the handbook's allowance would have sufficed, in per cent:
    /// on whole rolls, and on blanket used.
    pub handbook: Option<[f64; 2]>,
}

/// The allowance of one kind, on blanket used.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OfKind {
    /// The kind.
    pub kind: String,
    /// Mean plain area over the same jobs as the size's own, square metres.
    pub plain: f64,
    /// At 50, 80 and 90 %.
    pub used: [f64; 3],
}

/// The run lengths of some pipes.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Runs {
    /// The pipes' sizes as written, in the order of the quantities.
    pub sizes: Vec<String>,
    /// The distribution.
    pub law: Shape,
    /// Its mean.
    pub mean: Length,
    /// Standard deviation over mean.
    pub spread: f64,
}

/// The allowance of a job.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Allowance {
    /// Simulated jobs of each size.
    pub jobs: u32,
    /// The seed.
    pub seed: u64,
    /// Where the quantities come from.
    pub source: String,
    /// The handbook's allowance that was given.
    pub handbook: Option<Decimal>,
    /// The run lengths that are drawn, once for all pipes that have the same.
    pub runs: Vec<Runs>,
    /// By size of job.
    pub sizes: Vec<AtSize>,
    /// One job of the size 1, or the one nearest to it, laid with more work.
    pub again: Option<Again>,
    /// By kind, at the size 1 or the one nearest to it.
    pub kinds: Vec<OfKind>,
}

/// Simulates the allowance.
///
/// # Errors
/// See [`Trouble`].
pub fn allowance(
    quantities: &[Quantity],
    shop: &Shop<'_>,
    question: &Question,
    watch: &dyn Follow,
) -> Result<Allowance, Trouble> {
    let mut sizes = Vec::with_capacity(question.sizes.len());
    let mut kinds = Vec::new();
    let mut again = None;
    let main = question.sizes.iter().copied().min_by_key(|size| from_one(*size));
    for (number, &size) in question.sizes.iter().enumerate() {
        let drawn = |job: u32| {
            let mut lots = ChaCha8Rng::seed_from_u64(question.seed);
            lots.set_stream((number as u64) << 32 | u64::from(job));
            draw(quantities, size, &mut lots)
        };
        let samples: Vec<Sample> = (0..question.jobs)
            .into_par_iter()
            .map(|job| {
                let sample = sample(&drawn(job), shop, watch)?;
                watch.sampled();
                Ok(sample)
            })
            .collect::<Result<_, _>>()?;
        sizes.push(at_size(size, &samples, question.handbook));
        if Some(size) == main {
            kinds = of_kinds(&samples);
            let thorough = Shop { options: question.thorough, ..*shop };
            let laid = sample(&drawn(0), &thorough, watch)?;
            again = samples.first().map(|sample| told_again(size, [sample, &laid]));
        }
    }
    let Question { jobs, seed, handbook, .. } = *question;
    let source = question.source.clone();
    let runs = runs(quantities);
    Ok(Allowance { jobs, seed, source, handbook, runs, sizes, again, kinds })
}

/// The run lengths of all pipes, those that have the same put together.
fn runs(quantities: &[Quantity]) -> Vec<Runs> {
    let mut all: Vec<Runs> = Vec::new();
    for Quantity { item, law } in quantities {
        let Kind::Pipe(pipe) = &item.kind else { continue };
        let spread = match law.shape {
            Shape::Fixed => 0.0,
            Shape::Exponential => 1.0,
            Shape::Lognormal => law.spread,
        };
        let size = pipe.size.text.clone();
        let one = Runs { sizes: vec![size.clone()], law: law.shape, mean: law.mean, spread };
        let drawn = |runs: &Runs| (runs.law, runs.mean, runs.spread.to_bits());
        let like = |of: &&mut Runs| drawn(of) == drawn(&one);
        match all.iter_mut().find(like) {
            Some(of) if of.sizes.contains(&size) => {}
            Some(of) => of.sizes.push(size),
            None => all.push(one),
        }
    }
    all
}

fn told_again(size: Decimal, both: [&Sample; 2]) -> Again {
    let plain = |sample: &Sample| sample.sum(|taken| taken.plain);
    let used = both.map(|sample| over(sample.sum(|taken| taken.used), plain(sample)));
    let rolls = |thickness: &Length| {
        both.map(|sample| sample.nests.get(thickness).map_or(0, |taken| taken.rolls))
    };
    let rolls = both[0].nests.keys().map(|thickness| (*thickness, rolls(thickness))).collect();
    Again { size, used, rolls }
}

/// How far a size lies from that of the job as it is, in millionths.
#[must_use]
pub fn from_one(size: Decimal) -> i64 {
    (size.millionths() - Decimal::ONE.millionths()).abs()
}

/// A detailed takeoff drawn from quantities.
#[must_use]
pub fn draw(quantities: &[Quantity], size: Decimal, lots: &mut ChaCha8Rng) -> Takeoff {
    let mut items = Vec::new();
    for Quantity { item, law } in quantities {
        let Kind::Pipe(pipe) = &item.kind else {
            let quantity = count(item.quantity, size.f64(), lots);
            if quantity > 0 {
                items.push(Item { quantity, ..item.clone() });
            }
            continue;
        };
        let total = i128::from(pipe.length.nm()) * i128::from(size.millionths());
        let total = i64::try_from(total / 1_000_000).unwrap_or(i64::MAX / 4);
        let runs = law.runs(Length::from_nm(total), lots);
        items.extend(runs.into_iter().enumerate().map(|(number, length)| {
            let id = format!("{} run {}", item.id, number + 1);
            let pipe = crate::takeoff::Pipe { length, ends: Vec::new(), ..pipe.clone() };
            Item { id, kind: Kind::Pipe(pipe), quantity: 1, ..item.clone() }
        }));
    }
    Takeoff { items }
}

/// A multiple of a count: its whole part, and one more with the probability of the rest.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_precision_loss,
    clippy::cast_sign_loss,
    reason = "counts are far below 2^52 and never negative"
)]
pub(super) fn count(quantity: u64, times: f64, lots: &mut ChaCha8Rng) -> u64 {
    let exact = quantity as f64 * times.max(0.0);
    let more = lots.random::<f64>() < exact - exact.floor();
    exact.floor() as u64 + u64::from(more)
}

/// So many per cent over the plain area; none where there is nothing to cut.
fn over(whole: crate::units::Area, plain: crate::units::Area) -> f64 {
    if plain > crate::units::Area::ZERO { (whole.over(plain) - 1.0) * 100.0 } else { 0.0 }
}

fn mean(figures: impl ExactSizeIterator<Item = f64>) -> f64 {
    let count = figures.len();
    share(figures.sum(), count)
}

#[expect(clippy::cast_precision_loss, reason = "a mean over simulated jobs")]
fn share(sum: f64, jobs: usize) -> f64 {
    sum / jobs.max(1) as f64
}

fn at_size(size: Decimal, samples: &[Sample], handbook: Option<Decimal>) -> AtSize {
    let plain = |sample: &Sample| sample.sum(|taken| taken.plain);
    // A job of nothing wastes nothing, and says nothing of what the others waste.
    let drawn = samples.len();
    let samples: Vec<&Sample> =
        samples.iter().filter(|sample| plain(sample) > crate::units::Area::ZERO).collect();
    let figures = |of: fn(&super::simulate::Taken) -> crate::units::Area| -> Vec<f64> {
        samples.iter().map(|sample| over(sample.sum(of), plain(sample))).collect()
    };
    let (whole, used) = (figures(|taken| taken.whole), figures(|taken| taken.used));
    let mut rolls: BTreeMap<Length, Vec<u64>> = BTreeMap::new();
    for (thickness, taken) in samples.iter().flat_map(|sample| &sample.nests) {
        rolls.entry(*thickness).or_default().push(taken.rolls);
    }
    let rolls = rolls.into_iter().map(|(thickness, mut counts)| {
        // A job without this thickness needs none of it.
        counts.resize(samples.len(), 0);
        counts.sort_unstable();
        let at = |part| super::quantile::quantile(&counts, part).unwrap_or(0);
        (thickness, super::quantile::PARTS.map(at))
    });
    AtSize {
        size,
        empty: (drawn - samples.len()) as u64,
        plain: mean(samples.iter().map(|sample| plain(sample).m2_f64())),
        whole: at_parts(&whole),
        used: at_parts(&used),
        rolls: rolls.collect(),
        handbook: handbook
            .map(|percent| [&whole, &used].map(|figures| suffices(figures, percent.f64()))),
    }
}

/// In which part of the jobs, in per cent, such an allowance is enough, the last digits of floating point apart;
/// where there is nothing to cut in any, it always is.
fn suffices(figures: &[f64], percent: f64) -> f64 {
    if figures.is_empty() { 100.0 } else { within(figures, percent + 1e-7) * 100.0 }
}

fn of_kinds(samples: &[Sample]) -> Vec<OfKind> {
    let drawn = samples.iter().filter(|sample| !sample.kinds.is_empty()).count();
    let mut kinds: BTreeMap<&str, Vec<(f64, f64)>> = BTreeMap::new();
    for (kind, (plain, used)) in samples.iter().flat_map(|sample| &sample.kinds) {
        kinds.entry(kind).or_default().push((plain.m2_f64(), over(*used, *plain)));
    }
    kinds
        .into_iter()
        .map(|(kind, figures)| OfKind {
            kind: kind.to_owned(),
            plain: share(figures.iter().map(|(plain, _)| plain).sum(), drawn),
            used: at_parts(&figures.iter().map(|(_, used)| *used).collect::<Vec<_>>()),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::simulate::Taken;
    use super::*;
    use crate::units::Area;

    fn job(thickness: i64, rolls: u64) -> Sample {
        let area = Area::of_rectangle(Length::from_mm(1000), Length::from_mm(1000));
        let taken = Taken { rolls, whole: area, used: area, plain: area };
        Sample { nests: [(Length::from_mm(thickness), taken)].into(), ..Sample::default() }
    }

    /// By hand: of two jobs one needs three rolls of 10 mm, the other one of 5 mm.
    #[test]
    fn a_job_without_a_thickness_needs_no_roll_of_it() {
        let at = at_size(Decimal::ONE, &[job(10, 3), job(5, 1)], None);
        let rolls = [(5, [0, 1, 1]), (10, [0, 3, 3])];
        assert_eq!(at.rolls, rolls.map(|(mm, rolls)| (Length::from_mm(mm), rolls)));
    }

    #[test]
    fn the_last_digits_of_a_sum_do_not_make_an_allowance_too_small() {
        let figures = [0.1 + 0.2, 0.4];
        assert!(figures[0] > 0.3);
        assert!((suffices(&figures, 0.3) - 50.0).abs() < 1e-9);
        assert!((suffices(&[], 0.3) - 100.0).abs() < 1e-9);
    }
}
