//! The engine's answer: layouts with copies, a bound, and an honest status.

use super::bound::Certificate;
use super::{Instance, NestError, Watch};
use crate::cutting::Objective;
use crate::units::{Angle, Length};
use serde::{Deserialize, Serialize};

/// An answer to an [`Instance`].
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Nesting {
    /// Rolls and what is cut from them.
    pub layouts: Vec<Layout>,
    /// What the layouts come to, in the objective's unit.
    pub value: i64,
    /// A lower bound for the cutting style asked for, re-computed in whole numbers.
    pub bound: i64,
    /// What the bound rests on.
    pub basis: Basis,
    /// What another program needs to check the bound, where it rests on prices.
    pub certificate: Option<Certificate>,
    /// Whether the bound reaches the value, and if not, why.
    pub status: Status,
}

impl Nesting {
    /// An answer of layouts that are known to be valid and to hold all pieces; nothing is known of others.
    #[must_use]
    pub fn known(instance: &Instance, layouts: Vec<Layout>) -> Self {
        let value = value(instance, &layouts);
        let (bound, basis, status) = (0, Basis::Area, Status::Feasible);
        Self { layouts, value, bound, basis, certificate: None, status }
    }

    /// Another answer to the same instance in the place of this one: what is proven of all answers stays.
    #[must_use]
    pub fn replaced_by(self, other: Self) -> Self {
        let Self { bound, basis, certificate, .. } = self;
        let status = Status::of(other.value, bound, false);
        Self { bound, basis, certificate, status, ..other }
    }

    /// The same after a search that had a share of this watch's time: stopped only where all of that is over.
    pub(super) fn within(self, watch: &dyn Watch) -> Self {
        let status = match self.status {
            Status::Proven => Status::Proven,
            Status::Feasible | Status::Stopped if watch.stop() => Status::Stopped,
            Status::Feasible | Status::Stopped => Status::Feasible,
        };
        Self { status, ..self }
    }

    /// What came of a search, or an answer that was known, where that costs less.
    #[must_use]
    pub fn no_worse_than(found: Result<Self, NestError>, known: Self) -> Self {
        match found {
            Ok(found) if found.value <= known.value => found,
            Ok(found) => found.replaced_by(known),
            Err(_) => known,
        }
    }

    /// How many of each of so many rolls are cut.
    #[must_use]
    pub fn used(&self, rolls: usize) -> Vec<u64> {
        used(&self.layouts, rolls)
    }
}

/// A roll's layout and how many rolls are cut like it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Layout {
    /// Index into the instance's rolls.
    pub roll: usize,
    /// How many rolls are cut like this.
    pub copies: u64,
    /// The lengths drawn off, in order from the front; they do not overlap.
    pub pulls: Vec<Pull>,
}

impl Layout {
    /// Where the last pull ends: so much is drawn off.
    #[must_use]
    pub fn far_end(&self) -> Length {
        self.pulls.iter().map(|pull| pull.y + pull.length).max().unwrap_or_default()
    }
}

/// What the layouts come to, in the objective's unit.
pub(super) fn value(instance: &Instance, layouts: &[Layout]) -> i64 {
    let copies = |l: &Layout| i64::try_from(l.copies).unwrap_or(i64::MAX);
    match instance.objective {
        Objective::Rolls | Objective::Price => {
            let cost = |l: &Layout| instance.rolls[l.roll].cost(instance.objective) * copies(l);
            layouts.iter().map(cost).sum()
        }
        Objective::Length => layouts.iter().map(|layout| layout.far_end().nm()).sum(),
    }
}

/// One length drawn off the roll and cut square.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pull {
    /// Where it starts, from the roll's front before the square cut.
    pub y: Length,
    /// How long it is.
    pub length: Length,
    /// What is cut from it, in the roll's coordinates.
    pub placements: Vec<Placement>,
}

impl Pull {
    /// The same so much further along its roll.
    #[must_use]
    pub fn moved(&self, along: Length) -> Self {
        let place = |p: &Placement| Placement { y: p.y + along, ..*p };
        Self {
            y: self.y + along,
            length: self.length,
            placements: self.placements.iter().map(place).collect(),
        }
    }
}

/// How many of each of so many rolls layouts are cut from.
#[must_use]
pub fn used(layouts: &[Layout], rolls: usize) -> Vec<u64> {
    let mut used = vec![0; rolls];
    for layout in layouts {
        if let Some(count) = used.get_mut(layout.roll) {
            *count += layout.copies;
        }
    }
    used
}

/// How often layouts hold each of so many pieces.
#[must_use]
pub fn made(layouts: &[Layout], pieces: usize) -> Vec<u64> {
    let mut made = vec![0_u64; pieces];
    for layout in layouts {
        for place in layout.pulls.iter().flat_map(|pull| &pull.placements) {
            made[place.piece] = made[place.piece].saturating_add(layout.copies);
        }
    }
    made
}

/// A piece's place: the lower left corner of the turned piece's bounding box.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Placement {
    /// Index into the instance's pieces.
    pub piece: usize,
    /// Across the roll, from the roll's left edge before the edge trim.
    pub x: Length,
    /// Along the roll, from the roll's front before the square cut.
    pub y: Length,
    /// Counter-clockwise turn, before the placing.
    pub turn: Angle,
}

/// What a bound rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Basis {
    /// The pieces' area against the rolls'.
    Area,
    /// Dual feasible functions.
    DualFeasible,
    /// The linear programme over what lines across the rolls can meet.
    Lines,
    /// The linear programme over all layouts, with prices re-checked in whole numbers.
    LinearProgramme,
    /// An exhaustive search that ruled out every smaller value.
    Search,
}

/// How far the answer can be trusted to be the best.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Status {
    /// The bound reaches the value: nothing smaller exists in this cutting style.
    Proven,
    /// The work allowed is done; the gap stands.
    Feasible,
    /// Stopped early by the clock or by the user; the gap stands.
    Stopped,
}

impl Status {
    /// Of an answer of this value where that is the bound, and where somebody stopped the search or not.
    #[must_use]
    pub const fn of(value: i64, bound: i64, stopped: bool) -> Self {
        if value <= bound {
            Self::Proven
        } else if stopped {
            Self::Stopped
        } else {
            Self::Feasible
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What was known stays where a search finds only worse, and is judged by the bound of that search.
    #[test]
    fn what_is_known_and_better_stays() {
        let nesting = |value, bound| Nesting {
            layouts: Vec::new(),
            value,
            bound,
            basis: Basis::Search,
            certificate: None,
            status: Status::of(value, bound, false),
        };
        let kept = |found, known| {
            let kept = Nesting::no_worse_than(found, known);
            (kept.value, kept.bound, kept.status)
        };
        assert_eq!(kept(Ok(nesting(4, 3)), nesting(3, 0)), (3, 3, Status::Proven));
        assert_eq!(kept(Ok(nesting(4, 2)), nesting(3, 0)), (3, 2, Status::Feasible));
        assert_eq!(kept(Ok(nesting(3, 2)), nesting(3, 0)), (3, 2, Status::Feasible));
        assert_eq!(kept(Err(NestError::NoRolls), nesting(3, 0)), (3, 0, Status::Feasible));
    }
}
