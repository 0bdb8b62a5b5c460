//! A table, comma-separated or in a workbook, from bytes to rows of named cells.

use super::book;
use super::cell::{self, Cell};
use super::entry;
use super::header::{self, Column};
use super::mixed;
use super::origin::Origin;
use super::quotes::{self, Fault};
use super::text::decode_table;
use crate::finding::codes::files;
use crate::finding::{Finding, Findings, Place};
use csv::{ReaderBuilder, StringRecord};

/// A table whose headings and cells may be read: what is in them is not yet looked at.
#[derive(Debug)]
pub struct Table<const N: usize> {
    origin: Origin,
    columns: &'static [Column; N],
    /// The line of the headings.
    line: u64,
    at: [Option<usize>; N],
    records: Vec<(u64, StringRecord)>,
}

/// One row: its line in the file or its row in the sheet, and its cells in the order of the columns asked for.
#[derive(Clone, Debug)]
pub struct Row<'t, const N: usize> {
    /// The line, from 1.
    pub line: u64,
    /// The cells.
    pub cells: [Cell<'t>; N],
}

impl<const N: usize> Table<N> {
    /// Reads a table that needs at least one row; a file whose name ends in `.xlsx` or `.ods` is a
    /// workbook. `None` where headings or quotes are so wrong that
    /// rows mean nothing; other problems are told and the rows given, so that theirs can be told
    /// too.
    pub fn read(
        file: &str,
        bytes: &[u8],
        columns: &'static [Column; N],
        findings: &mut Findings,
    ) -> Option<Self> {
        let table = Self::read_or_empty(file, bytes, columns, findings)?;
        if table.records.is_empty() {
            findings.push(Finding::new(
                &files::HEADER_ONLY,
                table.origin.line(table.line),
                "there is no line below the headings",
                "add the lines, or save the sheet again with all its rows",
            ));
            return None;
        }
        Some(table)
    }

    /// As [`Table::read`], of a table that may have headings only.
    pub fn read_or_empty(
        file: &str,
        bytes: &[u8],
        columns: &'static [Column; N],
        findings: &mut Findings,
    ) -> Option<Self> {
        if book::is_book(file) {
            let (origin, records) = book::read(file, bytes, columns, findings)?;
            return Self::under_headings(origin, records, columns, true, findings);
        }
        let had = findings.len();
        let text = decode_table(file, bytes, findings);
        // What stands in place of unreadable bytes has its cause told.
        let whole = findings.iter().skip(had).all(|f| f.code.id != files::NOT_UTF8.id);
        if text.trim().is_empty() {
            if !findings.has_errors() {
                findings.push(Finding::new(
                    &files::EMPTY,
                    Place::file(file),
                    "the file is empty",
                    "save the sheet again with its headings and lines",
                ));
            }
            return None;
        }
        let text = without_separator(text);
        if let Some(finding) = header::wrong_separator(file, &text, columns) {
            findings.push(finding);
            return None;
        }
        let (faults, starts) = quotes::scan(&text);
        let unclosed = report_quotes(file, &faults, findings);
        let origin = Origin::text(file);
        let mut records = take_apart(&text, &starts);
        if unclosed {
            // The last record has swallowed the rest of the file.
            records.pop();
        }
        if let Some(finding) = header::lower_headings(&origin, &records, columns) {
            findings.push(finding);
            return None;
        }
        let table = Self::under_headings(origin, records, columns, whole, findings)?;
        (!unclosed).then_some(table)
    }

    /// The table of records of which the first holds the headings; `whole` where no letter was lost in decoding.
    fn under_headings(
        origin: Origin,
        mut records: Vec<(u64, StringRecord)>,
        columns: &'static [Column; N],
        whole: bool,
        findings: &mut Findings,
    ) -> Option<Self> {
        let had = findings.len();
        let (line, headings) = if records.is_empty() { None } else { Some(records.remove(0)) }?;
        let at = header::match_columns(&origin, line, &headings, columns, findings);
        let headings_wrong =
            findings.iter().skip(had).any(|f| f.severity() == crate::finding::Severity::Error);
        let needed = columns.iter().zip(&at).filter(|(column, _)| column.needed);
        let needed: Vec<usize> = needed.filter_map(|(_, at)| *at).collect();
        check_rows(&origin, (&headings, &needed), &mut records, whole, findings);
        mixed::tell((&origin, columns), &at, &records, findings);
        for (line, record) in &records {
            if let Some((what, remedy)) = entry::none(record, &headings, &needed) {
                let finding = Finding::new(&files::NO_ENTRY, origin.line(*line), what, remedy);
                findings.push_for_line(finding);
            }
        }
        (!headings_wrong).then_some(Self { origin, columns, line, at, records })
    }

