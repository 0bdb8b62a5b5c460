//! What the shop reports as done, and what is on hand after it: the ground on which the rest of a
//! job is planned when the day went otherwise than the plan.
//!
//! Steps: read the report against the plan it was cut by ([`read()`]); from both, the pieces that are
//! cut and whom they are for, and what is left of every roll ([`on_hand()`]), with a sentence for each
//! thing that is not as planned.

mod differences;
mod on_hand;
mod read;
mod record;
mod stage;
mod standing;

pub use differences::differences;
pub use on_hand::{Ground, begun, on_hand, ordered, spares};
pub use read::{plan_of, read};
pub use record::COLUMNS;
pub use stage::{cut_for, report, waiting};
pub use standing::{Standing, standing};

use crate::plan::Pull;
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// What was done, valid against its plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Done {
    /// For each ticket, by its number, what happened to its roll.
    pub tickets: BTreeMap<u64, Happened>,
    /// What no ticket is for and is there no more: how many.
    pub gone: BTreeMap<Loose, u64>,
    /// Whether the report bears the plan's own mark.
    pub marked: bool,
}

/// What no ticket is for. An offcut may be called like rolls that are not begun, and is none of them all the same.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Loose {
    /// Whole rolls of a product.
    Whole(String),
    /// A rest or an offcut, by its name on hand.
    Part(String),
}

/// What happened to one roll.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Happened {
    /// Numbers of the pulls that were cut from it, in the order of cutting over all rolls.
    pub cut: BTreeSet<u64>,
    /// Numbers of its pulls that were cut from another roll: their pieces are there, and it is not used up by
    /// them.
    pub elsewhere: BTreeSet<u64>,
    /// Stretches that cannot be used, from and to, from the roll's front.
    pub damaged: Vec<(Length, Length)>,
    /// How long the roll truly is, where that is not what the plan says.
    pub length: Option<Length>,
    /// How much is left of it up to its end, where that was measured.
    pub left: Option<Length>,
    /// Spoilt pieces: pull and code, how many.
    pub spoilt: BTreeMap<(u64, String), u64>,
}

impl Happened {
    /// Whether the roll is as it was bought.
    #[must_use]
    pub fn untouched(&self) -> bool {
        self.cut.is_empty()
            && self.damaged.is_empty()
            && self.length.is_none()
            && self.left.is_none()
    }

    /// Whether a pull is cut, from whatever roll.
    #[must_use]
    pub fn is_cut(&self, pull: u64) -> bool {
        self.cut.contains(&pull) || self.elsewhere.contains(&pull)
    }

    /// How far the roll is cut, from its front, by its pulls by number: up to the last that was cut from it, less
    /// those in front of that which were cut from another, with the gaps behind them, as what follows then moves up.
    #[must_use]
    pub fn front(&self, pulls: &BTreeMap<u64, &Pull>) -> Length {
        let Some((last, pull)) = self.cut.last().and_then(|last| pulls.get_key_value(last)) else {
            return Length::ZERO;
        };
        let up_to_the_next = |number: &u64| {
            let mut from = pulls.range(number..);
            let (other, next) = (from.next()?.1, from.next()?.1);
            Some(next.y - other.y)
        };
        let others = self.elsewhere.range(..last).filter_map(up_to_the_next);
        others.fold(pull.y + pull.length, |front, other| front - other)
    }

    /// Where what is left of it begins, from its front to `end`: as measured, else behind its last cut.
    #[must_use]
    pub fn begins(&self, pulls: &BTreeMap<u64, &Pull>, end: Length) -> Length {
        self.left.map_or_else(|| self.front(pulls), |left| end - left)
    }

    /// The stretches that cannot be used, from the roll's front on.
    #[must_use]
    pub fn damaged_in_order(&self) -> Vec<(Length, Length)> {
        let mut damaged = self.damaged.clone();
        damaged.sort_unstable();
        damaged
    }
}
