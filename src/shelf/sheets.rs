//! The ledger as CSV files, and back.
//!
//! Three sheets: what lies on the shelf, in the form of a job's `offcuts.csv` (so that a job can
//! take it as it is); the whole history; and the booked plans. History and bookings together
//! restore the ledger ([`Restored`]).

use super::error::ShelfError;
use super::ledger::{Entry, Ledger, Wanted};
use super::restored::{BOOKING_COLUMNS, HISTORY_COLUMNS, OldBooking, Restored};
use crate::finding::{Findings, printable};
use crate::stock::OFFCUT_COLUMNS;
use crate::table::{Column, Row, Table};
use crate::units::Length;
use rusqlite::params;
use serde::Serialize;
use std::collections::BTreeSet;

/// File name of the sheet of what lies on the shelf.
pub const ON_SHELF: &str = "offcuts.csv";
/// File name of the sheet of every offcut there ever was.
pub const HISTORY: &str = "history.csv";
/// File name of the sheet of booked plans.
pub const BOOKINGS: &str = "bookings.csv";

/// The ledger's sheets as bytes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheets {
    /// What lies on the shelf.
    pub on_shelf: Vec<u8>,
    /// Every offcut there ever was.
    pub history: Vec<u8>,
    /// Booked plans.
    pub bookings: Vec<u8>,
}

#[derive(Serialize)]
struct OnShelf<'a> {
    offcut: &'a str,
    thickness: Length,
    width: Length,
    length: Length,
    quantity: u64,
    place: &'a str,
}

#[derive(Serialize)]
struct History {
    offcut: String,
    thickness: Length,
    width: Length,
    length: Length,
    place: String,
    batch: String,
    added: String,
    came_from: String,
    taken: Option<String>,
    taken_for: Option<String>,
}

#[derive(Serialize)]
struct BookedPlan {
    plan: String,
    job: String,
    booked: String,
    made_from: Option<String>,
}

impl Ledger {
    /// Writes the sheets.
    ///
    /// # Errors
    /// The database's.
    pub fn export(&self) -> Result<Sheets, ShelfError> {
        let all = self.list(&Wanted { taken_too: true, ..Wanted::default() })?;
        let on_shelf = all.iter().filter(|entry| entry.taken.is_none()).map(on_shelf);
        let history = all.iter().map(history);
        let told = |error| ShelfError::of(&self.file, error);
        let mut statement = self
            .connection
            .prepare("SELECT plan, job, booked, made_from FROM booking ORDER BY plan")
            .map_err(told)?;
        let bookings: Vec<BookedPlan> = statement
            .query_map([], |row| {
                let job: String = row.get(1)?;
                Ok(BookedPlan {
                    plan: row.get(0)?,
                    job: inert(&job),
                    booked: row.get(2)?,
                    made_from: row.get(3)?,
                })
            })
            .and_then(Iterator::collect)
            .map_err(told)?;
        Ok(Sheets {
            on_shelf: sheet(on_shelf, OFFCUT_COLUMNS)?,
            history: sheet(history, HISTORY_COLUMNS)?,
            bookings: sheet(bookings.into_iter(), BOOKING_COLUMNS)?,
        })
    }

    /// Whether the ledger has all that stands in a sheet which may be an earlier export of it, so that
    /// nothing is lost when the sheet is written again.
    ///
    /// # Errors
    /// The database's.
    pub fn has_all_of(&self, sheet: &str, bytes: &[u8]) -> Result<bool, ShelfError> {
        let sheets = self.export()?;
        let all = self.list(&Wanted { taken_too: true, ..Wanted::default() })?;
        // Whether an offcut is taken changes; what stands before it never does.
        let of = |bytes: &[u8]| match sheet {
            HISTORY => lines(sheet, bytes, (HISTORY_COLUMNS, 8)),
            BOOKINGS => lines(sheet, bytes, (BOOKING_COLUMNS, 3)),
            _ => lines(sheet, bytes, (OFFCUT_COLUMNS, OFFCUT_COLUMNS.len())),
        };
        let now = match sheet {
            HISTORY => sheets.history,
            BOOKINGS => sheets.bookings,
            _ => self::sheet(all.iter().map(on_shelf), OFFCUT_COLUMNS)?,
        };
        let (Some(then), Some(now)) = (of(bytes), of(&now)) else { return Ok(false) };
        let known: BTreeSet<&Vec<String>> = now.iter().collect();
        Ok(then.iter().all(|line| known.contains(line)))
    }

