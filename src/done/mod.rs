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
pub use read::read;
pub use record::COLUMNS;
pub use stage::{cut_for, report, waiting};
pub use standing::standing;

use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// What was done, valid against its plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Done {
    /// For each ticket, by its number, what happened to its roll.
    pub tickets: BTreeMap<u64, Happened>,
}

/// What happened to one roll.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Happened {
    /// Numbers of the pulls that were cut, in the order of cutting over all rolls.
    pub cut: BTreeSet<u64>,
    /// Stretches that cannot be used, from and to, from the roll's front.
    pub damaged: Vec<(Length, Length)>,
    /// How long the roll truly is, where that is not what the plan says.
    pub length: Option<Length>,
    /// Spoilt pieces: pull and code, how many.
    pub spoilt: BTreeMap<(u64, String), u64>,
}

impl Happened {
    /// Whether the roll is as it was bought.
    #[must_use]
    pub fn untouched(&self) -> bool {
        self.cut.is_empty() && self.damaged.is_empty() && self.length.is_none()
    }

    /// The stretches that cannot be used, from the roll's front on.
    #[must_use]
    pub fn damaged_in_order(&self) -> Vec<(Length, Length)> {
        let mut damaged = self.damaged.clone();
        damaged.sort_unstable();
        damaged
    }
}
