//! Stock once it is through the door: never invalid.

use crate::finding::Place;
use crate::units::{Length, Money};

/// What the pieces can be cut from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stock {
    /// Rolls on offer; names are unique.
    pub rolls: Vec<Roll>,
    /// Offcuts on the shelf; names are unique among rolls and offcuts.
    pub offcuts: Vec<Offcut>,
}

/// A roll that can be bought.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Roll {
    /// Its name.
    pub id: String,
    /// Blanket thickness.
    pub thickness: Length,
    /// Nominal width.
    pub width: Length,
    /// Nominal length.
    pub length: Length,
    /// Price of one, where given.
    pub price: Option<Money>,
    /// How many can be had; `None` is without limit.
    pub available: Option<u64>,
    /// Where it stands in the file.
    pub place: Place,
}

/// An offcut on the shelf, already paid for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Offcut {
    /// Its name.
    pub id: String,
    /// Blanket thickness.
    pub thickness: Length,
    /// Width across.
    pub width: Length,
    /// Length along.
    pub length: Length,
    /// How many like it.
    pub quantity: u64,
    /// Where it lies.
    pub shelf: String,
    /// Where it stands in the file.
    pub place: Place,
}
