//! Pulls until none improves, and what pieces cost then.

use super::Size;
use super::curve::{Prices, key};
use super::master::Master;
use super::material::Material;
use super::table::{DENOMINATOR, Table, count};
use crate::nest::straight::effort::Effort;

/// When to stop.
#[derive(Clone, Copy, Debug)]
pub(super) struct Limit {
    rounds: usize,
    /// Rounds without a gain of so much of the value after which it is enough.
    patience: usize,
    gain: f64,
}

impl Limit {
    /// At most so many rounds.
    pub const fn rounds(rounds: usize) -> Self {
        Self { rounds, patience: 12, gain: 1e-4 }
    }

    /// To the very end.
    pub const fn none() -> Self {
        Self { rounds: usize::MAX, patience: usize::MAX, gain: 0.0 }
    }
}

/// Generates pulls. Gives whether it came to its end: nothing improves any more.
pub(super) fn generate<P: Clone + Ord>(
    master: &mut Master<P>,
    limit: Limit,
    effort: &Effort<'_>,
) -> bool {
    let mut best = f64::INFINITY;
    let mut in_vain = 0;
    for _ in 0..limit.rounds {
        if !master.optimise(effort) || effort.over() {
            return false;
        }
        let value = master.objective();
        if value < best * (1.0 - limit.gain) {
            (best, in_vain) = (value, 0);
        } else {
            in_vain += 1;
            if in_vain > limit.patience {
                return false;
            }
        }
        if !round(master, effort) {
            return true;
        }
    }
    master.optimise(effort);
    false
}

/// One round; gives whether anything was added.
fn round<P: Clone + Ord>(master: &mut Master<P>, effort: &Effort<'_>) -> bool {
    let prices = master.prices();
    let materials = master.materials.clone();
    let tables = tables(master, &materials, &whole_prices(&prices), effort);
    let many = 60 + prices.len() / 2;
    let pulls: Vec<_> = tables.iter().flat_map(|table| table.pulls(many).1).collect();
    let mut added = false;
    for pull in pulls {
        added |= master.pull(pull);
    }
    added
}

/// What pieces of these sizes cost at the programme's prices: that of their row where there is one,
/// else what a further piece would cost in the best pull. In the objective's unit.
pub(super) fn prices_of<P: Clone + Ord>(
    master: &Master<P>,
    sizes: &[Size],
    effort: &Effort<'_>,
) -> Vec<f64> {
    let prices = master.prices();
    let materials = master.materials.clone();
    let tables = tables(master, &materials, &whole_prices(&prices), effort);
    let mut keys: Vec<_> = sizes.iter().map(key).collect();
    keys.sort_unstable();
    keys.dedup();
    let mut curves = Prices::new(&materials, &tables, &keys);
    for (row, &price) in master.sizes.iter().zip(&prices) {
        curves.lower(&row.size, price);
    }
    sizes.iter().map(|size| curves.of(size) * master.scale).collect()
}

/// A table for each material at these prices.
pub(super) fn tables<'m, P: Clone + Ord>(
    master: &Master<P>,
    materials: &'m [Material],
    scaled: &[i64],
    effort: &Effort<'_>,
) -> Vec<Table<'m>> {
    let most: Vec<u64> = master.sizes.iter().map(|row| row.most).collect();
    materials
        .iter()
        .enumerate()
        .map(|(number, material)| {
            let mut forms: Vec<_> = master
                .sizes
                .iter()
                .filter(|row| row.size.material == number)
                .flat_map(|row| row.forms.iter().copied())
                .collect();
            forms.sort_unstable();
            Table::new((material, number), forms, (scaled, &most), master.scale, effort)
        })
        .collect()
}

/// Prices as whole numbers, rounded down.
#[expect(clippy::cast_possible_truncation, reason = "clamped to what an i64 holds")]
pub(super) fn whole_prices(prices: &[f64]) -> Vec<i64> {
    let most = count(i64::MAX / 64);
    prices.iter().map(|price| (price * DENOMINATOR).clamp(0.0, most).floor() as i64).collect()
}
