//! How long the runs of a job are, before anybody has taken them off.
//!
//! A total length is drawn as so many runs as the mean goes into it, a fraction decided by lot, at least
//! one; their lengths are drawn from a stated distribution and scaled to the total. What each has above
//! [`SHORTEST`] is scaled, so that none is shorter, unless all are. Runs that are all alike are cut from the total
//! one after another, and the last is what is left.

use crate::units::Length;
use rand::{Rng, RngExt};
use rand_distr::{Distribution, Exp, LogNormal};

/// The shortest run that is drawn: fittings hardly stand closer. Our choice.
pub const SHORTEST: Length = Length::from_mm(100);
/// The mean run length where none is given. Our choice; measure your own past jobs.
pub const MEAN: Length = Length::from_mm(4000);
/// The spread of run lengths (standard deviation over mean) where none is given. Our choice.
pub const SPREAD: f64 = 0.6;

/// The shape of the distribution of run lengths.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Shape {
    /// Log-normal, with the mean and the spread given: many short runs and a few long ones.
    #[default]
    Lognormal,
    /// Exponential with the mean given: fittings anywhere along the pipe, independently.
    Exponential,
    /// All runs alike, and one of what is left.
    Fixed,
}

impl Shape {
    /// The words, as files have them.
    pub const WORDS: [(&'static str, Self); 3] = [
        ("lognormal", Self::Lognormal),
        ("exponential", Self::Exponential),
        ("fixed", Self::Fixed),
    ];
}

/// A distribution of run lengths.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Law {
    /// Its shape.
    pub shape: Shape,
    /// Its mean.
    pub mean: Length,
    /// Standard deviation over mean; used by the log-normal only.
    pub spread: f64,
}

impl Default for Law {
    fn default() -> Self {
        Self { shape: Shape::Lognormal, mean: MEAN, spread: SPREAD }
    }
}

impl Law {
    /// One run as the law has it, millimetres.
    fn draw(&self, lots: &mut impl Rng) -> f64 {
        let mean = self.mean.mm_f64();
        let drawn = match self.shape {
            Shape::Fixed => None,
            Shape::Exponential => Exp::new(1.0 / mean).ok().map(|law| law.sample(lots)),
            Shape::Lognormal => {
                LogNormal::from_mean_cv(mean, self.spread).ok().map(|law| law.sample(lots))
            }
        };
        drawn.unwrap_or(mean).clamp(0.0, 1e9)
    }

    /// The runs of a total length. Drawing until the total is used up would cut one run short in every
    /// job, and so make runs shorter and more than the mean that was given.
    #[must_use]
    pub fn runs(&self, total: Length, lots: &mut impl Rng) -> Vec<Length> {
        if !total.is_positive() {
            return Vec::new();
        }
        let (all, mean) = (total.nm(), self.mean.nm().max(1));
        if self.shape == Shape::Fixed {
            return alike(total, self.mean);
        }
        let more = lots.random_range(0..mean) < all % mean;
        let count = (all / mean + i64::from(more)).max(1);
        let least = SHORTEST.min(Length::from_mm(all / count / 1_000_000));
        let drawn: Vec<f64> =
            (0..count).map(|_| (self.draw(lots) - least.mm_f64()).max(0.0)).collect();
        let (sum, rest) = (drawn.iter().sum::<f64>(), total - least * count);
        let (mut before, mut reached) = (Length::ZERO, 0.0);
        let mut runs = Vec::with_capacity(drawn.len());
        for (at, drawn) in drawn.iter().enumerate() {
            reached += drawn;
            let upto = if at + 1 == usize::try_from(count).unwrap_or(0) {
                rest
            } else {
                let part = if sum > 0.0 { reached / sum } else { 1.0 };
                let upto = Length::from_mm_f64_nearest((rest.mm_f64() * part).round());
                upto.unwrap_or(rest).min(rest)
            };
            runs.push(least + (upto - before));
            before = upto;
        }
        runs
    }
}

/// Runs of one length, and one of what is left; a stub at the end is part of the run before it.
fn alike(total: Length, each: Length) -> Vec<Length> {
    let mut runs = Vec::new();
    let mut left = total;
    while left.is_positive() {
        let run = each.max(Length::from_nm(1)).min(left);
        runs.push(run);
        left -= run;
    }
    if runs.len() > 1
        && let Some(stub) = runs.pop_if(|last| *last < SHORTEST.min(each))
        && let Some(last) = runs.last_mut()
    {
        *last += stub;
    }
    runs
}
