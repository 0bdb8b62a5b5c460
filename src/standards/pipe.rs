//! Outside diameters of pipe.

use super::figure::{Figure, lines};
use super::nominal::nps_64ths;
use std::sync::LazyLock;

/// Which outside diameters `DN` sizes stand for; `NPS` sizes are always ASME's.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Diameters {
    /// ASME B36.10M.
    #[default]
    Asme,
    /// EN 10220 series 1 (ISO series A). They differ from ASME's at DN 20, 25, 32, 65, 125 and
    /// 300; those figures rest on one public page.
    En,
}

/// One nominal size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PipeRow {
    /// Nominal size in sixty-fourths of an inch.
    pub nps_64ths: u32,
    /// Nominal diameter, a number without unit.
    pub dn: u32,
    /// Outside diameter after ASME B36.10M.
    pub asme: Figure,
    /// Outside diameter after EN 10220 series 1.
    pub en: Figure,
}

impl PipeRow {
    /// The outside diameter of the chosen column.
    #[must_use]
    pub const fn diameter(&self, diameters: Diameters) -> Figure {
        match diameters {
            Diameters::Asme => self.asme,
            Diameters::En => self.en,
        }
    }
}

static ROWS: LazyLock<Vec<PipeRow>> = LazyLock::new(|| {
    lines("pipe diameters", include_str!("tables/pipe_diameters.csv"))
        .filter_map(|line| {
            Some(PipeRow {
                nps_64ths: nps_64ths(line.cell(0))?,
                dn: line.cell(1).parse().ok()?,
                asme: line.figure(2, 3, 4)?,
                en: line.figure(5, 6, 7)?,
            })
        })
        .collect()
});

/// All nominal sizes, smallest first: NPS 1/2 to 48.
#[must_use]
pub fn pipe_rows() -> &'static [PipeRow] {
    &ROWS
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn diameters_are_those_of_b36_10m() {
        // ASME B36.10M outside diameters in tenths of a millimetre, typed from memory and
        // independent of the table (inch sizes x 25.4, rounded as the standard prints them).
        let published = [
            ("1/2", 213),
            ("3/4", 267),
            ("1", 334),
            ("1-1/4", 422),
            ("1-1/2", 483),
            ("2", 603),
            ("2-1/2", 730),
            ("3", 889),
            ("3-1/2", 1016),
            ("4", 1143),
            ("5", 1413),
            ("6", 1683),
            ("8", 2191),
            ("10", 2730),
            ("12", 3238),
            ("14", 3556),
            ("16", 4064),
            ("18", 4570),
            ("20", 5080),
            ("22", 5590),
            ("24", 6100),
            ("26", 6600),
            ("28", 7110),
            ("30", 7620),
            ("32", 8130),
            ("34", 8640),
            ("36", 9140),
            ("38", 9650),
            ("40", 10160),
            ("42", 10670),
            ("44", 11180),
            ("46", 11680),
            ("48", 12190),
        ];
        assert_eq!(pipe_rows().len(), published.len());
        for (row, (nps, tenths)) in pipe_rows().iter().zip(published) {
            assert_eq!(Some(row.nps_64ths), nps_64ths(nps));
            assert_eq!(row.asme.value, Length::from_nm(tenths * 100_000), "NPS {nps}");
        }
    }

    #[test]
    fn en_diameters_differ_where_they_are_known_to() {
        // EN 10220 series 1, from memory: 26.9, 33.7, 42.4, 76.1, 139.7, 323.9; all others are
        // the ASME figures.
        let differ: Vec<(u32, i64)> = pipe_rows()
            .iter()
            .filter(|row| row.en.value != row.asme.value)
            .map(|row| (row.dn, row.en.value.nm() / 100_000))
            .collect();
        assert_eq!(differ, [(20, 269), (25, 337), (32, 424), (65, 761), (125, 1397), (300, 3239)]);
        assert!(pipe_rows().iter().filter(|r| r.en.value != r.asme.value).all(|r| r.en.is_weak()));
    }

    #[test]
    fn nominal_sizes_above_12_are_diameters_in_inches() {
        // ASME B36.10M: from NPS 14 up the outside diameter is the nominal size in inches, printed
        // rounded to whole millimetres from NPS 18 on.
        for row in pipe_rows().iter().filter(|row| row.nps_64ths >= 14 * 64) {
            let exact = i64::from(row.nps_64ths) * 25_400_000 / 64;
            assert!((row.asme.value.nm() - exact).abs() <= 500_000, "{row:?}");
        }
    }
}
