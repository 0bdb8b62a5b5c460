//! `rollwright order`: what to buy, with the proof.

use super::choosing::Choosing;
use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::idle;
use super::inputs::Job;
use super::output::{self, Loudness};
use super::progress::Show;
use super::solving::solve;
use super::stop::{Leaves, stoppable};
use crate::cost;
use crate::report;
use std::path::PathBuf;

/// Say which rolls to buy, with the proof; writes no file
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright order demo/vellmoor
  rollwright order demo/vellmoor --csv > order.csv")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    #[command(flatten)]
    choosing: Choosing,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    pub(super) loudness: Loudness,
    /// The order as JSON, with value, bound and status of each thickness
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// The order as CSV
    #[arg(long)]
    csv: bool,
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let (asked, shown) = (args.clone(), args.loudness);
    let show = Show::suiting(shown.quiet, shown.verbose);
    let (job, plan) = stoppable(Leaves::Answer, move |stop| {
        let mut job = Job::read(&asked.job)?;
        asked.choosing.apply(&mut job);
        let plan = solve(&job, &asked.effort, show, stop)?;
        Ok((job, plan))
    })?;
    let sources = job.sources();
    let mut findings = job.findings.clone();
    findings.extend(idle::told(&job, &plan));
    findings.append(cost::spares(&plan, &job.stock, &job.rules, &job.rates));
    output::findings(&job.telling().findings(&findings), shown);
    if args.json {
        output::outcome(&report::Outcome::of(&plan, &sources), &findings)?;
    } else if args.csv {
        output::data(&String::from_utf8_lossy(&report::order_csv(&plan, &sources)))?;
    } else {
        output::data(&report::order_text(&plan, &sources))?;
    }
    Ok(Exit::Done)
}
