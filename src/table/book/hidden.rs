//! Rows and columns of a sheet that are not shown: hidden by hand, or rows left out by a filter. They are read
//! like the others, and told, since who looks at the sheet does not see them.

use super::grid::Grid;
use super::ods::text;
use super::packed;
use crate::finding::codes::files;
use crate::finding::{Finding, letters};
use crate::table::origin::Origin;
use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// Rows or columns from 0, first and last.
pub(super) type Lines = Vec<(u32, u32)>;

/// What of a sheet is hidden.
#[derive(Clone, Debug, Default)]
pub(super) struct Hidden {
    pub(super) rows: Lines,
    pub(super) columns: Lines,
}

/// The hidden rows and columns of every sheet of an Office Open XML workbook by name (ECMA-376, 18.3.1.73 and
/// 18.3.1.13: a row and columns say that they are hidden in an attribute); none of a workbook whose parts lie
/// elsewhere than is usual.
pub(super) fn of_xlsx(bytes: &[u8]) -> BTreeMap<String, Hidden> {
    let found = || -> Result<BTreeMap<String, Hidden>, String> {
        let mut parts = BTreeMap::new();
        each(&packed::part(bytes, "xl/_rels/workbook.xml.rels")?, "Relationship", |relation| {
            let target = text(relation, "Target")?;
            let path = match target.strip_prefix('/') {
                Some(whole) => whole.to_owned(),
                None => format!("xl/{target}"),
            };
            parts.insert(text(relation, "Id")?, path);
            Ok(())
        })?;
        let mut sheets = BTreeMap::new();
        each(&packed::part(bytes, "xl/workbook.xml")?, "sheet", |sheet| {
            if let Some(path) = parts.get(&text(sheet, "r:id")?) {
                sheets.insert(text(sheet, "name")?, path.clone());
            }
            Ok(())
        })?;
        let hidden =
            |(name, path): (String, String)| Ok((name, of_sheet(&packed::part(bytes, &path)?)?));
        sheets.into_iter().map(hidden).collect()
    };
    found().unwrap_or_default()
}

fn of_sheet(sheet: &str) -> Result<Hidden, String> {
    let mut hidden = Hidden::default();
    let mut next = 0;
    if !sheet.contains("hidden=") {
        return Ok(hidden);
    }
    let says_so = |element: &BytesStart<'_>| -> Result<bool, String> {
        Ok(matches!(text(element, "hidden")?.as_str(), "1" | "true"))
    };
    each(sheet, "col", |columns| {
        let number = |name| Ok::<_, String>(text(columns, name)?.parse::<u32>().ok());
        let from_one = (number("min")?, number("max")?);
        if let ((Some(first @ 1..), Some(last @ 1..)), true) = (from_one, says_so(columns)?) {
            hidden.columns.push((first - 1, last - 1));
        }
        Ok(())
    })?;
    each(sheet, "row", |row| {
        let number = text(row, "r")?.parse::<u32>().ok().and_then(|number| number.checked_sub(1));
        let at = number.unwrap_or(next);
        next = at.saturating_add(1);
        if says_so(row)? {
            match hidden.rows.last_mut() {
                Some(last) if last.1.checked_add(1) == Some(at) => last.1 = at,
                _ => hidden.rows.push((at, at)),
            }
        }
        Ok(())
    })?;
    Ok(hidden)
}

/// Looks at every element of a name, whatever its prefix.
fn each(
    xml: &str,
    name: &str,
    mut look: impl FnMut(&BytesStart<'_>) -> Result<(), String>,
) -> Result<(), String> {
    let mut reader = Reader::from_str(xml);
    loop {
        match reader.read_event().map_err(|e| e.to_string())? {
            Event::Eof => return Ok(()),
            Event::Start(element) | Event::Empty(element)
                if element.local_name().as_ref() == name =>
            {
                look(&element)?;
            }
            _ => {}
        }
    }
}

fn among(lines: &Lines, line: u32) -> bool {
    lines.iter().any(|&(first, last)| (first..=last).contains(&line))
}

/// Says which of these columns of a list, from 0 and increasing, with their names, are hidden; `headings` is the row,
/// from 0, in which the names stand.
pub(super) fn tell_columns<'c>(
    origin: &Origin,
    grid: &Grid,
    headings: u32,
    listed: impl Iterator<Item = (u32, &'c str)>,
) -> Option<Finding> {
    let hidden: Vec<(u32, &str)> =
        listed.filter(|(column, _)| among(&grid.hidden.columns, *column)).collect();
    let &(first, name) = hidden.first()?;
    let letter = |column: u32| letters(u64::from(column) + 1);
    let what = if hidden.len() == 1 {
        format!("column {} (`{name}`) is hidden, and was read like the others", letter(first))
    } else {
        let all: Vec<String> =
            hidden.iter().map(|(at, name)| format!("{} (`{name}`)", letter(*at))).collect();
        let (count, all) = (all.len(), all.join(", "));
        format!("{count} columns are hidden, and were read like the others: {all}")
    };
    let remedy = "show all columns, and look whether what stands in them is meant; nothing to do where it is";
    let column = u64::from(first) + 1;
    let place = origin.cell(u64::from(headings) + 1, column).field(name, Some(column));
    Some(Finding::new(&files::HIDDEN_COLUMNS, place, what, remedy))
}

/// Says which of these rows of a list, from 0 and increasing, are hidden.
pub(super) fn tell(origin: &Origin, grid: &Grid, listed: &[u32]) -> Option<Finding> {
    let hidden: Vec<u32> =
        listed.iter().copied().filter(|&row| among(&grid.hidden.rows, row)).collect();
    let first = *hidden.first()?;
    let mut runs: Vec<(u32, u32)> = Vec::new();
    for row in &hidden {
        match runs.last_mut() {
            Some(run) if run.1 + 1 == *row => run.1 = *row,
            _ => runs.push((*row, *row)),
        }
    }
    let mut rows = String::new();
    for (at, &(first, last)) in runs.iter().take(MOST_RUNS).enumerate() {
        let comma = if at == 0 { "" } else { ", " };
        let to = if last > first { format!(" to {}", last + 1) } else { String::new() };
        let _ = write!(rows, "{comma}{}{to}", first + 1);
    }
    if runs.len() > MOST_RUNS {
        rows.push_str(" and others");
    }
    let what = match hidden.len() {
        1 => format!("row {rows} is hidden, and was read like the others"),
        count => format!("{count} rows are hidden, and were read like the others: {rows}"),
    };
    let remedy = "show all rows (clear the filter), and delete those that do not belong to the list; \
                  nothing to do where they all do";
    Some(Finding::new(&files::HIDDEN_ROWS, origin.line(u64::from(first) + 1), what, remedy))
}

/// Stretches of rows that are named.
const MOST_RUNS: usize = 8;