    /// Fills an empty ledger from its sheets.
    ///
    /// # Errors
    /// The ledger is not empty; the database's.
    pub fn import(&mut self, restored: &Restored) -> Result<usize, ShelfError> {
        let Restored { offcuts, bookings } = restored;
        self.change(|transaction| {
            let filled: i64 = transaction.query_row(
                "SELECT (SELECT count(*) FROM offcut) + (SELECT count(*) FROM booking)",
                [],
                |row| row.get(0),
            )?;
            if filled > 0 {
                let (what, remedy) = ("the ledger is not empty", "read the sheets into a new file");
                return Err(ShelfError::invalid(what, remedy).into());
            }
            for Entry { name, thickness, width, length, place, batch, added, came_from, taken } in
                offcuts
            {
                let (taken, taken_for) = taken.as_ref().map(|(day, what)| (day, what)).unzip();
                transaction.execute(
                    "INSERT INTO offcut (name, thickness, width, length, place, batch, added, \
                     came_from, taken, taken_for) VALUES (?1, ?2, ?3, ?4, ?5, ?6, ?7, ?8, ?9, ?10)",
                    params![
                        name,
                        thickness.nm(),
                        width.nm(),
                        length.nm(),
                        place,
                        batch,
                        added,
                        came_from,
                        taken,
                        taken_for
                    ],
                )?;
            }
            for OldBooking { plan, job, booked, made_from } in bookings {
                transaction.execute(
                    "INSERT INTO booking (plan, job, booked, made_from) VALUES (?1, ?2, ?3, ?4)",
                    params![plan, job, booked, made_from],
                )?;
            }
            Ok(offcuts.len())
        })
    }
}

/// The lines of a sheet, their first `fixed` columns; nothing where anything is found in it, such as a column that the
/// sheet does not have.
fn lines<const N: usize>(
    sheet: &str,
    bytes: &[u8],
    (columns, fixed): (&'static [Column; N], usize),
) -> Option<Vec<Vec<String>>> {
    let mut findings = Findings::new();
    let table = Table::read_or_empty(sheet, bytes, columns, &mut findings)?;
    let cells =
        |row: Row<'_, N>| row.cells.iter().take(fixed).map(|cell| cell.text().to_owned()).collect();
    let lines = table.rows().map(cells).collect();
    findings.is_empty().then_some(lines)
}

fn on_shelf(entry: &Entry) -> OnShelf<'_> {
    OnShelf {
        offcut: &entry.name,
        thickness: entry.thickness,
        width: entry.width,
        length: entry.length,
        quantity: 1,
        place: &entry.place,
    }
}

fn history(entry: &Entry) -> History {
    let (taken, taken_for) = entry.taken.clone().unzip();
    History {
        offcut: inert(&entry.name),
        thickness: entry.thickness,
        width: entry.width,
        length: entry.length,
        place: inert(&entry.place),
        batch: inert(&entry.batch),
        added: entry.added.clone(),
        came_from: inert(&entry.came_from),
        taken,
        taken_for: taken_for.as_deref().map(inert),
    }
}

/// Text that no spreadsheet runs and every reader of tables takes: an apostrophe before what could start a
/// formula, and before an apostrophe, so that it can be taken off again; what cannot be seen, as in names of
/// folders, is written out.
fn inert(text: &str) -> String {
    let text = printable(text.replace(char::REPLACEMENT_CHARACTER, "?"));
    let starts = ['=', '+', '-', '@', '\'', '＝', '＠', '＋', '－'];
    if text.trim_start().starts_with(starts) { format!("'{text}") } else { text }
}

/// The text behind [`inert`].
pub(super) fn plain(text: &str) -> &str {
    text.strip_prefix('\'').unwrap_or(text)
}

fn sheet<T: Serialize>(
    rows: impl Iterator<Item = T>,
    columns: &[Column],
) -> Result<Vec<u8>, ShelfError> {
    let told = |error: &dyn std::fmt::Display| {
        ShelfError::invalid(format!("the ledger has no form as a sheet: {error}"), "try again")
    };
    let mut writer = csv::WriterBuilder::new().has_headers(false).from_writer(Vec::new());
    writer.write_record(columns.iter().map(|column| column.name)).map_err(|e| told(&e))?;
    for row in rows {
        writer.serialize(row).map_err(|e| told(&e))?;
    }
    writer.into_inner().map_err(|e| told(&e))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shelf::New;

    fn ledger(file: &std::path::Path, batch: &str) -> Ledger {
        let mut ledger = Ledger::open(file).unwrap();
        let new = New {
            name: None,
            thickness: Length::from_mm(10),
            width: Length::from_mm(700),
            length: Length::from_mm(900),
            place: "rack".to_owned(),
            batch: batch.to_owned(),
        };
        ledger.add("2026-11-01", &[new]).unwrap();
        ledger
    }

    /// Two offcuts may be alike in name, size and place, and of two batches.
    #[test]
    fn what_lies_here_of_another_batch_is_no_line_of_this_ledger() {
        let folder = tempfile::tempdir().unwrap();
        let [one, other] = ["b1", "b2"].map(|batch| ledger(&folder.path().join(batch), batch));
        let history = one.export().unwrap().history;
        assert!(one.has_all_of(HISTORY, &history).unwrap());
        assert!(!other.has_all_of(HISTORY, &history).unwrap());
    }

    #[test]
    fn an_offcut_ages_until_it_is_taken() {
        let folder = tempfile::tempdir().unwrap();
        let mut ledger = ledger(&folder.path().join("shelf.db"), "b");
        ledger.take("2026-11-11", "a patch", &["S1".to_owned()]).unwrap();
        let all = ledger.list(&Wanted { taken_too: true, ..Wanted::default() }).unwrap();
        assert_eq!(ledger.ages(&all).unwrap(), [10]);
    }
}
