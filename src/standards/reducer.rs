//! Butt-welding reducers: their length depends on the large end only.

use super::figure::{Figure, lines};
use super::nominal::nps_64ths;
use std::sync::LazyLock;

static ROWS: LazyLock<Vec<(u32, Vec<u32>, Figure)>> = LazyLock::new(|| {
    lines("reducers", include_str!("tables/reducers.csv"))
        .filter_map(|line| {
            let small = line.cell(2).split(' ').filter_map(nps_64ths).collect();
            Some((nps_64ths(line.cell(0))?, small, line.figure(1, 3, 4)?))
        })
        .collect()
});

/// End to end of the reducer between these sizes; `None` where the table has none.
#[must_use]
pub fn reducer_length(large: u32, small: u32) -> Option<Figure> {
    ROWS.iter()
        .find(|(size, ends, _)| *size == large && ends.contains(&small))
        .map(|(.., figure)| *figure)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    #[test]
    fn lengths_are_those_of_b16_9() {
        // ASME B16.9 dimension H in whole millimetres, typed from memory.
        assert_eq!(ROWS.len(), 20);
        let published = [
            ("2", "1", 76),
            ("3", "2", 89),
            ("4", "3", 102),
            ("6", "4", 140),
            ("8", "6", 152),
            ("12", "10", 203),
        ];
        for (large, small, mm) in published {
            let figure = reducer_length(nps_64ths(large).unwrap(), nps_64ths(small).unwrap());
            assert_eq!(figure.map(|f| f.value), Some(Length::from_mm(mm)), "NPS {large} x {small}");
        }
        assert_eq!(reducer_length(24 * 64, 64), None);
        for (large, small, _) in ROWS.iter() {
            assert!(!small.is_empty() && small.iter().all(|s| s < large));
        }
    }
}
