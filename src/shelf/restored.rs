//! A ledger as the sheets of an export tell it, checked, cell by cell like the tables of a job.
//!
//! Steps: the history and the booked plans are read, line by line; then what lies on the shelf by the history is
//! held against the sheet that lists it. That sheet adds nothing: it does not say when an offcut came or what one
//! was taken for. So what somebody changed in it alone is told, and nothing is read.

use super::error::ShelfError;
use super::ledger::{Entry, check_batch, check_name, check_place};
use super::sheets::{HISTORY, ON_SHELF, plain};
use crate::finding::codes::{files, shelf as codes};
use crate::finding::{Finding, Findings, Place};
use crate::stock::OFFCUT_COLUMNS;
use crate::stock::limits::{LENGTH, THICKNESS, WIDTH};
use crate::table::{Cell, Codes, Reader, Table, quoted, record};
use crate::units::Length;
use std::collections::BTreeMap;

const CODES: Codes =
    Codes { missing: &codes::INVALID, unread: &codes::INVALID, range: &codes::INVALID };

record! {
    /// The columns of the history. Of those that may be empty the headings are looked for as well.
    pub(super) const HISTORY_COLUMNS;

    /// A line of it.
    struct HistoryRecord;

    offcut: needed "name", "S7", "the offcut's name, used once";
    thickness: needed "length", "10", "blanket thickness";
    width: needed "length", "1500", "size across";
    length: needed "length", "2.4 m", "size along";
    place: needed "text", "rack 3", "where it lies, or lay";
    batch: optional "text", "B7", "the batch it was cut from";
    added: needed "day", "2026-11-25", "the day it came";
    came_from: needed "text", "by hand", "the job it was left over from, or by hand";
    taken: optional "day", "2026-11-28", "the day it was taken; empty while it lies on the shelf";
    taken_for: optional "text", "patch", "what it was taken for";
}

record! {
    /// The columns of the booked plans.
    pub(super) const BOOKING_COLUMNS;

    /// A line of them.
    struct BookingRecord;

    plan: needed "text", "5f2c", "the plan's digest";
    job: needed "text", "vellmoor", "the job's name";
    booked: needed "day", "2026-11-25", "the day it was booked";
    // Sheets of earlier versions of this program do not have it.
    made_from: optional "text", "9a1e", "the digest of what it orders";
}

/// A plan that was booked.
#[derive(Debug)]
pub(super) struct OldBooking {
    pub(super) plan: String,
    pub(super) job: String,
    pub(super) booked: String,
    pub(super) made_from: Option<String>,
}

/// A sheet: its name as the user gave it, and its bytes.
pub type Sheet<'b> = (&'b str, &'b [u8]);

/// A ledger as its sheets tell it, checked.
#[derive(Debug)]
pub struct Restored {
    pub(super) offcuts: Vec<Entry>,
    pub(super) bookings: Vec<OldBooking>,
}

impl Restored {
    /// Reads the sheets that [`Ledger::export`](super::Ledger::export) wrote; the one of what lies on the shelf may
    /// be missing. `None` where a finding is an error: a sheet that cannot be read, holds what no ledger
    /// holds, or says other than the history.
    pub fn read(
        history: Sheet<'_>,
        bookings: Sheet<'_>,
        on_shelf: Option<Sheet<'_>>,
        findings: &mut Findings,
    ) -> Option<Self> {
        let offcuts = read_history(history, findings);
        let bookings = read_bookings(bookings, findings);
        if let Some(sheet) = on_shelf {
            compare(sheet, &offcuts, history.0, findings);
        }
        let offcuts = offcuts.into_iter().map(|(_, entry)| entry).collect();
        (!findings.has_errors()).then_some(Self { offcuts, bookings })
    }
}

/// The offcuts with the lines they stand on.
fn read_history((file, bytes): Sheet<'_>, findings: &mut Findings) -> Vec<(u64, Entry)> {
    let table = Table::read_or_empty(file, bytes, HISTORY_COLUMNS, findings);
    let (mut offcuts, mut lines) = (Vec::new(), BTreeMap::new());
    let mut reader = Reader::new(CODES, findings);
    for (number, row) in table.iter().flat_map(Table::rows).enumerate() {
        let record = HistoryRecord::from(row.cells);
        if number == 0 {
            for cell in [&record.batch, &record.taken, &record.taken_for] {
                tell_missing(cell, &mut reader);
            }
        }
        tell_twice("offcut", &record.offcut, &mut lines, &mut reader);
        offcuts.extend(offcut(&record, &mut reader).map(|entry| (row.line, entry)));
    }
    offcuts
}