    /// Its rows, in the file's order.
    pub fn rows(&self) -> impl Iterator<Item = Row<'_, N>> {
        self.records.iter().map(|(line, record)| Row {
            line: *line,
            cells: std::array::from_fn(|which| {
                let at = self.at[which];
                Cell {
                    text: at.and_then(|at| record.get(at)).unwrap_or("").trim(),
                    column: &self.columns[which],
                    number: at.map(|at| at as u64 + 1),
                    line: *line,
                    origin: &self.origin,
                }
            }),
        })
    }
}

/// Tells the quotes that do not match; whether one of them is never closed.
fn report_quotes(file: &str, faults: &[Fault], findings: &mut Findings) -> bool {
    let mut unclosed = false;
    for fault in faults {
        let (line, column, what, remedy) = match *fault {
            Fault::Open(line, column) => {
                unclosed = true;
                let what = "the double quote that opens this cell is never closed";
                (line, column, what, "close it, or write it twice if it is an inch mark")
            }
            Fault::TextAfter(line, column) => {
                let what = "there is text after the double quote that closes this cell";
                (line, column, what, "write every double quote inside the cell twice")
            }
        };
        let place = Place { column: Some(column), ..Place::line(file, line) };
        findings.push(Finding::new(&files::QUOTES, place, what, remedy));
    }
    unclosed
}

/// The text with its first line empty where that only tells a spreadsheet the separator (`sep=;`).
fn without_separator(mut text: String) -> String {
    let first = text.lines().next().unwrap_or_default();
    let told = first
        .trim_matches(['"', ' '])
        .strip_prefix("sep=")
        .is_some_and(|sign| sign.chars().count() <= 1);
    if told {
        text.replace_range(..first.len(), "");
    }
    text
}

/// The records with their lines; rows without any text are left out.
fn take_apart(text: &str, starts: &[u64]) -> Vec<(u64, StringRecord)> {
    let mut reader =
        ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut starts = starts.iter().copied();
    let mut records = Vec::new();
    // The text is UTF-8 and in memory, so the reader has nothing to fail at.
    for record in reader.records().map_while(Result::ok) {
        let line = starts.next().or_else(|| record.position().map(csv::Position::line));
        if record.iter().any(|cell| !cell.trim().is_empty()) {
            records.push((line.unwrap_or(1), record));
        }
    }
    records
}

/// How to mend a line of text with too many or too few cells.
const COMMAS: &str = "put a text that holds a comma between double quotes, write numbers with a decimal \
                      point and without thousands separators, and keep the commas of empty cells; where all lines \
                      end with a comma too many, put one behind the headings too";
/// How to mend a row of a sheet with too many cells.
const MORE_CELLS: &str = "name the columns of the cells on the right, or delete them";

/// Looks at the number of cells and at every cell; line breaks inside cells become spaces.
fn check_rows(
    origin: &Origin,
    (headings, needed): (&StringRecord, &[usize]),
    records: &mut [(u64, StringRecord)],
    whole: bool,
    findings: &mut Findings,
) {
    let mut unnamed_told = vec![false; headings.len()];
    for (line, record) in records {
        let line = *line;
        let filled =
            (1..=record.len()).rev().find(|n| !record[n - 1].trim().is_empty()).unwrap_or(0);
        // In a line of text an empty cell too many may be all that shows that a comma has moved the others.
        let last = if origin.is_sheet() { filled } else { record.len() };
        let ragged = record.len() < headings.len() || last > headings.len();
        if ragged && !entry::is_comment(record, needed) {
            findings.push_for_line(Finding::new(
                &files::RAGGED,
                origin.line(line),
                format!(
                    "there {} under {} headings",
                    if record.len() == 1 {
                        "is 1 cell".to_owned()
                    } else {
                        format!("are {} cells", record.len())
                    },
                    headings.len()
                ),
                if origin.is_sheet() { MORE_CELLS } else { COMMAS },
            ));
        }
        let mut broken = false;
        for (number, raw) in record.iter().enumerate() {
            if raw.is_empty() {
                continue;
            }
            let name = headings.get(number).unwrap_or("").trim();
            let place = || origin.line(line).field(name, Some(number as u64 + 1));
            let lost = || whole.then(|| cell::lost(raw, place)).flatten();
            if let Some(finding) = cell::check(raw, place).or_else(lost) {
                findings.push_for_cell(finding);
            }
            broken |= raw.contains('\n');
            if name.is_empty()
                && !raw.trim().is_empty()
                && let Some(told @ false) = unnamed_told.get_mut(number)
            {
                *told = true;
                let place = Place { column: Some(number as u64 + 1), ..origin.line(line) };
                findings.push(Finding::new(
                    &files::COLUMN_UNNAMED,
                    place,
                    format!("{} stands below an empty heading", cell::quoted(raw)),
                    "name the column, or delete it",
                ));
            }
        }
        if broken {
            *record = record.iter().map(|c| c.replace('\n', " ")).collect();
        }
    }
}
