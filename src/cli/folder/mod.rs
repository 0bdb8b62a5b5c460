//! Writing documents into a folder: all or, as far as the system lets us, none; and nobody
//! else's files.
//!
//! Steps: find the folder that is meant; refuse one that must not be written to; make it; keep other runs
//! out of it ([`super::lock`]); write every document to a temporary file in it; when all of them are there,
//! of all folders where they are several, rename each to its name, the plan last; take away what was made
//! from another plan, and old temporary files and folders that killed runs have left. A file that was there before is
//! replaced only where the folder holds a plan of ours, or a list of ours that names it, or where it says
//! itself that it is ours.

mod as_read;
mod listed;
mod place;
mod put;
#[cfg(test)]
mod tests;

pub use as_read::AsRead;
pub use listed::Listed;
pub(super) use place::{here, led_to, meant, of, there};
pub(super) use put::{is_unfinished, save, takes_as_it_comes};

use super::exit::Failure;
use super::output;
use super::reading::{self, LARGEST_OF_OURS};
use crate::report::{Document, PRICED_NAMES, TICKET_NAMES, is_ours};
use place::no_inputs;
use put::{Disk, Ready, STALE, Unfinished, alone, filled, halfway, put, without_remains};
use std::fs;
use std::path::{Path, PathBuf};

/// The file by which a folder is known as ours.
pub const PLAN: &str = "plan.json";

/// Checks that documents of these names may be written into the folder.
///
/// # Errors
/// It is a job folder, or no folder, or holds files of these names that are not known as ours: any where it holds no
/// plan, and beside one those that tell by themselves whose they are.
pub fn may_write(folder: &Path, job: &Path, names: &[&str]) -> Result<(), Failure> {
    let folder = &meant(folder);
    no_inputs(folder, job)?;
    // Of a run that was ended the plan may be missing, which comes last.
    let planned = holds_plan(folder) || is_unfinished(folder);
    let strange = |name: &&&str| {
        (!planned || tell_whose().any(|tells| tells == *name))
            && there(&folder.join(name))
            && !ours(folder, name)
    };
    let Some(name) = names.iter().find(strange) else { return Ok(()) };
    let what = match *name {
        name if planned || name == PLAN => format!("a {name} that no run of this program wrote"),
        name => format!("a {name} but no {PLAN} of this program"),
    };
    Err(Failure::Usage(format!(
        "{} holds {what}, so it may be somebody else's: move it away or name another folder with --out",
        folder.display()
    )))
}

/// Names of files that tell by themselves whether this program wrote them.
fn tell_whose() -> impl Iterator<Item = &'static &'static str> {
    TICKET_NAMES.iter().chain(PRICED_NAMES)
}

/// Whether a folder's file of that name is a plan of ours: any file of the name would let its neighbours be written over.
fn holds_plan(folder: &Path) -> bool {
    let Ok(mut bytes) = reading::bytes(&folder.join(PLAN), LARGEST_OF_OURS) else { return false };
    bytes.retain(|byte| !byte.is_ascii_whitespace());
    let says = |field: &[u8]| bytes.windows(field.len()).any(|part| part == field);
    FIELDS.iter().all(|field| says(field))
}

