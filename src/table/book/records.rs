//! From the cells of a sheet to records of text, that of the headings first.

use super::choose::heading_row;
use super::grid::{Grid, Merged, Value};
use super::{hidden, shown};
use crate::finding::codes::files;
use crate::finding::{Finding, Findings, letters};
use crate::table::cell::quoted;
use crate::table::entry;
use crate::table::header::{self, Column};
use crate::table::origin::Origin;
use csv::StringRecord;
use std::cell::OnceCell;
use std::collections::BTreeMap;

/// The columns of the sheet whose heading is known.
type Known<'c> = BTreeMap<u32, &'c Column>;

/// The records; `None` for a sheet without any cell.
pub(super) fn records(
    origin: &Origin,
    grid: &Grid,
    columns: &'static [Column],
    findings: &mut Findings,
) -> Option<Vec<(u64, StringRecord)>> {
    let first = *grid.rows.keys().next()?;
    let top = heading_row(grid, columns).unwrap_or(first);
    if top > first {
        findings.push(Finding::new(
            &files::ROWS_ABOVE,
            origin.line(u64::from(top) + 1),
            format!("the headings stand here; {} above them were not read", rows(top)),
            "nothing needs to be done if those are titles",
        ));
    }
    let headings = grid.rows.get(&top)?;
    let known: Known<'_> = headings
        .iter()
        .filter_map(|(at, value)| Some((*at, header::column_of(value.text(), columns)?)))
        .collect();
    let width = headings.keys().next_back().map_or(0, |last| last + 1);
    let shared = shared(origin, grid, top, &known, findings);
    let named = known.iter().find(|(_, column)| column.name == "currency").map(|(at, _)| *at);
    // What lies beneath merged cells is not shown, and not meant.
    let stands = |row: u32, column: u32| {
        let own = || grid.rows.get(&row)?.get(&column).map(Value::text);
        shared.get(&(row, column)).copied().or_else(own).filter(|text| !text.is_empty())
    };
    let in_line = |row: u32| stands(row, named?).map(str::trim).filter(|text| !text.is_empty());
    // Lines without one are in the currency of the others.
    let of_others = grid.rows.range(top + 1..).find_map(|(row, _)| in_line(*row));
    // Where none is named, all prices are shown with the same word, or none.
    let shown_with = OnceCell::new();
    let mut records = Vec::new();
    for (row, cells) in grid.rows.range(top..) {
        let line = u64::from(*row) + 1;
        if *row > top {
            tell(origin, line, cells, &known, findings);
        }
        let last = cells.keys().next_back().map_or(0, |last| last + 1);
        let text = |column: u32| {
            let text = stands(*row, column).unwrap_or_default();
            let price = known.get(&column).is_some_and(|column| column.name == "price");
            if price { amount(text, in_line(*row).or(of_others), &shown_with) } else { text }
        };
        let record: StringRecord = (0..width.max(last))
            .map(|column| text(column).replace("\r\n", "\n").replace('\r', "\n"))
            .collect();
        records.push((line, record));
    }
    records.retain(|(_, record)| record.iter().any(|cell| !cell.trim().is_empty()));
    let listed = records.iter().skip(1).filter_map(|(line, _)| u32::try_from(line - 1).ok());
    findings.extend(hidden::tell(origin, grid, &listed.collect::<Vec<_>>()));
    let filled = |at: u32| {
        let below = usize::try_from(at).unwrap_or(usize::MAX);
        let mut cells = records.iter().skip(1).filter_map(|(_, record)| record.get(below));
        cells.any(|cell| !cell.trim().is_empty())
    };
    let read = known.iter().filter(|(at, _)| filled(**at)).map(|(at, column)| (*at, column.name));
    findings.extend(hidden::tell_columns(origin, grid, top, read));
    Some(records)
}

/// The number of a price that its number format shows with a currency (`0.00 "EUR"`), unless its line is in
/// another one, or shows another where none is named; any other text as it is.
fn amount<'t>(text: &'t str, currency: Option<&str>, shown_with: &OnceCell<&'t str>) -> &'t str {
    let Some((number, word)) = shown::beside_a_word(text) else { return text };
    let Some(given) = currency else {
        return if *shown_with.get_or_init(|| word) == word { number } else { text };
    };
    let same = if shown::is_sign(word) {
        shown::may_be_of(word, given)
    } else {
        given.eq_ignore_ascii_case(word)
    };
    if same { number } else { text }
}

fn rows(count: u32) -> String {
    if count == 1 { "the row".to_owned() } else { format!("the {count} rows") }
}

/// Columns of free text, in which a date may be meant. In other texts it stands for what a spreadsheet took for one,
/// such as rack 2/3.
const DATED: [&str; 4] = ["note", "batch", "came_from", "taken_for"];

