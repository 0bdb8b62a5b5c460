//! A figure of a table and how well it is supported; reading the embedded tables.

use crate::units::Length;

/// How well a figure is supported.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Evidence {
    /// At least two public sources agree.
    Checked,
    /// One public source.
    Single,
    /// From memory.
    Memory,
}

impl Evidence {
    fn parse(text: &str) -> Option<Self> {
        match text {
            "checked" => Some(Self::Checked),
            "single" => Some(Self::Single),
            "memory" => Some(Self::Memory),
            _ => None,
        }
    }
}

/// A figure of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Figure {
    /// The figure.
    pub value: Length,
    /// How well it is supported.
    pub evidence: Evidence,
    /// Where it comes from.
    pub source: &'static str,
    /// The table's name.
    pub table: &'static str,
    /// The row in the table, from 1.
    pub row: u32,
}

impl Figure {
    /// Whether whoever uses it should be told that it is weak.
    #[must_use]
    pub fn is_weak(&self) -> bool {
        self.evidence != Evidence::Checked
    }
}

/// One row of an embedded table.
#[derive(Clone, Copy, Debug)]
pub(super) struct Line {
    text: &'static str,
    table: &'static str,
    row: u32,
}

impl Line {
    /// The cell in this column, from 0; empty where there is none.
    pub(super) fn cell(&self, column: usize) -> &'static str {
        self.text.split(',').nth(column).unwrap_or("")
    }

    /// The figure in one column, with its evidence and source from two others. `None` where the
    /// cell is empty.
    pub(super) fn figure(&self, value: usize, evidence: usize, source: usize) -> Option<Figure> {
        Some(Figure {
            value: Length::parse(self.cell(value)).ok()?,
            evidence: Evidence::parse(self.cell(evidence))?,
            source: self.cell(source),
            table: self.table,
            row: self.row,
        })
    }
}

/// The rows of an embedded table below its headings. Its cells hold no commas and no quotes.
pub(super) fn lines(table: &'static str, text: &'static str) -> impl Iterator<Item = Line> {
    text.lines().skip(1).zip(1..).map(move |(text, row)| Line { text, table, row })
}
