//! A job folder, read whole: bytes and digests of its files, nothing interpreted.
//!
//! Steps: see that the folder is one; read each known file; take its SHA-256; look for files whose
//! name is nearly a known one. All problems are findings. A table may be a CSV file or a workbook
//! of the same name (`takeoff.csv`, `takeoff.xlsx`, `takeoff.ods`), but only one of them.

use super::allowance::QUANTITIES;
use super::beside::OPTIONS;
use super::exit::{Failure, beside, said};
use super::folder::there;
use super::reading::{self, LARGEST, bytes};
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::forecast::uncertainty;
use crate::plan::{Input, digest};
use crate::table::{BOOK_ENDINGS, quoted};
use std::fs;
use std::path::{Path, PathBuf};

/// What is to be insulated: a table.
pub const TAKEOFF: &str = "takeoff.csv";
/// What can be bought: a table.
pub const ROLLS: &str = "rolls.csv";
/// What is on the shelf: a table; may be missing.
pub const OFFCUTS: &str = "offcuts.csv";
/// The rules; may be missing.
pub const RULES: &str = "rules.toml";

/// Labour and freight; may be missing.
pub const RATES: &str = crate::cost::rates::FILE;

/// In what papers give lengths; may be missing. No plan rests on it.
pub use crate::rules::PAPERS;

const NEEDED: [&str; 2] = [TAKEOFF, ROLLS];
const KNOWN: [&str; 6] = [TAKEOFF, ROLLS, OFFCUTS, RULES, RATES, PAPERS];

/// A job folder's files.
#[derive(Clone, Debug)]
pub struct Folder {
    /// Its name, which is the job's.
    pub name: String,
    files: Vec<File>,
}

/// A file of the folder.
#[derive(Clone, Debug)]
struct File {
    /// One of [`KNOWN`].
    known: &'static str,
    /// Its own name; that of a workbook has another ending.
    name: String,
    bytes: Vec<u8>,
}

impl Folder {
    /// Reads a job folder; `None` when anything that is needed cannot be read.
    #[must_use]
    pub fn read(path: &Path) -> (Option<Self>, Findings) {
        let mut findings = Findings::new();
        let shown = path.display().to_string();
        if !path.is_dir() {
            let (what, remedy) = if path.exists() {
                let holder = path.parent().filter(|parent| !parent.as_os_str().is_empty());
                let holder = holder.unwrap_or(Path::new(".")).display().to_string();
                let known = path.file_name().is_some_and(|name| {
                    let name = name.to_string_lossy();
                    KNOWN.iter().any(|known| names_of(known).iter().any(|n| *n == name))
                });
                let remedy = if known {
                    format!("name the folder that it lies in: {}", quoted(&holder))
                } else {
                    format!("name a folder that holds {TAKEOFF} and {ROLLS}")
                };
                ("it is a file, and a job is a folder", remedy)
            } else {
                let remedy = beside(path).map_or_else(
                    || format!("name a folder that holds {TAKEOFF} and {ROLLS}"),
                    |near| format!("write {} if that is meant", quoted(&near)),
                );
                ("there is no such folder", remedy)
            };
            findings.push(Finding::new(&codes::NO_FOLDER, Place::file(shown), what, remedy));
            return (None, findings);
        }
        let files = KNOWN
            .iter()
            .filter_map(|&known| {
                let name = name_in(path, known, &mut findings);
                let bytes = read_file(path, &name, known, &mut findings)?;
                Some(File { known, name, bytes })
            })
            .collect();
        look_for_misnamed(path, &mut findings);
        if findings.has_errors() {
            return (None, findings);
        }
        (Some(Self { name: name_of(path), files }), findings)
    }

    /// The bytes of one of its files, if it is there; of a table also where it is a workbook.
    #[must_use]
    pub fn bytes(&self, known: &str) -> Option<&[u8]> {
        self.files.iter().find(|file| file.known == known).map(|file| file.bytes.as_slice())
    }

    /// The name under which one of its files is there; the known one where it is not.
    #[must_use]
    pub fn name_of<'a>(&'a self, known: &'a str) -> &'a str {
        self.files.iter().find(|file| file.known == known).map_or(known, |file| &file.name)
    }