fn offcut(record: &HistoryRecord<'_>, reader: &mut Reader<'_>) -> Option<Entry> {
    let name = reader.name(&record.offcut).map(plain);
    let name = checked(name, check_name, &record.offcut, reader);
    let thickness = reader.length(&record.thickness, &THICKNESS);
    let width = reader.length(&record.width, &WIDTH);
    let length = reader.length(&record.length, &LENGTH);
    let place = reader.text(&record.place).map(plain);
    let place = checked(place, check_place, &record.place, reader);
    let batch = checked(Some(plain(record.batch.text())), check_batch, &record.batch, reader);
    let added = day(&record.added, "it came", reader);
    let taken = record.taken.or(None, |cell| day(cell, "it was taken", reader).map(Some));
    if record.taken.is_empty() && !record.taken_for.is_empty() {
        let what = "it says what the offcut was taken for, but not when";
        let remedy =
            "fill in the day, such as `2026-11-28`, or empty `taken_for` where it lies there";
        reader.tell(&codes::INVALID, &record.taken, what, remedy);
    }
    // Days in this form are in the order of their letters.
    if let (Some(added), Some(Some(taken))) = (added, taken)
        && taken < added
    {
        let what = format!("the offcut was taken on {taken}, before it came on {added}");
        reader.tell(&codes::INVALID, &record.taken, what, "correct one of the two days");
    }
    let taken_for = plain(record.taken_for.text());
    Some(Entry {
        name: name?.to_owned(),
        thickness: thickness?,
        width: width?,
        length: length?,
        place: place?.to_owned(),
        batch: batch?.to_owned(),
        added: added?.to_owned(),
        came_from: plain(record.came_from.text()).to_owned(),
        taken: taken?.map(|day| (day.to_owned(), taken_for.to_owned())),
    })
}

fn read_bookings((file, bytes): Sheet<'_>, findings: &mut Findings) -> Vec<OldBooking> {
    let table = Table::read_or_empty(file, bytes, BOOKING_COLUMNS, findings);
    let (mut bookings, mut plans, mut made) = (Vec::new(), BTreeMap::new(), BTreeMap::new());
    let mut reader = Reader::new(CODES, findings);
    for row in table.iter().flat_map(Table::rows) {
        let record = BookingRecord::from(row.cells);
        if !tell_twice("plan", &record.plan, &mut plans, &mut reader) {
            tell_twice("order", &record.made_from, &mut made, &mut reader);
        }
        let plan = reader.text(&record.plan);
        let booked = day(&record.booked, "it was booked", &mut reader);
        let made_from = record.made_from.text();
        bookings.extend(plan.zip(booked).map(|(plan, booked)| OldBooking {
            plan: plan.to_owned(),
            job: plain(record.job.text()).to_owned(),
            booked: booked.to_owned(),
            made_from: (!made_from.is_empty()).then(|| made_from.to_owned()),
        }));
    }
    bookings
}

/// Tells what the sheet of the shelf says other than the history, of which it is a part.
fn compare(
    (file, bytes): Sheet<'_>,
    offcuts: &[(u64, Entry)],
    history: &str,
    findings: &mut Findings,
) {
    let whole = !findings.has_errors();
    let Some(table) = Table::read_or_empty(file, bytes, OFFCUT_COLUMNS, findings) else { return };
    let (mut lines, mut rows) = (BTreeMap::new(), Vec::new());
    let mut reader = Reader::new(CODES, findings);
    for row in table.rows() {
        tell_twice("offcut", &row.cells[0], &mut lines, &mut reader);
        rows.push(row.cells);
    }
    // Where the history itself is wrong, a difference may come from that.
    if !whole {
        return;
    }
    let known: BTreeMap<&str, &(u64, Entry)> =
        offcuts.iter().map(|entry| (entry.1.name.as_str(), entry)).collect();
    for [offcut, thickness, width, length, quantity, place] in &rows {
        let Some(name) = reader.text(offcut) else { continue };
        let shown = quoted(name);
        let Some((line, entry)) = known.get(name).copied() else {
            let what =
                format!("{shown} stands in no line of {HISTORY}, from which the ledger is read");
            let remedy = "take the line out, and put the offcut on the shelf with `rollwright shelf add` after \
                          the import";
            reader.tell(&codes::DIFFERS, offcut, what, remedy);
            continue;
        };
        if let Some((day, what_for)) = &entry.taken {
            let what =
                format!("{shown} was taken on {day} by line {line} of {HISTORY} ({what_for})");
            let remedy = format!(
                "take the line out; where it lies there after all, empty `taken` and `taken_for` in {HISTORY}"
            );
            reader.tell(&codes::DIFFERS, offcut, what, remedy);
            continue;
        }
        let there = format!("in line {line} of {HISTORY}");
        let sizes = [
            (thickness, &THICKNESS, entry.thickness),
            (width, &WIDTH, entry.width),
            (length, &LENGTH, entry.length),
        ];
        for (cell, range, size) in sizes {
            if let Some(here) = reader.length(cell, range).filter(|here| *here != size) {
                let of = format!("{} of {shown}", cell.name());
                differs(cell, &of, (&millimetres(here), &millimetres(size)), &there, &mut reader);
            }
        }
        let is_one =
            quantity.or(1, |cell| reader.count(cell, &(1..=u64::MAX))).is_none_or(|n| n == 1);
        if !is_one {
            let what = format!(
                "every offcut of a ledger has a name of its own, and {shown} is to be several"
            );
            let remedy = "write 1, and put the others on the shelf with `rollwright shelf add` after the import";
            reader.tell(&codes::DIFFERS, quantity, what, remedy);
        }
        // A column that is not there says nothing.
        if place.place().column.is_some() && place.text() != entry.place.trim() {
            let of = format!("place of {shown}");
            differs(
                place,
                &of,
                (&quoted(place.text()), &quoted(&entry.place)),
                &there,
                &mut reader,
            );
        }
    }
    for (line, entry) in offcuts.iter().filter(|(_, entry)| entry.taken.is_none()) {
        if !lines.contains_key(entry.name.trim()) {
            reader.findings.push(Finding::new(
                &codes::DIFFERS,
                Place::line(history, *line).field("offcut", None),
                format!("{} lies on the shelf by this line and stands in no line of {ON_SHELF}", quoted(&entry.name)),
                format!(
                    "where it was taken, fill in `taken` and `taken_for` here, else put its line back into {ON_SHELF}"
                ),
            ));
        }
    }
}

