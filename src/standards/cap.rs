//! Butt-welding caps.

use super::figure::{Figure, lines};
use super::nominal::nps_64ths;
use std::sync::LazyLock;

static ROWS: LazyLock<Vec<(u32, Figure)>> = LazyLock::new(|| {
    lines("caps", include_str!("tables/caps.csv"))
        .filter_map(|line| Some((nps_64ths(line.cell(0))?, line.figure(1, 2, 3)?)))
        .collect()
});

/// End to crown of the cap of this size.
#[must_use]
pub fn cap_length(nps: u32) -> Option<Figure> {
    ROWS.iter().find(|(size, _)| *size == nps).map(|(_, figure)| *figure)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::standards::pipe_rows;

    #[test]
    fn every_pipe_has_a_cap_with_a_skirt() {
        // A 2:1 ellipsoidal end is a quarter of its diameter deep; the rest is a straight skirt.
        assert_eq!(ROWS.len(), 33);
        for row in pipe_rows() {
            let cap = cap_length(row.nps_64ths).unwrap();
            assert!(cap.value.nm() * 4 > row.asme.value.nm(), "{row:?}");
        }
    }
}
