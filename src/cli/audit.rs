//! `rollwright audit`: re-checks a plan file from the job alone.

use super::exit::{Exit, Failure};
use super::going_on::From;
use super::inputs::Job;
use super::output::{self, Loudness};
use super::solving::audited;
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::plan::{Input, Plan};
use crate::report::{counted, visible};
use serde::Serialize;
use std::path::{Path, PathBuf};

/// Re-check a plan file from the job alone: pieces, places, cuts, joints, areas, order
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Example:
  rollwright audit demo/vellmoor demo/vellmoor/out/plan.json

Exit code 0: the plan stands. 3: it does not; all that is wrong is listed.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// The plan file
    plan: PathBuf,
    #[command(flatten)]
    from: From,
    #[command(flatten)]
    loudness: Loudness,
    /// The verdict in JSON
    #[arg(long)]
    pub(super) json: bool,
}

/// The verdict as others read it.
#[derive(Serialize)]
struct Verdict {
    plan: String,
    passed: bool,
    failures: Vec<String>,
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`]; a plan that does not stand is no failure of the command but its verdict.
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let job = Job::read(&args.job)?;
    let (plan, _) = read(&args.plan)?;
    let mut findings = job.findings.clone();
    findings.append(changed(&args.plan, &plan.inputs, &job.folder.inputs()));
    output::findings(&findings, args.loudness);
    let mut job = job;
    job.keep_up_to(plan.up_to);
    let job = args.from.apply(job)?;
    let told = args.from.is_given() && job.already != plan.already;
    let job = if args.from.is_given() { job } else { job.of_plan(&plan) };
    job.follow_plan(&plan)?;
    let sheets = job.sheets();
    let name = args.plan.display().to_string();
    let (failures, words) = match audited(plan, &sheets, &job) {
        Ok(plan) => {
            let pieces: u64 = plan.pieces.iter().map(|p| p.quantity).sum();
            let rolls: u64 = plan.rolls.iter().map(|r| r.copies).sum();
            let pieces = counted(pieces, "piece", "pieces");
            let rolls = counted(rolls, "roll", "rolls");
            (Vec::new(), format!("{name} stands: {pieces} on {rolls}\n"))
        }
        Err(failed) => {
            let list: Vec<String> = failed.failures.iter().map(|f| visible(&f.sentence)).collect();
            let words = format!("{name} does not stand:\n  {}\n", list.join("\n  "));
            (list, words)
        }
    };
    let (failures, words) = if told {
        let what =
            "What was cut before and is on hand is not what the earlier plan and the report say.";
        (
            [failures, vec![what.to_owned()]].concat(),
            format!("{words}{name} does not stand:\n  {what}\n"),
        )
    } else {
        (failures, words)
    };
    let passed = failures.is_empty();
    if args.json {
        output::json(&Verdict { plan: name, passed, failures })?;
    } else {
        output::data(&words)?;
    }
    Ok(if passed { Exit::Done } else { Exit::AuditFailed })
}

/// Reads a plan file and gives its bytes as well.
pub(super) fn read(path: &Path) -> Result<(Plan, Vec<u8>), Failure> {
    let bytes = std::fs::read(path).map_err(|e| Failure::file(path, e))?;
    let plan = serde_json::from_slice(&bytes).map_err(|e| {
        let place = Place {
            column: Some(e.column() as u64),
            ..Place::line(path.display().to_string(), e.line() as u64)
        };
        let mut findings = Findings::new();
        findings.push(Finding::new(
            &codes::NO_PLAN,
            place,
            format!("it is not a plan: {e}"),
            "name a plan.json that `rollwright plan` wrote, unchanged",
        ));
        Failure::Findings(findings)
    })?;
    Ok((plan, bytes))
}

/// Inputs that are not those from which the plan was made.
pub(super) fn changed(path: &Path, then: &[Input], now: &[Input]) -> Findings {
    let mut findings = Findings::new();
    let digest = |list: &[Input], file: &str| {
        list.iter().find(|input| input.file == file).map(|input| input.sha256.clone())
    };
    let mut files: Vec<&str> = then.iter().chain(now).map(|input| input.file.as_str()).collect();
    files.sort_unstable();
    files.dedup();
    for file in files {
        if digest(then, file) != digest(now, file) {
            findings.push(Finding::new(
                &codes::CHANGED_SINCE,
                Place::file(path.display().to_string()),
                format!("{} is not the one from which the plan was made", visible(file)),
                "make a new plan, unless the change is known to be of no consequence",
            ));
        }
    }
    findings
}
