//! Whole numbers from the linear programme: round down, generate again on the rest, dive.
//!
//! 1. Cut every column as often as its weight's whole part says (never more than what is left).
//! 2. Solve again for the rest, with columns barred that would exceed it, and new columns that fit it.
//! 3. Where no weight reaches one, cut the columns with the largest fractions once, and go on.
//!
//! Generating on the rest is what makes rounding good (Gau and Wäscher 1995 and Belov and
//! Scheithauer 2002 compare roundings; ENGINE.md measured 160 of 160).

use super::best::Best;
use super::effort::Effort;
use super::generate::{Pricing, generate};
use super::lots::Lots;
use super::master::{Cut, Master};
use super::model::Model;
use super::pattern::RollCut;

/// How bold a dive is.
#[derive(Clone, Copy, Debug)]
pub(super) struct Boldness {
    /// Fractions from here on are cut in one step.
    pub from: f64,
    /// At most one in so many of the fractional columns in one step.
    pub share: usize,
    /// Rounds of column generation between steps.
    pub rounds: usize,
    /// Fractions are raised by up to so much by lot.
    pub noise: f64,
}

/// Lays all that is left, by class, where so many rolls of each product are used, if it can.
pub(super) type Finish<'f> =
    dyn FnMut(&[u64], &[u64], (&mut Lots, &Effort<'_>)) -> Option<Vec<RollCut>> + 'f;

/// Columns and how often each is cut, and what is left over if the dive was ended.
pub(super) struct Dived {
    /// Column numbers of the master with counts.
    pub chosen: Vec<(usize, u64)>,
    /// What no column covers yet.
    pub left: Vec<u64>,
    /// Rolls that were found to hold what the columns leave.
    pub rest: Vec<RollCut>,
}

/// Dives from the master's present weights for what is `left`; `used` rolls of each product are gone.
pub(super) fn dive(
    master: &mut Master<'_>,
    pricing: &dyn Pricing,
    (model, left): (&Model, Vec<u64>),
    used: &[u64],
    boldness: Boldness,
    (lots, effort): (&mut Lots, &Effort<'_>),
) -> Dived {
    let finish: &mut Finish<'_> = &mut |_, _, _| None;
    finished(master, pricing, (model, left), used, (boldness, finish), (lots, effort))
}

/// As [`dive()`], trying to `finish` after every step.
pub(super) fn finished(
    master: &mut Master<'_>,
    pricing: &dyn Pricing,
    (model, mut left): (&Model, Vec<u64>),
    used: &[u64],
    (boldness, finish): (Boldness, &mut Finish<'_>),
    (lots, effort): (&mut Lots, &Effort<'_>),
) -> Dived {
    let mut chosen: Vec<(usize, u64)> = Vec::new();
    let mut length = vec![0_usize; master.widths.len()];
    let mut rolls = used.to_vec();
    while left.iter().any(|&n| n > 0) && !effort.over() {
        let mut weights: Vec<(f64, usize)> =
            master.weights().into_iter().zip(0..).filter(|(w, _)| *w > 1e-6).collect();
        weights.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let mut step: Vec<(usize, u64)> = Vec::new();
        for &(weight, column) in &weights {
            take(master, column, floor(weight + 1e-6), &mut left, &mut step);
        }
        if step.is_empty() {
            let mut fractions: Vec<(f64, usize)> = weights
                .iter()
                .map(|&(w, column)| (w - w.floor() + boldness.noise * lots.unit(), column))
                .collect();
            fractions.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
            let most = (fractions.len() / boldness.share).max(1);
            for (at, &(fraction, column)) in fractions.iter().enumerate() {
                if step.is_empty() || (at < most && fraction >= boldness.from) {
                    take(master, column, 1, &mut left, &mut step);
                }
            }
        }
        if step.is_empty() {
            break;
        }
        for &(column, copies) in &step {
            match &master.columns[column].cut {
                Cut::Pull(q, pull) => {
                    length[*q] += pull.length * usize::try_from(copies).unwrap_or(0);
                }
                Cut::Roll(roll) => rolls[roll.roll] += copies,
            }
        }
        chosen.extend(step);
        master.set_left(&left);
        master.settle(&length, &rolls);
        if let Some(rest) = finish(&left, &rolls, (lots, effort)) {
            left.fill(0);
            return Dived { chosen, left, rest };
        }
        let none: Option<&mut Best<'_>> = None;
        generate(master, pricing, (model, &left), boldness.rounds, (none, effort));
    }
    Dived { chosen, left, rest: Vec::new() }
}

fn take(
    master: &Master<'_>,
    column: usize,
    most: u64,
    left: &mut [u64],
    step: &mut Vec<(usize, u64)>,
) {
    let copies = master.columns[column].copies(left).min(most);
    if copies > 0 {
        for &(class, n) in &master.columns[column].counts {
            left[class] -= n * copies;
        }
        step.push((column, copies));
    }
}

/// The whole part of a weight.
#[expect(clippy::cast_possible_truncation, reason = "weights are bounded by demands")]
#[expect(clippy::cast_sign_loss, reason = "weights are not negative")]
fn floor(weight: f64) -> u64 {
    weight.max(0.0).floor() as u64
}
