//! Writing documents into a folder: all or, as far as the system lets us, none; and nobody
//! else's files.
//!
//! Steps: find the folder that is meant; refuse one that must not be written to; make it; keep other runs
//! out of it ([`super::lock`]); write every document to a temporary file in it; when all of them are there,
//! of all folders where they are several, rename each to its name, the plan last; take away what was made
//! from another plan, and old temporary files that killed runs have left. A file that was there before is
//! replaced only where the folder holds a plan of ours, or a list of ours that names it, or where it says
//! itself that it is ours.

use super::exit::{Failure, said};
use super::job;
use super::lock::lock;
use super::output;
use super::reading::{self, LARGEST_OF_OURS};
use super::stop::unbroken;
use crate::plan::digest;
use crate::report::{Document, PRICED_NAMES, TICKET_NAMES, is_ours};
use std::collections::BTreeSet;
use std::fs;
use std::io::Write;
use std::path::{Component, Path, PathBuf};
use std::time::Duration;
use tempfile::TempPath;

/// The file by which a folder is known as ours.
pub const PLAN: &str = "plan.json";

/// Checks that documents of these names may be written into the folder.
///
/// # Errors
/// It is a job folder, or no folder, or holds files of these names that are not known as ours, and no plan.
pub fn may_write(folder: &Path, job: &Path, names: &[&str]) -> Result<(), Failure> {
    let folder = &meant(folder);
    no_inputs(folder, job)?;
    if folder.join(PLAN).exists() {
        return Ok(());
    }
    let strange = |name: &&&str| there(&folder.join(name)) && !ours(folder, name);
    match names.iter().find(strange) {
        Some(name) => Err(Failure::Usage(format!(
            "{} holds a {name} but no {PLAN}, so it may be somebody else's: move it away or name \
             another folder with --out",
            folder.display()
        ))),
        None => Ok(()),
    }
}

/// A plan's file as it was read. Two plans may have the same codes for other pieces, so nothing that is made from
/// one may come to lie beside another, whatever other runs do meanwhile.
#[derive(Debug)]
pub struct AsRead {
    path: PathBuf,
    digest: String,
}

impl AsRead {
    /// The file and what was read of it.
    #[must_use]
    pub fn new(path: &Path, bytes: &[u8]) -> Self {
        Self { path: path.to_owned(), digest: digest(bytes) }
    }

    fn is(&self, path: &Path) -> bool {
        reading::bytes(path, LARGEST_OF_OURS).is_ok_and(|bytes| digest(&bytes) == self.digest)
    }

    /// Checks that the file is what it was when it was read.
    ///
    /// # Errors
    /// Another run has replaced it, or it is gone.
    fn still(&self) -> Result<(), Failure> {
        if self.is(&self.path) {
            return Ok(());
        }
        Err(Failure::Refused(format!(
            "{} is not the plan any more that was read: another run has replaced it meanwhile, so nothing is \
             written; run this again",
            self.path.display()
        )))
    }

    /// Checks that a folder holds the reports of no other plan.
    ///
    /// # Errors
    /// It does.
    pub fn no_other_in(&self, folder: &Path) -> Result<(), Failure> {
        let there = meant(folder).join(PLAN);
        if !there.exists() || self.is(&there) {
            return Ok(());
        }
        Err(Failure::Usage(format!(
            "{} holds the reports of another plan than {}, and papers of two plans would be mixed up there, so \
             nothing is written: name another folder with --out, or the plan that lies there with --plan",
            folder.display(),
            self.path.display()
        )))
    }
}

/// Whether a plain file of this name is one that this program wrote, as far as files of such names say so.
fn ours(folder: &Path, name: &str) -> bool {
    let path = folder.join(name);
    let plain = fs::symlink_metadata(&path).is_ok_and(|about| about.is_file());
    plain && reading::bytes(&path, LARGEST_OF_OURS).is_ok_and(|bytes| is_ours(name, &bytes))
}

/// Whether there is anything under this path, a link that leads nowhere included.
pub(super) fn there(path: &Path) -> bool {
    fs::symlink_metadata(path).is_ok()
}

