//! What the shop did, as the job's `done.csv` reports it, and the plan that it is of.
//!
//! The plans of a job lie in the folders `out`, `out2` and so on, and tickets say which of them they are of (`T4`
//! is one of the first, `T4r2` of the second). So the report names the plan to go on from by its first ticket, and the
//! next plan goes into the folder of its number.

use super::super::exit::Failure;
use super::super::going_on::{From, is_older};
use super::super::job::names_of;
use super::super::reading::{self, LARGEST};
use super::super::{audit, folder};
use super::files;
use super::state::Bench;
use crate::done;
use crate::finding::Findings;
use crate::plan::{Plan, digest};
use serde_json::{Value, json};
use std::fs::{self, Metadata};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::SystemTime;

/// The report of what was done.
pub const DONE: &str = "done.csv";

/// A plan to go on from, and where the next one goes.
pub struct Ground {
    /// The report.
    done: PathBuf,
    /// The plan's folder, inside the job's.
    from: String,
    plan: Arc<Plan>,
    /// The mark on its tickets.
    mark: String,
    /// The next plan's folder.
    pub to: String,
}

/// The folder of a job's plan of this number, from 1, inside the job's.
fn folder_of(number: usize) -> String {
    if number > 1 { format!("{}{number}", files::OUT) } else { files::OUT.to_owned() }
}

/// A plan that lies in one of the job's folders.
#[derive(Clone)]
pub struct Lying {
    /// The plan.
    pub plan: Arc<Plan>,
    /// The digest of its file.
    pub digest: String,
    /// The mark on its tickets.
    mark: String,
    /// Its folder, inside the job's.
    pub folder: String,
}

/// What tells whether a file is still the one that was read: files of plans are replaced, never written into.
type Stamp = (u64, Option<SystemTime>, u64);

/// A plan as it was read last, and the file as it was then.
pub struct Known {
    stamp: Stamp,
    lying: Option<Lying>,
}

fn stamp(about: &Metadata) -> Stamp {
    #[cfg(unix)]
    let file = std::os::unix::fs::MetadataExt::ino(about);
    #[cfg(not(unix))]
    let file = 0;
    (about.len(), about.modified().ok(), file)
}

/// The plan in a folder, if there is one that can be read; it is read once as long as nobody replaces it.
///
/// # Errors
/// It leads out of the job's folder.
pub fn lying(bench: &Bench, folder: &str) -> Result<Option<Lying>, Failure> {
    let Some(out) = files::inside(&bench.folder, folder)? else { return Ok(None) };
    let Some(path) = files::inside(&out, folder::PLAN)? else { return Ok(None) };
    let Ok(about) = fs::metadata(&path) else { return Ok(None) };
    let stamp = stamp(&about);
    let mut known = bench.known();
    if let Some(known) = known.get(folder).filter(|known| known.stamp == stamp) {
        return Ok(known.lying.clone());
    }
    let read = match audit::read(&path) {
        Ok(read) => Some(read),
        // It may be read the next time, though nobody writes it.
        Err(Failure::File { .. }) => return Ok(None),
        Err(_) => None,
    };
    let lying = read.map(|(plan, bytes)| Lying {
        mark: plan.mark(),
        plan: Arc::new(plan),
        digest: digest(&bytes),
        folder: folder.to_owned(),
    });
    known.insert(folder.to_owned(), Known { stamp, lying: lying.clone() });
    Ok(lying)
}

/// The plans of a job: the first, and those of which each goes on from the one before, which has not been made
/// anew since.
///
/// # Errors
/// A folder leads out of the job's.
pub fn plans(bench: &Bench) -> Result<Vec<Lying>, Failure> {
    let mut plans: Vec<Lying> = Vec::new();
    for number in 1.. {
        let Some(next) = lying(bench, &folder_of(number))? else { break };
        let from = next.plan.already.as_ref().map(|already| &already.from);
        if number > 1 && from != plans.last().map(|before| &before.digest) {
            break;
        }
        plans.push(next);
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
    let plan = plans.find(|(_, one)| number.is_none_or(|number| one.plan.revision() == number));
    Ok(plan.map(|(at, one)| Ground {
        done,
        from: one.folder,
        plan: one.plan,
        mark: one.mark,
        to: folder_of(at + 1),
    }))
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
    let (done, found) = done::read(&name(&ground.done), &bytes, &ground.plan);
    let there = folder::there(&bench.folder.join(&ground.to));
    let beyond = plans(bench)?.into_iter().map(|plan| plan.folder);
    let beyond: Vec<String> = beyond.skip_while(|folder| *folder != ground.to).skip(1).collect();
    // A draft is as old as its last letter; what counts is when the report was saved.
    let plan = bench.folder.join(&ground.from).join(folder::PLAN);
    let marked = done.is_some_and(|done| done.marked);
    let older = !marked && report(&bench.folder).is_some_and(|saved| is_older(&saved, &plan));
    let told = json!({ "plan": ground.plan.revision(), "mark": ground.mark, "from": ground.from, "to": ground.to, "there": there,
                       "beyond": beyond, "older": older });
    Ok((told, found))
}

fn name(path: &Path) -> String {
    path.file_name().map(|name| name.to_string_lossy().into_owned()).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::effort::Effort;
    use crate::cli::inputs::Job;
    use crate::cli::progress::Show;
    use crate::cli::solving::solve;
    use crate::cli::stop::Stop;

    #[test]
    fn a_plan_is_read_once_as_long_as_nobody_replaces_it() {
        let folder = tempfile::tempdir().unwrap();
        let out = folder.path().join(files::OUT);
        fs::create_dir(&out).unwrap();
        let effort = Effort { seconds: None, threads: None, seed: 1, work: None };
        let takeoff = "item,kind,size,length,quantity,build\nP,pipe,NPS 4,2 m,1,10\n";
        fs::write(folder.path().join("takeoff.csv"), takeoff).unwrap();
        let rolls = "roll,thickness,width,length\nA,10,1500,20 m\n";
        fs::write(folder.path().join("rolls.csv"), rolls).unwrap();
        let job = Job::read(folder.path()).unwrap();
        let made = solve(&job, &effort, Show::Nothing, &Stop::default()).unwrap();
        let bench = Bench::new(folder.path().canonicalize().unwrap(), 1, effort);
        assert!(lying(&bench, files::OUT).unwrap().is_none(), "there is none yet");
        let write = |name: &str| {
            let plan = Plan { name: name.to_owned(), ..(*made).clone() };
            let other = out.join("other");
            fs::write(&other, serde_json::to_vec(&plan).unwrap()).unwrap();
            fs::rename(&other, out.join(folder::PLAN)).unwrap();
        };
        write("one");
        let first = lying(&bench, files::OUT).unwrap().unwrap();
        let again = lying(&bench, files::OUT).unwrap().unwrap();
        assert!(first.plan.name == "one" && Arc::ptr_eq(&first.plan, &again.plan));
        write("two");
        let second = lying(&bench, files::OUT).unwrap().unwrap();
        assert!(second.plan.name == "two" && second.digest != first.digest);
        fs::remove_file(out.join(folder::PLAN)).unwrap();
        assert!(lying(&bench, files::OUT).unwrap().is_none());
    }
}
