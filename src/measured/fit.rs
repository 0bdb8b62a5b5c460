//! The wrap factor of every thickness that was measured, and what is to be said about the wraps.

use super::Wrap;
use crate::finding::codes::measured as codes;
use crate::finding::{Finding, Findings};
use crate::pattern::fit::{self, Fitted, Measured};
use crate::rules::Rules;
use crate::units::{Decimal, Length};
use std::collections::BTreeSet;

/// Fewer wraps than this cannot tell a slip from the blanket's own way.
const ENOUGH: usize = 3;

/// Wraps whose factors differ among themselves by more than this (standard deviation) fit no one factor: with
/// 10 mm it is 6 mm of length, several times what reading a mark is off by, and two thirds of all wraps would
/// then close worse than that. Our choice.
const SCATTER: f64 = 0.1;

/// A length that is off by no more than this (mm) is no finding: no tape tells it. Our choice.
const OFF: f64 = 0.5;

/// Half of a hundredth: a factor nearer to a face than this is shown as the face.
const HALF: f64 = 0.005;

/// Fits a factor for each thickness; `used` are the thicknesses of the job. Factors are rounded to
/// a thousandth: on 10 mm that is a twentieth of a millimetre of length.
#[must_use]
pub fn fit(wraps: &[Wrap], used: &BTreeSet<Length>) -> (Vec<Fitted>, Findings) {
    let measured: Vec<Measured> = wraps
        .iter()
        .map(|w| Measured { under: w.under, thickness: w.thickness, length: w.length })
        .collect();
    let mut findings = Findings::new();
    let mut all = fit::fit(&measured);
    for fitted in &mut all {
        tell(fitted, wraps, used, &mut findings);
        let thousandths = (fitted.factor.millionths() + 500) / 1000;
        fitted.factor = Decimal::from_millionths(thousandths * 1000);
    }
    (all, findings)
}

/// The rules with the fitted factors in place of theirs.
#[must_use]
pub fn with_factors(rules: &Rules, fitted: &[Fitted]) -> Rules {
    let mut changed = rules.clone();
    for fit in fitted {
        changed.wrap.by_thickness.insert(fit.thickness, fit.factor);
    }
    changed
}

fn tell(fitted: &Fitted, wraps: &[Wrap], used: &BTreeSet<Length>, findings: &mut Findings) {
    let t = fitted.thickness;
    let mut say = |code, index: usize, what: String, remedy: &str| {
        if let Some(wrap) = wraps.get(index) {
            findings.push(Finding::new(code, wrap.place.clone(), what, remedy));
        }
    };
    for wrap in fitted.wraps.iter().filter(|w| w.outlier) {
        let Some(of) = wraps.get(wrap.index) else { continue };
        let what = format!(
            "{} mm round {} is {:.1} mm off the other wraps of {t} mm; it is left out",
            of.length, of.size, wrap.residual
        );
        say(&codes::OUTLIER, wrap.index, what, "measure it again, or correct its size and layer");
    }
    let kept: Vec<f64> = fitted.wraps.iter().filter(|w| !w.outlier).map(|w| w.alone).collect();
    let first = fitted.wraps.first().map_or(0, |w| w.index);
    if kept.len() < ENOUGH {
        let what = match kept.len() {
            1 => format!("only 1 wrap of {t} mm is there to go by"),
            many => format!("only {many} wraps of {t} mm are there to go by"),
        };
        say(&codes::FEW, first, what, "measure at least three, on different sizes and layers");
    }
    let count = f64::from(u32::try_from(kept.len().max(1)).unwrap_or(u32::MAX));
    let mean = kept.iter().sum::<f64>() / count;
    let squares: f64 = kept.iter().map(|k| (k - mean).powi(2)).sum();
    let scatter = (squares / (count - 1.0).max(1.0)).sqrt();
    if scatter > SCATTER {
        let off = 2.0 * std::f64::consts::PI * t.mm_f64() * scatter;
        let what = format!(
            "the wraps of {t} mm contradict each other: factors of {:.2} to {:.2}, a spread of {off:.1} mm in length",
            kept.iter().copied().fold(f64::INFINITY, f64::min),
            kept.iter().copied().fold(f64::NEG_INFINITY, f64::max),
        );
        let remedy =
            "do not cut by this factor; check sizes, layers and thickness, and measure again";
        say(&codes::SCATTER, first, what, remedy);
    }
    let unread = (OFF / (2.0 * std::f64::consts::PI * t.mm_f64())).max(HALF);
    if !(-unread..=1.0 + unread).contains(&mean) {
        let what = format!("the wraps of {t} mm give a factor of {mean:.2} on the average");
        let remedy =
            "measure the blanket's thickness and the pipes' girth, and wrap without pulling";
        say(&codes::BEYOND, first, what, remedy);
    }
    if !used.contains(&t) {
        let what = format!("no layer of this job is {t} mm thick");
        say(&codes::UNUSED, first, what, "nothing to do, or check the column thickness");
    }
}
