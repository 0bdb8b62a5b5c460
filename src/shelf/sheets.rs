//! The ledger as CSV files, and back.
//!
//! Three sheets: what lies on the shelf, in the form of a job's `offcuts.csv` (so that a job can
//! take it as it is); the whole history; and the booked plans. History and bookings together
//! restore the ledger.

use super::error::ShelfError;
use super::ledger::{Entry, Ledger, New, Wanted};
use crate::table::quoted;
use crate::units::Length;
use rusqlite::params;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

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
    /// Sheets of earlier versions of this program do not have it.
    #[serde(default)]
    made_from: Option<String>,
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
            row.check().map_err(|error| in_row(HISTORY, line, error))?;
            if let Some(first) = lines.insert(plain(&row.offcut), line) {
                let name = plain(&row.offcut);
                let what = format!("offcut {name} stands in row {first} already");
                return Err(in_row(HISTORY, line, ShelfError::invalid(what, EXPORTED)));
            }
        }
        let (mut plans, mut made_from) = (BTreeMap::new(), BTreeMap::new());
        for (number, row) in bookings.iter().enumerate() {
            let line = number + 2;
            day("it was booked", &row.booked).map_err(|error| in_row(BOOKINGS, line, error))?;
            let same = row.made_from.as_ref().and_then(|from| made_from.insert(from, line));
            if let Some(first) = plans.insert(&row.plan, line).or(same) {
                let what = format!("this plan stands in row {first} already");
                return Err(in_row(BOOKINGS, line, ShelfError::invalid(what, EXPORTED)));
            }
        }
        Ok(Self { offcuts, bookings })
    }
}

/// What to do where a sheet is not as it was written.
const EXPORTED: &str = "mend that row, or export the ledger again";

fn in_row(sheet: &str, line: usize, error: ShelfError) -> ShelfError {
    match error {
        ShelfError::Invalid { what, remedy } => {
            ShelfError::Invalid { what: format!("{sheet}, row {line}: {what}"), remedy }
        }
        other => other,
    }
}

/// Refuses what is no day, ISO 8601.
fn day(which: &str, text: &str) -> Result<(), ShelfError> {
    let number = |range: std::ops::Range<usize>| -> Option<u32> {
        let digits = text.get(range)?;
        digits.bytes().all(|b| b.is_ascii_digit()).then(|| digits.parse().ok())?
    };
    let is_day = || {
        let (year, month, day) = (number(0..4)?, number(5..7)?, number(8..10)?);
        let leap = year % 4 == 0 && (year % 100 != 0 || year % 400 == 0);
        let days = match month {
            4 | 6 | 9 | 11 => 30,
            2 if leap => 29,
            2 => 28,
            1..=12 => 31,
            _ => 0,
        };
        let form = text.len() == 10 && text.get(4..5)? == "-" && text.get(7..8)? == "-";
        (form && (1..=days).contains(&day)).then_some(())
    };
    is_day().ok_or_else(|| {
        let what = format!("the day on which {which}, {}, is none", quoted(text));
        ShelfError::invalid(what, "write year, month and day, such as 2026-11-25")
    })
}

impl History {
    fn check(&self) -> Result<(), ShelfError> {
        self.offcut().check()?;
        day("it came", &self.added)?;
        match (&self.taken, &self.taken_for) {
            (Some(taken), _) => day("it was taken", taken),
            (None, Some(_)) => {
                let what = "it says what the offcut was taken for, but not when";
                Err(ShelfError::invalid(what, EXPORTED))
            }
            (None, None) => Ok(()),
        }
    }

    /// The day it was taken and what for, which may be no words at all.
    fn use_of(&self) -> Option<(&str, &str)> {
        let taken = self.taken.as_deref()?;
        Some((taken, self.taken_for.as_deref().map_or("", plain)))
    }

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
            on_shelf: sheet(on_shelf, &ON_SHELF_HEAD)?,
            history: sheet(history, &HISTORY_HEAD)?,
            bookings: sheet(bookings.into_iter(), &BOOKINGS_HEAD)?,
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
        let (now, fixed) = match sheet {
            HISTORY => (sheets.history, 8),
            BOOKINGS => (sheets.bookings, 3),
            _ => (self::sheet(all.iter().map(on_shelf), &ON_SHELF_HEAD)?, ON_SHELF_HEAD.len()),
        };
        let lines = |bytes: &[u8]| -> Option<Vec<Vec<String>>> {
            let mut reader = csv::ReaderBuilder::new().has_headers(false).from_reader(bytes);
            let cells =
                |row: csv::StringRecord| row.iter().take(fixed).map(str::to_owned).collect();
            reader.records().map(|row| row.ok().map(cells)).collect()
        };
        let (Some(then), Some(now)) = (lines(bytes), lines(&now)) else { return Ok(false) };
        let known: BTreeSet<&Vec<String>> = now.iter().collect();
        Ok(then.first() == now.first() && then.iter().all(|line| known.contains(line)))
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
            for row in offcuts {
                let (taken, taken_for) = row.use_of().unzip();
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
                        taken,
                        taken_for
                    ],
                )?;
            }
            for row in bookings {
                transaction.execute(
                    "INSERT INTO booking (plan, job, booked, made_from) VALUES (?1, ?2, ?3, ?4)",
                    params![row.plan, plain(&row.job), row.booked, row.made_from],
                )?;
            }
            Ok(offcuts.len())
        })
    }
}

const ON_SHELF_HEAD: [&str; 6] = ["offcut", "thickness", "width", "length", "quantity", "place"];
const BOOKINGS_HEAD: [&str; 4] = ["plan", "job", "booked", "made_from"];
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
    let told = |error: &dyn std::fmt::Display| {
        ShelfError::invalid(format!("the ledger has no form as a sheet: {error}"), "try again")
    };
    let mut writer = csv::WriterBuilder::new().has_headers(false).from_writer(Vec::new());
    writer.write_record(head).map_err(|e| told(&e))?;
    for row in rows {
        writer.serialize(row).map_err(|e| told(&e))?;
    }
    writer.into_inner().map_err(|e| told(&e))
}

fn rows<T: for<'de> Deserialize<'de>>(name: &str, bytes: &[u8]) -> Result<Vec<T>, ShelfError> {
    csv::Reader::from_reader(bytes).deserialize().collect::<Result<_, _>>().map_err(|error| {
        let what = format!("{name} cannot be read back: {error}");
        ShelfError::invalid(what, "mend it, or export the ledger again")
    })
}
