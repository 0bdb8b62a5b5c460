//! The plan file's record of joints chosen together with the cutting.

use crate::units::{Area, Decimal, Length, Money};
use serde::{Deserialize, Serialize};

/// How joints were chosen together with the cutting.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Choice {
    /// What the plan would be with all joints as specified; it was assembled and audited as well.
    pub specified: Figures,
    /// The runs whose joints are not as specified; none where choosing saved nothing.
    pub runs: Vec<ChosenRun>,
}

/// A run whose joints are not as specified.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct ChosenRun {
    /// The item.
    pub item: String,
    /// Which run of it, from 1.
    pub run: u32,
    /// Joints beyond those specified, in all the item's copies.
    pub joints: i64,
    /// What it saves at the nest's prices, in the unit of the plan's value; an estimate, since
    /// choices help each other.
    pub saves: Decimal,
}

/// What two plans of one job are compared by.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Figures {
    /// One line a nest.
    pub nests: Vec<NestFigures>,
    /// Joints along the runs that are free to choose.
    pub joints: u64,
}

/// One thickness in [`Figures`].
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct NestFigures {
    /// Blanket thickness.
    pub thickness: Option<Length>,
    /// Its value.
    pub value: Decimal,
    /// A lower bound.
    pub bound: Decimal,
    /// Rolls that are cut.
    pub rolls: u64,
    /// Their price.
    pub price: Money,
    /// Blanket drawn off: from the roll's front to the end of its last pull, in its full width.
    pub drawn: Area,
    /// Pieces wanted.
    pub pieces: Area,
}