/// The folder in which a file lies.
pub(super) fn of(file: &Path) -> &Path {
    here(file.parent().unwrap_or(Path::new("")))
}

/// The folder a path without one means.
fn here(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() { Path::new(".") } else { folder }
}

/// The folder that a path means, also where it is not there yet: `..` behind a folder that would first have to
/// be made leads to the folder before it. So what is looked at is what is written to.
pub(super) fn meant(folder: &Path) -> PathBuf {
    let mut meant = PathBuf::new();
    for part in folder.components() {
        let made = !meant.as_os_str().is_empty() && !there(&meant);
        if part == Component::ParentDir && made {
            meant.pop();
        } else {
            meant.push(part);
        }
    }
    here(&meant).to_owned()
}

/// Refuses what is no folder, and a folder from which a job is read.
fn no_inputs(folder: &Path, job: &Path) -> Result<(), Failure> {
    if !folder.exists() {
        return Ok(());
    }
    if !folder.is_dir() {
        return Err(Failure::Usage(format!("{} is not a folder", folder.display())));
    }
    let whole = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_owned());
    if whole(folder) == whole(here(job)) {
        return Err(Failure::Usage(format!(
            "{} is the job folder: reports go beside the inputs, not among them; leave --out away \
             or name another folder",
            folder.display()
        )));
    }
    match job::input_in(folder) {
        Some(input) => Err(Failure::Usage(format!(
            "{} holds a {input}, so it is the folder of another job, which would read some of what \
             is written as its own; name another folder with --out",
            folder.display()
        ))),
        None => Ok(()),
    }
}

/// Files whose names are made from numbers and codes, and the list that names them.
#[derive(Clone, Copy, Debug)]
pub struct Listed {
    /// The list, a CSV file whose first column is `file`: names without their endings.
    pub list: &'static str,
    /// Whether a name is of the form that is given to such files.
    pub is_ours: fn(&str) -> bool,
}

/// The first heading of every list.
const FILE: &str = "file";

impl Listed {
    /// Writes files beside their list, and takes away those of an earlier run that are not written again;
    /// gives how many were written. Where they are made from a plan, nothing if it is replaced meanwhile. They can be made again from what they show, so the disk is not waited
    /// for: with thousands of them that would take longer than all else.
    ///
    /// # Errors
    /// The folder is a job folder, or no folder, or one of the names is there and is not an earlier run's; as
    /// [`write()`].
    pub fn write(
        self,
        folder: &Path,
        (job, plan): (&Path, Option<&AsRead>),
        files: &[(&str, &[u8])],
    ) -> Result<usize, Failure> {
        let folder = &meant(folder);
        let names: Vec<&str> = files.iter().map(|(name, _)| *name).collect();
        // Before the folder is made, and once more when nobody else writes into it.
        self.may_write(folder, job, &names)?;
        let folders: Vec<&Path> =
            std::iter::once(folder.as_path()).chain(plan.map(|plan| of(&plan.path))).collect();
        alone(&folders, || {
            plan.map_or(Ok(()), AsRead::still)?;
            let earlier = self.may_write(folder, job, &names)?;
            let paths = put(of_one(folder, files.iter().copied()), Disk::Later)?;
            for name in earlier.iter().filter(|name| !names.contains(&name.as_str())) {
                let path = folder.join(name);
                fs::remove_file(&path).map_err(|e| Failure::file(path, e))?;
            }
            without_remains(folder, STALE);
            Ok(paths.len())
        })
    }