    /// The files that a plan rests on, with their digests.
    #[must_use]
    pub fn inputs(&self) -> Vec<Input> {
        self.files
            .iter()
            .filter(|file| file.known != PAPERS)
            .map(|file| Input { file: file.name.clone(), sha256: digest(&file.bytes) })
            .collect()
    }
}

/// The folder's own name, also where it was given as `.` or `..`.
fn name_of(path: &Path) -> String {
    let whole = path.canonicalize().unwrap_or_else(|_| path.to_owned());
    whole.file_name().map_or_else(|| "job".to_owned(), |n| n.to_string_lossy().into_owned())
}

/// Every name under which a file of a job folder is read.
pub fn all_names() -> impl Iterator<Item = String> {
    KNOWN.iter().flat_map(|known| names_of(known))
}

/// The names under which a file is read: its own, and of a table those of workbooks.
#[must_use]
pub fn names_of(known: &str) -> Vec<String> {
    let mut names = vec![known.to_owned()];
    if let Some(stem) = known.strip_suffix(".csv") {
        names.extend(BOOK_ENDINGS.map(|ending| format!("{stem}.{ending}")));
    }
    names
}

/// The name under which a file of a folder is there.
#[must_use]
pub fn name_there(folder: &Path, known: &str) -> Option<String> {
    names_of(known).into_iter().find(|name| there(&folder.join(name)))
}

/// A file of a folder that may be missing, by itself: the name under which it is there, and its bytes.
///
/// # Errors
/// It is there under several names, or cannot be read.
pub fn file_in(folder: &Path, known: &'static str) -> Result<Option<(String, Vec<u8>)>, Failure> {
    let mut findings = Findings::new();
    let name = name_in(folder, known, &mut findings);
    if findings.has_errors() {
        return Err(Failure::Findings(findings));
    }
    let bytes = reading::if_there(&folder.join(&name), LARGEST)?;
    Ok(bytes.map(|bytes| (name, bytes)))
}

/// A file of a folder that is asked for, by itself; `remedy` says what to do where it is missing.
///
/// # Errors
/// It is missing, there under several names, or cannot be read.
pub fn needed_in(
    folder: &Path,
    known: &'static str,
    remedy: &str,
) -> Result<(String, Vec<u8>), Failure> {
    file_in(folder, known)?.ok_or_else(|| {
        let what = format!("the job folder {} has no such file", folder.display());
        let mut findings = Findings::new();
        findings.push(Finding::new(&codes::MISSING_FILE, Place::file(known), what, remedy));
        Failure::Findings(findings)
    })
}

/// The takeoff or the rolls of a folder, under whichever name, where it has any: it is a job folder then.
#[must_use]
pub fn input_in(folder: &Path) -> Option<String> {
    NEEDED.iter().find_map(|known| name_there(folder, known))
}

/// The name under which a file is there; tells it where there are several.
fn name_in(folder: &Path, known: &'static str, findings: &mut Findings) -> String {
    let mut names = names_of(known);
    names.retain(|name| there(&folder.join(name)));
    if let [first, second, ..] = names.as_slice() {
        findings.push(Finding::new(
            &codes::TWO_FILES,
            Place::file(second),
            format!("{first} is there as well, and only one of them can count"),
            "keep the one that is meant, and move the other away",
        ));
    }
    names.into_iter().next().unwrap_or_else(|| known.to_owned())
}

fn read_file(
    folder: &Path,
    name: &str,
    known: &'static str,
    findings: &mut Findings,
) -> Option<Vec<u8>> {
    let path = folder.join(name);
    if !there(&path) {
        if NEEDED.contains(&known) {
            findings.push(Finding::new(
                &codes::MISSING_FILE,
                Place::file(name),
                format!("the job folder {} has no such file", folder.display()),
                elsewhere(folder).map_or_else(
                    || "add it, or a workbook of that name (.xlsx, .ods); the README shows its columns".to_owned(),
                    |job| format!("name {} if that is the job", quoted(&job.display().to_string())),
                ),
            ));
        }
        return None;
    }
    match bytes(&path, LARGEST) {
        Ok(bytes) => Some(bytes),
        Err(e) => {
            findings.push(Finding::new(
                &codes::UNREADABLE,
                Place::file(name),
                format!("it cannot be read: {}", said(&e)),
                "see that it is a plain file that you may read, or take it away",
            ));
            None
        }
    }
}

