//! Lines below the headings that are no entries of the list: comments, totals, headings again, units, headings of parts.

use super::cell::quoted;
use csv::StringRecord;

/// Words with which a line of sums begins, in some languages that sheets are written in.
const SUMS: [&str; 12] = [
    "total",
    "totals",
    "subtotal",
    "subtotals",
    "sum",
    "sums",
    "grand",
    "summe",
    "gesamt",
    "somme",
    "suma",
    "totale",
];

/// Words that stand in a line of units.
const UNITS: [&str; 20] = [
    "mm", "cm", "m", "in", "inch", "inches", "ft", "nps", "dn", "od", "pcs", "pc", "ea", "no",
    "nr", "deg", "degrees", "%", "-", "eur",
];

/// What a line is that is no entry, and what to do; nothing where it may be one. `needed` are the fields, from 0,
/// of columns that every line must fill.
///
/// A line of sums begins with such a word, or has it in a column that every line must fill, and leaves two
/// such columns empty; of headings of parts one cell is filled, of three or more that must be.
pub(super) fn none(
    record: &StringRecord,
    headings: &StringRecord,
    needed: &[usize],
) -> Option<(String, &'static str)> {
    let filled: Vec<(usize, &str)> = record
        .iter()
        .enumerate()
        .map(|(number, cell)| (number, cell.trim()))
        .filter(|(_, cell)| !cell.is_empty())
        .collect();
    let (first, word) = *filled.first()?;
    if is_comment(record, needed) {
        let remedy = "delete the line; lines that are to be left out cannot be kept in the list";
        return Some(("the line begins with #, and comments are not read".to_owned(), remedy));
    }
    let empty = needed.iter().filter(|at| !filled.iter().any(|(number, _)| number == *at)).count();
    let heading = |number: usize| headings.get(number).unwrap_or_default().trim();
    if filled.len() > 1 && filled.iter().all(|(at, cell)| cell.eq_ignore_ascii_case(heading(*at))) {
        return Some(("the headings stand here again".to_owned(), "delete the line"));
    }
    if empty < 2 {
        return None;
    }
    let must = |number: usize| number == first || needed.contains(&number);
    if let Some((_, sum)) = filled.iter().find(|(at, cell)| must(*at) && is_sum(cell)) {
        return Some((format!("{} is a line of totals, no entry", quoted(sum)), "delete the line"));
    }
    let unit = |cell: &str| {
        UNITS.contains(&cell.trim_matches(['(', ')', '[', ']']).to_lowercase().as_str())
    };
    if filled.iter().all(|(_, cell)| unit(cell)) {
        let remedy = "delete the line, and write units into the cells, such as `2.4 m`";
        return Some(("this is a line of units, no entry".to_owned(), remedy));
    }
    if filled.len() == 1 && needed.len() > 2 {
        let remedy = "delete the line; what holds for the lines below it belongs into a column of each of them";
        return Some((format!("only {} stands in this line", quoted(word)), remedy));
    }
    None
}

/// Whether a line is a comment: it begins with `#`, and two columns or more that every line must fill are empty.
/// An item may be called `#4`.
pub(super) fn is_comment(record: &StringRecord, needed: &[usize]) -> bool {
    let filled = |at: usize| record.get(at).is_some_and(|cell| !cell.trim().is_empty());
    let empty = needed.iter().filter(|at| !filled(**at)).count();
    let mut cells = record.iter().map(str::trim).filter(|cell| !cell.is_empty());
    cells.next().is_some_and(|cell| cell.starts_with('#')) && empty >= 2
}

/// Whether a cell begins with a word of sums.
fn is_sum(cell: &str) -> bool {
    let lower =
        cell.to_lowercase().replace("sub-total", "subtotal").replace("sub total", "subtotal");
    let first: String = lower.chars().take_while(|c| c.is_alphabetic()).collect();
    SUMS.contains(&first.as_str())
}
