//! Stock once it is through the door: never invalid.

use crate::finding::Place;
use crate::rules::Table;
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
    /// What the supplier asks beside the price.
    pub terms: Terms,
    /// Where it stands in the file.
    pub place: Place,
}

impl Roll {
    /// Whether a size across and along fits it at this table.
    #[must_use]
    pub fn takes(&self, (across, along): (Length, Length), table: &Table) -> bool {
        table.pull_limit.is_none_or(|limit| along <= limit)
            && across <= self.width - table.edge_trim * 2
            && along <= self.length - table.square_cut
    }
}

/// What a supplier asks beside the price of one roll.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Terms {
    /// The price's currency; empty where none is given.
    pub currency: String,
    /// Price of one when at least so many are bought; quantities increase.
    pub breaks: Vec<(u64, Money)>,
    /// Fewest that are sold; 0 and 1 are without a minimum.
    pub minimum: u64,
    /// How many go on one pallet; `None`: freight is not counted.
    pub per_pallet: Option<u64>,
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
