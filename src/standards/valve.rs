//! Flanged valves, face to face with raised faces.

use super::figure::{Figure, lines};
use super::nominal::nps_64ths;
use std::sync::LazyLock;

/// Kinds of valve that the table knows.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum ValveKind {
    /// Gate.
    Gate,
    /// Globe.
    Globe,
    /// Ball, long pattern.
    Ball,
}

static ROWS: LazyLock<Vec<(ValveKind, u32, u32, Figure)>> = LazyLock::new(|| {
    lines("valves", include_str!("tables/valves.csv"))
        .filter_map(|line| {
            let kind = match line.cell(0) {
                "gate" => ValveKind::Gate,
                "globe" => ValveKind::Globe,
                "ball" => ValveKind::Ball,
                _ => return None,
            };
            Some((
                kind,
                line.cell(1).parse().ok()?,
                nps_64ths(line.cell(2))?,
                line.figure(3, 4, 5)?,
            ))
        })
        .collect()
});

/// Face to face of the valve of this kind, size and class; `None` where the table has none.
#[must_use]
pub fn face_to_face(kind: ValveKind, nps: u32, class: u32) -> Option<Figure> {
    ROWS.iter().find(|(k, c, n, _)| (*k, *c, *n) == (kind, class, nps)).map(|(.., figure)| *figure)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn gate_valves_are_those_of_b16_10() {
        // ASME B16.10 gate valves, Class 150 and 300, raised face, whole millimetres; typed from
        // memory.
        assert_eq!(ROWS.len(), 88);
        for (nps, low, high) in [(2, 178, 216), (3, 203, 283), (4, 229, 305), (6, 267, 403)] {
            let f2f = |class| face_to_face(ValveKind::Gate, nps * 64, class).map(|f| f.value);
            assert_eq!(f2f(150), Some(Length::from_mm(low)));
            assert_eq!(f2f(300), Some(Length::from_mm(high)));
        }
    }

    #[test]
    fn figures_grow_with_the_size() {
        for pair in ROWS.windows(2) {
            if (pair[0].0, pair[0].1) == (pair[1].0, pair[1].1) {
                assert!(pair[0].2 < pair[1].2 && pair[0].3.value < pair[1].3.value, "{pair:?}");
            }
        }
    }
}