/// Tells dates where none belong, and formulas without a result.
fn tell(
    origin: &Origin,
    line: u64,
    cells: &BTreeMap<u32, Value>,
    known: &Known<'_>,
    findings: &mut Findings,
) {
    for (at, value) in cells {
        let Some(column) = known.get(at) else { continue };
        let place =
            origin.cell(line, u64::from(*at) + 1).field(column.name, Some(u64::from(*at) + 1));
        match value {
            Value::Text(_) => {}
            Value::Date(_) if DATED.contains(&column.name) => {}
            Value::Date(date) => findings.push_for_cell(Finding::new(
                &files::DATE,
                place,
                format!("the cell holds the date or time {}", quoted(date)),
                format!(
                    "give the column the format Text and type the {} again, such as `{}`",
                    column.form, column.example
                ),
            )),
            Value::Failed(shown) => {
                let what = if shown.is_empty() {
                    "the formula in this cell has no stored result".to_owned()
                } else {
                    format!("the formula in this cell gives {}", quoted(shown))
                };
                let remedy = "mend the formula, or open the workbook in a spreadsheet, let it \
                              calculate, and save it again";
                findings.push_for_cell(Finding::new(&files::FAILED, place, what, remedy));
            }
        }
    }
}

/// Whether a value that stands once for several rows may mean their sum, or names one of them.
fn counts_once(column: &Column) -> bool {
    matches!(column.form, "name" | "length" | "number" | "whole number")
}

/// The way in which cells are merged, in words.
const fn way(down: bool, across: bool) -> &'static str {
    match (down, across) {
        (true, true) => "down and across",
        (false, true) => "across",
        _ => "down",
    }
}

/// Whether a row is no entry of the list, such as a heading of a part of it, by its own cells and what cells
/// merged down hold for it.
fn is_no_entry(
    (grid, width): (&Grid, u32),
    (top, row): (u32, u32),
    known: &Known<'_>,
    found: &BTreeMap<(u32, u32), &str>,
) -> bool {
    let record = |row: u32| -> StringRecord {
        let text = |at: u32| {
            let own = grid.at(row, at).map(Value::text);
            own.or_else(|| found.get(&(row, at)).copied()).unwrap_or_default()
        };
        (0..=width).map(text).collect()
    };
    let needed = known.iter().filter(|(_, column)| column.needed);
    let needed: Vec<usize> = needed.filter_map(|(at, _)| usize::try_from(*at).ok()).collect();
    entry::none(&record(row), &record(top), &needed).is_some()
}

/// What merged cells below the headings hold for the rows that have none of their own.
fn shared<'g>(
    origin: &Origin,
    grid: &'g Grid,
    top: u32,
    known: &Known<'_>,
    findings: &mut Findings,
) -> BTreeMap<(u32, u32), &'g str> {
    let mut found = BTreeMap::new();
    let width = grid.rows.values().filter_map(|cells| cells.keys().next_back()).max();
    let width = width.copied().unwrap_or(0);
    // What holds for several rows comes first: it says which rows are entries.
    let (one_row, several): (Vec<&Merged>, _) =
        grid.merged.iter().partition(|merged| merged.rows.0 == merged.rows.1);
    for Merged { rows: (first, last), columns: (left, right) } in several.into_iter().chain(one_row)
    {
        let (Some(column), true) = (known.get(left), *first > top) else { continue };
        let cell = |row: u32, at: u32, name: &str| {
            let number = u64::from(at) + 1;
            origin.cell(u64::from(row) + 1, number).field(name, Some(number))
        };
        let place = cell(*first, *left, column.name);
        let to = format!("{}{}", letters(u64::from(*right) + 1), u64::from(*last) + 1);
        let Some(value) = grid.at(*first, *left) else {
            let some = grid.rows.range(first..=last).count() > 1;
            if some && counts_once(column) {
                findings.push(Finding::new(
                    &files::MERGED_EMPTY,
                    place,
                    format!("it is merged {} to {to}, and nothing stands in it", way(first < last, left < right)),
                    "undo the merging and see what belongs into each cell: merging keeps one value at most",
                ));
            }
            continue;
        };
        if first == last && is_no_entry((grid, width), (top, *first), known, &found) {
            // That is told of the whole line.
            continue;
        }
        if right > left || counts_once(column) {
            findings.push(Finding::new(
                &files::MERGED,
                place,
                format!(
                    "{} stands in cells merged {} to {to}",
                    quoted(value.text()),
                    way(first < last, left < right)
                ),
                "undo the merging and fill in each cell",
            ));
            // What is missing or wrong in the others has this cause.
            for (row, _) in grid.rows.range(first..=last) {
                for (at, column) in known.range(left..=right) {
                    findings.close_cell(&cell(*row, *at, column.name));
                }
            }
            continue;
        }
        let rows: Vec<u32> = grid.rows.range(first + 1..=*last).map(|(row, _)| *row).collect();
        if rows.is_empty() {
            continue;
        }
        findings.push(Finding::new(
            &files::MERGED_FILLED,
            place,
            format!("{} was read for each row down to {to}", quoted(value.text())),
            "undo the merging if that is not meant",
        ));
        found.extend(rows.into_iter().map(|row| ((row, *left), value.text())));
    }
    found
}
