//! Where a finding was made.

use serde::Serialize;
use std::fmt;

/// A file, and as much of line, column and named field as is known.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Place {
    /// The file's name as the user gave it.
    pub file: String,
    /// Line in the file, counted from 1.
    pub line: Option<u64>,
    /// Column in the line (a field's number in a table, a character elsewhere), from 1.
    pub column: Option<u64>,
    /// The column's heading or the key's name.
    pub field: Option<String>,
}

impl Place {
    /// A whole file.
    pub fn file(file: impl Into<String>) -> Self {
        Self { file: file.into(), ..Self::default() }
    }

    /// A line of a file.
    pub fn line(file: impl Into<String>, line: u64) -> Self {
        Self { file: file.into(), line: Some(line), ..Self::default() }
    }

    /// The same place, narrowed to a named field and its number.
    #[must_use]
    pub fn field(&self, name: impl Into<String>, column: Option<u64>) -> Self {
        Self { column, field: Some(name.into()), ..self.clone() }
    }
}

impl fmt::Display for Place {
    /// `file:line:column (field)`, as much of it as is known.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(line) = self.line {
            write!(f, ":{line}")?;
            if let Some(column) = self.column {
                write!(f, ":{column}")?;
            }
        }
        if let Some(field) = &self.field {
            write!(f, " ({field})")?;
        }
        Ok(())
    }
}
