//! `rollwright tickets`: what the shop cuts by, from a plan that stands.

use super::exit::{Exit, Failure};
use super::folder;
use super::inputs::Job;
use super::output::{self, Loudness};
use super::standing::{self, Standing};
use crate::report;
use std::path::PathBuf;

/// Write tickets, kit lists and labels of a plan, for the shop
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright plan demo/vellmoor && rollwright tickets demo/vellmoor
  rollwright tickets JOB --plan other/plan.json --out /tmp/shop

The plan is audited against the job first; one that does not stand gives no tickets.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// The plan file [default: JOB/out/plan.json]
    #[arg(long, value_name = "FILE")]
    plan: Option<PathBuf>,
    /// Where the files go; made if it is not there [default: the plan's folder]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    #[command(flatten)]
    pub(super) loudness: Loudness,
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let path = args.plan.clone().unwrap_or_else(|| args.job.join("out").join(folder::PLAN));
    if !args.job.is_dir() {
        return Err(Failure::no_job(&args.job));
    }
    let job = Job::read(&args.job)?;
    let Standing { job, plan, changed, file } =
        standing::read(job, &path, "no tickets are written")?;
    output::findings(&changed, args.loudness);
    let out = args.out.clone().unwrap_or_else(|| folder::of(&path).to_owned());
    folder::may_write(&out, &args.job, report::TICKET_NAMES)?;
    file.no_other_in(&out)?;
    let documents = report::ticket_documents(&plan, &job.sources());
    let paths = folder::write_made_from(&file, &out, &documents)?;
    if !args.loudness.quiet {
        for path in paths {
            output::message(&path.display().to_string());
        }
        output::in_numbers(
            &report::illegible(&plan, &job.sources()),
            report::TICKETS_PDF,
            report::TICKETS_PAGE,
        );
    }
    Ok(Exit::Done)
}
