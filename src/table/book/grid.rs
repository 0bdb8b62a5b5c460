//! The cells of one sheet, as much of it as holds anything.

use super::hidden::Hidden;
use std::collections::BTreeMap;

/// What a cell holds.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Value {
    /// Words, or a number as it is written.
    Text(String),
    /// A date or a time of day, in the form of ISO 8601.
    Date(String),
    /// A formula without a result; what stands in its place.
    Failed(String),
}

impl Value {
    /// The text that stands for it.
    pub(super) fn text(&self) -> &str {
        match self {
            Self::Text(text) | Self::Date(text) | Self::Failed(text) => text,
        }
    }
}

/// Cells merged into one, rows and columns from 0, both ends included.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Merged {
    pub(super) rows: (u32, u32),
    pub(super) columns: (u32, u32),
}

/// A sheet. Rows and columns count from 0.
#[derive(Clone, Debug, Default)]
pub(super) struct Grid {
    pub(super) rows: BTreeMap<u32, BTreeMap<u32, Value>>,
    pub(super) merged: Vec<Merged>,
    /// What is not shown of it.
    pub(super) hidden: Hidden,
    cells: usize,
}

/// No list of a job has more columns; what stands further right belongs to something else.
const WIDEST: u32 = 256;

/// No list of a job has so many cells.
pub(super) const MOST: usize = 5_000_000;

impl Grid {
    /// How many cells have a value.
    pub(super) const fn cells(&self) -> usize {
        self.cells
    }

    /// Puts a value into a cell.
    pub(super) fn put(&mut self, row: u32, column: u32, value: Value) -> Result<(), String> {
        if value.text().trim().is_empty() && !matches!(value, Value::Failed(_)) {
            return Ok(());
        }
        if column >= WIDEST {
            let place = crate::finding::letters(u64::from(column) + 1);
            return Err(format!("cell {place}{} stands right of column IV", u64::from(row) + 1));
        }
        self.cells += 1;
        if self.cells > MOST {
            return Err(format!("a sheet of it has more than {MOST} cells"));
        }
        self.rows.entry(row).or_default().insert(column, value);
        Ok(())
    }

    /// The value in a cell.
    pub(super) fn at(&self, row: u32, column: u32) -> Option<&Value> {
        self.rows.get(&row)?.get(&column)
    }
}
