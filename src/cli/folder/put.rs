//! Puts files into folders: each under another name first, then, when all of them are there, renamed.

use super::PLAN;
use super::place::{here, led_to, of, there};
use crate::cli::exit::{Failure, said};
use crate::cli::lock::lock;
use crate::cli::output::message;
use crate::cli::stop::unbroken;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::time::Duration;
use tempfile::TempPath;

/// Writes into folders, which are made, while no other run does and the command is not ended.
pub(super) fn alone<T>(
    folders: &[&Path],
    write: impl FnOnce() -> Result<T, Failure>,
) -> Result<T, Failure> {
    folders.iter().try_for_each(|folder| make(folder))?;
    let _locked = lock(folders)?;
    unbroken(write)
}

/// What the names of temporary files begin with, and how many letters or digits follow.
const TEMPORARY: (&str, usize) = (".rollwright-", 6);

/// No run writes files for so long: a temporary file that is older belongs to one that was killed.
pub(super) const STALE: Duration = Duration::from_mins(10);

/// A folder that is made to see whether one can be made is gone at once: one that is older belongs to a run
/// that was killed meanwhile.
pub(super) const PROBED: Duration = Duration::from_secs(10);

/// What bears a temporary name in a folder and is so old: its path, and what it is; of a link the link itself.
fn remains(folder: &Path, stale: Duration) -> impl Iterator<Item = (PathBuf, fs::Metadata)> {
    let entries = fs::read_dir(folder).into_iter().flatten().filter_map(Result::ok);
    entries.filter_map(move |entry| {
        let name = entry.file_name();
        let rest = name.to_str().and_then(|name| name.strip_prefix(TEMPORARY.0))?;
        let ours = rest.len() == TEMPORARY.1 && rest.bytes().all(|b| b.is_ascii_alphanumeric());
        let about = entry.metadata().ok().filter(|_| ours)?;
        let age = about.modified().ok().and_then(|then| then.elapsed().ok())?;
        (age >= stale).then(|| (entry.path(), about))
    })
}

/// Takes away temporary files that killed runs have left in a folder of ours.
pub(super) fn without_remains(folder: &Path, stale: Duration) {
    for (path, _) in remains(folder, stale).filter(|(_, about)| about.is_file()) {
        // Where it stays it does no harm.
        let _ = fs::remove_file(path);
    }
}

/// Takes away the empty folders that killed runs have left where they were to make theirs; gives those that
/// stay, as something lies in them or the system does not let them go.
pub(super) fn without_probes(above: &Path, stale: Duration) -> Vec<PathBuf> {
    let folders = remains(above, stale).filter(|(_, about)| about.is_dir());
    // The system takes no folder away that is not empty.
    folders.map(|(path, _)| path).filter(|path| fs::remove_dir(path).is_err()).collect()
}

/// Makes a folder where there is none.
fn make(folder: &Path) -> Result<(), Failure> {
    fs::create_dir_all(folder).map_err(|e| not_made(folder, &e))
}

fn not_made(folder: &Path, e: &std::io::Error) -> Failure {
    let (folder, why) = (folder.display(), why_not(e));
    Failure::System(format!("the folder {folder} cannot be made: {why}; name another one"))
}

/// Why nothing can be made in a folder that is there.
fn why_not(e: &std::io::Error) -> String {
    match e.kind() {
        // It is the system's own place: the folder is there, or would have been made.
        std::io::ErrorKind::NotFound => "the system lets nobody make one there".to_owned(),
        _ => said(e),
    }
}

/// Sees whether files can be made in a folder, or the folder itself where it is not there, and leaves nothing
/// behind.
///
/// # Errors
/// They cannot, and why.
pub(super) fn can_write(folder: &Path) -> Result<(), Failure> {
    let above = folder.ancestors().map(here).find(|above| there(above)).unwrap_or(folder);
    for left in without_probes(if there(folder) { of(folder) } else { above }, PROBED) {
        message(&format!(
            "{} bears the name of a temporary folder of this program and may be left of a run that was killed; as \
             something lies in it, it stays: delete it where you do not need that",
            left.display()
        ));
    }
    let mut probe = tempfile::Builder::new();
    let probe = probe.prefix(TEMPORARY.0).rand_bytes(TEMPORARY.1);
    if !there(folder) {
        let tried = probe.tempdir_in(above);
        return tried.map(drop).map_err(|e| not_made(folder, &e));
    }
    probe.tempfile_in(folder).map(drop).map_err(|e| {
        Failure::System(format!(
            "no file can be made in the folder {}: {}; nothing was computed, as it would be lost",
            folder.display(),
            why_not(&e)
        ))
    })
}

/// When what is written has to be on the disk.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Disk {
    /// Before anything is replaced.
    Now,
    /// When the system thinks fit.
    Later,
}

/// Files of one folder that are there under other names: where each comes to lie, and its path as it was asked for.
pub(super) struct Ready(Vec<(TempPath, PathBuf, PathBuf)>);