fn millimetres(length: Length) -> String {
    format!("{length} mm")
}

fn differs(
    cell: &Cell<'_>,
    of: &str,
    (here, there): (&str, &str),
    line: &str,
    reader: &mut Reader<'_>,
) {
    let what = format!("the {of} is {here} here and {there} {line}");
    let remedy = format!(
        "the ledger is read from {HISTORY}: write {here} there too where that is right, else {there} here"
    );
    reader.tell(&codes::DIFFERS, cell, what, remedy);
}

/// Tells a column that is not there, though its cells may be empty: without it, what was taken would lie there.
fn tell_missing(cell: &Cell<'_>, reader: &mut Reader<'_>) {
    if cell.place().column.is_none() {
        let what = format!("there is no column `{}`", cell.name());
        reader.tell(&files::COLUMN_MISSING, cell, what, "add it, or export the ledger again");
    }
}

/// Tells what stands on an earlier line already; whether it does.
fn tell_twice<'t>(
    which: &str,
    cell: &Cell<'t>,
    lines: &mut BTreeMap<&'t str, u64>,
    reader: &mut Reader<'_>,
) -> bool {
    let (text, line) = (plain(cell.text()), cell.place().line.unwrap_or_default());
    if text.is_empty() {
        return false;
    }
    let Some(first) = lines.insert(text, line) else { return false };
    let what = format!("this {which}, {}, stands in line {first} already", quoted(text));
    reader.tell(&codes::INVALID, cell, what, "take one of the two out, or export the ledger again");
    true
}

/// A text that is what the ledger takes; tells one that is not.
fn checked<'t>(
    text: Option<&'t str>,
    check: impl Fn(&str) -> Result<(), ShelfError>,
    cell: &Cell<'_>,
    reader: &mut Reader<'_>,
) -> Option<&'t str> {
    let text = text?;
    let told = |error: ShelfError| {
        reader.tell(&codes::INVALID, cell, error.to_string(), error.remedy());
    };
    check(text).map_err(told).ok().map(|()| text)
}

/// A day, ISO 8601; tells what is none.
fn day<'t>(cell: &Cell<'t>, which: &str, reader: &mut Reader<'_>) -> Option<&'t str> {
    let text = reader.text(cell)?;
    if !is_day(text) {
        let what = format!("the day on which {which}, {}, is none", quoted(text));
        let remedy = "write year, month and day, such as `2026-11-25`";
        reader.tell(&codes::INVALID, cell, what, remedy);
        return None;
    }
    Some(text)
}

fn is_day(text: &str) -> bool {
    let number = |range: std::ops::Range<usize>| -> Option<u32> {
        let digits = text.get(range)?;
        digits.bytes().all(|b| b.is_ascii_digit()).then(|| digits.parse().ok())?
    };
    let known = || {
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
    known().is_some()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_those_of_the_calendar() {
        for day in ["2000-02-29", "2024-02-29", "2026-12-31"] {
            assert!(is_day(day), "{day}");
        }
        for text in [
            "1900-02-29",
            "2023-02-29",
            "2026-04-31",
            "2026-13-01",
            "2026-00-01",
            "26-01-01",
            "2026-1-1",
        ] {
            assert!(!is_day(text), "{text}");
        }
    }
}