    /// Checks that files of these names may be written into the folder; gives those that an earlier run
    /// wrote there.
    fn may_write(self, folder: &Path, job: &Path, names: &[&str]) -> Result<Vec<String>, Failure> {
        let folder = &meant(folder);
        no_inputs(folder, job)?;
        let listed = self.listed(folder);
        let earlier = |name: &str| match &listed {
            Some(stems) if (self.is_ours)(name) => stems.contains(stem(name)),
            Some(_) => true,
            None => false,
        };
        if let Some(name) = names.iter().find(|n| there(&folder.join(n)) && !earlier(n)) {
            return Err(Failure::Usage(format!(
                "{} holds a {name}, but no {} of an earlier run that names it, so it may be somebody \
                 else's: move it away or name another folder with --out",
                folder.display(),
                self.list,
            )));
        }
        let mut there: Vec<String> = match fs::read_dir(folder) {
            Ok(entries) => entries
                .filter_map(|entry| Some(entry.ok()?.file_name().to_string_lossy().into_owned()))
                .filter(|name| (self.is_ours)(name) && earlier(name))
                .collect(),
            Err(_) => Vec::new(),
        };
        there.sort();
        Ok(there)
    }

    /// The names that the list in a folder gives; nothing where there is none of ours.
    fn listed(self, folder: &Path) -> Option<BTreeSet<String>> {
        let bytes = reading::bytes(&folder.join(self.list), LARGEST_OF_OURS).ok()?;
        let mut reader = csv::Reader::from_reader(bytes.as_slice());
        (reader.headers().ok()?.get(0) == Some(FILE)).then_some(())?;
        let first = |row: csv::StringRecord| row.get(0).map(str::to_owned);
        Some(reader.records().filter_map(|row| first(row.ok()?)).collect())
    }
}

/// A file's name without its ending.
fn stem(name: &str) -> &str {
    name.split_once('.').map_or(name, |(stem, _)| stem)
}

/// Writes into folders, which are made, while no other run does and the command is not ended.
fn alone<T>(folders: &[&Path], write: impl FnOnce() -> Result<T, Failure>) -> Result<T, Failure> {
    folders.iter().try_for_each(|folder| make(folder))?;
    let _locked = lock(folders)?;
    unbroken(write)
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
    let paths = put(of_one(folder, files), Disk::Now)?;
    let mut written = Written { paths, other, ..Written::default() };
    without_remains(folder, STALE);
    if same {
        return Ok(written);
    }
    let made = TICKET_NAMES.iter().chain(PRICED_NAMES);
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
    let paths = put(of_one(folder, files), Disk::Now)?;
    if folder.join(PLAN).exists() {
        without_remains(folder, STALE);
    }
    Ok(paths)
}

/// A folder, and names of files and what stands in them.
pub type Set<'a> = (PathBuf, Vec<(&'a str, &'a [u8])>);

/// Writes into several folders: no file is replaced before all of them are there under other names.
///
/// # Errors
/// As [`write()`].
pub fn write_sets(sets: &[Set<'_>]) -> Result<Vec<PathBuf>, Failure> {
    let folders: Vec<PathBuf> = sets.iter().map(|(folder, _)| meant(folder)).collect();
    let folders: Vec<&Path> = folders.iter().map(PathBuf::as_path).collect();
    alone(&folders, || {
        let sets = folders.iter().zip(sets);
        let files = sets.flat_map(|(folder, (_, files))| of_one(folder, files.iter().copied()));
        let paths = put(files, Disk::Now)?;
        for folder in folders.iter().filter(|folder| folder.join(PLAN).exists()) {
            without_remains(folder, STALE);
        }
        Ok(paths)
    })
}

/// What the names of temporary files begin with, and how many letters or digits follow.
const TEMPORARY: (&str, usize) = (".rollwright-", 6);

/// No run writes files for so long: a temporary file that is older belongs to one that was killed.
const STALE: Duration = Duration::from_mins(10);

/// Takes away temporary files that killed runs have left in a folder of ours.
fn without_remains(folder: &Path, stale: Duration) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    for entry in entries.filter_map(Result::ok) {
        let name = entry.file_name();
        let rest = name.to_str().and_then(|name| name.strip_prefix(TEMPORARY.0));
        let ours = rest.is_some_and(|rest| {
            rest.len() == TEMPORARY.1 && rest.bytes().all(|b| b.is_ascii_alphanumeric())
        });
        // Of a link itself, and no link is a file.
        let Some(about) = entry.metadata().ok().filter(|about| ours && about.is_file()) else {
            continue;
        };
        let age = about.modified().ok().and_then(|then| then.elapsed().ok());
        if age.is_some_and(|age| age >= stale) {
            // Where it stays it does no harm.
            let _ = fs::remove_file(entry.path());
        }
    }
}

