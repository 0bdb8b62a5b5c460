//! Layouts of any kind: rectangles may lie anywhere, and a knife follows their edges.
//!
//! 1. The instance is scaled to whole units with the gap inside the pieces ([`task`]).
//! 2. An order of the pieces gives a layout (`packer`: the contour in `skyline`, the choice in
//!    `fit`).
//! 3. Orders are searched for one that lays everything into less (`search`): a shorter strip
//!    (`strip`), or fewer or cheaper rolls (`rooms`).
//! 4. Spots become layouts of the instance's pieces (`answer`).

mod answer;
mod bound;
mod effort;
mod fit;
mod lot;
mod orders;
mod packer;
mod rooms;
mod search;
mod skyline;
mod strip;
mod task;

use super::{Instance, Layout, NestError, Nesting, News, Options, Status, Watch};
use crate::cutting::Objective;
use answer::Dealer;
use effort::Effort;
use packer::Spot;
use rooms::Offer;
use std::sync::atomic::{AtomicBool, Ordering};
use task::Task;

/// Nests without regard to edge-to-edge cuts.
///
/// # Errors
/// When there is no roll, a piece fits none, the rolls on hand hold less than the pieces, or a
/// number is too large.
pub fn solve(
    instance: &Instance,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    if instance.rolls.is_empty() {
        return Err(NestError::NoRolls);
    }
    let task =
        Task::new(instance).ok_or_else(|| NestError::TooLarge { what: "the demand".to_owned() })?;
    check(instance, &task)?;
    let (bound, basis, certificate) = bound::any_packing(instance, &task);
    let stopped = AtomicBool::new(false);
    let go_on = || {
        let stop = watch.stop();
        if stop {
            stopped.store(true, Ordering::Relaxed);
        }
        !stop
    };
    let news =
        |value: i64| watch.news(&News { instance: &instance.name, value: Some(value), bound });
    let effort = Effort { seed: options.seed, work: options.work, go_on: &go_on };
    let (layouts, value) = if instance.objective == Objective::Length {
        lay_strip(instance, &task, bound, effort, &news)?
    } else {
        lay_rolls(instance, &task, bound, effort, &news)?
    };
    let status = if value <= bound {
        Status::Proven
    } else if stopped.load(Ordering::Relaxed) {
        Status::Stopped
    } else {
        Status::Feasible
    };
    Ok(Nesting { layouts, value, bound, basis, certificate, status })
}

/// Refuses pieces that fit no roll.
fn check(instance: &Instance, task: &Task) -> Result<(), NestError> {
    for kind in &task.kinds {
        let fits = kind.shapes.iter().any(|s| {
            let room = |r: &task::Room| s.w <= r.width && s.h <= r.length;
            s.h <= task.pull && task.rooms.iter().any(room)
        });
        if let (false, Some(&(piece, _))) = (fits, kind.pieces.first()) {
            return Err(NestError::PieceFitsNoRoll { piece: instance.pieces[piece].id.clone() });
        }
    }
    Ok(())
}

/// The shortest strip.
fn lay_strip(
    instance: &Instance,
    task: &Task,
    bound: i64,
    effort: Effort<'_>,
    news: &dyn Fn(i64),
) -> Result<(Vec<Layout>, i64), NestError> {
    let cutting = &instance.cutting;
    let fixed = cutting.square_cut.nm() - cutting.gap.nm();
    let value = |far: i64| far * task.unit + fixed;
    let least = (bound - fixed + task.unit - 1).div_euclid(task.unit);
    let told = |far: i64| news(value(far));
    let width = task.rooms.first().map_or(0, |room| room.width);
    let strip = strip::shortest(task, width, least, effort, &told)
        .ok_or(NestError::LengthNeedsOneEndlessRoll)?;
    let layout = Dealer::new(instance, task).layout(0, &strip.spots);
    Ok((vec![layout], value(strip.far)))
}

/// The fewest or the cheapest rolls.
fn lay_rolls(
    instance: &Instance,
    task: &Task,
    bound: i64,
    effort: Effort<'_>,
    news: &dyn Fn(i64),
) -> Result<(Vec<Layout>, i64), NestError> {
    let offers: Vec<Offer> = instance
        .rolls
        .iter()
        .map(|roll| Offer {
            cost: if instance.objective == Objective::Price { roll.price.micros() } else { 1 },
            available: roll.available,
        })
        .collect();
    let stack = rooms::cheapest(task, &offers, bound, effort, news)
        .map_err(|missing| NestError::NotEnoughRolls { missing })?;
    let mut dealer = Dealer::new(instance, task);
    let mut layouts = Vec::new();
    for (number, &roll) in (0u32..).zip(&stack.rolls) {
        let spots: Vec<Spot> = stack.spots.iter().filter(|s| s.room == number).copied().collect();
        layouts.push(dealer.layout(roll, &spots));
    }
    Ok((layouts, stack.cost))
}
