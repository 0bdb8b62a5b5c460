//! The plan file's record of what was chosen together with the cutting.

use super::Plan;
use crate::demand::{Making, Makings, Picks};
use crate::nest::Status;
use crate::units::{Area, Decimal, Length, Money};
use serde::{Deserialize, Serialize};
use std::collections::BTreeSet;

/// How joints, and ways to make items, were chosen together with the cutting.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Choice {
    /// What the plan would be with all as specified; it was assembled and audited as well.
    pub specified: Figures,
    /// Items that are not made as specified, by what was chosen together; none where that saved
    /// nothing.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub things: Vec<ChosenThing>,
    /// What all nests together cannot go below, whatever is chosen; absent where it is no more than
    /// the sum of the nests' bounds.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bound: Option<Decimal>,
    /// Where all stays as specified, what all nests together cannot go below, whatever is chosen: the nests' own
    /// bounds are of the pieces as specified there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least: Option<Decimal>,
    /// The runs whose joints are not as specified; none where choosing saved nothing.
    pub runs: Vec<ChosenRun>,
    /// Joints along the runs that are free to choose, as they are now.
    pub joints: u64,
    /// Whether `specified` was nested again from the pulls with which the choosing began, and is better for
    /// that than the plan that is made where nothing may be chosen. Not in the file where it was not.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub again: bool,
    /// Whether the clock or Ctrl-C ended the search among what may be chosen. Not in the file where it did not.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub stopped: bool,
}

/// What a plan cuts from.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CutFrom {
    /// Rolls that are bought.
    pub bought: u64,
    /// Whole rolls that are there already: bought for an earlier plan and not begun.
    pub whole: u64,
    /// Rests and offcuts that are there already.
    pub offcuts: u64,
}

impl Plan {
    /// Which searches the clock or Ctrl-C ended, in words: those of thicknesses for which nothing is proven, for the
    /// order of cutting, and among what may be chosen.
    #[must_use]
    pub fn stopped(&self) -> Vec<String> {
        let stopped = self.nests.iter().filter(|nest| nest.status == Status::Stopped);
        let name = |nest: &super::Nest| {
            nest.thickness.map_or_else(|| "the rolls".to_owned(), |t| format!("{t} mm"))
        };
        let mut all: Vec<String> = stopped.map(name).collect();
        if self.sequence.as_ref().is_some_and(|sequence| sequence.stopped) {
            all.push("the order of cutting".to_owned());
        }
        if self.choice.as_ref().is_some_and(|choice| choice.stopped) {
            all.push("what may be chosen".to_owned());
        }
        all
    }

    /// Whether the clock or Ctrl-C ended a search for its rolls, or among what may be chosen.
    #[must_use]
    pub fn stopped_early(&self) -> bool {
        let choice = self.choice.as_ref();
        self.status == Status::Stopped || choice.is_some_and(|choice| choice.stopped)
    }

    /// How many rolls are bought, and how many rolls and offcuts are taken that are there already.
    #[must_use]
    pub fn cut_from(&self) -> CutFrom {
        let mut from = CutFrom::default();
        for roll in &self.rolls {
            let count = match (roll.shelf, self.whole(&roll.roll)) {
                (false, _) => &mut from.bought,
                (true, Some(_)) => &mut from.whole,
                (true, None) => &mut from.offcuts,
            };
            *count = count.saturating_add(roll.copies);
        }
        from
    }

    /// Raises the bound of the whole to one that holds for all nests together.
    pub fn bound_together(&mut self, bound: Option<Decimal>) {
        self.bound = bound.map_or(self.bound, |bound| bound.max(self.bound).min(self.value));
        if self.bound == self.value {
            self.status = Status::Proven;
        }
    }
}

impl Choice {
    /// Nothing chosen yet, of a plan as specified that comes to these figures.
    #[must_use]
    pub const fn none(specified: Figures) -> Self {
        Self {
            joints: specified.joints,
            specified,
            things: Vec::new(),
            runs: Vec::new(),
            bound: None,
            least: None,
            again: false,
            stopped: false,
        }
    }

