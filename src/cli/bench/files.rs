//! The job's files that the page may read and change, by name; nothing else of the folder or of
//! the computer.
//!
//! A name is one of a fixed list, so no path can be asked for. A file that is a link out of the
//! folder is neither read nor followed. A change is written to a temporary file beside it and
//! renamed, and only onto the version that the page had read.

use super::super::beside::OPTIONS;
use super::super::exit::Failure;
use super::super::folder;
use super::super::job::{BESIDE, OFFCUTS, RATES, ROLLS, RULES, TAKEOFF, all_names, names_of};
use super::super::reading::{self, LARGEST};
use super::super::tables;
use super::ground::DONE;
use super::state::Bench;
use crate::finding::Severity;
use crate::plan::digest;
use crate::report::Document;
use crate::table::{BOOK_ENDINGS, Listed, listed};
use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::path::{Path, PathBuf};

/// The files that the page edits.
pub const EDITED: [&str; 7] = [TAKEOFF, ROLLS, OFFCUTS, RULES, RATES, OPTIONS, DONE];

/// What is told of the version of a file that is not there.
pub const MISSING: &str = "missing";

/// What is told of the version of a file that is there and cannot be read.
pub const UNREAD: &str = "unreadable";

/// The folder for reports.
pub const OUT: &str = "out";

/// One of the names that are edited.
pub fn edited(name: &str) -> Option<&'static str> {
    EDITED.into_iter().find(|known| *known == name)
}

/// A file of the folder that is there, lies inside it, and is a plain file.
///
/// # Errors
/// It leads out of the folder, or is no plain file.
pub fn inside(folder: &Path, name: &str) -> Result<Option<PathBuf>, Failure> {
    let path = folder.join(name);
    if !folder::there(&path) {
        return Ok(None);
    }
    let whole = path.canonicalize().map_err(|e| Failure::file(&path, e))?;
    if !whole.starts_with(folder) {
        return Err(Failure::Refused(format!(
            "{name} is a link that leads out of the job folder; put the file itself there"
        )));
    }
    Ok(Some(whole))
}

/// Checks that none of the files a job is read from, and not the folder for reports, leads out of
/// the job folder.
///
/// # Errors
/// One of them does.
pub fn all_inside(bench: &Bench) -> Result<(), Failure> {
    let beside = BESIDE.into_iter().chain([DONE]).flat_map(names_of);
    let mut names = all_names().chain(beside).chain([OUT.to_owned()]);
    names.try_for_each(|name| inside(&bench.folder, &name).map(drop))
}

/// A file's bytes; nothing where it is not there.
///
/// # Errors
/// It leads out of the folder or cannot be read.
pub fn read(bench: &Bench, name: &str) -> Result<Option<Vec<u8>>, Failure> {
    let Some(path) = inside(&bench.folder, name)? else { return Ok(None) };
    reading::file(&path, LARGEST).map(Some)
}

/// What is told of a file's version: its digest.
pub fn version(bytes: Option<&[u8]>) -> String {
    bytes.map_or_else(|| MISSING.to_owned(), digest)
}

/// Versions of all files that the page shows, as they are now: of those that it edits, and of workbooks that
/// stand in a table's place.
pub fn versions(bench: &Bench) -> BTreeMap<String, String> {
    let mut versions = BTreeMap::new();
    for name in EDITED {
        let own = read(bench, name);
        let book = book_file(bench, name);
        let unread = own.is_err() || book.is_err();
        let own = own.ok().flatten();
        let told = if unread { UNREAD.to_owned() } else { version(own.as_deref()) };
        versions.insert(name.to_owned(), told);
        if let Ok(Some((book, bytes))) = book {
            versions.insert(book, version(Some(&bytes)));
        }
    }
    versions
}

/// Names of the files that are not as the page read them: changed, made or taken away by another window or
/// program.
pub fn changed(bench: &Bench, seen: &BTreeMap<String, String>) -> Vec<String> {
    let now = versions(bench);
    let names: BTreeSet<&String> = now.keys().chain(seen.keys()).collect();
    names.into_iter().filter(|&name| now.get(name) != seen.get(name)).cloned().collect()
}

