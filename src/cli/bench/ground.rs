//! What the shop did, as the job's `done.csv` reports it, and the plan that it is of.
//!
//! The plans of a job lie in the folders `out`, `out2` and so on, and tickets say which of them they are of (`T4`
//! is one of the first, `T4r2` of the second). So the report names the plan to go on from by its first ticket, and the
//! next plan goes into the folder of its number.

use super::super::exit::Failure;
use super::super::going_on::From;
use super::super::job::names_of;
use super::super::reading::{self, LARGEST};
use super::super::{audit, folder};
use super::files;
use super::state::Bench;
use crate::done;
use crate::finding::Findings;
use crate::plan::{Plan, digest};
use serde_json::{Value, json};
use std::path::{Path, PathBuf};

/// The report of what was done.
pub const DONE: &str = "done.csv";

/// A plan to go on from, and where the next one goes.
pub struct Ground {
    /// The report.
    done: PathBuf,
    /// The plan's folder, inside the job's.
    from: String,
    plan: Plan,
    /// The next plan's folder.
    pub to: String,
}

/// The folder of a job's plan of this number, from 1, inside the job's.
fn folder_of(number: usize) -> String {
    if number > 1 { format!("{}{number}", files::OUT) } else { files::OUT.to_owned() }
}

/// The plans of a job, with their folders: the first, and those of which each goes on from the one before, which
/// has not been made anew since.
///
/// # Errors
/// A folder leads out of the job's.
pub fn plans(bench: &Bench) -> Result<Vec<(Plan, String)>, Failure> {
    let mut plans: Vec<(Plan, String)> = Vec::new();
    let mut before = None;
    for number in 1.. {
        let name = folder_of(number);
        let Some(out) = files::inside(&bench.folder, &name)? else { break };
        let Some(path) = files::inside(&out, folder::PLAN)? else { break };
        let Ok((plan, bytes)) = audit::read(&path) else { break };
        let from = plan.already.as_ref().map(|already| &already.from);
        if number > 1 && from != before.as_ref() {
            break;
        }
        before = Some(digest(&bytes));
        plans.push((plan, name));
    }
    Ok(plans)
}

/// The report in a folder, if there is one: the job's own, or a draft of it.
fn report(folder: &Path) -> Option<PathBuf> {
    names_of(DONE).iter().map(|name| folder.join(name)).find(|path| path.is_file())
}

/// Which plan a report in a folder is of, the last one where it names no ticket; `None` without a report, or
/// without that plan.
fn of(bench: &Bench, folder: &Path) -> Result<Option<Ground>, Failure> {
    let Some(done) = report(folder) else { return Ok(None) };
    let bytes = reading::file(&done, LARGEST)?;
    let number = done::plan_of(&name(&done), &bytes);
    let mut plans = (1..).zip(plans(bench)?).collect::<Vec<_>>().into_iter().rev();
    let plan = plans.find(|(_, (plan, _))| number.is_none_or(|number| plan.revision() == number));
    Ok(plan.map(|(at, (plan, from))| Ground { done, from, plan, to: folder_of(at + 1) }))
}

/// The plan that the job's own report is of.
///
/// # Errors
/// There is no report, or not that plan; a file or folder that leads out of the job's.
pub fn of_job(bench: &Bench) -> Result<Ground, Failure> {
    files::all_inside(bench)?;
    let ground = of(bench, &bench.folder)?.ok_or_else(|| {
        Failure::Refused(format!(
            "there is no {DONE}, or not the plan that its first ticket is of, to go on from"
        ))
    })?;
    files::inside(&bench.folder, &ground.to)?;
    Ok(ground)
}

impl Ground {
    /// Where to go on from, as the command line names it.
    pub fn from(&self, bench: &Bench) -> From {
        From::of(bench.folder.join(&self.from).join(folder::PLAN), self.done.clone())
    }
}

/// What a draft of the report is of, as the page reads it, and what is wrong with it.
///
/// # Errors
/// A file that cannot be read, or leads out of the folder.
pub fn checked(bench: &Bench, draft: &Path) -> Result<(Value, Findings), Failure> {
    let Some(ground) = of(bench, draft)? else { return Ok((Value::Null, Findings::new())) };
    let bytes = reading::file(&ground.done, LARGEST)?;
    let found = done::read(&name(&ground.done), &bytes, &ground.plan).1;
    let there = folder::there(&bench.folder.join(&ground.to));
    let told = json!({ "plan": ground.plan.revision(), "from": ground.from, "to": ground.to, "there": there });
    Ok((told, found))
}

fn name(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}
