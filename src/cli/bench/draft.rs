//! What the page shows, checked before it is saved.
//!
//! Steps: a private folder of the job's name; the job's own files in it, with those that the page
//! has changed in their place; the job is read from there as ever; the private folder goes away.

use super::super::beside::OPTIONS;
use super::super::exit::Failure;
use super::super::inputs::Job;
use super::super::job::file_in;
use super::answer::{findings, told};
use super::state::Bench;
use super::{files, ground};
use crate::compare::{self, Setup, choice};
use crate::finding::Findings;
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::path::Path;
use std::{fs, io};

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
    let mut told = checked(bench, draft).unwrap_or_else(|failure| failed(&failure));
    told["changed"] = json!(elsewhere.unwrap_or_default());
    told
}

/// What a job with some of its files replaced comes to.
fn checked(bench: &Bench, draft: &Draft) -> Result<Value, Failure> {
    files::all_inside(bench)?;
    let private = bench.draft().map_err(|e| Failure::file(std::env::temp_dir(), e))?;
    let job = private.path().join(bench.name());
    let mut told = read(bench, draft, &job).unwrap_or_else(|failure| failed(&failure));
    // The page knows the job by its own folder.
    rename(&mut told, &job.display().to_string(), &bench.folder.display().to_string());
    Ok(told)
}

/// Why nothing is known of the job, and what was found where that is why.
fn failed(failure: &Failure) -> Value {
    let (why, found) = told(failure);
    json!({ "findings": found, "failed": why })
}

/// Puts one folder's name in the place of another's wherever that is told.
fn rename(told: &mut Value, from: &str, to: &str) {
    match told {
        Value::String(text) => *text = text.replace(from, to),
        Value::Array(list) => list.iter_mut().for_each(|told| rename(told, from, to)),
        Value::Object(all) => all.values_mut().for_each(|told| rename(told, from, to)),
        _ => {}
    }
}

/// Reads the job with what the page shows in its files' place, from a folder that is made for it.
fn read(bench: &Bench, draft: &Draft, folder: &Path) -> Result<Value, Failure> {
    fs::create_dir(folder).map_err(|e| Failure::file(folder, e))?;
    let shown = || {
        let files = draft.files.iter();
        files.filter_map(|(name, text)| Some((files::edited(name)?, text)))
    };
    copy(&bench.folder, folder, |name| shown().any(|(other, _)| name == other))?;
    for (name, text) in shown() {
        let path = folder.join(name);
        fs::write(&path, text).map_err(|e| Failure::file(&path, e))?;
    }
    let (of, on) = ground::checked(bench, folder)?;
    let mut told = match Job::read(folder) {
        Ok(mut job) => {
            job.findings.append(options(folder, Some(&job.setup())));
            let pieces: u64 = job.demand.pieces.iter().map(|p| p.quantity).sum();
            json!({ "findings": findings(&job.findings), "items": job.takeoff.items.len(),
                    "pieces": pieces })
        }
        Err(failure) => failed(&failure.with(|| options(folder, None))),
    };
    if let Some(list) = told["findings"].as_array_mut() {
        list.extend(findings(&on).as_array().into_iter().flatten().cloned());
    }
    told["ground"] = of;
    Ok(told)
}

/// What is wrong with the options, where there are some, and where there is a job with what they make of it.
fn options(folder: &Path, base: Option<&Setup>) -> Findings {
    match file_in(folder, OPTIONS) {
        Ok(Some((name, bytes))) => {
            let (choices, found) = choice::read(&name, &bytes);
            match base {
                Some(base) => compare::mistakes(base, &choices, &found),
                None => found,
            }
        }
        Err(Failure::Findings(found)) => found,
        _ => Findings::new(),
    }
}

/// Copies the plain files that a job may be read from, but for some; the copies may be written whoever may write
/// the files themselves.
fn copy(from: &Path, to: &Path, but: impl Fn(&str) -> bool) -> Result<(), Failure> {
    let entries = fs::read_dir(from).map_err(|e| Failure::file(from, e))?;
    for entry in entries {
        let path = entry.map_err(|e| Failure::file(from, e))?.path();
        let ending = path.extension().and_then(|e| e.to_str()).unwrap_or_default();
        let name = path.file_name().filter(|_| READ.contains(&ending) && path.is_file());
        if let Some(name) = name.filter(|name| !name.to_str().is_some_and(&but)) {
            let file = |e| Failure::file(&path, e);
            let mut read = fs::File::open(&path).map_err(file)?;
            let mut write = fs::File::create(to.join(name)).map_err(file)?;
            io::copy(&mut read, &mut write).map_err(file)?;
        }
    }
    Ok(())
}
