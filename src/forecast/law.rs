//! How long the runs of a job are, before anybody has taken them off.
//!
//! A total length is drawn as runs of a stated distribution, one after another until it is used up;
//! the last run is what is left. Runs shorter than [`SHORTEST`] are drawn as that.

use crate::units::Length;
use rand::Rng;
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
    /// All runs alike.
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
    /// One run.
    fn draw(&self, lots: &mut impl Rng) -> Length {
        let mean = self.mean.mm_f64();
        let drawn = match self.shape {
            Shape::Fixed => None,
            Shape::Exponential => Exp::new(1.0 / mean).ok().map(|law| law.sample(lots)),
            Shape::Lognormal => {
                LogNormal::from_mean_cv(mean, self.spread).ok().map(|law| law.sample(lots))
            }
        };
        let drawn = drawn.unwrap_or(mean).clamp(0.0, 1e9).round();
        Length::from_mm_f64_nearest(drawn).unwrap_or(self.mean).max(SHORTEST)
    }

    /// The runs of a total length, in the order in which they are drawn.
    #[must_use]
    pub fn runs(&self, total: Length, lots: &mut impl Rng) -> Vec<Length> {
        let mut runs = Vec::new();
        let mut left = total;
        while left.is_positive() {
            let run = self.draw(lots).min(left);
            runs.push(run);
            left -= run;
        }
        // A stub at the end is part of the run before it.
        if runs.len() > 1
            && let Some(stub) = runs.pop_if(|last| *last < SHORTEST)
            && let Some(last) = runs.last_mut()
        {
            *last += stub;
        }
        runs
    }
}
