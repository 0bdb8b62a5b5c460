//! How a roll may be cut.

use crate::units::Length;
use serde::{Deserialize, Serialize};

/// How a roll may be cut.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Cutting {
    /// Straight cuts edge to edge, or any outline.
    pub style: Style,
    /// For straight cuts: 2 (cross-cut, rip), 3 (cross-cut, rip, cross-cut), trims not counted;
    /// `None` is any number.
    pub stages: Option<u8>,
    /// The longest pull the table takes.
    pub pull_limit: Option<Length>,
    /// Cut off the front of each roll once.
    pub square_cut: Length,
    /// Cut off each of the two long edges.
    pub edge_trim: Length,
    /// Free distance between pieces, also across pulls, not at the roll's edges.
    pub gap: Length,
}

impl Cutting {
    /// Cut in this style and so many stages, and nothing else asked: pulls of any length, nothing cut off
    /// beforehand, no gap.
    #[must_use]
    pub const fn plain(style: Style, stages: Option<u8>) -> Self {
        let none = Length::ZERO;
        Self { style, stages, pull_limit: None, square_cut: none, edge_trim: none, gap: none }
    }
}

/// The style of cutting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Style {
    /// Edge-to-edge cuts only.
    Straight,
    /// Any layout that a knife can follow.
    Free,
}

/// A step in which sizes can be rounded up where `divisor` (nanometres) divides all sizes in play:
/// the divisor itself, or a part of it that is no more than a millimetre, where whole parts of ten,
/// five, two and three go on that far.
///
/// ```
/// assert_eq!(rollwright::cutting::fine(5_000_000), 1_000_000);
/// assert_eq!(rollwright::cutting::fine(396_875), 396_875);
/// ```
#[must_use]
pub fn fine(divisor: i64) -> i64 {
    const MILLIMETRE: i64 = 1_000_000;
    let mut step = divisor.max(1);
    while step > MILLIMETRE {
        let whole = |part: &i64| step % part == 0;
        let enough = [2, 3, 5, 10].into_iter().find(|p| whole(p) && step / p <= MILLIMETRE);
        match enough.or_else(|| [10, 5, 3, 2].into_iter().find(whole)) {
            Some(part) => step /= part,
            None => break,
        }
    }
    step
}
