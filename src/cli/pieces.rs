//! `rollwright pieces`: every piece to cut, before nesting.

use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::output::{self, Loudness};
use crate::report;
use std::path::PathBuf;

/// List every piece to cut, for checking the takeoff
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright pieces demo/vellmoor
  rollwright pieces demo/vellmoor --csv > pieces.csv
  rollwright pieces demo/vellmoor --json")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    #[command(flatten)]
    loudness: Loudness,
    /// As a JSON array: lengths in millimetres, areas in square millimetres, outlines included
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// As CSV
    #[arg(long)]
    csv: bool,
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let job = Job::read(&args.job)?;
    output::findings(&job.findings, args.loudness);
    if args.json {
        output::json(&report::pieces_out(job.demand()))?;
        return Ok(Exit::Done);
    }
    let table = report::pieces(job.demand());
    if args.csv {
        output::data(&String::from_utf8_lossy(&table.csv()))?;
    } else {
        output::data(&table.aligned())?;
    }
    Ok(Exit::Done)
}
