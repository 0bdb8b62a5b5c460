//! `rollwright pieces`: every piece to cut, before nesting.

use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::output::{self, Loudness};
use crate::{plan, report};
use std::path::PathBuf;

/// List every piece to cut, for checking the takeoff
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright pieces demo/vellmoor
  rollwright pieces demo/vellmoor --csv > pieces.csv
  rollwright pieces demo/vellmoor --json

Codes and sizes are those of a plan made from the job as it is.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    #[command(flatten)]
    pub(super) loudness: Loudness,
    /// As a JSON array: lengths in millimetres, areas in square millimetres, outlines included; `code`, `cut_width` and
    /// `cut_length` as a plan has them
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
    let sheets = plan::job::wanted(&job.folder.name, job.demand(), &job.stock, &job.rules);
    if args.json {
        output::json(&report::pieces_out(job.demand(), &sheets))?;
        return Ok(Exit::Done);
    }
    if args.csv {
        let table = report::pieces(job.demand(), &sheets);
        output::data(&String::from_utf8_lossy(&table.csv()))?;
    } else {
        output::data(&report::pieces_shown(job.demand(), &sheets, job.papers.measure).aligned())?;
    }
    Ok(Exit::Done)
}