/// Makes a folder where there is none.
fn make(folder: &Path) -> Result<(), Failure> {
    fs::create_dir_all(folder).map_err(|e| {
        let why = match e.kind() {
            // It is the system's own place: the folder above it is there, or would have been made.
            std::io::ErrorKind::NotFound => "the system lets nobody make one there".to_owned(),
            _ => said(&e),
        };
        let folder = folder.display();
        Failure::System(format!("the folder {folder} cannot be made: {why}; name another one"))
    })
}

/// When what is written has to be on the disk.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Disk {
    /// Before anything is replaced.
    Now,
    /// When the system thinks fit.
    Later,
}

/// The files of one folder, each with it.
fn of_one<'f, 'a>(
    folder: &'f Path,
    files: impl Iterator<Item = (&'a str, &'a [u8])>,
) -> impl Iterator<Item = (&'f Path, &'a str, &'a [u8])> {
    files.map(move |(name, bytes)| (folder, name, bytes))
}

/// Writes the files of all folders under other names, then renames them, folder by folder as they come, each
/// folder's plan last.
fn put<'f, 'a>(
    files: impl Iterator<Item = (&'f Path, &'a str, &'a [u8])>,
    disk: Disk,
) -> Result<Vec<PathBuf>, Failure> {
    let mut ready: Vec<(TempPath, PathBuf)> = Vec::new();
    let mut folders: Vec<&Path> = Vec::new();
    let mut order: Vec<(usize, bool)> = Vec::new();
    for (folder, name, bytes) in files {
        if folders.last() != Some(&folder) {
            folders.push(folder);
        }
        let path = folder.join(name);
        order.push((folders.len(), path.ends_with(PLAN)));
        ready.push((beside(&path, bytes, disk)?, path));
    }
    let mut ready: Vec<_> = order.into_iter().zip(ready).collect();
    ready.sort_by_key(|(order, _)| *order);
    let mut paths = Vec::with_capacity(ready.len());
    for (_, (file, path)) in ready {
        if let Err(e) = file.persist(&path) {
            return Err(halfway(Failure::file(&path, e.error), &paths));
        }
        paths.push(path);
    }
    Ok(paths)
}

/// A failure between two renames, with what was replaced before it.
fn halfway(failure: Failure, done: &[PathBuf]) -> Failure {
    if done.is_empty() {
        return failure;
    }
    let names: Vec<String> = done.iter().map(|path| path.display().to_string()).collect();
    Failure::System(format!(
        "{failure}; these were written before that and are new, the others are as they were: {}",
        names.join(", ")
    ))
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
        for (name, bytes) in files {
            let path = folder.join(name);
            let file = filled(&path, bytes)?;
            file.persist_noclobber(&path).map_err(|e| Failure::file(&path, e.error))?;
        }
        Ok(())
    })
}

