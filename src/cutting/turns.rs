//! How a piece may be turned on the roll.

use crate::units::{Angle, Length};
use serde::{Deserialize, Serialize};

/// The turns a piece may take, counter-clockwise.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(untagged)]
pub enum Turns {
    /// Only these, each once and in increasing order.
    Only(Vec<Angle>),
    /// Any angle (`null` in files).
    Any,
}

impl Turns {
    /// Not turned at all.
    #[must_use]
    pub fn none() -> Self {
        Self::Only(vec![Angle::ZERO])
    }

    /// Unturned or by a quarter turn.
    #[must_use]
    pub fn quarter() -> Self {
        Self::Only(vec![Angle::ZERO, Angle::QUARTER])
    }

    /// Whether this turn is allowed.
    #[must_use]
    pub fn allow(&self, turn: Angle) -> bool {
        match self {
            Self::Any => true,
            Self::Only(turns) => {
                let full = 360_000_000;
                let norm = |a: Angle| a.microdegrees().rem_euclid(full);
                turns.iter().any(|&t| norm(t) == norm(turn))
            }
        }
    }

    /// Whether the bounding box may lie with its sides as given (0 or 180 degrees).
    #[must_use]
    pub fn upright(&self) -> bool {
        self.upright_turn().is_some()
    }

    /// Whether the bounding box may lie with its sides exchanged (90 or 270 degrees).
    #[must_use]
    pub fn sideways(&self) -> bool {
        self.sideways_turn().is_some()
    }

    /// Whether a bounding box of this size across and along fits in one of its turns.
    #[must_use]
    pub fn fit(
        &self,
        (across, along): (Length, Length),
        fits: impl Fn(Length, Length) -> bool,
    ) -> bool {
        (self.upright() && fits(across, along)) || (self.sideways() && fits(along, across))
    }

    /// A turn by which the bounding box lies with its sides as given, the unturned one first.
    #[must_use]
    pub fn upright_turn(&self) -> Option<Angle> {
        self.first_of([Angle::ZERO, Angle::from_degrees(180)])
    }

    /// A turn by which the bounding box lies with its sides exchanged, the quarter turn first.
    #[must_use]
    pub fn sideways_turn(&self) -> Option<Angle> {
        self.first_of([Angle::QUARTER, Angle::from_degrees(270)])
    }

    fn first_of(&self, turns: [Angle; 2]) -> Option<Angle> {
        turns.into_iter().find(|&turn| self.allow(turn))
    }
}
