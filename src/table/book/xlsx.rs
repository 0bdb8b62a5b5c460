//! Office Open XML: cells with their number formats, formulas that have no result, merged cells.

use super::grid::{Grid, Merged, Value};
use super::{Book, hidden, shown};
use calamine::{DataRef, Reader, SheetType, Xlsx};
use std::io::Cursor;

/// The visible sheets with what stands in them, and the names of the others.
pub(super) fn sheets(bytes: &[u8]) -> Result<Book, String> {
    let mut book = Xlsx::new(Cursor::new(bytes)).map_err(|e| e.to_string())?;
    let all = book.sheets_metadata().to_vec();
    let of_cells = all.into_iter().filter(|sheet| sheet.typ == SheetType::WorkSheet);
    let mut hidden = hidden::of_xlsx(bytes);
    Book::of(of_cells, |name| {
        let mut grid = grid(&mut book, name).map_err(|why| format!("sheet `{name}`: {why}"))?;
        grid.hidden = hidden.remove(name).unwrap_or_default();
        Ok(grid)
    })
}

fn grid(book: &mut Xlsx<Cursor<&[u8]>>, name: &str) -> Result<Grid, String> {
    let mut grid = Grid::default();
    let mut answered = Vec::new();
    let mut cells = book.worksheet_cells_reader(name).map_err(|e| e.to_string())?;
    let codes: Vec<Option<String>> = cells
        .styles()
        .iter()
        .map(|style| style.number_format.as_ref().map(|f| f.format_code.clone()))
        .collect();
    while let Some((cell, style)) = cells.next_cell_with_style_id().map_err(|e| e.to_string())? {
        let (row, column) = cell.get_position();
        let code = codes.get(style).and_then(Option::as_deref);
        if let Some(value) = value(cell.get_value(), code) {
            answered.push((row, column));
            grid.put(row, column, value)?;
        }
    }
    drop(cells);
    answered.sort_unstable();
    let mut formulas = book.worksheet_cells_reader(name).map_err(|e| e.to_string())?;
    while let Some(formula) = formulas.next_formula().map_err(|e| e.to_string())? {
        let at @ (row, column) = formula.get_position();
        if answered.binary_search(&at).is_err() && !formula.get_value().is_empty() {
            grid.put(row, column, Value::Failed(String::new()))?;
        }
    }
    drop(formulas);
    let merged = book.merge_cells_by_sheet_name(name).map_err(|e| e.to_string())?;
    grid.merged = merged
        .iter()
        .map(|d| Merged { rows: (d.start.0, d.end.0), columns: (d.start.1, d.end.1) })
        .collect();
    Ok(grid)
}

/// What a cell holds; `None` for nothing at all, an empty text included only where it was stored.
fn value(data: &DataRef<'_>, code: Option<&str>) -> Option<Value> {
    Some(match data {
        DataRef::Empty => return None,
        DataRef::Int(number) => Value::Text(number.to_string()),
        DataRef::Float(number) => Value::Text(shown::number(*number, code)),
        DataRef::String(text) => Value::Text(text.clone()),
        DataRef::SharedString(text) => Value::Text((*text).to_owned()),
        DataRef::Bool(yes) => Value::Text(if *yes { "true" } else { "false" }.to_owned()),
        DataRef::DateTime(date) => Value::Date(shown::date(date)),
        DataRef::DateTimeIso(text) | DataRef::DurationIso(text) => Value::Date(text.clone()),
        DataRef::Error(error) => Value::Failed(error.to_string()),
    })
}