/// Refuses to make files where one of them is there.
fn none_there<'a>(
    folder: &Path,
    files: impl Iterator<Item = (&'a str, &'a [u8])>,
) -> Result<(), Failure> {
    let there: Vec<&str> =
        files.map(|(name, _)| name).filter(|name| there(&folder.join(name))).collect();
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

/// A temporary file beside `path` with all that is to stand there, closed and on the disk.
///
/// # Errors
/// What the system says.
pub(super) fn filled(path: &Path, bytes: &[u8]) -> Result<TempPath, Failure> {
    beside(path, bytes, Disk::Now)
}

fn beside(path: &Path, bytes: &[u8], disk: Disk) -> Result<TempPath, Failure> {
    let mut builder = tempfile::Builder::new();
    builder.prefix(TEMPORARY.0).rand_bytes(TEMPORARY.1);
    // Temporary files are private; reports are for everybody whom the user's settings let in.
    #[cfg(unix)]
    let for_all = std::os::unix::fs::PermissionsExt::from_mode(0o666);
    #[cfg(unix)]
    builder.permissions(for_all);
    builder
        .tempfile_in(of(path))
        .and_then(|mut file| {
            file.write_all(bytes)?;
            // A file that is replaced keeps its rights.
            #[cfg(unix)]
            if let Ok(about) = fs::metadata(path) {
                file.as_file().set_permissions(about.permissions())?;
            }
            if disk == Disk::Now {
                file.as_file().sync_data()?;
            }
            Ok(file.into_temp_path())
        })
        .map_err(|e| Failure::file(path, e))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_of_others_is_replaced() {
        let job = tempfile::tempdir().unwrap();
        let out = job.path().join("out");
        let documents =
            [PLAN, "order.csv"].map(|name| Document { name, bytes: name.as_bytes().to_vec() });
        assert!(matches!(may_write(job.path(), job.path(), &[]), Err(Failure::Usage(_))));
        fs::create_dir(&out).unwrap();
        fs::write(out.join("order.csv"), "mine").unwrap();
        assert!(may_write(&out, job.path(), &["order.csv"]).is_err());
        assert!(may_write(&out, job.path(), &["cuts.csv"]).is_ok());
        fs::remove_file(out.join("order.csv")).unwrap();
        let paths = write(&out, &documents).unwrap();
        assert_eq!(paths.last().map(|p| p.ends_with(PLAN)), Some(true));
        assert!(may_write(&out, job.path(), &["order.csv"]).is_ok());
        assert_eq!(fs::read_dir(&out).unwrap().count(), 2, "no temporary file stays behind");
    }

    /// Whatever lies there beside it: a report among another job's inputs would change that job.
    #[test]
    fn no_job_folder_is_written_to() {
        let (job, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        for input in ["takeoff.csv", "rolls.xlsx"] {
            let path = other.path().join(input);
            fs::write(&path, "theirs").unwrap();
            fs::write(other.path().join(PLAN), "{}").unwrap();
            let Err(Failure::Usage(told)) = may_write(other.path(), job.path(), &[]) else {
                panic!("{input} was not seen")
            };
            assert!(told.contains(input), "{told}");
            fs::remove_file(path).unwrap();
        }
        assert!(may_write(other.path(), job.path(), &["order.csv"]).is_ok());
    }

    /// A piece's code is used again in the next plan, for another size.
    #[test]
    fn what_was_made_from_another_plan_is_taken_away() {
        let out = tempfile::tempdir().unwrap();
        let plan = |text: &str| [Document { name: PLAN, bytes: text.into() }];
        let put = |name: &str, text: &str| fs::write(out.path().join(name), text).unwrap();
        write_plan(out.path(), &plan("one")).unwrap();
        put("kits.csv", "\"kit\",\"release\",\"area\",\"line\"\n");
        put("tickets.pdf", "%PDF /Producer(rollwright 0.1.0)");
        put("labels.csv", "name,phone\n");
        let again = write_plan(out.path(), &plan("one")).unwrap();
        assert_eq!((again.taken.len(), again.left.len()), (0, 0), "it is the same plan");
        let other = write_plan(out.path(), &plan("two")).unwrap();
        assert_eq!(
            (&other.taken[..], &other.left[..]),
            (&["tickets.pdf", "kits.csv"][..], &["labels.csv"][..])
        );
        assert_eq!(fs::read_to_string(out.path().join("labels.csv")).unwrap(), "name,phone\n");
        assert!(!there(&out.path().join("kits.csv")) && !there(&out.path().join("tickets.pdf")));
    }

    /// The system goes up from a folder only once it is there, and it is there once it was made for this.
    #[test]
    fn no_job_folder_is_written_to_through_a_folder_that_is_not_there_yet() {
        let all = tempfile::tempdir().unwrap();
        let [job, other] = ["job", "other"].map(|name| all.path().join(name));
        for folder in [&job, &other] {
            fs::create_dir(folder).unwrap();
            fs::write(folder.join("offcuts.csv"), "theirs").unwrap();
        }
        fs::write(other.join("rolls.csv"), "theirs").unwrap();
        let listed = Listed { list: "list.csv", is_ours: |name| name.starts_with('B') };
        for ways in
            ["out/..", "no/where/../..", "./no/../no/..", "no/../../job", "no/../../job/no/.."]
        {
            for folder in [&job, &other] {
                let out = folder.join(ways);
                let told = may_write(&out, &job, &["offcuts.csv"]);
                assert!(matches!(told, Err(Failure::Usage(_))), "{}", out.display());
                assert!(listed.may_write(&out, &job, &["B1.svg"]).is_err(), "{}", out.display());
                assert!(!out.exists(), "nothing is made to find that out");
            }
        }
        let files = [("offcuts.csv", b"ours".as_slice())];
        assert!(matches!(
            make_new(&job.join("no/.."), files.into_iter()),
            Err(Failure::Refused(_))
        ));
        // Where it leads elsewhere it is followed, and the folder that was not there is not made.
        let out = job.join("no/../out");
        assert!(may_write(&out, &job, &["offcuts.csv"]).is_ok());
        let paths = write_named(&out, files.into_iter()).unwrap();
        assert_eq!(paths, [job.join("out/offcuts.csv")]);
        assert!(!job.join("no").exists() && job.join("out/offcuts.csv").exists());
        assert_eq!(fs::read(job.join("offcuts.csv")).unwrap(), b"theirs");
    }

    #[cfg(unix)]
    #[test]
    fn a_link_is_followed_before_going_up() {
        let all = tempfile::tempdir().unwrap();
        let at = |name: &str| all.path().join(name);
        fs::create_dir_all(at("job/deep")).unwrap();
        std::os::unix::fs::symlink(at("job/deep"), at("link")).unwrap();
        let whole = |path: &Path| path.canonicalize().unwrap();
        assert_eq!(whole(&meant(&at("link/.."))), whole(&at("job")));
        assert_eq!(whole(&meant(&at("link/no/.."))), whole(&at("job/deep")));
        std::os::unix::fs::symlink(at("nowhere"), at("astray")).unwrap();
        let files = [("a.csv", b"x".as_slice())];
        assert!(write_named(&at("astray/.."), files.into_iter()).is_err());
        assert_eq!(meant(Path::new("no/..")), Path::new("."));
    }

    #[test]
    fn a_path_without_a_folder_means_the_one_at_work() {
        // Tests run in the folder of Cargo.toml, which holds no plan.
        let told = may_write(Path::new(""), Path::new("nowhere"), &["Cargo.toml"]);
        assert!(matches!(told, Err(Failure::Usage(_))));
        assert!(filled(Path::new("not-kept.txt"), b"x").is_ok());
    }

    #[test]
    fn only_what_the_list_names_is_replaced_or_taken_away() {
        let (job, out) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let listed =
            Listed { list: "list.csv", is_ours: |name| name.starts_with(char::is_uppercase) };
        let may = |names: &[&str]| listed.may_write(out.path(), job.path(), names);
        let put = |name: &str, text: &str| fs::write(out.path().join(name), text).unwrap();
        put("P101.svg", "theirs");
        assert_eq!(may(&["A.svg", "list.csv"]).unwrap(), [""; 0]);
        assert!(may(&["P101.svg"]).is_err());
        put("list.csv", "name,phone\nP101,1\n");
        assert!(may(&["A.svg", "list.csv"]).is_err(), "somebody else's list");
        put("list.csv", "file,piece\nA,x\nB,x\nC,x\n");
        for name in ["A.svg", "B.svg", "b.txt"] {
            put(name, "ours");
        }
        assert!(may(&["A.svg", "P101.svg"]).is_err());
        assert_eq!(may(&["A.svg", "list.csv"]).unwrap(), ["A.svg", "B.svg"]);
        let new = [("A.svg", b"new".as_slice())];
        assert_eq!(listed.write(out.path(), (job.path(), None), &new).unwrap(), 1);
        let left = |name: &str| out.path().join(name).exists();
        assert!(left("A.svg") && !left("B.svg") && left("b.txt") && left("P101.svg"));
    }

    /// A run that had read a plan wrote its tickets beside the plan that another run had put there meanwhile, and
    /// codes of the two stood for other sizes.
    #[test]
    fn nothing_made_from_a_plan_is_written_once_another_stands_there() {
        let (job, out) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let plan = out.path().join(PLAN);
        fs::write(&plan, "one").unwrap();
        let file = AsRead::new(&plan, b"one");
        let ticket = |text: &str| [Document { name: "kits.csv", bytes: text.as_bytes().to_vec() }];
        let beside = tempfile::tempdir().unwrap();
        let drawn = Listed { list: "list.csv", is_ours: |name| name.starts_with("drawing") };
        let draw = |text: &'static [u8]| {
            drawn.write(beside.path(), (job.path(), Some(&file)), &[("list.csv", text)])
        };
        assert_eq!(write_made_from(&file, out.path(), &ticket("a")).unwrap().len(), 1);
        assert_eq!(draw(b"file\na\n").unwrap(), 1);
        fs::write(&plan, "two").unwrap();
        let refused = write_made_from(&file, out.path(), &ticket("b"));
        assert!(matches!(refused, Err(Failure::Refused(why)) if why.contains("another run")));
        assert!(matches!(draw(b"file\nb\n"), Err(Failure::Refused(_))));
        let stands = |folder: &Path, name: &str| fs::read_to_string(folder.join(name)).unwrap();
        assert_eq!(stands(out.path(), "kits.csv"), "a");
        assert_eq!(stands(beside.path(), "list.csv"), "file\na\n");
        // Beside the reports of another plan it is not written either.
        fs::write(beside.path().join(PLAN), "three").unwrap();
        let two = AsRead::new(&plan, b"two");
        let refused = write_made_from(&two, beside.path(), &ticket("c"));
        assert!(matches!(refused, Err(Failure::Usage(why)) if why.contains("another plan")));
        assert!(!there(&beside.path().join("kits.csv")));
    }

    #[test]
    fn only_old_temporary_files_of_ours_are_taken_away() {
        let out = tempfile::tempdir().unwrap();
        let at = |name: &str| out.path().join(name);
        let old =
            [".rollwright-aB3dE9", ".rollwright-notes.txt", ".rollwright-", "rollwright-aB3dE9"];
        for name in old {
            let file = fs::File::create(at(name)).unwrap();
            file.set_modified(std::time::SystemTime::now() - STALE).unwrap();
        }
        fs::write(at(".rollwright-aB3dE8"), "being written").unwrap();
        fs::create_dir(at(".rollwright-folder")).unwrap();
        #[cfg(unix)]
        std::os::unix::fs::symlink(at("order.csv"), at(".rollwright-linked")).unwrap();
        let files = [("order.csv", b"x".as_slice())];
        write_named(out.path(), files.into_iter()).unwrap();
        assert!(at(old[0]).exists(), "without a plan the folder may be anybody's");
        let files = [(PLAN, b"{}".as_slice())];
        write_named(out.path(), files.into_iter()).unwrap();
        assert!(!at(old[0]).exists());
        for name in old[1..].iter().chain(&[".rollwright-aB3dE8", ".rollwright-folder"]) {
            assert!(at(name).exists(), "{name}");
        }
        #[cfg(unix)]
        assert!(there(&at(".rollwright-linked")));
        without_remains(out.path(), Duration::ZERO);
        assert!(!at(".rollwright-aB3dE8").exists() && at(".rollwright-folder").exists());
        let names = fs::read_dir(out.path()).unwrap().count();
        let named = filled(&at("new.csv"), b"x").unwrap();
        without_remains(out.path(), Duration::ZERO);
        assert!(!named.exists(), "its own temporary files are the ones it knows");
        assert_eq!(fs::read_dir(out.path()).unwrap().count(), names);
    }

    /// A folder in the way of a file is seen only when the file is renamed.
    #[test]
    fn of_several_folders_none_is_changed_before_all_is_written() {
        let all = tempfile::tempdir().unwrap();
        let at = |name: &str| all.path().join(name);
        let read = |name: &str| fs::read_to_string(at(name)).unwrap();
        let put = |text: &'static str| {
            let files = || vec![(PLAN, text.as_bytes()), ("a.csv", text.as_bytes())];
            write_sets(&[(at("one"), files()), (at("two"), files())])
        };
        assert_eq!(put("old").unwrap().len(), 4);
        // A file that cannot be made at all, in the second folder.
        let files = |name: &'static str| vec![("a.csv", b"new".as_slice()), (name, b"new")];
        assert!(
            write_sets(&[(at("one"), files("b.csv")), (at("two"), files("no/b.csv"))]).is_err()
        );
        assert_eq!((read("one/a.csv"), read("two/a.csv")), ("old".to_owned(), "old".to_owned()));
        fs::remove_file(at("two/a.csv")).unwrap();
        fs::create_dir_all(at("two/a.csv/full")).unwrap();
        let told = put("new").unwrap_err().to_string();
        let (one, two) = (at("one/a.csv"), at("two/a.csv"));
        assert!(told.contains(&format!("{}: ", two.display())), "{told}");
        assert!(told.contains(&format!("were: {}, ", one.display())), "{told}");
        assert_eq!((read("one/plan.json"), read("two/plan.json")), ("new".into(), "old".into()));
        let left = |name: &str| fs::read_dir(at(name)).unwrap().count();
        assert_eq!((left("one"), left("two")), (2, 2), "no temporary file stays behind");
    }

    #[test]
    fn what_says_that_it_is_ours_is_replaced_without_a_plan_beside_it() {
        let (job, out) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let may = || may_write(out.path(), job.path(), TICKET_NAMES);
        let kits = out.path().join("kits.csv");
        fs::write(&kits, "\"kit\",\"release\",\"area\",\"line\"\n").unwrap();
        assert!(may().is_ok());
        fs::write(&kits, "kit,price\n").unwrap();
        assert!(may().is_err());
        #[cfg(unix)]
        {
            fs::remove_file(&kits).unwrap();
            std::os::unix::fs::symlink(out.path().join("labels.csv"), &kits).unwrap();
            assert!(may().is_err(), "a link is no file of ours");
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_file_keeps_its_rights_when_it_is_replaced() {
        use std::os::unix::fs::PermissionsExt as _;
        let folder = tempfile::tempdir().unwrap();
        let mode = |name: &str| {
            fs::metadata(folder.path().join(name)).unwrap().permissions().mode() & 0o777
        };
        let put = || {
            let files = ["old.csv", "new.csv"].map(|name| (name, name.as_bytes()));
            write_named(folder.path(), files.into_iter()).unwrap();
        };
        fs::write(folder.path().join("old.csv"), "x").unwrap();
        let private = fs::Permissions::from_mode(0o660);
        fs::set_permissions(folder.path().join("old.csv"), private).unwrap();
        put();
        assert_eq!(mode("old.csv"), 0o660);
        // As the system makes files for this user.
        fs::write(folder.path().join("plain.csv"), "x").unwrap();
        assert_eq!(mode("new.csv"), mode("plain.csv"));
    }

    /// Templates are more files than a process may have open at once on many systems.
    #[cfg(target_os = "linux")]
    #[test]
    fn files_are_closed_before_the_next_is_made() {
        let folder = tempfile::tempdir().unwrap();
        let ours = || {
            let open = fs::read_dir("/proc/self/fd").unwrap();
            let paths = open.filter_map(|fd| fs::read_link(fd.unwrap().path()).ok());
            // The folder itself is open, as it is locked.
            let inside = |path: &PathBuf| path.parent() == Some(folder.path());
            paths.filter(inside).count()
        };
        let names: Vec<String> = (0..40).map(|n| format!("{n}.svg")).collect();
        let mut most = 0;
        let files = names.iter().map(|name| {
            most = most.max(ours());
            (name.as_str(), b"x".as_slice())
        });
        write_named(folder.path(), files).unwrap();
        assert_eq!((most, ours()), (0, 0));
    }
}
