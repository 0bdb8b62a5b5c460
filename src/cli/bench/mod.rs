//! `rollwright bench`: a page in the browser for one job, served to this computer alone.
//!
//! Steps: resolve the job folder; listen on the loopback address; print the address; answer
//! requests until Ctrl-C. Every request passes the [`guard`]; the page and its scripts are part of
//! the program ([`assets`]); files of the job are read and written by [`files`], drafts are
//! checked by [`draft`]; a run takes the same way as `rollwright plan` ([`mod@run`]), and only a plan
//! that passed the audit is shown ([`shown`]). [`ground`] finds the plan that a report of what was done is of.

mod answer;
mod assets;
mod draft;
mod files;
mod ground;
mod guard;
mod options;
mod routes;
mod run;
mod serve;
mod shown;
mod state;

use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::output;
use state::Bench;
use std::net::{Ipv4Addr, TcpListener};
use std::path::PathBuf;
use std::sync::Arc;

/// Work on a job in the browser: takeoff, rolls, shelf, rules, run, plan, reports
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright bench demo/vellmoor               prints the address to open
  rollwright bench JOB --port 8080             the same address every time

Only this computer can reach the page, and it needs no internet. The job's files are changed when
you save, and reports go to JOB/out; those of plans that go on from what was done go to JOB/out2
and so on. Ctrl-C ends it.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// The port to listen on (default: one that is free)
    #[arg(long, value_name = "PORT", default_value_t = 0)]
    port: u16,
    #[command(flatten)]
    effort: Effort,
}

/// Runs the command.
///
/// # Errors
/// Where there is no such folder, or the port cannot be had.
pub fn run(args: &Args) -> Result<Exit, Failure> {
    if !args.job.is_dir() {
        return Err(Failure::no_job(&args.job));
    }
    let folder = args.job.canonicalize().map_err(|e| Failure::file(&args.job, e))?;
    let cannot = |e| Failure::System(format!("port {} cannot be had: {e}", args.port));
    let listener = TcpListener::bind((Ipv4Addr::LOCALHOST, args.port)).map_err(cannot)?;
    let port = listener.local_addr().map_err(cannot)?.port();
    let bench = Arc::new(Bench::new(folder, port, args.effort));
    shown::at_start(&bench);
    output::data(&(bench.address() + "\n"))?;
    output::message(
        "open this whole address in a browser on this computer, and give it to nobody: whoever has it can \
         change the job; Ctrl-C ends the bench",
    );
    serve::serve(&bench, listener)?;
    Ok(Exit::Done)
}
