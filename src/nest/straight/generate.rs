//! Column generation: solve the master, price, add columns, until none improves.
//!
//! Prices go to the pricing programme as whole numbers (rounded down over [`DENOMINATOR`]), so each
//! round's optimum also gives a certificate, and with it an exact bound. Generation ends early where
//! the bound can no longer decide anything.

use super::best::Best;
use super::effort::Effort;
use super::master::{Column, Master};
use super::model::Model;
use crate::nest::Basis;
use crate::nest::bound::{Certificate, Most};

/// What prices are whole multiples of: 1 / 2^40 of the dearest roll.
pub(super) const DENOMINATOR: f64 = 1_099_511_627_776.0;

/// Rounds to go on after the bound is settled: a lower linear value leaves rounding more room.
const AFTER: usize = 6;

/// A pricing programme's answer.
pub(super) struct Priced {
    /// Columns that improve the master.
    pub columns: Vec<Column>,
    /// For each product, an exact upper bound on what any layout of it is worth, and prices that
    /// the pricing settled itself (by class); `None` if it was cut short or did not look that far.
    pub proof: Option<(Vec<i64>, Vec<Most>)>,
}

/// What the pricing programme is asked.
pub(super) struct Question<'q> {
    /// Price of each class.
    pub prices: &'q [i64],
    /// How many of each class may be used.
    pub left: &'q [u64],
    /// What a unit of length on each width costs, in the prices' unit.
    pub rates: &'q [f64],
    /// What a roll of each product must be worth to pay, in the prices' unit.
    pub targets: &'q [f64],
    /// Whether a proof is wanted.
    pub prove: bool,
}

/// A way to find columns.
pub(super) trait Pricing {
    /// Columns that improve at these prices.
    fn price(&self, master: &Master<'_>, question: &Question<'_>, effort: &Effort<'_>) -> Priced;
}

/// Generates columns until none improves, at most `rounds` times. With `best`, `left` must be the
/// whole demand: bounds are proven on the way, and generation ends when the master's value, rounded
/// up, is proven.
pub(super) fn generate(
    master: &mut Master<'_>,
    pricing: &dyn Pricing,
    (model, left): (&Model, &[u64]),
    rounds: usize,
    (mut best, effort): (Option<&mut Best<'_>>, &Effort<'_>),
) -> bool {
    let mut settled = 0;
    for _ in 0..rounds {
        if !master.optimise(effort) && effort.over() {
            return false;
        }
        let prices: Vec<i64> =
            master.prices().iter().map(|&price| whole(price * DENOMINATOR)).collect();
        let scaled = |values: Vec<f64>| -> Vec<f64> {
            values.iter().map(|value| value * DENOMINATOR).collect()
        };
        let (rates, targets) = (scaled(master.rates()), scaled(master.targets()));
        let question = Question {
            prices: &prices,
            left,
            rates: &rates,
            targets: &targets,
            prove: best.is_some(),
        };
        let priced = pricing.price(master, &question, effort);
        if let (Some(best), Some((prices, most))) = (best.as_deref_mut(), priced.proof) {
            let all: Vec<Option<i64>> = prices.into_iter().map(Some).collect();
            let certificate = Certificate::new(model.by_piece(&all), most);
            best.raise(certificate, Basis::LinearProgramme);
            settled += usize::from(best.settles(master.value()));
            if settled > AFTER {
                return true;
            }
        }
        let mut added = false;
        for column in priced.columns {
            added |= master.add(column);
        }
        if !added {
            return true;
        }
        if effort.over() {
            return false;
        }
    }
    master.optimise(effort)
}

/// A number as a whole one, rounded down; no less than 0.
#[expect(clippy::cast_possible_truncation, reason = "clamped to what an i64 holds")]
pub(super) fn whole(number: f64) -> i64 {
    number.clamp(0.0, 1e17).floor() as i64
}
