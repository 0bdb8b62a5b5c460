//! Chooses the engine that an instance needs.

use super::straight::LaidPull;
use super::{Instance, NestError, Nesting, Options, Watch};
use super::{bars, free, offers, shapes, straight};
use crate::cutting::{Objective, Style};

/// Lays the pieces on rolls and bounds what could be saved.
///
/// # Errors
/// When there is no roll, a piece fits none, the rolls on hand hold less than the pieces, or a
/// roll without end is asked for a number of rolls.
pub fn solve(
    instance: &Instance,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    solve_from(instance, &[], options, watch)
}

/// As [`solve()`], with pulls that are known to hold all pieces: where straight cuts have two or three
/// stages, the answer is no worse than they are.
///
/// # Errors
/// As [`solve()`].
pub fn solve_from(
    instance: &Instance,
    known: &[LaidPull],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    check(instance)?;
    match engine(instance, known, options, watch) {
        Err(NestError::NotEnoughRolls { missing }) => {
            let found =
                offers::without_limits(instance, |wider| engine(wider, known, options, watch).ok());
            found.ok_or(NestError::NotEnoughRolls { missing })
        }
        answer => answer,
    }
}

/// The engine that the instance needs.
fn engine(
    instance: &Instance,
    known: &[LaidPull],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    if let Some(nesting) = bars::solve(instance, options, watch) {
        return Ok(nesting);
    }
    match instance.cutting.style {
        Style::Straight if instance.cutting.stages.is_some() || !free::takes(instance) => {
            straight::solve_from(instance, known, options, watch)
        }
        Style::Free if instance.is_outlined() => shapes::solve(instance, options, watch),
        Style::Straight | Style::Free => free::solve(instance, options, watch),
    }
}

fn check(instance: &Instance) -> Result<(), NestError> {
    if instance.rolls.is_empty() {
        return Err(NestError::NoRolls);
    }
    if instance.objective == Objective::Length {
        let one_endless = instance.rolls.len() == 1 && instance.rolls[0].length.is_none();
        return if one_endless { Ok(()) } else { Err(NestError::LengthNeedsOneEndlessRoll) };
    }
    match instance.rolls.iter().find(|roll| roll.length.is_none()) {
        Some(roll) => Err(NestError::EndlessRoll { roll: roll.id.clone() }),
        None => Ok(()),
    }
}
