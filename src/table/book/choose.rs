//! Which sheet of a workbook is meant.

use super::grid::{Grid, Value};
use super::{Book, Sheet};
use crate::finding::codes::files;
use crate::finding::{Finding, Findings, Place};
use crate::table::cell::quoted;
use crate::table::header::{self, Column, LOOKED_AT};

/// The sheet named like the file; else the only one with the headings; else, where there is but
/// one with anything in it, that one.
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
    let headed: Vec<&&Sheet> =
        used.iter().filter(|s| heading_row(&s.grid, columns).is_some()).collect();
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
            tell(format!("the sheets {} all have the headings", list(&names)));
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
    let rows = grid.rows.iter().take(LOOKED_AT);
    rows.map(|(row, cells)| (row, cells.values().map(Value::text)))
        .find(|(_, cells)| header::has_headings(cells.clone(), columns))
        .map(|(row, _)| *row)
}
