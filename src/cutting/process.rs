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

/// The style of cutting.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Style {
    /// Edge-to-edge cuts only.
    Straight,
    /// Any layout that a knife can follow.
    Free,
}
