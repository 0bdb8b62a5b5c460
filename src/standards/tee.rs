//! Butt-welding tees, equal and reducing.

use super::figure::{Figure, lines};
use super::nominal::nps_64ths;
use std::sync::LazyLock;

/// A tee's dimensions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TeeFigures {
    /// Centre to end along the run.
    pub centre_to_end: Figure,
    /// Centre to the branch's end.
    pub branch_height: Figure,
}

static ROWS: LazyLock<Vec<(u32, u32, TeeFigures)>> = LazyLock::new(|| {
    lines("tees", include_str!("tables/tees.csv"))
        .filter_map(|line| {
            let figures = TeeFigures {
                centre_to_end: line.figure(2, 4, 5)?,
                branch_height: line.figure(3, 4, 5)?,
            };
            Some((nps_64ths(line.cell(0))?, nps_64ths(line.cell(1))?, figures))
        })
        .collect()
});

/// The tee with this run and branch; `None` where the table has none.
#[must_use]
pub fn tee(run: u32, branch: u32) -> Option<TeeFigures> {
    ROWS.iter().find(|(r, b, _)| (*r, *b) == (run, branch)).map(|(.., figures)| *figures)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn the_table_is_whole_and_orderly() {
        assert_eq!(ROWS.len(), 33 + 59);
        for (run, branch, tee) in ROWS.iter() {
            assert!(branch <= run);
            // A reducing tee's run is that of the equal tee of its run size (ASME B16.9).
            let equal = super::tee(*run, *run).unwrap();
            assert_eq!(tee.centre_to_end.value, equal.centre_to_end.value);
            assert!(tee.branch_height.value <= equal.centre_to_end.value);
        }
    }

    #[test]
    fn equal_tees_are_those_of_b16_9() {
        // ASME B16.9 centre-to-end dimensions in whole millimetres, typed from memory.
        let published = [("2", 64), ("3", 86), ("4", 105), ("6", 143), ("8", 178), ("12", 254)];
        for (nps, mm) in published {
            let size = nps_64ths(nps).unwrap();
            assert_eq!(tee(size, size).unwrap().centre_to_end.value, Length::from_mm(mm));
        }
    }
}
