//! `rollwright seams`: what each place of the elbow gores' seams would need, all three planned.
//!
//! Steps: expand the takeoff under each of the three rules; plan and audit each like a job; put
//! them side by side, with the difference to what the job's own rules say. Nothing is written.

use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::output::{self, Loudness};
use super::progress::{Board, Show};
use super::solving::{answers, checked};
use super::stop::{Leaves, Stop, stoppable};
use crate::audit::Verified;
use crate::compare::{Place, SEAMS, Seams};
use crate::plan::choose::Known;
use crate::plan::{Plan, Wanted};
use crate::report::seams;
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
    pub(super) loudness: Loudness,
    /// As a JSON array: areas in square millimetres
    #[arg(long)]
    pub(super) json: bool,
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let (asked, shown) = (args.clone(), args.loudness);
    let show = Show::suiting(shown.quiet, shown.verbose);
    let (job, seams) = stoppable(Leaves::Nothing, move |stop| {
        let job = Job::read(&asked.job)?;
        let seams = compared(&job, None, &asked.effort, show, stop)?;
        Ok((job, seams))
    })?;
    output::findings(&job.findings, shown);
    if args.json {
        output::json(&seams::json(&seams))?;
        return Ok(Exit::Done);
    }
    let telling = job.telling();
    output::data(&telling.table(seams::table(&seams)).aligned())?;
    if !shown.quiet {
        output::message(&output::filled(&telling.text(&seams::in_words(&seams).join(" ")), "", ""));
    }
    Ok(Exit::Done)
}

/// Plans the job with each place of the seams, as specified otherwise; where its own plan is at hand and is
/// just that, it is not nested again, and neither is a place that comes to the same pieces as another.
///
/// # Errors
/// See [`Failure`].
pub(super) fn compared(
    job: &Job,
    plan: Option<&Plan>,
    effort: &Effort,
    show: Show,
    stop: &Stop,
) -> Result<Seams, Failure> {
    let own = job.rules.elbow.seam;
    let mut plain = job.clone();
    (plain.already, plain.up_to) = (None, None);
    let known =
        plan.filter(|plan| plan.choice.is_none() && plan.already.is_none() && plan.up_to.is_none());
    let mut seen: Vec<(Vec<Wanted>, Place)> = Vec::with_capacity(SEAMS.len());
    for place in SEAMS {
        let mut rules = job.rules.clone();
        rules.elbow.seam = place.0;
        let other = plain.with_rules(rules)?;
        let sheets = other.sheets();
        let found = match (seen.iter().find(|(before, _)| *before == sheets), known) {
            (Some((_, same)), _) => Place { seam: place.1, chosen: place.0 == own, ..same.clone() },
            (None, Some(plan)) if place.0 == own => Place::of(plan, place, own),
            (None, _) => {
                let made = planned(&other, &sheets, effort, show, stop)?;
                Place::of(&made, place, own)
            }
        };
        seen.push((sheets, found));
    }
    let differ = seen.iter().any(|(sheets, _)| *sheets != seen[0].0);
    Ok(Seams { places: seen.into_iter().map(|(_, place)| place).collect(), differ })
}

/// A plan as specified that passed the audit.
fn planned(
    job: &Job,
    sheets: &[Wanted],
    effort: &Effort,
    show: Show,
    stop: &Stop,
) -> Result<Verified<Plan>, Failure> {
    if stop.asked() {
        return Err(Failure::Stopped);
    }
    let effort = &effort.for_job();
    let nested = answers(job, (sheets, &Known::new()), effort, &Board::new(show), stop)?;
    checked(job, sheets, &nested, &job.rules.sequence, (effort, stop))
}