/// How writing ended.
pub enum Written {
    /// Written; its new version.
    Done(String),
    /// Somebody else changed the file since the page read it.
    Changed,
}

/// Writes a file onto the version that the page had read.
///
/// # Errors
/// What the system says.
pub fn write(
    bench: &Bench,
    name: &'static str,
    bytes: Vec<u8>,
    onto: &str,
) -> Result<Written, Failure> {
    let _one_at_a_time = bench.writing();
    let there = read(bench, name)?;
    if version(there.as_deref()) != onto {
        return Ok(Written::Changed);
    }
    if there.is_some_and(|there| loses(&there, &bytes)) {
        return Err(Failure::Refused(format!(
            "{name} was not saved: it is not UTF-8 on disk, and letters that could not be read would be lost in it \
             for good. Save it as `CSV UTF-8` with the program it came from and load that, or type the letters \
             again that show as \u{FFFD}"
        )));
    }
    let new = digest(&bytes);
    folder::write(&bench.folder, &[Document { name, bytes }])?;
    Ok(Written::Done(new))
}

/// Whether a file that is no UTF-8, and can still be read by who knows its character set, would be written over
/// with a text in which its letters are lost.
fn loses(there: &[u8], text: &[u8]) -> bool {
    let lost = |text: &str| text.contains(char::REPLACEMENT_CHARACTER);
    std::str::from_utf8(there).is_err() && std::str::from_utf8(text).is_ok_and(lost)
}

/// A workbook that stands in a table's place.
pub struct Book {
    /// Its name.
    pub name: String,
    /// Its version.
    pub version: String,
    /// What is read of it; nothing where it cannot be read.
    pub list: Option<Listed>,
    /// The first cell of it that is no text that could be kept.
    wrong: Option<String>,
}

/// The workbook that stands in a table's place, if one does.
///
/// # Errors
/// It leads out of the folder or cannot be read.
pub fn book(bench: &Bench, table: &str) -> Result<Option<Book>, Failure> {
    let Some((name, bytes)) = book_file(bench, table)? else { return Ok(None) };
    let form = tables::named(&name);
    let (list, found) =
        form.map_or_else(Default::default, |form| listed(&name, &bytes, form.columns));
    let wrong = found.iter().find(|finding| finding.severity() == Severity::Error);
    let wrong = wrong.map(ToString::to_string);
    Ok(Some(Book { version: version(Some(&bytes)), list, wrong, name }))
}

/// The name and the bytes of that workbook.
fn book_file(bench: &Bench, table: &str) -> Result<Option<(String, Vec<u8>)>, Failure> {
    let Some(form) = table.strip_suffix(".csv").and_then(tables::named) else { return Ok(None) };
    for ending in BOOK_ENDINGS {
        let name = format!("{}.{ending}", form.name);
        if let Some(bytes) = read(bench, &name)? {
            return Ok(Some((name, bytes)));
        }
    }
    Ok(None)
}

