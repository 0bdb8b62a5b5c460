//! QR codes as drawings: dark runs, row by row.

use qrcode::{Color, EcLevel, QrCode};
use std::fmt::Write;

/// Light modules around the code, as ISO/IEC 18004 asks for.
const QUIET: usize = 4;

/// A run of dark modules: column and row of its first one, from the upper left, and its length.
pub type Run = (usize, usize, usize);

/// The dark runs and the side of the drawing in modules, quiet zone included; `None` where the text
/// is too long for any code. Medium error correction: a label gets dirty.
#[must_use]
pub fn qr_runs(text: &str) -> Option<(Vec<Run>, usize)> {
    let code = QrCode::with_error_correction_level(text, EcLevel::M).ok()?;
    let side = code.width();
    let mut runs = Vec::new();
    for (row, modules) in code.to_colors().chunks(side).enumerate() {
        let mut from = 0;
        for run in modules.chunk_by(|a, b| a == b) {
            if run[0] == Color::Dark {
                runs.push((from + QUIET, row + QUIET, run.len()));
            }
            from += run.len();
        }
    }
    Some((runs, side + 2 * QUIET))
}

/// [`qr_runs`] as the data of a path.
#[must_use]
pub fn qr_path(text: &str) -> Option<(String, usize)> {
    let (runs, side) = qr_runs(text)?;
    let mut path = String::new();
    for (column, row, length) in runs {
        let _ = write!(path, "M{column} {row}h{length}v1h-{length}z");
    }
    Some((path, side))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_labels_identity_fits_the_smallest_code() {
        // ISO/IEC 18004, table 7: version 1 is 21 modules wide and holds 20 characters of figures,
        // capitals and dashes at level M.
        let (path, side) = qr_path("3FA2C1-12-843-2").unwrap();
        assert_eq!(side, 21 + 8);
        // The finder pattern's top edge: seven dark modules at the upper left.
        assert!(path.starts_with("M4 4h7v1h-7z"), "{path}");
        assert!(qr_path(&"x".repeat(5000)).is_none());
    }
}