    /// Whether all stays as specified.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.things.is_empty() && self.runs.is_empty()
    }

    /// The items that are not made as specified.
    #[must_use]
    pub fn makings(&self) -> Makings {
        let items = self.things.iter().flat_map(|thing| &thing.items);
        items.map(|chosen| (chosen.item.clone(), chosen.making.clone())).collect()
    }
}

/// What earlier plans chose and a plan that goes on from them keeps.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub struct Earlier {
    /// Items that are not made as specified.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub items: Vec<ChosenItem>,
    /// Runs whose joints are not as specified.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub runs: Vec<KeptRun>,
}

/// A run whose courses an earlier plan chose.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct KeptRun {
    /// The item.
    pub item: String,
    /// Which run of it, from 1.
    pub run: u32,
    /// The courses of each layer as it is cut, inner first.
    pub courses: Vec<Vec<Length>>,
}

impl Earlier {
    /// Whether nothing is kept.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.items.is_empty() && self.runs.is_empty()
    }

    /// As picks.
    #[must_use]
    pub fn picks(&self) -> Picks {
        let item = |chosen: &ChosenItem| (chosen.item.clone(), chosen.making.clone());
        let run = |kept: &KeptRun| ((kept.item.clone(), kept.run), kept.courses.clone());
        Picks {
            makings: self.items.iter().map(item).collect(),
            courses: self.runs.iter().map(run).collect(),
        }
    }

    /// The items that are not as specified, each once, in order.
    #[must_use]
    pub fn named(&self) -> BTreeSet<&str> {
        let items = self.items.iter().map(|chosen| chosen.item.as_str());
        items.chain(self.runs.iter().map(|kept| kept.item.as_str())).collect()
    }
}

impl From<&Picks> for Earlier {
    fn from(picks: &Picks) -> Self {
        let item = |(item, making): (&String, &Making)| ChosenItem {
            item: item.clone(),
            making: making.clone(),
        };
        let run = |((item, run), courses): (&(String, u32), &Vec<Vec<Length>>)| KeptRun {
            item: item.clone(),
            run: *run,
            courses: courses.clone(),
        };
        Self {
            items: picks.makings.iter().map(item).collect(),
            runs: picks.courses.iter().map(run).collect(),
        }
    }
}

/// Items that are made otherwise than as specified, chosen together.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ChosenThing {
    /// The items.
    pub items: Vec<ChosenItem>,
    /// Pieces beyond those specified, in all copies.
    pub pieces: i64,
    /// What it saves at the nest's prices, in the unit of the plan's value; an estimate, since
    /// choices help each other.
    pub saves: Decimal,
}

/// An item that is made otherwise than as specified.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct ChosenItem {
    /// The item.
    pub item: String,
    /// How it is made.
    pub making: Making,
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
    /// All pieces.
    pub pieces: u64,
    /// What its order of cutting asks of the table; absent where it is not in one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_table: Option<AtTable>,
}

/// What an order of cutting asks of the table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct AtTable {
    /// Most kits open at once.
    pub open_kits: u64,
    /// Settings of the knives.
    pub setups: u64,
    /// Changes of the roll.
    pub roll_changes: u64,
    /// All its time, in seconds, at the rates in the rules.
    pub seconds: u64,
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
    /// Rolls that are bought and cut.
    pub rolls: u64,
    /// Rolls that are bought, with spares and what a minimum order or a price break adds; 0 in plans of earlier
    /// versions.
    #[serde(default)]
    pub bought: u64,
    /// Offcuts that are taken, which are there already.
    #[serde(default)]
    pub offcuts: u64,
    /// What is paid for them, and for the spares and whatever else is bought with them, freight included.
    pub price: Money,
    /// Blanket drawn off: from the roll's front to the end of its last pull, in its full width.
    pub drawn: Area,
    /// Pieces wanted.
    pub pieces: Area,
}

impl NestFigures {
    /// Of a thickness of which nothing is cut.
    #[must_use]
    pub fn nothing(thickness: Option<Length>) -> Self {
        Self {
            thickness,
            value: Decimal::default(),
            bound: Decimal::default(),
            rolls: 0,
            bought: 0,
            offcuts: 0,
            price: Money::ZERO,
            drawn: Area::ZERO,
            pieces: Area::ZERO,
        }
    }
}