/// Keeps a workbook's list as the CSV file of its table, from where it can be edited; the workbook stays
/// in the folder under another name, untouched.
///
/// # Errors
/// There is no such list, or a file is in the way; what the system says. Nothing is changed then.
pub fn keep(bench: &Bench, table: &'static str, onto: &str) -> Result<Written, Failure> {
    let _one_at_a_time = bench.writing();
    let refused = |why: String| Failure::Refused(why);
    let book = book(bench, table)?.ok_or_else(|| refused(format!("{table} is no workbook")))?;
    if book.version != onto {
        return Ok(Written::Changed);
    }
    let none =
        || refused(format!("{} has no list that could be kept; see what was found", book.name));
    let rows = book.list.as_ref().ok_or_else(none)?.rows.iter();
    if let Some(wrong) = &book.wrong {
        // As text a date is a name like others, and a formula that failed an empty cell: nobody would find them again.
        return Err(refused(format!("mend {} before it is kept as {table}: {wrong}", book.name)));
    }
    let (old, aside) = (bench.folder.join(&book.name), format!("{}.kept", book.name));
    let aside = bench.folder.join(aside);
    for path in [&bench.folder.join(table), &aside] {
        if folder::there(path) {
            return Err(refused(format!(
                "{} is there already: move it away first",
                path.display()
            )));
        }
    }
    let mut text = csv::WriterBuilder::new().flexible(true).from_writer(Vec::new());
    let no_form = |e: String| Failure::System(format!("the list has no form as text: {e}"));
    for (_, cells) in rows {
        text.write_record(cells).map_err(|e| no_form(e.to_string()))?;
    }
    let bytes = text.into_inner().map_err(|e| no_form(e.to_string()))?;
    let new = digest(&bytes);
    // First the table: of a run that is killed in between there are two, which is told, and not none.
    let written = folder::write(&bench.folder, &[Document { name: table, bytes }])?;
    if let Err(e) = fs::rename(&old, &aside) {
        written
            .iter()
            .try_for_each(|path| fs::remove_file(path).map_err(|e| Failure::file(path, e)))?;
        return Err(Failure::file(&old, e));
    }
    Ok(Written::Done(new))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::effort::Effort;

    fn bench(folder: &Path) -> Bench {
        let effort = Effort { seconds: None, threads: None, seed: 1, work: None };
        Bench::new(folder.canonicalize().unwrap(), 1, effort)
    }

    #[test]
    fn a_change_goes_onto_the_version_that_was_read() {
        let folder = tempfile::tempdir().unwrap();
        let bench = bench(folder.path());
        let put =
            |text: &str, onto: &str| write(&bench, ROLLS, text.as_bytes().to_vec(), onto).unwrap();
        let Written::Done(first) = put("a", MISSING) else { panic!("not written") };
        assert!(matches!(put("b", MISSING), Written::Changed));
        assert!(matches!(put("b", &first), Written::Done(_)));
        assert_eq!(read(&bench, ROLLS).unwrap().unwrap(), b"b");
        assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "nothing stays behind");
    }

    #[test]
    fn letters_that_can_still_be_read_elsewhere_are_not_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let bench = bench(folder.path());
        // 0xE4 is a umlaut in Windows-1252.
        let older = b"item,area\nP-1,G\xE4rkeller\n";
        fs::write(folder.path().join(TAKEOFF), older).unwrap();
        let onto = digest(older);
        let put = |text: &str| write(&bench, TAKEOFF, text.as_bytes().to_vec(), &onto);
        let Err(Failure::Refused(why)) = put("item,area\nP-2,G\u{FFFD}rkeller\n") else {
            panic!("not refused")
        };
        assert!(why.contains("takeoff.csv was not saved"), "{why}");
        assert_eq!(fs::read(folder.path().join(TAKEOFF)).unwrap(), older);
        assert!(matches!(put("item,area\nP-2,Gärkeller\n"), Ok(Written::Done(_))));
    }

    #[cfg(unix)]
    #[test]
    fn links_out_of_the_folder_are_not_followed() {
        let (folder, other) = (tempfile::tempdir().unwrap(), tempfile::tempdir().unwrap());
        let secret = other.path().join("secret.csv");
        fs::write(&secret, "secret").unwrap();
        std::os::unix::fs::symlink(&secret, folder.path().join(TAKEOFF)).unwrap();
        let bench = bench(folder.path());
        assert!(read(&bench, TAKEOFF).is_err());
        assert!(write(&bench, TAKEOFF, Vec::new(), MISSING).is_err());
        assert!(all_inside(&bench).is_err());
        // Other files are nobody's business, such as the lock that an editor leaves.
        fs::remove_file(folder.path().join(TAKEOFF)).unwrap();
        std::os::unix::fs::symlink("nowhere", folder.path().join(".#takeoff.csv")).unwrap();
        assert!(all_inside(&bench).is_ok());
        assert_eq!(fs::read(&secret).unwrap(), b"secret");
        assert!(edited("../secret.csv").is_none() && edited("out/plan.json").is_none());
    }
}
