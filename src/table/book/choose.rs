//! Which sheet of a workbook is meant.

use super::grid::{Grid, Value};
use super::{Book, Sheet};
use crate::finding::codes::files;
use crate::finding::{Finding, Findings, Place};
use crate::table::cell::quoted;
use crate::table::header::{self, Column, LOOKED_AT};

/// The sheet named like the file; else the only one with all headings that are needed; else the only one with some of
/// them; else, where there is but one with anything in it, that one.
pub(super) fn choose<'s>(
    file: &str,
    book: &'s Book,
    columns: &[Column],
    findings: &mut Findings,
) -> Option<&'s Sheet> {
    let stem = file.rsplit(['/', '\\']).next().unwrap_or(file);
    let stem = stem.split('.').next().unwrap_or(stem);
    let Book { sheets, hidden } = book;
    let is_named = |name: &str| name.trim().eq_ignore_ascii_case(stem);
    if let Some(named) = sheets.iter().find(|s| is_named(&s.name)) {
        return filled(file, named, findings);
    }
    if let Some(named) = hidden.iter().find(|name| is_named(name)) {
        findings.push(Finding::new(
            &files::HIDDEN_SHEET,
            Place::file(file),
            format!("the sheet {} is hidden, and was not read", quoted(named)),
            "show it if it is meant; else give it another name",
        ));
    }
    let used: Vec<&Sheet> = sheets.iter().filter(|s| !s.grid.rows.is_empty()).collect();
    let some: Vec<&&Sheet> =
        used.iter().filter(|s| heading_row(&s.grid, columns).is_some()).collect();
    let all: Vec<&&Sheet> =
        some.iter().filter(|s| has_all_headings(&s.grid, columns)).copied().collect();
    let (headed, have) = match (all.len(), some.len()) {
        (0, 2..) => (some, "have some of the headings, none has all that are needed"),
        (0, _) => (some, ""),
        _ => (all, "all have the headings"),
    };
    let list = |of: &[&str]| of.iter().map(|n| quoted(n)).collect::<Vec<_>>().join(", ");
    let remedy = format!("name the sheet that is meant `{stem}`");
    let mut tell = |what: String| {
        findings.push(Finding::new(&files::SHEET, Place::file(file), what, remedy.clone()));
    };
    match (headed.as_slice(), used.as_slice()) {
        ([one], _) => Some(**one),
        ([], [one]) => Some(*one),
        ([], []) => {
            tell("the workbook has no visible sheet with anything in it".to_owned());
            None
        }
        ([], several) => {
            let names: Vec<&str> = several.iter().map(|s| s.name.as_str()).collect();
            tell(format!("none of the sheets {} has the headings", list(&names)));
            None
        }
        (several, _) => {
            let names: Vec<&str> = several.iter().map(|s| s.name.as_str()).collect();
            tell(format!("the sheets {} {have}", list(&names)));
            None
        }
    }
}

fn filled<'s>(file: &str, sheet: &'s Sheet, findings: &mut Findings) -> Option<&'s Sheet> {
    if sheet.grid.rows.is_empty() {
        findings.push(Finding::new(
            &files::EMPTY,
            Place::file(file).in_sheet(Some(&sheet.name)),
            "the sheet is empty",
            "fill in its headings and lines",
        ));
        return None;
    }
    Some(sheet)
}

/// The row that holds the headings, among the first that hold anything.
pub(super) fn heading_row(grid: &Grid, columns: &[Column]) -> Option<u32> {
    let mut rows = grid.rows.iter().take(LOOKED_AT);
    rows.find(|(_, cells)| header::has_headings(cells.values().map(Value::text), columns))
        .map(|(row, _)| *row)
}

/// Whether the row of its headings has all that are needed.
fn has_all_headings(grid: &Grid, columns: &[Column]) -> bool {
    let cells = heading_row(grid, columns).and_then(|row| grid.rows.get(&row));
    cells.is_some_and(|cells| header::has_all_headings(&cells.values().map(Value::text), columns))
}