impl Ready {
    /// Writes files under other names; where one cannot be made, none stays.
    pub(super) fn made<'a>(
        folder: &Path,
        files: impl Iterator<Item = (&'a str, &'a [u8])>,
        disk: Disk,
    ) -> Result<Self, Failure> {
        let one = |(name, bytes): (&str, &[u8])| {
            let path = folder.join(name);
            let place = led_to(&path);
            Ok((beside(&place, bytes, disk)?, place, path))
        };
        files.map(one).collect::<Result<_, Failure>>().map(Self)
    }

    /// The same files in two parts, those of which `first` holds before the others.
    pub(super) fn parted(self, first: impl Fn(&Path) -> bool) -> (Self, Self) {
        let (first, other) = self.0.into_iter().partition(|(.., path)| first(path));
        (Self(first), Self(other))
    }

    /// Renames them in turn; `done` has the paths of all that were renamed before, and gets these.
    pub(super) fn renamed(self, done: &mut Vec<PathBuf>) -> Result<(), Failure> {
        for (file, place, path) in self.0 {
            if let Err(e) = file.persist(&place) {
                return Err(halfway(Failure::file(&path, e.error), done));
            }
            done.push(path);
        }
        Ok(())
    }
}

/// A file that says that a plan's files are being put into its folder, perhaps beside those of another.
#[derive(Debug)]
pub(super) struct Unfinished(PathBuf);

/// Its name.
const UNFINISHED: &str = ".rollwright-unfinished";

impl Unfinished {
    /// Before the first file is renamed.
    pub(super) fn begin(folder: &Path) -> Result<Self, Failure> {
        let path = folder.join(UNFINISHED);
        let text = "A run of rollwright that writes here is not done, or was ended.\n";
        beside(&path, text.as_bytes(), Disk::Now)?
            .persist(&path)
            .map_err(|e| Failure::file(&path, e.error))?;
        Ok(Self(path))
    }

    /// When all files are there. Where it ends otherwise, the file stays.
    pub(super) fn done(self) -> Result<(), Failure> {
        fs::remove_file(&self.0).map_err(|e| Failure::file(&self.0, e))
    }
}

/// Whether a run that wrote a plan's files into a folder was ended before all were there.
pub(in crate::cli) fn is_unfinished(folder: &Path) -> bool {
    fs::symlink_metadata(folder.join(UNFINISHED)).is_ok()
}

/// Writes the files of one folder under other names, then renames them, its plan last. Before the plan is replaced,
/// `before` is done.
pub(super) fn put<'a>(
    folder: &Path,
    files: impl Iterator<Item = (&'a str, &'a [u8])>,
    before: impl FnOnce() -> Result<(), Failure>,
) -> Result<Vec<PathBuf>, Failure> {
    let (plan, other) = Ready::made(folder, files, Disk::Now)?.parted(|path| path.ends_with(PLAN));
    let begun = (!plan.0.is_empty()).then(|| Unfinished::begin(folder)).transpose()?;
    let mut done = Vec::new();
    if let Err(failure) = other.renamed(&mut done) {
        // Where none was renamed all is as it was.
        begun.filter(|_| done.is_empty()).map_or(Ok(()), Unfinished::done)?;
        return Err(failure);
    }
    before().map_err(|failure| halfway(failure, &done))?;
    plan.renamed(&mut done)?;
    begun.map_or(Ok(()), Unfinished::done)?;
    Ok(done)
}

/// A failure between two renames, with what was replaced before it.
pub(super) fn halfway(failure: Failure, done: &[PathBuf]) -> Failure {
    if done.is_empty() {
        return failure;
    }
    let names: Vec<String> = done.iter().map(|path| path.display().to_string()).collect();
    Failure::System(format!(
        "{failure}; these were written before that and are new, the others are as they were: {}",
        names.join(", ")
    ))
}

/// A temporary file beside `path` with all that is to stand there, closed and on the disk.
///
/// # Errors
/// What the system says.
pub(in crate::cli) fn filled(path: &Path, bytes: &[u8]) -> Result<TempPath, Failure> {
    beside(path, bytes, Disk::Now)
}

/// Whether what is written there goes on as it comes: to a pipe or a device, or to what lies among the system's own.
pub(in crate::cli) fn takes_as_it_comes(path: &Path) -> bool {
    let own = ["/dev", "/proc"].iter().any(|own| path.starts_with(own));
    fs::metadata(path).is_ok_and(|about| !about.is_dir() && (own || !about.is_file()))
}

/// Writes one file in one go, beside it first, then under its name, while the command is not ended. What
/// [`takes_as_it_comes`] may wait for whoever reads it, and can be ended.
///
/// # Errors
/// What the system says.
pub(in crate::cli) fn save(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    if takes_as_it_comes(path) {
        let file = fs::OpenOptions::new().write(true).open(path);
        return file.and_then(|mut file| file.write_all(bytes)).map_err(|e| Failure::file(path, e));
    }
    unbroken(|| {
        let place = led_to(path);
        filled(&place, bytes)?.persist(&place).map_err(|e| Failure::file(path, e.error))
    })
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
