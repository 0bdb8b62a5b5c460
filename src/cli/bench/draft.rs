//! What the page shows, checked before it is saved.
//!
//! Steps: a private folder of the job's name; the job's own files in it, with those that the page
//! has changed in their place; the job is read from there as ever; the private folder goes away.

use super::super::beside::OPTIONS;
use super::super::exit::Failure;
use super::super::inputs::Job;
use super::super::reading::{self, LARGEST};
use super::answer::{findings, told};
use super::state::Bench;
use super::{files, ground};
use crate::compare::{self, Setup, choice};
use crate::finding::Findings;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// What the page shows.
#[derive(serde::Deserialize)]
pub struct Draft {
    /// Files as they would be saved, where that is not as they are on disk.
    files: BTreeMap<String, String>,
    /// The versions of all files that the page has read.
    #[serde(default)]
    seen: Option<BTreeMap<String, String>>,
}

/// Endings of files that a job may be read from.
const READ: [&str; 4] = ["csv", "toml", "xlsx", "ods"];

/// Checks a job with some of its files replaced; says what was found and what it comes to, and which files are
/// not as the page has `seen` them. What a job with a file that cannot be read comes to, nobody knows: why is told
/// then.
pub fn check(bench: &Bench, draft: &Draft) -> Value {
    let elsewhere = draft.seen.as_ref().map(|seen| files::changed(bench, seen));
    let mut told = checked(bench, draft).unwrap_or_else(|failure| {
        let (why, found) = told(&failure);
        json!({ "findings": found, "failed": why })
    });
    told["changed"] = json!(elsewhere.unwrap_or_default());
    told
}

/// What a job with some of its files replaced comes to.
fn checked(bench: &Bench, draft: &Draft) -> Result<Value, Failure> {
    files::all_inside(bench)?;
    let private = tempfile::tempdir().map_err(|e| Failure::file(std::env::temp_dir(), e))?;
    let job = private.path().join(bench.name());
    fs::create_dir(&job).map_err(|e| Failure::file(&job, e))?;
    copy(&bench.folder, &job)?;
    for (name, text) in &draft.files {
        let Some(name) = files::edited(name) else { continue };
        let path = job.join(name);
        fs::write(&path, text).map_err(|e| Failure::file(&path, e))?;
    }
    let own = |text: String| {
        text.replace(&job.display().to_string(), &bench.folder.display().to_string())
    };
    let private_options = job.join(OPTIONS);
    let mut told = match Job::read(&job) {
        Ok(mut job) => {
            job.findings.append(options(&private_options, &job.setup()));
            let pieces: u64 = job.demand.pieces.iter().map(|p| p.quantity).sum();
            json!({ "findings": findings(&job.findings), "items": job.takeoff.items.len(),
                    "pieces": pieces })
        }
        Err(failure) => {
            let (why, found) = told(&failure);
            let found = serde_json::from_str(&own(found.to_string())).unwrap_or(Value::Null);
            json!({ "findings": found, "failed": own(why) })
        }
    };
    let (of, found) = ground::checked(bench, &job)?;
    if let Some(list) = told["findings"].as_array_mut() {
        list.extend(findings(&found).as_array().into_iter().flatten().cloned());
    }
    told["ground"] = of;
    Ok(told)
}

/// What is wrong with the options, where there are some.
fn options(path: &Path, base: &Setup) -> Findings {
    let Ok(bytes) = reading::bytes(path, LARGEST) else { return Findings::new() };
    let (choices, found) = choice::read(OPTIONS, &bytes);
    compare::mistakes(base, &choices, &found)
}

/// Copies the plain files that a job may be read from.
fn copy(from: &Path, to: &Path) -> Result<(), Failure> {
    let entries = fs::read_dir(from).map_err(|e| Failure::file(from, e))?;
    for entry in entries {
        let path = entry.map_err(|e| Failure::file(from, e))?.path();
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default();
        if let Some(name) = path.file_name().filter(|_| READ.contains(&ending) && path.is_file()) {
            fs::copy(&path, to.join(name)).map_err(|e| Failure::file(&path, e))?;
        }
    }
    Ok(())
}