/// Fields of every plan, in whatever order somebody's program wrote them anew.
const FIELDS: [&[u8]; 3] = [br#""program":{"#, br#""inputs":["#, br#""rolls":["#];

/// Sees whether files can be made in a folder, before what would be lost is computed.
///
/// # Errors
/// They cannot, and why.
pub fn can_write(folder: &Path) -> Result<(), Failure> {
    put::can_write(&meant(folder))
}

/// Whether a plain file of this name is one that this program wrote, as far as files of such names say so.
fn ours(folder: &Path, name: &str) -> bool {
    let path = folder.join(name);
    let plain = fs::symlink_metadata(&path).is_ok_and(|about| about.is_file());
    plain && reading::bytes(&path, LARGEST_OF_OURS).is_ok_and(|bytes| is_ours(name, &bytes))
}

/// Writes the documents; gives their paths.
///
/// # Errors
/// What the system says; nothing has been replaced unless it fails between two renames.
pub fn write(folder: &Path, documents: &[Document]) -> Result<Vec<PathBuf>, Failure> {
    write_named(folder, documents.iter().map(|d| (d.name, d.bytes.as_slice())))
}

/// Writes what was made from a plan, as [`write()`]; nothing where that plan is replaced meanwhile, or another one
/// lies in the folder.
///
/// # Errors
/// As [`write()`].
pub fn write_made_from(
    plan: &AsRead,
    folder: &Path,
    documents: &[Document],
) -> Result<Vec<PathBuf>, Failure> {
    let folder = &meant(folder);
    alone(&[folder, of(&plan.path)], || {
        plan.still()?;
        plan.no_other_in(folder)?;
        put_named(folder, documents.iter().map(|d| (d.name, d.bytes.as_slice())))
    })
}

/// What was written of a plan, and what of an earlier one lay there that does not go with it.
#[derive(Debug, Default)]
pub struct Written {
    /// The paths of what was written.
    pub paths: Vec<PathBuf>,
    /// Names of files made from the earlier plan, which were taken away.
    pub taken: Vec<&'static str>,
    /// Names of files that are there under such names and not ours, so they stay.
    pub left: Vec<&'static str>,
    /// Whether another plan stood there.
    pub other: bool,
}

/// Writes a plan's documents; takes away what was made from another plan that stood there and is not
/// written anew: pieces' codes are used again, so such a ticket would name other sizes.
///
/// # Errors
/// As [`write()`].
pub fn write_plan(folder: &Path, documents: &[Document]) -> Result<Written, Failure> {
    let folder = &meant(folder);
    alone(&[folder], || replace_plan(folder, documents))
}

fn replace_plan(folder: &Path, documents: &[Document]) -> Result<Written, Failure> {
    let new = documents.iter().find(|document| document.name == PLAN);
    let old = reading::bytes(&folder.join(PLAN), LARGEST_OF_OURS).ok();
    let same = new.is_some_and(|new| old.as_ref() == Some(&new.bytes));
    let other = old.is_some() && !same;
    let files = documents.iter().map(|d| (d.name, d.bytes.as_slice()));
    let mut written = Written { other, ..Written::default() };
    // Before the plan: of a run that is killed in between nothing stays that is made from no plan there.
    written.paths = put(folder, files, || {
        let made = tell_whose().filter(|_| !same);
        for &name in made.filter(|name| documents.iter().all(|document| document.name != **name)) {
            let path = folder.join(name);
            if !there(&path) {
                continue;
            }
            if ours(folder, name) {
                fs::remove_file(&path).map_err(|e| Failure::file(path, e))?;
                written.taken.push(name);
            } else {
                written.left.push(name);
            }
        }
        Ok(())
    })?;
    without_remains(folder, STALE);
    Ok(written)
}

/// As [`write()`], for files whose names are made: of pieces' codes and the like, never of an input.
///
/// # Errors
/// As [`write()`].
pub fn write_named<'a>(
    folder: &Path,
    files: impl Iterator<Item = (&'a str, &'a [u8])>,
) -> Result<Vec<PathBuf>, Failure> {
    let folder = &meant(folder);
    alone(&[folder], || put_named(folder, files))
}

fn put_named<'a>(
    folder: &Path,
    files: impl Iterator<Item = (&'a str, &'a [u8])>,
) -> Result<Vec<PathBuf>, Failure> {
    let paths = put(folder, files, || Ok(()))?;
    if folder.join(PLAN).exists() {
        without_remains(folder, STALE);
    }
    Ok(paths)
}

/// What is written into one of several folders.
#[derive(Debug)]
pub struct Set<'a> {
    /// The folder.
    pub folder: PathBuf,
    /// Names of files and what stands in them; a plan among them comes last.
    pub files: Vec<(&'a str, &'a [u8])>,
    /// Names of files that say what the plan says, and come after it.
    pub behind: Vec<(&'a str, &'a [u8])>,
    /// Files that say what an earlier plan says, which are taken away before it is replaced.
    pub gone: Vec<PathBuf>,
}

