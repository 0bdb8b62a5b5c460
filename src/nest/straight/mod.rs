//! Straight cuts, edge to edge: cross-cuts into pulls, rips into strips, and further if allowed.
//!
//! 1. Scale the instance to small whole numbers (`model`).
//!    Pieces that all lie alone across the roll are handed to the one-dimensional engine (`lonely`).
//! 2. A greedy answer at once (`first`, `greedy`, `pack`) and simple bounds (`simple`).
//! 3. Column generation: over pulls where rolls hold many of them (`by_pulls`), else over whole rolls
//!    (`by_rolls`); both share the master, the generation and the dive. Curved pieces lie in their
//!    blanks one by one, or several interlocked in one (`trains`), as the prices say.

mod across;
mod along;
mod answer;
mod beam;
mod best;
mod by_pulls;
mod by_rolls;
mod correct;
mod dive;
pub(super) mod effort;
mod either;
mod first;
mod generate;
mod greedy;
mod interlock;
pub(super) mod knapsack;
mod known;
pub(super) mod lines;
mod lonely;
pub(super) mod lots;
mod master;
mod model;
mod pack;
mod pattern;
#[cfg(test)]
mod perturbed;
mod prices;
mod pulls;
mod refill;
mod renew;
mod row;
mod shorten;
mod simple;
mod stacks;
mod sums;
mod trains;
mod whole;

pub use known::{Laid, LaidPull, laid};
pub use prices::{Duals, Over, duals};

use super::{Basis, Instance, NestError, Nesting, Options, Watch};
use crate::cutting::{Style, Turns};
use crate::units::Length;
use best::Best;
use effort::Effort;
use lots::Lots;
use model::{Model, Rounding};

/// With so few rolls, an answer is better looked for as a whole, or by its pulls, than by its rolls.
const FEW: u64 = 8;

/// With no more rolls than this, what the pulls alone leave unproven is looked for by whole rolls as well.
const MANY: u64 = 40;

/// With less work than this, of which the bound by lines would take much, it is left out: simulated
/// nests want answers and no proof.
const LINES: u64 = 500_000;

/// Nests by straight cuts.
///
/// # Errors
/// When a piece fits no roll, or the rolls on hand hold less than the pieces.
pub fn solve(
    instance: &Instance,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    solve_from(instance, &[], options, watch)
}

/// As [`solve()`], with pulls that are known to hold all pieces.
///
/// # Errors
/// As [`solve()`].
pub fn solve_from(
    instance: &Instance,
    known: &[LaidPull],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    let model = Model::new(instance, Rounding::Up)?;
    let under = Model::new(instance, Rounding::Down)?;
    let mut lots = Lots::new(options.seed);
    let effort = Effort::new(options, watch);
    if lonely::all_alone(&model, &under)
        && let Some(nesting) = lonely::solve(instance, &model, options, &effort)
    {
        return Ok(nesting);
    }
    let mut best = Best::new(instance, &model, &effort);
    known::offer(&mut best, (instance, &model), known);
    let missing = first::offer(&mut best, &model, &effort);
    let any = instance.cutting.style == Style::Free;
    if !any || boxes(instance) {
        simple::raise(&mut best, &under, &effort);
        // In two stages the programme over all pulls is never below that over lines, but bounds no curved pieces.
        let pulls_bound = !any && instance.cutting.stages == Some(2) && !under.curved();
        let lines = options.work >= LINES && !pulls_bound;
        if lines && !best.proven() && !effort.over() {
            lines_across(&mut best, &under, &effort);
        }
    }
    if !best.proven() && !effort.over() {
        let stages = if any { None } else { instance.cutting.stages };
        let few = few_pulls(&model);
        if few && best.rolls() <= FEW {
            by_rolls::begin(&mut best, (&model, &under), stages, (&mut lots, &effort));
        }
        let pulls_first = !few || model.curved() || (stages != Some(2) && best.rolls() <= FEW);
        if pulls_first && !best.proven() {
            by_pulls::improve(&mut best, (&model, &under), stages, (&mut lots, &effort));
        }
        // Pulls are packed on rolls only once they are chosen, which leaves rolls that do not suit one another, or none
        // for the last pulls, where these are few or limited.
        let whole = few || (!model.curved() && !model.endless && rolls(&best, &model) <= MANY);
        if whole && !best.proven() && !effort.over() {
            let matter = (&model, &under);
            by_rolls::improve(&mut best, matter, (stages, few), (&mut lots, &effort));
        }
    }
    best.nesting(&model).ok_or(NestError::NotEnoughRolls { missing })
}

/// How many rolls the best answer has; without one, how many are to be had.
fn rolls(best: &Best<'_>, model: &Model) -> u64 {
    match best.rolls() {
        0 => model
            .rolls
            .iter()
            .fold(0, |sum: u64, roll| sum.saturating_add(roll.available.unwrap_or(u64::MAX))),
        rolls => rolls,
    }
}

/// Raises the bound by [`lines`].
fn lines_across(best: &mut Best<'_>, under: &Model, effort: &Effort<'_>) {
    if under.endless {
        return;
    }
    let mut lines = lines::Lines::of(under.clone());
    let costs: Vec<f64> =
        under.rolls.iter().map(|r| master::real(u64::try_from(r.cost).unwrap_or(0))).collect();
    let dearest = costs.iter().copied().fold(0.0, f64::max).max(1.0);
    let costs: Vec<f64> = costs.iter().map(|cost| cost / dearest).collect();
    let missing = vec![8.0; lines.widths().len()];
    let limits: Vec<Option<u64>> = under.rolls.iter().map(|roll| roll.available).collect();
    let asked = lines::Asked { costs: &costs, missing: &missing, limits: &limits };
    let (certificate, _) = lines.certificate(&asked, effort);
    best.raise(certificate, Basis::Lines);
}

/// Whether rolls hold so few pulls that whole rolls should be columns.
fn few_pulls(model: &Model) -> bool {
    let demand: u64 = model.demands().iter().sum();
    let total: u128 = model
        .forms
        .iter()
        .map(|form| u128::from(model.classes[form.class].demand) * form.length as u128)
        .sum();
    let average = total / u128::from(demand.max(1));
    let longest = model.rolls.iter().map(|roll| roll.length).max().unwrap_or(0);
    !model.endless && longest as u128 <= 16 * average.max(1)
}

/// Whether free cutting is no freer than boxes laid square to the roll, edge to edge.
fn boxes(instance: &Instance) -> bool {
    instance.cutting.gap == Length::ZERO
        && instance.pieces.iter().all(|p| p.outline.is_none() && p.turns != Turns::Any)
}
