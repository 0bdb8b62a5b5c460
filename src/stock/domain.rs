//! Stock once it is through the door: never invalid.

use crate::finding::Place;
use crate::rules::Table;
use crate::table::quoted;
use crate::units::{Length, Money};

/// What the pieces can be cut from.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Stock {
    /// Rolls on offer; names are unique.
    pub rolls: Vec<Roll>,
    /// Offcuts on the shelf; names are unique among rolls and offcuts.
    pub offcuts: Vec<Offcut>,
}

impl Stock {
    /// The rolls on offer of a thickness.
    pub fn of(&self, thickness: Length) -> impl Iterator<Item = &Roll> {
        self.rolls.iter().filter(move |roll| roll.thickness == thickness)
    }

    /// Where it says how many of a thickness can be had, of the first roll of which that is limited.
    #[must_use]
    pub fn limit(&self, thickness: Option<Length>) -> Option<Place> {
        let limited = |roll: &&Roll| Some(roll.thickness) == thickness && roll.available.is_some();
        self.rolls.iter().find(limited).map(|roll| roll.place.field("available", None))
    }

    /// What to do where the rolls of a thickness do not suffice: courses are laid out for the widest of some,
    /// and more of narrower ones may not help. `enough` says with how many of which they would.
    #[must_use]
    pub fn more(&self, thickness: Option<Length>, enough: &str) -> String {
        let all = format!(
            "raise `available`{enough}, offer another roll of this thickness, or plan part of the takeoff"
        );
        let laid = || {
            let rolls = self.rolls.iter().filter(|roll| roll.is_laid_out_for());
            rolls.filter(|roll| Some(roll.thickness) == thickness)
        };
        let Some(width) = laid().map(|roll| roll.width).max() else { return all };
        let limited = laid().filter(|roll| roll.width == width && roll.available.is_some());
        let widest: Vec<String> = limited.map(|roll| quoted(&roll.id)).collect();
        let narrower = laid().filter(|roll| roll.width < width);
        let narrower: Vec<String> = narrower.map(|roll| quoted(&roll.id)).collect();
        if widest.is_empty() || narrower.is_empty() {
            return all;
        }
        let (widest, narrower) = (widest.join(" and "), narrower.join(" and "));
        format!(
            "raise `available`{enough}, or write no into the column `courses` of {widest}, which lays the courses \
             out for {narrower} and still cuts from {widest}: now they are as wide as {widest}, and many fit \
             nothing else"
        )
    }
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
    /// Whether it is on offer at all: not where rolls.csv says that none can be had. Courses are laid out
    /// for what is on offer, also when all of it has been bought.
    pub offered: bool,
    /// Whether courses are laid out for it where it is on offer: not where rolls.csv says so, and then it only serves
    /// for pieces that happen to fit.
    pub courses: bool,
    /// What the supplier asks beside the price.
    pub terms: Terms,
    /// Where it stands in the file.
    pub place: Place,
}

impl Roll {
    /// Whether courses are laid out for it: it is on offer, and nobody says that they are not.
    #[must_use]
    pub const fn is_laid_out_for(&self) -> bool {
        self.offered && self.courses
    }

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
