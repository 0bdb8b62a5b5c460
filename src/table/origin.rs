//! What a table was read from, to name places in it.

use crate::finding::Place;

/// A file, and of a workbook the sheet.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Origin {
    file: String,
    sheet: Option<String>,
}

impl Origin {
    /// A file of text.
    pub(super) fn text(file: &str) -> Self {
        Self { file: file.to_owned(), sheet: None }
    }

    /// A sheet of a workbook.
    pub(super) fn sheet(file: &str, sheet: &str) -> Self {
        Self { file: file.to_owned(), sheet: Some(sheet.to_owned()) }
    }

    /// Whether it is a sheet of a workbook.
    pub(super) const fn is_sheet(&self) -> bool {
        self.sheet.is_some()
    }

    /// The whole of it.
    pub(super) fn whole(&self) -> Place {
        Place::file(&self.file).in_sheet(self.sheet.as_deref())
    }

    /// A line, or a row of the sheet.
    pub(super) fn line(&self, line: u64) -> Place {
        Place { line: Some(line), ..self.whole() }
    }

    /// A cell, both numbers from 1.
    pub(super) fn cell(&self, line: u64, column: u64) -> Place {
        Place { column: Some(column), ..self.line(line) }
    }
}