/// Writes into several folders: no file is replaced before all of them are there under other names.
///
/// # Errors
/// As [`write()`].
pub fn write_sets(sets: &[Set<'_>]) -> Result<Vec<PathBuf>, Failure> {
    let folders: Vec<PathBuf> = sets.iter().map(|set| meant(&set.folder)).collect();
    let folders: Vec<&Path> = folders.iter().map(PathBuf::as_path).collect();
    alone(&folders, || {
        let made = |(folder, set): (&&Path, &Set<'_>)| {
            let files = Ready::made(folder, set.files.iter().copied(), Disk::Now)?;
            let behind = Ready::made(folder, set.behind.iter().copied(), Disk::Now)?;
            Ok((files.parted(|path| path.ends_with(PLAN)), behind))
        };
        let ready: Vec<_> = folders.iter().zip(sets).map(made).collect::<Result<_, Failure>>()?;
        let mut paths = Vec::new();
        // Each plan goes on from the one before it, so all are written or none is done.
        let begun: Vec<Unfinished> = folders
            .iter()
            .map(|folder| Unfinished::begin(folder))
            .collect::<Result<_, Failure>>()?;
        for (((plan, files), behind), set) in ready.into_iter().zip(sets) {
            files.renamed(&mut paths)?;
            for path in &set.gone {
                match fs::remove_file(path) {
                    // Another run that wrote here may have taken it away.
                    Err(e) if e.kind() != std::io::ErrorKind::NotFound => {
                        return Err(halfway(Failure::file(path, e), &paths));
                    }
                    _ => {}
                }
            }
            plan.renamed(&mut paths)?;
            behind.renamed(&mut paths)?;
        }
        begun.into_iter().try_for_each(Unfinished::done)?;
        for folder in folders.iter().filter(|folder| folder.join(PLAN).exists()) {
            without_remains(folder, STALE);
        }
        Ok(paths)
    })
}

/// Makes files in a folder, which is made if it is not there; replaces none.
///
/// # Errors
/// One of them is there already, and then none is made; what the system says.
pub fn make_new<'a>(
    folder: &Path,
    files: impl Iterator<Item = (&'a str, &'a [u8])> + Clone,
) -> Result<(), Failure> {
    let folder = &meant(folder);
    if folder.exists() && !folder.is_dir() {
        return Err(Failure::Usage(format!("{} is not a folder", folder.display())));
    }
    // Before the folder is made, and once more when nobody else writes into it.
    none_there(folder, files.clone())?;
    alone(&[folder], || {
        none_there(folder, files.clone())?;
        let missing = files.filter(|(name, _)| !there(&folder.join(name)));
        let one = |(name, bytes): (&str, &[u8])| {
            let path = folder.join(name);
            Ok((filled(&path, bytes)?, path))
        };
        let ready: Vec<_> = missing.map(one).collect::<Result<_, Failure>>()?;
        for (file, path) in ready {
            file.persist_noclobber(&path).map_err(|e| Failure::file(&path, e.error))?;
        }
        Ok(())
    })
}

/// Refuses to make files where one of them is there, unless only others are missing: of a run that was killed stay the
/// first few, as they were made.
fn none_there<'a>(
    folder: &Path,
    files: impl Iterator<Item = (&'a str, &'a [u8])> + Clone,
) -> Result<(), Failure> {
    let as_made = |(name, bytes): (&str, &[u8])| {
        reading::bytes(&folder.join(name), LARGEST_OF_OURS).is_ok_and(|there| there == bytes)
    };
    let is_there = |name: &str| there(&folder.join(name));
    let left = files.clone().any(|(name, _)| !is_there(name))
        && files.clone().all(|(name, bytes)| !is_there(name) || as_made((name, bytes)));
    if left {
        return Ok(());
    }
    let there: Vec<&str> = files.map(|(name, _)| name).filter(|name| is_there(name)).collect();
    if there.is_empty() {
        return Ok(());
    }
    Err(Failure::Refused(format!(
        "{0} holds {1} already, and nothing was made or replaced: to work on that job, fill in its \
         tables and run `rollwright plan {2}`; for another job, name another folder",
        folder.display(),
        there.join(", "),
        output::word(folder)
    )))
}
