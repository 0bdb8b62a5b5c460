//! `OpenDocument`: cells as `calamine` reads them; from the sheet's own text what it does not tell: the
//! merged cells, and how numbers are shown, since a number format's words belong to what was meant.

use super::grid::{Grid, Merged, Value};
use super::hidden::Hidden;
use super::{Book, packed, shown};
use calamine::{Data, Ods, Reader};
use quick_xml::XmlVersion;
use quick_xml::escape::resolve_xml_entity;
use quick_xml::events::{BytesStart, Event};
use std::collections::BTreeMap;
use std::io::Cursor;

/// The visible sheets with what stands in them, and the names of the others.
pub(super) fn sheets(bytes: &[u8]) -> Result<Book, String> {
    let mut told = told(&packed::part(bytes, "content.xml")?)?;
    let mut book = Ods::new(Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let all = book.sheets_metadata().to_vec();
    Book::of(all, |name| {
        let Told { merged, shown, hidden } = told.remove(name).unwrap_or_default();
        let mut grid = grid(&mut book, name, &shown)?;
        grid.merged = merged;
        grid.hidden = hidden;
        Ok(grid)
    })
}

fn grid(
    book: &mut Ods<Cursor<&[u8]>>,
    name: &str,
    shown: &BTreeMap<(u32, u32), String>,
) -> Result<Grid, String> {
    let mut grid = Grid::default();
    let cells = book.worksheet_range(name).map_err(|e| e.to_string())?;
    let formulas = book.worksheet_formula(name).map_err(|e| e.to_string())?;
    let at = |start: Option<(u32, u32)>, row: usize, column: usize| {
        let (top, left) = start.unwrap_or_default();
        let (row, column) = (u32::try_from(row).ok()?, u32::try_from(column).ok()?);
        Some((top.checked_add(row)?, left.checked_add(column)?))
    };
    for (row, column, data) in cells.used_cells() {
        let Some((row, column)) = at(cells.start(), row, column) else { continue };
        let formula = formulas.get_value((row, column)).is_some_and(|f| !f.is_empty());
        let shown = shown.get(&(row, column)).map(String::as_str);
        if let Some(value) = value(data, formula, shown) {
            grid.put(row, column, value)?;
        }
    }
    for (row, column, formula) in formulas.used_cells() {
        let Some((row, column)) = at(formulas.start(), row, column) else { continue };
        let stored = cells.get_value((row, column)).is_some_and(|data| *data != Data::Empty);
        if !formula.is_empty() && !stored {
            let shown = shown.get(&(row, column)).filter(|shown| failed(shown));
            grid.put(row, column, Value::Failed(shown.cloned().unwrap_or_default()))?;
        }
    }
    Ok(grid)
}

/// Whether a formula that is shown as this text failed: `#NAME?`, `#DIV/0!`, `Err:502`, in any language.
fn failed(shown: &str) -> bool {
    let sign = shown.strip_prefix('#').and_then(|rest| rest.chars().next());
    sign.is_some_and(char::is_uppercase) || shown.starts_with("Err:")
}

fn value(data: &Data, formula: bool, shown: Option<&str>) -> Option<Value> {
    // Whatever is stored beside that.
    if let Some(shown) = shown.filter(|shown| formula && failed(shown)) {
        return Some(Value::Failed(shown.to_owned()));
    }
    Some(match data {
        Data::Empty => return None,
        Data::Int(number) => Value::Text(number.to_string()),
        Data::Float(number) => Value::Text(match shown {
            Some(shown) => shown::number_as_shown(*number, shown),
            None => shown::number(*number, None),
        }),
        Data::String(text) if formula && failed(text) => Value::Failed(text.clone()),
        Data::String(text) => Value::Text(text.clone()),
        Data::Bool(yes) => Value::Text(if *yes { "true" } else { "false" }.to_owned()),
        Data::DateTime(date) => Value::Date(shown::date(date)),
        Data::DateTimeIso(text) | Data::DurationIso(text) => Value::Date(text.clone()),
        Data::Error(error) => Value::Failed(error.to_string()),
    })
}

/// Cells that are repeated this often hold no list, and would fill the memory; so would the rectangle of
/// all cells from the first column on, which is what is read, round few that lie far apart.
const MOST: u64 = 5_000_000;

/// The rows and columns of a sheet that hold something.
#[derive(Default)]
struct Extent {
    rows: Option<(u32, u32)>,
    columns: u32,
}

impl Extent {
    /// Counts cells in; how many cells there are up to them, empty ones too.
    fn cells(&mut self, rows: (u32, u32), columns: u32) -> u64 {
        let (first, last) = self.rows.map_or(rows, |(a, b)| (a.min(rows.0), b.max(rows.1)));
        self.rows = Some((first, last));
        self.columns = self.columns.max(columns);
        u64::from(last - first) * u64::from(self.columns)
    }
}

/// What a sheet's own text tells beside its values.
#[derive(Default)]
struct Told {
    merged: Vec<Merged>,
    /// Numbers as they are shown, and failed formulas, by row and column.
    shown: BTreeMap<(u32, u32), String>,
    /// What is not shown (19.749: `collapse` by hand, `filter` by a filter).
    hidden: Hidden,
}

/// A cell that holds a number or a formula, while its text is read.
struct Number {
    counts: bool,
    formula: bool,
    rows: (u32, u32),
    columns: (u32, u32),
    shown: String,
}

/// More spaces than this in a row are no name or note, and more than so many in all no workbook for a job.
const SPACES: u64 = 1_000;
const ALL_SPACES: u64 = 10_000_000;

/// Counts the spaces that an element stands for (ODF 1.2, part 1, 19.763); a number that is none is too many.
fn more_spaces(element: &quick_xml::events::BytesStart<'_>, all: &mut u64) -> Result<(), String> {
    let count = text(element, "text:c")?;
    let here = if count.is_empty() { 1 } else { count.trim().parse().unwrap_or(u64::MAX) };
    *all = all.saturating_add(here);
    if here > SPACES || *all > ALL_SPACES {
        return Err(format!("a cell of it has more than {SPACES} spaces one after another"));
    }
    Ok(())
}

/// The merged cells of every sheet (ODF 1.2, part 1, 19.676 and 19.679: the first cell says over
/// how many columns and rows it spans), and its numbers as they are shown (19.385: a cell's value stands
/// in an attribute, its paragraphs hold the text for it).
fn told(content: &str) -> Result<BTreeMap<String, Told>, String> {
    let mut reader = quick_xml::Reader::from_str(content);
    let mut found: BTreeMap<String, Told> = BTreeMap::new();
    let (mut sheet, mut row, mut repeated, mut column) = (String::new(), 0_u32, 1_u32, 0_u32);
    let (mut filled, mut extent, mut all_spaces) = (0_u64, Extent::default(), 0_u64);
    let mut number: Option<Number> = None;
    // The next column that is described before the rows.
    let mut of_columns = 0_u32;
    let mut note = false;
    loop {
        let event = reader.read_event().map_err(|e| e.to_string())?;
        if let Some(number) = number.as_mut().filter(|_| !note) {
            number.shown.push_str(&words(&event)?);
        }
        let element = match &event {
            Event::Eof => return Ok(found),
            Event::Start(element) | Event::Empty(element) => element,
            Event::End(element) => {
                match element.name().as_ref() {
                    "table:table-row" => row = row.saturating_add(repeated),
                    "office:annotation" => note = false,
                    "table:table-cell" => {
                        let told = found.entry(sheet.clone()).or_default();
                        number.take().into_iter().for_each(|number| told.keep(&number));
                    }
                    _ => {}
                }
                continue;
            }
            _ => continue,
        };
        match element.name().as_ref() {
            "table:table" => {
                sheet = text(element, "table:name")?;
                row = 0;
                of_columns = 0;
                extent = Extent::default();
            }
            "table:table-column" => {
                let many = count(element, "table:number-columns-repeated")?;
                let next = of_columns.saturating_add(many);
                if matches!(text(element, "table:visibility")?.as_str(), "collapse" | "filter") {
                    let columns = (of_columns, next.saturating_sub(1));
                    found.entry(sheet.clone()).or_default().hidden.columns.push(columns);
                }
                of_columns = next;
            }
            "table:table-row" => {
                column = 0;
                repeated = count(element, "table:number-rows-repeated")?;
                if matches!(text(element, "table:visibility")?.as_str(), "collapse" | "filter") {
                    let last = row.saturating_add(repeated - 1);
                    found.entry(sheet.clone()).or_default().hidden.rows.push((row, last));
                }
                if matches!(event, Event::Empty(_)) {
                    row = row.saturating_add(repeated);
                }
            }
            "office:annotation" => note = matches!(event, Event::Start(_)),
            "text:s" => {
                more_spaces(element, &mut all_spaces)?;
                // More spaces than one, of which the first is plain (ODF 1.2, part 1, 6.1.3).
                if let Some(number) = &mut number {
                    number.shown.push(' ');
                }
            }
            "table:table-cell" | "table:covered-table-cell" => {
                let across = count(element, "table:number-columns-repeated")?;
                let wide = count(element, "table:number-columns-spanned")?;
                let high = count(element, "table:number-rows-spanned")?;
                let kind = text(element, "office:value-type")?;
                let next = column.saturating_add(across);
                let formula = !text(element, "table:formula")?.is_empty();
                if !kind.is_empty() || formula {
                    filled += u64::from(across) * u64::from(repeated);
                    if filled.max(extent.cells((row, row.saturating_add(repeated)), next)) > MOST {
                        return Err(format!("a sheet of it has more than {MOST} cells"));
                    }
                }
                if wide > 1 || high > 1 {
                    found.entry(sheet.clone()).or_default().merged.push(Merged {
                        rows: (row, row.saturating_add(high - 1)),
                        columns: (column, column.saturating_add(wide - 1)),
                    });
                }
                let counts = matches!(kind.as_str(), "float" | "percentage" | "currency");
                number = (counts || formula).then(|| Number {
                    counts,
                    formula,
                    rows: (row, row.saturating_add(repeated)),
                    columns: (column, next),
                    shown: String::new(),
                });
                column = next;
            }
            _ => {}
        }
    }
}

/// The text that an event is; empty where it is none. Signs may be written as entities, as some programs write that of
/// inches: `&quot;`, or `&#34;`.
fn words(event: &Event<'_>) -> Result<String, String> {
    Ok(match event {
        Event::Text(text) => text.to_string(),
        Event::CData(text) => text.to_string(),
        Event::GeneralRef(name) => match name.resolve_char_ref().map_err(|e| e.to_string())? {
            Some(sign) => sign.to_string(),
            None => resolve_xml_entity(name).unwrap_or_default().to_owned(),
        },
        _ => String::new(),
    })
}

impl Told {
    /// Keeps how a number is shown, where that says more than its value, and how a failed formula is.
    fn keep(&mut self, number: &Number) {
        let fails = number.formula && failed(&number.shown);
        let says = number.counts && shown::says_more(&number.shown);
        if !fails && !says {
            return;
        }
        for row in number.rows.0..number.rows.1 {
            for column in number.columns.0..number.columns.1 {
                self.shown.insert((row, column), number.shown.clone());
            }
        }
    }
}

/// An attribute's text; empty where there is none.
pub(super) fn text(element: &BytesStart<'_>, name: &str) -> Result<String, String> {
    let Some(value) = element.try_get_attribute(name).map_err(|e| e.to_string())? else {
        return Ok(String::new());
    };
    let value = value.normalized_value(XmlVersion::Implicit1_0).map_err(|e| e.to_string())?;
    Ok(value.into_owned())
}

/// A number of times; 1 where nothing is said.
fn count(element: &BytesStart<'_>, name: &str) -> Result<u32, String> {
    let value = element.try_get_attribute(name).map_err(|e| e.to_string())?;
    Ok(value.and_then(|v| v.value.parse().ok()).unwrap_or(1).max(1))
}
