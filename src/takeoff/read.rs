//! `takeoff.csv`, from bytes to [`Takeoff`].
//!
//! Steps: take the table apart; read each line into an item with all its dimensions; see that
//! names are used once; settle every run's ends and take-outs; tell which weak figures were used.

use super::desk::{CODES, Desk};
use super::domain::{Item, Takeoff};
use super::record::{COLUMNS, TakeoffRecord, UNNAMED};
use super::runs::{self, Typed};
use super::weak::Weak;
use super::{build, kinds, unusual};
use crate::finding::codes::takeoff as codes;
use crate::finding::{Finding, Findings, Place};
use crate::rules::Rules;
use crate::table::{Cell, Reader, Row, Table, quoted};
use std::collections::BTreeMap;
use std::ops::RangeInclusive;

/// Like things on one line: at most a million.
const QUANTITY: RangeInclusive<u64> = 1..=1_000_000;
/// Release numbers.
const RELEASE: RangeInclusive<u64> = 0..=1_000_000;

/// What column `pinned` may say.
const PINNED: &[(&str, bool)] = &[("yes", true), ("no", false)];

/// Reads the takeoff; `None` where any finding is an error.
#[must_use]
pub fn read(file: &str, bytes: &[u8], rules: &Rules) -> (Option<Takeoff>, Findings) {
    read_as(file, bytes, rules, true)
}

/// As [`read`], where an item that has no name is called by its line: `line 2`.
#[must_use]
pub fn read_unnamed(file: &str, bytes: &[u8], rules: &Rules) -> (Option<Takeoff>, Findings) {
    read_as(file, bytes, rules, false)
}

fn read_as(file: &str, bytes: &[u8], rules: &Rules, named: bool) -> (Option<Takeoff>, Findings) {
    let mut findings = Findings::new();
    let columns = if named { COLUMNS } else { UNNAMED };
    let table = Table::read(file, bytes, columns, &mut findings);
    let rows: Vec<Row<'_, _>> = table.iter().flat_map(Table::rows).collect();
    let name = |row: &Row<'_, _>| if named { String::new() } else { format!("line {}", row.line) };
    let names: Vec<String> = rows.iter().map(name).collect();
    let mut desk = Desk { reader: Reader::new(CODES, &mut findings), rules, weak: Weak::default() };
    let mut lines = Vec::new();
    let (mut first, mut folded) = (BTreeMap::new(), BTreeMap::new());
    for (row, name) in rows.into_iter().zip(&names) {
        let mut record = TakeoffRecord::from(row.cells);
        record.item = record.item.or_text(name);
        tell_twice(&record, &mut first, &mut folded, &mut desk);
        let item = item(&record, &mut desk);
        if let Some(item) = &item {
            unusual::dimensions(&record, item, &mut desk);
            if named {
                unusual::tell(&record, item, &mut desk);
            }
        }
        lines.push(Typed {
            name: record.item.text(),
            ends: record.ends,
            length: record.length,
            item,
        });
    }
    let weak = std::mem::take(&mut desk.weak);
    weak.tell(&mut findings);
    runs::settle(&mut lines, &mut findings);
    if findings.has_errors() {
        return (None, findings);
    }
    let items = lines.into_iter().filter_map(|line| line.item).collect();
    (Some(Takeoff { items }), findings)
}

/// An item from its line; a pipe's length and ends are still as typed.
fn item(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<Item> {
    let id = name(&record.item, desk);
    let word = desk.reader.word_or(&record.kind, kinds::WORDS, kinds::also);
    let quantity = desk.reader.count(&record.quantity, &QUANTITY);
    let build = build::read(&record.build, desk);
    let release = record.release.or(1, |cell| desk.reader.count(cell, &RELEASE));
    let pinned = record.pinned.or(false, |cell| desk.reader.word(cell, PINNED));
    let kind = word.and_then(|word| kinds::read(word, record, desk));
    Some(Item {
        id: id?.to_owned(),
        area: record.area.text().to_owned(),
        line: record.line.text().to_owned(),
        kind: kind?,
        quantity: quantity?,
        build: build?,
        release: u32::try_from(release?).ok()?,
        note: record.note.text().to_owned(),
        pinned: pinned?,
        place: Place { column: None, field: None, ..record.item.place() },
    })
}

/// An item's name: without the bar that separates names in column `ends`.
fn name<'t>(cell: &Cell<'t>, desk: &mut Desk<'_, '_>) -> Option<&'t str> {
    let name = desk.reader.name(cell)?;
    if name.contains('|') {
        let what = format!("the name {} holds a vertical bar", quoted(name));
        let remedy = "use another sign; the bar separates names in column `ends`";
        desk.reader.tell(&codes::UNREAD, cell, what, remedy);
        return None;
    }
    Some(name)
}

/// Tells a name that stood before.
fn tell_twice<'t>(
    record: &TakeoffRecord<'t>,
    first: &mut BTreeMap<&'t str, Cell<'t>>,
    folded: &mut BTreeMap<String, Cell<'t>>,
    desk: &mut Desk<'_, '_>,
) {
    let cell = record.item;
    if cell.is_empty() {
        return;
    }
    if let Some(before) = first.get(cell.text()) {
        let before = before.place().whole_line();
        let what = format!("the item {} stands already at {before}", quoted(cell.text()));
        let remedy = "rename one of the two, or delete it if it is the same thing";
        desk.reader.findings.push(Finding::new(&codes::TWICE, cell.place(), what, remedy));
        return;
    }
    first.insert(cell.text(), cell);
    let like = folded.entry(cell.text().to_lowercase()).or_insert(cell);
    if like.text() != cell.text() {
        let before = like.place().whole_line();
        let (this, that) = (quoted(cell.text()), quoted(like.text()));
        let what = format!("the items {this} and {that} at {before} differ in capitals only");
        let remedy = "delete one of the two if they are the same thing, else rename one; they are read as two";
        desk.reader.tell(&codes::ALIKE, &cell, what, remedy);
    }
}
