//! Straight cuts, edge to edge: cross-cuts into pulls, rips into strips, and further if allowed.
//!
//! 1. Scale the instance to small whole numbers (`model`).
//! 2. A greedy answer at once (`first`, `greedy`, `pack`) and simple bounds (`simple`).

mod answer;
mod best;
mod effort;
mod first;
mod greedy;
mod model;
mod pack;
mod pattern;
mod simple;

use super::{Instance, NestError, Nesting, Options, Watch};
use best::Best;
use effort::Effort;
use model::{Model, Rounding};

/// Nests by straight cuts.
///
/// # Errors
/// When a piece fits no roll, or the rolls on hand hold less than the pieces.
pub fn solve(
    instance: &Instance,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    let model = Model::new(instance, Rounding::Up)?;
    let under = Model::new(instance, Rounding::Down)?;
    let effort = Effort::new(options, watch);
    let mut best = Best::new(instance, &effort);
    let missing = first::offer(&mut best, &model);
    simple::raise(&mut best, &under, &effort);
    best.nesting(&model).ok_or(NestError::NotEnoughRolls { missing })
}
