//! Columns and rows by turns until none improves.

use super::curve::Prices;
use super::master::Master;
use super::material::Material;
use super::table::{DENOMINATOR, Table, count};
use super::{Bill, Offers};
use crate::nest::straight::effort::Effort;
use rayon::prelude::*;

/// The part of what a thing costs that a new bill must save: those that save less bring more rows
/// than they are worth.
const WORTHWHILE: f64 = 3e-4;

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

    /// Until little is gained.
    pub const fn patient() -> Self {
        Self { rounds: 60, patience: 5, gain: 2e-4 }
    }

    /// To the very end.
    pub const fn none() -> Self {
        Self { rounds: usize::MAX, patience: usize::MAX, gain: 0.0 }
    }
}

/// Generates pulls, and bills where there are `offers`. Gives whether it came to its end: nothing
/// improves any more.
pub(super) fn generate<O: Offers>(
    master: &mut Master<O::Plan>,
    offers: Option<&O>,
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
        if !round(master, offers, effort) {
            return true;
        }
    }
    master.optimise(effort);
    false
}

/// One round; gives whether anything was added.
fn round<O: Offers>(master: &mut Master<O::Plan>, offers: Option<&O>, effort: &Effort<'_>) -> bool {
    let prices = master.prices();
    let scaled = whole_prices(&prices);
    let materials = master.materials.clone();
    let tables = tables(master, &materials, &scaled, effort);
    let mut pulls = Vec::new();
    for table in &tables {
        pulls.extend(table.pulls(60 + prices.len() / 2).1);
    }
    let mut bills = Vec::new();
    if let Some(offers) = offers {
        for (table, material) in tables.iter().zip(&materials) {
            effort.spend(3 * table.lengths().count() * material.widest());
        }
        effort.spend(20_000 * master.left.iter().filter(|&&n| n > 0).count());
        let curves = curves(master, &materials, &tables, &prices);
        let targets = master.targets();
        let more: Vec<Vec<Bill<O::Plan>>> = (0..targets.len())
            .into_par_iter()
            .map(|group| {
                if master.left[group] == 0 {
                    return Vec::new();
                }
                let gain = (WORTHWHILE * targets[group].abs()).max(1e-7);
                offers.more(group, &curves, targets[group] - gain)
            })
            .collect();
        bills = more;
    }
    let mut added = false;
    for (group, bills) in bills.into_iter().enumerate() {
        for bill in bills {
            let new: Vec<_> =
                bill.parts.iter().map(|p| p.0).filter(|size| !master.has(size)).collect();
            for size in new {
                let Some(at) = master.size(&size) else { continue };
                master.alone(at);
                for form in master.sizes[at].forms.clone() {
                    pulls.extend(tables[size.material].cheapest(form));
                }
            }
            added |= master.offer(group, bill);
        }
    }
    for pull in pulls {
        added |= master.pull(pull);
    }
    added
}

/// What pieces cost at these prices.
fn curves<'m, P: Clone + Ord>(
    master: &Master<P>,
    materials: &'m [Material],
    tables: &[Table<'_>],
    prices: &[f64],
) -> Prices<'m> {
    let money = (master.extra_price(), 1.0 / master.scale);
    let mut curves = Prices::new(materials, tables, &master.keys, money);
    for ((row, &price), used) in master.sizes.iter().zip(prices).zip(master.used()) {
        if used {
            curves.lower(&row.size, price);
        }
    }
    curves
}

/// For each group what its first bill costs more than what the programme takes, for one thing, in
/// the objective's unit.
pub(super) fn savings<P: Clone + Ord>(master: &Master<P>, effort: &Effort<'_>) -> Vec<f64> {
    let prices = master.prices();
    let materials = master.materials.clone();
    let tables = tables(master, &materials, &whole_prices(&prices), effort);
    let curves = curves(master, &materials, &tables, &prices);
    let cost = |bill: &Bill<P>| -> f64 {
        bill.parts.iter().map(|(size, n)| curves.of(size) * super::master::real(*n)).sum::<f64>()
            + bill.cost * curves.unit()
    };
    let targets = master.targets();
    master
        .first()
        .iter()
        .zip(&targets)
        .map(|(bill, target)| {
            bill.map_or(0.0, |bill| (cost(bill) - target).max(0.0) * master.scale)
        })
        .collect()
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