/// The job above a folder of reports, or the only one in a folder of jobs; none where the folder is begun as one.
fn elsewhere(folder: &Path) -> Option<PathBuf> {
    if input_in(folder).is_some() {
        return None;
    }
    let above = match folder.parent() {
        Some(above) if above.as_os_str().is_empty() => PathBuf::from("."),
        Some(above) if folder.file_name().is_some() => above.to_owned(),
        _ => folder.join(".."),
    };
    if folder.canonicalize().is_ok_and(|whole| whole.parent().is_some())
        && input_in(&above).is_some()
    {
        return Some(above);
    }
    let jobs =
        fs::read_dir(folder).ok()?.filter_map(|entry| entry.ok().map(|entry| entry.file_name()));
    let mut jobs = jobs.map(|name| folder.join(name)).filter(|path| input_in(path).is_some());
    jobs.next().filter(|_| jobs.next().is_none())
}

/// Endings under which spreadsheets save tables and that are not read.
const OTHER_BOOKS: [&str; 5] = ["xls", "xlsm", "xlsb", "tsv", "fods"];

/// Tables that some commands read where they are there.
pub const BESIDE: [&str; 3] = [QUANTITIES, uncertainty::FILE, OPTIONS];

/// Warns of files whose name is nearly one that would be read.
fn look_for_misnamed(folder: &Path, findings: &mut Findings) {
    let Ok(entries) = fs::read_dir(folder) else { return };
    let read = || KNOWN.into_iter().chain(BESIDE).map(|known| (known, names_of(known)));
    let mut names: Vec<String> = entries
        .filter_map(|entry| entry.ok().map(|e| e.file_name().to_string_lossy().into_owned()))
        .filter(|name| !read().any(|(_, names)| names.contains(name)))
        .collect();
    names.sort();
    for name in names {
        let lower = name.to_ascii_lowercase();
        let (stem, ending) = lower.rsplit_once('.').unwrap_or((&lower, ""));
        let table = format!("{stem}.csv");
        let mut tell = |what: String, remedy: String| {
            findings.push(Finding::new(&codes::MISNAMED, Place::file(&name), what, remedy));
        };
        let other = OTHER_BOOKS.contains(&ending);
        if other && read().any(|(known, _)| known == table) {
            tell(
                "it is not read; of spreadsheets' files only .csv, .xlsx and .ods are".to_owned(),
                name_there(folder, &table).map_or_else(
                    || format!("save it as {stem}.xlsx if it belongs to the job"),
                    |kept| format!("{kept} is; save it in its place if it is the newer one"),
                ),
            );
            continue;
        }
        let named = if other { format!("{stem}.xlsx") } else { lower.clone() };
        let near = read()
            .filter(|(_, names)| !names.iter().any(|name| there(&folder.join(name))))
            .flat_map(|(_, names)| names)
            .map(|known| (strsim::osa_distance(&known, &named), known))
            .filter(|(distance, _)| *distance <= 2)
            .min();
        if let Some((_, known)) = near {
            tell(
                format!("it is not read; {known} would be, and is missing"),
                format!(
                    "{} {known} if that is what it is",
                    if other { "save it as" } else { "rename it to" }
                ),
            );
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_missing_and_misnamed_file_is_told() {
        let folder = tempfile::tempdir().unwrap();
        fs::write(folder.path().join("takeof.csv"), "x").unwrap();
        let (read, findings) = Folder::read(folder.path());
        assert!(read.is_none());
        let ids: Vec<&str> = findings.iter().map(|f| f.code.id).collect();
        assert_eq!(ids, ["J002", "J002", "J004"]);
        let (read, findings) = Folder::read(&folder.path().join("nowhere"));
        assert!(read.is_none() && findings.has_errors());
    }

    /// Who names the folder of the reports, or the one above the job, is told where the job is.
    #[test]
    fn a_job_above_or_below_the_folder_is_named() {
        let folder = tempfile::tempdir().unwrap();
        let job = folder.path().join("quay");
        fs::create_dir_all(job.join("out")).unwrap();
        fs::write(job.join("takeoff.csv"), "x").unwrap();
        let remedies = |path: &Path| -> Vec<String> {
            let (_, findings) = Folder::read(path);
            findings.iter().map(|finding| finding.remedy.clone()).collect()
        };
        let named = format!("name `{}` if that is the job", job.display());
        assert_eq!(remedies(&job.join("out")), [named.as_str(); 2]);
        assert_eq!(remedies(folder.path()), [named.as_str(); 2]);
        // The job itself lacks a file; of two jobs nobody knows which is meant.
        assert!(remedies(&job)[0].starts_with("add it"));
        fs::create_dir(folder.path().join("weir")).unwrap();
        fs::write(folder.path().join("weir/rolls.csv"), "x").unwrap();
        assert!(remedies(folder.path())[0].starts_with("add it"));
    }

    /// The nearest name is meant, also of tables that only some commands read.
    #[test]
    fn the_nearest_name_is_told() {
        let folder = tempfile::tempdir().unwrap();
        for name in ["takeoff.csv", "rolls.csv"] {
            fs::write(folder.path().join(name), "x").unwrap();
        }
        for (name, remedy) in [
            ("Rates.toml", "rename it to rates.toml if"),
            ("Rules.toml", "rename it to rules.toml if"),
            ("quantities.xls", "save it as quantities.xlsx if"),
            ("uncertainy.ods", "rename it to uncertainty.ods if"),
            ("uncertainy.xls", "save it as uncertainty.xlsx if"),
            ("option.csv", "rename it to options.csv if"),
        ] {
            let file = folder.path().join(name);
            fs::write(&file, "x").unwrap();
            let (_, findings) = Folder::read(folder.path());
            let told: Vec<String> = findings.iter().map(ToString::to_string).collect();
            assert!(told.len() == 1 && told[0].contains(remedy), "{name}: {told:?}");
            fs::remove_file(file).unwrap();
        }
        for name in ["quantities.csv", "uncertainty.xlsx", "options.ods"] {
            fs::write(folder.path().join(name), "x").unwrap();
        }
        assert!(Folder::read(folder.path()).1.is_empty());
        assert_eq!(file_in(folder.path(), OPTIONS).unwrap().unwrap().0, "options.ods");
        fs::write(folder.path().join(OPTIONS), "x").unwrap();
        assert!(matches!(file_in(folder.path(), OPTIONS), Err(Failure::Findings(_))));
    }

    /// A rule or an offcut list that is silently not read costs material.
    #[cfg(unix)]
    #[test]
    fn what_bears_a_name_and_cannot_be_read_is_told() {
        use std::os::unix::fs::symlink;
        let folder = tempfile::tempdir().unwrap();
        let at = |name: &str| folder.path().join(name);
        symlink("nowhere.csv", at("takeoff.csv")).unwrap();
        symlink("rolls.csv", at("rolls.csv")).unwrap();
        symlink("/dev/zero", at("offcuts.csv")).unwrap();
        symlink("/nonexistent/r.toml", at("rules.toml")).unwrap();
        assert!(
            std::process::Command::new("mkfifo").arg(at("rates.toml")).status().unwrap().success()
        );
        let (read, findings) = Folder::read(folder.path());
        assert!(read.is_none());
        let told: Vec<String> = findings.iter().map(ToString::to_string).collect();
        let ids: Vec<&str> = findings.iter().map(|f| f.code.id).collect();
        assert_eq!(ids, ["J003"; 5], "{told:?}");
        assert!(told[3].contains("a link to /nonexistent/r.toml"), "{told:?}");
        for told in [&told[2], &told[4]] {
            assert!(told.contains("a pipe or a device"), "{told}");
        }
        assert_eq!(input_in(folder.path()), Some("takeoff.csv".to_owned()));
    }

    #[test]
    fn a_table_may_be_a_workbook_but_not_stand_twice() {
        let folder = tempfile::tempdir().unwrap();
        let put = |name: &str| fs::write(folder.path().join(name), "x").unwrap();
        put("takeoff.xlsx");
        put("rolls.ods");
        let (read, findings) = Folder::read(folder.path());
        let read = read.unwrap();
        assert!(findings.is_empty(), "{findings:?}");
        assert_eq!(read.name_of(TAKEOFF), "takeoff.xlsx");
        assert_eq!((read.name_of(ROLLS), read.name_of(OFFCUTS)), ("rolls.ods", OFFCUTS));
        assert_eq!(read.inputs().len(), 2);
        put("takeoff.csv");
        put("offcuts.xls");
        let (read, findings) = Folder::read(folder.path());
        let ids: Vec<&str> = findings.iter().map(|f| f.code.id).collect();
        assert!(read.is_none());
        assert_eq!(ids, ["J009", "J004"]);
    }
}
