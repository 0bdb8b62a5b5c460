//! What a plan says of how it was made, which nobody can make anew: told as taken on its word, since labels'
//! codes, items' shares and the comparison with the shelf rest on it.

use super::inputs::Job;
use crate::nest::Status;
use crate::plan::{Nest, Plan};
use crate::report::{amount, counted, of_thickness};
use std::fmt::Write as _;

/// A list of it, each to stand behind "Taken on the plan's word".
pub(super) fn on_its_word(plan: &Plan, job: &Job) -> Vec<String> {
    let mut list = vec![program(plan, job)];
    list.extend(searches(plan));
    let chosen = plan.choice.as_ref().is_some_and(|choice| !choice.is_empty());
    for (nest, sheet) in plan.nests.iter().zip(job.sheets()) {
        let which = of_thickness(nest.thickness);
        match nest.without_shelf {
            Some(without) if without.bound.millionths() > 0 => {
                let bound = amount(nest.objective, without.bound);
                list.push(format!("{which}that less than {bound} will not do without the shelf"));
            }
            None if !chosen && job.already.is_none() && sheet.rolls.iter().any(|r| r.shelf) => {
                list.push(format!("{which}that no plan was found without the shelf"));
            }
            _ => {}
        }
    }
    list
}

/// What made it; the folder only where it is not the one that the audit was given.
fn program(plan: &Plan, job: &Job) -> String {
    let program = &plan.program;
    let work = counted(program.limits.work, "step", "steps");
    let this = env!("CARGO_PKG_VERSION");
    let other =
        if program.version == this { String::new() } else { format!(", where this is {this},") };
    let mut words = format!(
        "that version {}{other} made it with seed {} and {work} of work for each thickness",
        program.version, program.seed
    );
    if let Some(seconds) = program.limits.seconds {
        let _ = write!(words, ", in {seconds} s each");
    }
    if plan.name != job.folder.name {
        let _ = write!(words, ", in a folder named `{}`", plan.name);
    }
    words
}

/// Which searches were ended by a clock or by Ctrl-C, of those that proved nothing.
fn searches(plan: &Plan) -> Option<String> {
    let open: Vec<&Nest> = plan.nests.iter().filter(|n| n.status != Status::Proven).collect();
    if open.is_empty() && plan.sequence.is_none() {
        return None;
    }
    let stopped = plan.stopped();
    Some(if stopped.is_empty() {
        "that no search was stopped before its end".to_owned()
    } else {
        format!("that the search was stopped before its end for {}", stopped.join(", "))
    })
}
