//! The wrap factor from measured wraps.
//!
//! A scrap is wrapped round the pipe and marked where it meets itself; the marked length `L` on a
//! diameter `Du` with thickness `t` gives `k = (L / pi - Du) / (2 t)`.
//!
//! Steps, for each thickness:
//! 1. the median of all `k` and the median absolute deviation from it (MAD);
//! 2. a wrap is an outlier where its length is further from the median's than 3 x 1.4826 x MAD,
//!    and further than 2 mm, which no tape tells apart; 1.4826 makes the MAD a standard deviation
//!    for normal errors (Rousseeuw and Croux 1993, from memory);
//! 3. the factor is the mean of the others, which is the least-squares fit of
//!    `L = pi (Du + 2 k t)` for one thickness; never below 0 or above 1.

use crate::units::{Decimal, Length};
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// One measured wrap.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Measured {
    /// Diameter under the layer.
    pub under: Length,
    /// Blanket thickness.
    pub thickness: Length,
    /// Length from edge to mark.
    pub length: Length,
}

/// What the measured wraps of one thickness say.
#[derive(Clone, Debug, PartialEq)]
pub struct Fitted {
    /// Blanket thickness.
    pub thickness: Length,
    /// The factor.
    pub factor: Decimal,
    /// Every wrap, in the order given.
    pub wraps: Vec<Residual>,
}

/// How one wrap agrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// Its place in the list given.
    pub index: usize,
    /// The factor it alone would give.
    pub alone: f64,
    /// Measured less fitted length, mm.
    pub residual: f64,
    /// Left out of the fit.
    pub outlier: bool,
}

/// What no tape tells apart, mm.
const TAPE: f64 = 2.0;
/// Standard deviations beyond which a wrap is left out.
const FAR: f64 = 3.0;
/// From the median absolute deviation to a standard deviation.
const NORMAL: f64 = 1.4826;

/// Fits the factor of every thickness, thinnest first.
#[must_use]
pub fn fit(measured: &[Measured]) -> Vec<Fitted> {
    let mut by_thickness: BTreeMap<Length, Vec<(usize, &Measured)>> = BTreeMap::new();
    for (index, wrap) in measured.iter().enumerate().filter(|(_, w)| w.thickness.is_positive()) {
        by_thickness.entry(wrap.thickness).or_default().push((index, wrap));
    }
    by_thickness.iter().map(|(&thickness, wraps)| fit_one(thickness, wraps)).collect()
}

fn fit_one(thickness: Length, wraps: &[(usize, &Measured)]) -> Fitted {
    let per_factor = 2.0 * PI * thickness.mm_f64();
    let alone = |w: &Measured| (w.length.mm_f64() - PI * w.under.mm_f64()) / per_factor;
    let factors: Vec<f64> = wraps.iter().map(|(_, w)| alone(w)).collect();
    let middle = median(&factors);
    let off = |k: f64| (k - middle).abs() * per_factor;
    let spread = NORMAL * median(&factors.iter().map(|&k| off(k)).collect::<Vec<_>>());
    let limit = (FAR * spread).max(TAPE);
    let kept: Vec<f64> = factors.iter().copied().filter(|&k| off(k) <= limit).collect();
    let mean = kept.iter().sum::<f64>() / count(kept.len());
    let factor = decimal(mean.clamp(0.0, 1.0));
    let residual = |(&(index, _), &k): (&(usize, &Measured), &f64)| Residual {
        index,
        alone: k,
        residual: (k - factor.f64()) * per_factor,
        outlier: off(k) > limit,
    };
    Fitted { thickness, factor, wraps: wraps.iter().zip(&factors).map(residual).collect() }
}

/// The middle value, or the mean of the two in the middle; 0 of nothing.
fn median(values: &[f64]) -> f64 {
    let mut sorted = values.to_vec();
    sorted.sort_by(f64::total_cmp);
    let n = sorted.len();
    match (n, n % 2) {
        (0, _) => 0.0,
        (_, 1) => sorted[n / 2],
        _ => f64::midpoint(sorted[n / 2 - 1], sorted[n / 2]),
    }
}

#[expect(clippy::cast_precision_loss, reason = "counts of measurements are small")]
fn count(n: usize) -> f64 {
    n.max(1) as f64
}

#[expect(clippy::cast_possible_truncation, reason = "between 0 and 1")]
fn decimal(k: f64) -> Decimal {
    Decimal::from_millionths(libm::round(k * 1e6) as i64)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: round 100 mm a blanket of 10 mm with the factor 0.5 takes 345.6 mm; of wraps that are alike one that is
    /// longer by 1.4 mm is within what a tape tells, and one by 2.4 mm is not.
    #[test]
    fn what_lies_within_the_tape_is_no_slip() {
        let outliers = |odd: i64| -> Vec<bool> {
            let wrap = |tenths: i64| Measured {
                under: Length::from_mm(100),
                thickness: Length::from_mm(10),
                length: Length::from_nm(tenths * 100_000),
            };
            let fitted = fit(&[3456, 3456, 3456, odd].map(wrap));
            fitted[0].wraps.iter().map(|wrap| wrap.outlier).collect()
        };
        assert_eq!(outliers(3470), [false; 4]);
        assert_eq!(outliers(3480), [false, false, false, true]);
    }
}
