//! Weld-neck flanges with raised face, Class 150 and 300, and their studs.

use super::figure::{Figure, lines};
use super::nominal::nps_64ths;
use std::sync::LazyLock;

/// A flange's dimensions.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct FlangeFigures {
    /// Outside diameter.
    pub diameter: Figure,
    /// Least thickness, the raised face counted in.
    pub thickness: Figure,
    /// Length through the hub, from the raised face to the weld.
    pub hub_length: Figure,
    /// Length of the studs of a pair.
    pub stud: Figure,
}

static ROWS: LazyLock<Vec<(u32, u32, FlangeFigures)>> = LazyLock::new(|| {
    lines("flanges", include_str!("tables/flanges.csv"))
        .filter_map(|line| {
            let figures = FlangeFigures {
                diameter: line.figure(2, 5, 6)?,
                thickness: line.figure(3, 5, 6)?,
                hub_length: line.figure(4, 5, 6)?,
                stud: line.figure(7, 8, 9)?,
            };
            Some((line.cell(0).parse().ok()?, nps_64ths(line.cell(1))?, figures))
        })
        .collect()
});

/// The flange of this size and class; `None` where the table has none.
#[must_use]
pub fn flange(nps: u32, class: u32) -> Option<FlangeFigures> {
    ROWS.iter().find(|(c, n, _)| (*c, *n) == (class, nps)).map(|(.., figures)| *figures)
}

/// Whether the table has flanges of this class.
#[must_use]
pub fn has_flanges(class: u32) -> bool {
    ROWS.iter().any(|(c, ..)| *c == class)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::pipe_rows;
    use crate::units::Length;

    #[test]
    fn flanges_are_larger_than_their_pipe_and_grow_with_class() {
        assert_eq!(ROWS.len(), 40);
        for row in pipe_rows() {
            let Some(low) = flange(row.nps_64ths, 150) else { continue };
            let high = flange(row.nps_64ths, 300).unwrap();
            assert!(low.diameter.value > row.asme.value);
            assert!(high.diameter.value > low.diameter.value, "{row:?}");
            assert!(high.thickness.value > low.thickness.value);
            assert!(high.stud.value >= low.stud.value);
            // A stud goes through both flanges and a nut at each end.
            assert!(low.stud.value > low.thickness.value + low.thickness.value);
            assert!(low.hub_length.value > low.thickness.value);
        }
    }

    #[test]
    fn two_classes_are_there() {
        let classes: Vec<u32> = (0..3000).filter(|class| has_flanges(*class)).collect();
        assert_eq!(classes, [150, 300]);
    }

    #[test]
    fn class_150_is_that_of_b16_5() {
        // ASME B16.5 Class 150: outside diameter and thickness in tenths of a millimetre, stud
        // length (table 7 of the 2009 edition) in millimetres; typed from memory.
        for (nps, od, thickness, stud) in
            [(2, 1524, 191, 85), (4, 2286, 239, 90), (6, 2794, 254, 100), (12, 4826, 318, 120)]
        {
            let f = flange(nps * 64, 150).unwrap();
            assert_eq!(f.diameter.value, Length::from_nm(od * 100_000));
            assert_eq!(f.thickness.value, Length::from_nm(thickness * 100_000));
            assert_eq!(f.stud.value, Length::from_mm(stud));
        }
    }
}
