//! A table in a workbook (`.xlsx`, `.ods`): from its bytes to the same records that a CSV file
//! gives.
//!
//! Steps: see that what is packed in the file is of a size that a list can have; open it with
//! `calamine`; choose the sheet (named like the file's table, or the only one with the headings);
//! find the row of headings; turn every cell below a known heading into the text that stands for
//! it; tell dates where none belong, formulas without a result, merged cells, and hidden
//! rows and columns.

mod choose;
mod grid;
mod hidden;
mod ods;
mod packed;
mod records;
mod shown;
#[cfg(test)]
mod tests;
mod xlsx;

use super::header::Column;
use super::origin::Origin;
use crate::finding::codes::files;
use crate::finding::{Finding, Findings, Place};
use csv::StringRecord;
use grid::Grid;

/// The kinds of workbooks that are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    /// Office Open XML (ECMA-376, ISO/IEC 29500).
    Xlsx,
    /// `OpenDocument` (ISO/IEC 26300).
    Ods,
}

/// The endings of workbooks that are read, without the point.
pub const ENDINGS: [&str; 2] = ["xlsx", "ods"];

fn kind(file: &str) -> Option<Kind> {
    let (_, ending) = file.rsplit_once('.')?;
    match ending.to_ascii_lowercase().as_str() {
        "xlsx" => Some(Kind::Xlsx),
        "ods" => Some(Kind::Ods),
        _ => None,
    }
}

/// Whether a file of this name is read as a workbook.
pub(super) fn is_book(file: &str) -> bool {
    kind(file).is_some()
}

/// A workbook's list as it is read: text, cell by cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Listed {
    /// The sheet's name.
    pub sheet: String,
    /// The rows with their numbers in the sheet, that of the headings first.
    pub rows: Vec<(u64, Vec<String>)>,
}

/// The list of a workbook, for somebody who wants to look at it or keep it as text; `None` where it has
/// none or cannot be read. With what was found on the way.
#[must_use]
pub fn listed(file: &str, bytes: &[u8], columns: &'static [Column]) -> (Option<Listed>, Findings) {
    let mut findings = Findings::new();
    let list = read(file, bytes, columns, &mut findings).map(|(origin, records)| Listed {
        sheet: origin.whole().sheet.unwrap_or_default(),
        rows: records
            .iter()
            .map(|(line, record)| (*line, record.iter().map(str::to_owned).collect()))
            .collect(),
    });
    (list, findings)
}

/// What can be read of a workbook.
struct Book {
    sheets: Vec<Sheet>,
    /// The names of sheets that are hidden, which are not read.
    hidden: Vec<String>,
}

impl Book {
    /// Reads what is visible of these sheets.
    fn of(
        all: impl IntoIterator<Item = calamine::Sheet>,
        mut read: impl FnMut(&str) -> Result<Grid, String>,
    ) -> Result<Self, String> {
        let mut book = Self { sheets: Vec::new(), hidden: Vec::new() };
        let mut cells = 0;
        for (before, calamine::Sheet { name, visible, .. }) in all.into_iter().enumerate() {
            // Names are short, and many may be of one sheet.
            if before >= SHEETS {
                return Err(format!("it has more than {SHEETS} sheets"));
            }
            if visible == calamine::SheetVisible::Visible {
                let grid = read(&name)?;
                cells += grid.cells();
                if cells > grid::MOST {
                    return Err(format!("its sheets have more than {} cells", grid::MOST));
                }
                book.sheets.push(Sheet { name, grid });
            } else {
                book.hidden.push(name);
            }
        }
        Ok(book)
    }
}

/// More sheets than this are no workbook for a job.
const SHEETS: usize = 1_000;

/// A sheet that can be read.
struct Sheet {
    name: String,
    grid: Grid,
}

/// The records of a workbook's table, that of the headings first; `None` where there are none, and
/// why is told.
pub(super) fn read(
    file: &str,
    bytes: &[u8],
    columns: &'static [Column],
    findings: &mut Findings,
) -> Option<(Origin, Vec<(u64, StringRecord)>)> {
    if bytes.is_empty() {
        findings.push(Finding::new(
            &files::EMPTY,
            Place::file(file),
            "the file is empty",
            "save the workbook again",
        ));
        return None;
    }
    let book = match open(file, bytes) {
        Ok(book) => book,
        Err(why) => {
            findings.push(Finding::new(
                &files::BOOK,
                Place::file(file),
                format!("it cannot be read as a workbook: {why}"),
                "open it in a spreadsheet and save it again under the same kind and without a \
                 password, or save the sheet as `CSV UTF-8`",
            ));
            return None;
        }
    };
    let sheet = choose::choose(file, &book, columns, findings)?;
    let origin = Origin::sheet(file, &sheet.name);
    let records = records::records(&origin, &sheet.grid, columns, findings)?;
    Some((origin, records))
}

fn open(file: &str, bytes: &[u8]) -> Result<Book, String> {
    let kind = kind(file).ok_or("its name has another ending")?;
    packed::check(bytes)?;
    // What is built on broken numbers may end the reader where it stands.
    std::panic::catch_unwind(|| match kind {
        Kind::Xlsx => xlsx::sheets(bytes),
        Kind::Ods => ods::sheets(bytes),
    })
    .unwrap_or_else(|_| Err("places or sizes in it are beyond what a sheet has".to_owned()))
}
