//! Writing documents into a folder: all or, as far as the system lets us, none; and nobody
//! else's files.
//!
//! Steps: refuse a folder that must not be written to; make it; write every document to a
//! temporary file in it; when all of them are there, rename each to its name, the plan last. A
//! file that was there before is replaced only where the folder holds a plan of ours.

use super::exit::Failure;
use crate::report::Document;
use std::fs;
use std::io::Write;
use std::path::{Path, PathBuf};
use tempfile::NamedTempFile;

/// The file by which a folder is known as ours.
pub const PLAN: &str = "plan.json";

/// Checks that documents of these names may be written into the folder.
///
/// # Errors
/// It is the job folder itself, or no folder, or holds files of these names but no plan.
pub fn may_write(folder: &Path, job: &Path, names: &[&str]) -> Result<(), Failure> {
    if !folder.exists() {
        return Ok(());
    }
    if !folder.is_dir() {
        return Err(Failure::Usage(format!("{} is not a folder", folder.display())));
    }
    let whole = |path: &Path| path.canonicalize().unwrap_or_else(|_| path.to_owned());
    if whole(folder) == whole(job) {
        return Err(Failure::Usage(format!(
            "{} is the job folder: reports go beside the inputs, not among them; leave --out away \
             or name another folder",
            folder.display()
        )));
    }
    if folder.join(PLAN).exists() {
        return Ok(());
    }
    match names.iter().find(|name| folder.join(name).exists()) {
        Some(name) => Err(Failure::Usage(format!(
            "{} holds a {name} but no {PLAN}, so it may be somebody else's: move it away or name \
             another folder with --out",
            folder.display()
        ))),
        None => Ok(()),
    }
}

/// Writes the documents; gives their paths.
///
/// # Errors
/// What the system says; nothing has been replaced unless it fails between two renames.
pub fn write(folder: &Path, documents: &[Document]) -> Result<Vec<PathBuf>, Failure> {
    write_named(folder, documents.iter().map(|d| (d.name, d.bytes.as_slice())))
}

/// The same for files whose names are made: of pieces' codes and the like, never of an input.
///
/// # Errors
/// As [`write()`].
pub fn write_named<'a>(
    folder: &Path,
    files: impl Iterator<Item = (&'a str, &'a [u8])>,
) -> Result<Vec<PathBuf>, Failure> {
    fs::create_dir_all(folder).map_err(|e| Failure::file(folder, e))?;
    let mut ready: Vec<(NamedTempFile, PathBuf)> = Vec::new();
    for (name, bytes) in files {
        let path = folder.join(name);
        ready.push((filled(&path, bytes)?, path));
    }
    ready.sort_by_key(|(_, path)| path.ends_with(PLAN));
    let mut paths = Vec::with_capacity(ready.len());
    for (file, path) in ready {
        file.persist(&path).map_err(|e| Failure::file(&path, e.error))?;
        paths.push(path);
    }
    Ok(paths)
}

/// Makes files in a folder, which is made if it is not there; replaces none.
///
/// # Errors
/// One of them is there already, and then none is made; what the system says.
pub fn make_new<'a>(
    folder: &Path,
    files: impl Iterator<Item = (&'a str, &'a [u8])> + Clone,
) -> Result<(), Failure> {
    if folder.exists() && !folder.is_dir() {
        return Err(Failure::Usage(format!("{} is not a folder", folder.display())));
    }
    let there: Vec<&str> = files
        .clone()
        .map(|(name, _)| name)
        .filter(|name| fs::symlink_metadata(folder.join(name)).is_ok())
        .collect();
    if !there.is_empty() {
        return Err(Failure::Refused(format!(
            "{} holds {} already, and nothing is replaced: name another folder",
            folder.display(),
            there.join(", ")
        )));
    }
    fs::create_dir_all(folder).map_err(|e| Failure::file(folder, e))?;
    for (name, bytes) in files {
        let path = folder.join(name);
        let file = filled(&path, bytes)?;
        file.persist_noclobber(&path).map_err(|e| Failure::file(&path, e.error))?;
    }
    Ok(())
}

/// A temporary file beside `path` with all that is to stand there.
///
/// # Errors
/// What the system says.
pub(super) fn filled(path: &Path, bytes: &[u8]) -> Result<NamedTempFile, Failure> {
    let folder = path.parent().filter(|p| !p.as_os_str().is_empty()).unwrap_or(Path::new("."));
    let file = tempfile::Builder::new().prefix(".rollwright-").tempfile_in(folder);
    file.and_then(|mut file| {
        file.write_all(bytes)?;
        open_to_all(&file)?;
        Ok(file)
    })
    .map_err(|e| Failure::file(path, e))
}

/// Temporary files are private; reports are for everybody whom the folder lets in.
fn open_to_all(file: &NamedTempFile) -> std::io::Result<()> {
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        file.as_file().set_permissions(fs::Permissions::from_mode(0o644))?;
    }
    Ok(())
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
}
