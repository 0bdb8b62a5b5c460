//! Where a finding was made.

use serde::Serialize;
use std::fmt;

/// A file, and as much of line, column and named field as is known.
#[derive(Clone, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
pub struct Place {
    /// The file's name as the user gave it.
    pub file: String,
    /// The sheet of a workbook.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub sheet: Option<String>,
    /// Line in the file (in a workbook the row of the sheet), counted from 1.
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

    /// The same place, in a sheet of a workbook.
    #[must_use]
    pub fn in_sheet(self, sheet: Option<&str>) -> Self {
        Self { sheet: sheet.map(str::to_owned), ..self }
    }

    /// The line it lies on, whatever stands there.
    #[must_use]
    pub fn whole_line(&self) -> Self {
        Self { column: None, field: None, ..self.clone() }
    }

    /// The same place without the field's name.
    pub(super) fn bare(&self) -> Self {
        Self { field: None, ..self.clone() }
    }

    /// The same place, narrowed to a named field and its number.
    #[must_use]
    pub fn field(&self, name: impl Into<String>, column: Option<u64>) -> Self {
        Self { column, field: Some(name.into()), ..self.clone() }
    }
}

impl fmt::Display for Place {
    /// `file:line:column (field)`, of a workbook `file:Sheet!C7 (field)`; as much of it as is known.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.file)?;
        if let Some(sheet) = &self.sheet {
            write!(f, ":{sheet}")?;
            match (self.line, self.column) {
                (Some(row), Some(column)) => write!(f, "!{}{row}", letters(column))?,
                (Some(row), None) => write!(f, ", row {row}")?,
                (None, _) => {}
            }
        } else if let Some(line) = self.line {
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

/// A column's letters as spreadsheets name it: 1 is A, 27 is AA.
#[must_use]
pub fn letters(column: u64) -> String {
    let mut rest = column;
    let mut out = Vec::new();
    while rest > 0 {
        let digit = u8::try_from((rest - 1) % 26).unwrap_or_default();
        out.push(char::from(b'A' + digit));
        rest = (rest - 1) / 26;
    }
    out.iter().rev().collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_are_written_as_people_find_them() {
        let csv = Place::line("t.csv", 7);
        assert_eq!(csv.to_string(), "t.csv:7");
        assert_eq!(csv.field("size", Some(3)).to_string(), "t.csv:7:3 (size)");
        let book = Place::line("t.xlsx", 7).in_sheet(Some("Site A"));
        assert_eq!(book.to_string(), "t.xlsx:Site A, row 7");
        assert_eq!(book.field("size", Some(28)).to_string(), "t.xlsx:Site A!AB7 (size)");
    }

    #[test]
    fn letters_are_those_of_spreadsheets() {
        // Column XFD is the last of a sheet in Office Open XML (16,384 columns).
        let pairs = [(1, "A"), (26, "Z"), (27, "AA"), (52, "AZ"), (702, "ZZ"), (16_384, "XFD")];
        for (number, name) in pairs {
            assert_eq!(letters(number), name);
        }
    }
}
