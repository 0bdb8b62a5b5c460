//! QR codes as drawings: dark runs, row by row.

use qrcode::{Color, EcLevel, QrCode};
use std::fmt::Write;

/// Light modules around the code, as ISO/IEC 18004 asks for.
const QUIET: usize = 4;

/// A run of dark modules: column and row of its first one, from the upper left, and its length.
pub type Run = (u8, u8, u8);

/// A square code: its dark runs, row by row.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Square {
    /// The runs.
    pub runs: Vec<Run>,
    /// The side of the drawing in modules, quiet zone included; at most 185.
    pub side: u8,
}

impl Square {
    /// The code of a text; `None` where it is too long for any. Medium error correction: a label gets dirty.
    #[must_use]
    pub fn of(text: &str) -> Option<Self> {
        let code = QrCode::with_error_correction_level(text, EcLevel::M).ok()?;
        let mut runs = Vec::new();
        for (row, modules) in code.to_colors().chunks(code.width()).enumerate() {
            let mut from = 0;
            for run in modules.chunk_by(|a, b| a == b) {
                if run[0] == Color::Dark {
                    runs.push((small(from + QUIET)?, small(row + QUIET)?, small(run.len())?));
                }
                from += run.len();
            }
        }
        Some(Self { runs, side: small(code.width() + 2 * QUIET)? })
    }

    /// The data of its path.
    #[must_use]
    pub fn path(&self) -> String {
        let mut path = String::new();
        for (column, row, length) in &self.runs {
            let _ = write!(path, "M{column} {row}h{length}v1h-{length}z");
        }
        path
    }
}

/// A number of modules, at most 185.
fn small(modules: usize) -> Option<u8> {
    u8::try_from(modules).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_labels_identity_fits_the_smallest_code() {
        // ISO/IEC 18004, table 7: version 1 is 21 modules wide and holds 20 characters of figures,
        // capitals and dashes at level M.
        let square = Square::of("3FA2C1-12-843-2").unwrap();
        let path = square.path();
        assert_eq!(square.side, 21 + 8);
        // The finder pattern's top edge: seven dark modules at the upper left.
        assert!(path.starts_with("M4 4h7v1h-7z"), "{path}");
        assert!(Square::of(&"x".repeat(5000)).is_none());
        // The same table's largest code has 177 modules.
        assert_eq!(Square::of(&"x".repeat(2300)).unwrap().side, 177 + 8);
    }
}
