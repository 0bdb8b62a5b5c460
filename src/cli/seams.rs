//! `rollwright seams`: what each place of the elbow gores' seams would need, all three planned.
//!
//! Steps: expand the takeoff under each of the three rules; plan and audit each like a job; put
//! them side by side, with the difference to what the job's own rules say. Nothing is written.

use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::output::{self, Loudness};
use super::progress::Show;
use super::solving::solve;
use super::stop::stoppable;
use crate::audit::Verified;
use crate::cutting::Style;
use crate::plan::Plan;
use crate::report::{Cell, Table};
use crate::rules::Seam;
use crate::units::{Area, Decimal};
use serde::Serialize;
use std::path::PathBuf;

/// Compare the places of elbow seams: throat, heel, or in turn; writes no file
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright seams demo/vellmoor
  rollwright seams JOB --seconds 20 --json

Each is planned and audited as `plan` would; elbow.seam in rules.toml is what the job uses.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    loudness: Loudness,
    /// As a JSON array: areas in square millimetres
    #[arg(long)]
    pub(super) json: bool,
}

/// What one place of the seams comes to.
#[derive(Clone, Copy, Debug, Serialize)]
struct Choice {
    seam: &'static str,
    /// Whether the job's rules say so.
    chosen: bool,
    /// In the job's objective: rolls or price.
    value: Decimal,
    bound: Decimal,
    /// Drawn off and cut: rolls without what is kept and the ends too small to keep.
    cut: Area,
    /// Between and around the pieces.
    between: Area,
}

const SEAMS: [(Seam, &str); 3] =
    [(Seam::Throat, "throat"), (Seam::Heel, "heel"), (Seam::Alternate, "alternate")];

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let (asked, shown) = (args.clone(), args.loudness);
    let show = Show::suiting(shown.quiet, shown.verbose);
    let (job, choices) = stoppable(move |stop| {
        let job = Job::read(&asked.job)?;
        let mut choices = Vec::with_capacity(SEAMS.len());
        for (seam, name) in SEAMS {
            let mut rules = job.rules.clone();
            rules.elbow.seam = seam;
            let other = job.with_rules(rules)?;
            let plan = solve(&other, &asked.effort, show, stop)?;
            choices.push(choice(&plan, name, job.rules.elbow.seam == seam));
        }
        Ok((job, choices))
    })?;
    output::findings(&job.findings, shown);
    if args.json {
        output::json(&choices)?;
        return Ok(Exit::Done);
    }
    output::data(&table(&choices).aligned())?;
    if !shown.quiet && job.rules.table.style == Style::Straight {
        output::message(
            "The rules have all pieces cut from straight blanks (style = \"straight\"), so gores \
             cannot lie in one another; with style = \"free\" they can.",
        );
    }
    Ok(Exit::Done)
}

fn choice(plan: &Verified<Plan>, seam: &'static str, chosen: bool) -> Choice {
    let sum = |part: fn(&crate::plan::Areas) -> Area| {
        plan.nests.iter().fold(Area::ZERO, |sum, nest| sum + part(&nest.areas))
    };
    Choice {
        seam,
        chosen,
        value: plan.value,
        bound: plan.bound,
        cut: sum(|a| a.rolls - a.kept - a.roll_ends),
        between: sum(|a| a.between),
    }
}

/// The choices side by side.
fn table(choices: &[Choice]) -> Table {
    let mut table =
        Table::new(&["seam", "rules", "value", "bound", "cut m2", "between m2", "saves m2"]);
    let own = choices.iter().find(|c| c.chosen).map(|c| c.cut);
    for choice in choices {
        let saves = own.map(|own| own - choice.cut);
        table.push(vec![
            Cell::text(choice.seam),
            Cell::text(if choice.chosen { "these" } else { "" }),
            Cell::Number(choice.value.to_string()),
            Cell::Number(choice.bound.to_string()),
            Cell::SquareMetres(choice.cut),
            Cell::SquareMetres(choice.between),
            saves.map_or(Cell::Empty, Cell::SquareMetres),
        ]);
    }
    table
}
