//! Which folder a path means, and whether it may be written to at all.

use crate::cli::exit::Failure;
use crate::cli::job;
use std::fs;
use std::path::{Component, Path, PathBuf};

/// Whether there is anything under this path, a link that leads nowhere included. What the system does not tell is
/// there: whoever reads it says why that fails, where a job without its rules would be another job.
pub(in crate::cli) fn there(path: &Path) -> bool {
    use std::io::ErrorKind::{InvalidFilename, NotADirectory, NotFound};
    let none = |e: std::io::Error| matches!(e.kind(), NotFound | NotADirectory | InvalidFilename);
    !fs::symlink_metadata(path).is_err_and(none)
}

/// Where what is written under a path comes to lie: links are followed, also one that leads to nothing yet, so that a link
/// stays one.
pub(in crate::cli) fn led_to(path: &Path) -> PathBuf {
    let mut at = path.to_owned();
    for _ in 0..LINKS {
        match fs::read_link(&at) {
            Ok(next) => at = of(&at).join(next),
            Err(_) => return at,
        }
    }
    path.to_owned()
}

/// As many links as systems follow.
const LINKS: usize = 40;

/// The folder in which a file lies.
pub(in crate::cli) fn of(file: &Path) -> &Path {
    here(file.parent().unwrap_or(Path::new("")))
}

/// The folder a path without one means.
pub(in crate::cli) fn here(folder: &Path) -> &Path {
    if folder.as_os_str().is_empty() { Path::new(".") } else { folder }
}

/// The folder that a path means, also where it is not there yet: `..` behind a folder that would first have to
/// be made leads to the folder before it. So what is looked at is what is written to.
pub(in crate::cli) fn meant(folder: &Path) -> PathBuf {
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
pub(super) fn no_inputs(folder: &Path, job: &Path) -> Result<(), Failure> {
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
