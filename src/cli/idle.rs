//! Whole rolls on hand that a plan leaves lying while it buys wider ones.
//!
//! Courses are as wide as the widest roll on offer that they are laid out for, whatever is on hand, so a wider product that comes beside
//! another, or replaces it, may leave paid rolls without a piece that fits them. Rolls are whole that were bought
//! for an earlier plan and not begun; on the shelf, those that are as long as the shortest roll on offer of
//! their thickness and at least half as wide as the widest (our choice: narrower ones are strips).

use super::inputs::Job;
use crate::finding::Finding;
use crate::finding::codes::job as codes;
use crate::plan::Plan;
use crate::stock::{Offcut, Roll};
use crate::table::quoted;

/// Tells whole rolls on hand that no cut of a plan uses, where the plan buys wider ones.
pub(super) fn told(job: &Job, plan: &Plan) -> Vec<Finding> {
    job.stock.offcuts.iter().filter_map(|on_hand| one(job, plan, on_hand)).collect()
}

fn one(job: &Job, plan: &Plan, on_hand: &Offcut) -> Option<Finding> {
    let like = |roll: &&Roll| roll.is_laid_out_for() && roll.thickness == on_hand.thickness;
    let offered = || job.stock.rolls.iter().filter(like);
    let widest =
        offered().max_by_key(|roll| roll.width).filter(|roll| roll.width > on_hand.width)?;
    let bought = |name: &str| {
        let of = plan.rolls.iter().filter(|roll| !roll.shelf && roll.roll == name);
        of.map(|roll| roll.copies).sum::<u64>()
    };
    let wider: u64 =
        offered().filter(|roll| roll.width > on_hand.width).map(|roll| bought(&roll.id)).sum();
    let cut = plan.rolls.iter().filter(|roll| roll.shelf && roll.roll == on_hand.id);
    let left = on_hand.quantity.saturating_sub(cut.map(|roll| roll.copies).sum());
    let by_size = || {
        let shortest = offered().map(|roll| roll.length).min();
        shortest.is_some_and(|least| on_hand.length >= least) && on_hand.width * 2 >= widest.width
    };
    let before = job.already.iter().flat_map(|already| &already.stock);
    let not_begun = before.filter(|stock| stock.name == on_hand.id).any(|stock| stock.of.is_some());
    if wider == 0 || left == 0 || !(not_begun || by_size()) {
        return None;
    }
    let (name, wide) = (quoted(&on_hand.id), quoted(&widest.id));
    let what = format!(
        "{left} of {name} ({} mm wide) lie there whole and are not cut, while {wider} wider are bought: courses are laid out for \
         rolls of {} mm, as {wide} is on offer",
        on_hand.width, widest.width
    );
    let remedy = format!(
        "to use them up, write no into the column `courses` of {wide} and keep a roll of {} mm on offer, which lays courses \
         out for those and still cuts from {wide}, or plan what they suffice for as a job of its own; leave it if they \
         are to wait",
        on_hand.width
    );
    Some(Finding::new(&codes::LEFT_LYING, widest.place.field("width", None), what, remedy))
}
