//! The ledger as CSV files, and back.
//!
//! Three sheets: what lies on the shelf, in the form of a job's `offcuts.csv` (so that a job can
//! take it as it is); the whole history; and the booked plans. History and bookings together
//! restore the ledger.

use super::error::ShelfError;
use super::ledger::{Entry, Ledger, New, Wanted};
use crate::units::Length;
use rusqlite::params;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

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

#[derive(Serialize, Deserialize)]
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

#[derive(Serialize, Deserialize)]
struct BookedPlan {
    plan: String,
    job: String,
    booked: String,
}

/// A ledger as its sheets tell it, checked.
pub struct Restored {
    offcuts: Vec<History>,
    bookings: Vec<BookedPlan>,
}

impl Restored {
    /// Reads the sheets that [`Ledger::export`] wrote.
    ///
    /// # Errors
    /// A sheet that cannot be read, or holds what no ledger holds.
    pub fn read(history: &[u8], bookings: &[u8]) -> Result<Self, ShelfError> {
        let offcuts: Vec<History> = rows(HISTORY, history)?;
        let bookings: Vec<BookedPlan> = rows(BOOKINGS, bookings)?;
        let mut lines = BTreeMap::new();
        for (number, row) in offcuts.iter().enumerate() {
            let line = number + 2;
            let wrong = |what: String| {
                let what = format!("{HISTORY}, row {line}: {what}");
                ShelfError::Invalid(what)
            };
            row.offcut().check().map_err(|error| match error {
                ShelfError::Invalid(what) => wrong(what),
                other => other,
            })?;
            if let Some(first) = lines.insert(plain(&row.offcut), line) {
                let name = plain(&row.offcut);
                return Err(wrong(format!("offcut {name} stands in row {first} already")));
            }
        }
        let mut plans = BTreeMap::new();
        for (number, row) in bookings.iter().enumerate() {
            let line = number + 2;
            if let Some(first) = plans.insert(&row.plan, line) {
                return Err(ShelfError::Invalid(format!(
                    "{BOOKINGS}, row {line}: this plan stands in row {first} already"
                )));
            }
        }
        Ok(Self { offcuts, bookings })
    }
}

impl History {
    fn offcut(&self) -> New {
        New {
            name: Some(plain(&self.offcut).to_owned()),
            thickness: self.thickness,
            width: self.width,
            length: self.length,
            place: plain(&self.place).to_owned(),
            batch: plain(&self.batch).to_owned(),
        }
    }
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
            .prepare("SELECT plan, job, booked FROM booking ORDER BY plan")
            .map_err(told)?;
        let bookings: Vec<BookedPlan> = statement
            .query_map([], |row| {
                Ok(BookedPlan { plan: row.get(0)?, job: row.get(1)?, booked: row.get(2)? })
            })
            .and_then(Iterator::collect)
            .map_err(told)?;
        Ok(Sheets {
            on_shelf: sheet(
                on_shelf,
                &["offcut", "thickness", "width", "length", "quantity", "place"],
            )?,
            history: sheet(history, &HISTORY_HEAD)?,
            bookings: sheet(bookings.into_iter(), &["plan", "job", "booked"])?,
        })
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
                let what = "the ledger is not empty; read the sheets into a new file".to_owned();
                return Err(ShelfError::Invalid(what).into());
            }
            for row in offcuts {
                let New { name, thickness, width, length, place, batch } = row.offcut();
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
                        row.added,
                        plain(&row.came_from),
                        row.taken,
                        row.taken_for.as_deref().map(plain)
                    ],
                )?;
            }
            for row in bookings {
                transaction.execute(
                    "INSERT INTO booking (plan, job, booked) VALUES (?1, ?2, ?3)",
                    params![row.plan, plain(&row.job), row.booked],
                )?;
            }
            Ok(offcuts.len())
        })
    }
}

const HISTORY_HEAD: [&str; 10] = [
    "offcut",
    "thickness",
    "width",
    "length",
    "place",
    "batch",
    "added",
    "came_from",
    "taken",
    "taken_for",
];

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

/// Text that no spreadsheet runs: an apostrophe before what could start a formula, and before an
/// apostrophe, so that it can be taken off again.
fn inert(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\'']) { format!("'{text}") } else { text.to_owned() }
}

/// The text behind [`inert`].
fn plain(text: &str) -> &str {
    text.strip_prefix('\'').unwrap_or(text)
}

fn sheet<T: Serialize>(
    rows: impl Iterator<Item = T>,
    head: &[&str],
) -> Result<Vec<u8>, ShelfError> {
    let told = |error: &dyn std::fmt::Display| ShelfError::Invalid(format!("the sheet: {error}"));
    let mut writer = csv::WriterBuilder::new().has_headers(false).from_writer(Vec::new());
    writer.write_record(head).map_err(|e| told(&e))?;
    for row in rows {
        writer.serialize(row).map_err(|e| told(&e))?;
    }
    writer.into_inner().map_err(|e| told(&e))
}

fn rows<T: for<'de> Deserialize<'de>>(name: &str, bytes: &[u8]) -> Result<Vec<T>, ShelfError> {
    csv::Reader::from_reader(bytes)
        .deserialize()
        .collect::<Result<_, _>>()
        .map_err(|error| ShelfError::Invalid(format!("{name} cannot be read back: {error}")))
}
