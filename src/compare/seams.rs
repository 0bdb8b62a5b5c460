//! Where the seams of elbow gores lie, side by side: a job planned with them at the throat, at the heel
//! and in turn, and what each needs.

use crate::nest::Status;
use crate::plan::{Areas, Plan};
use crate::rules::Seam;
use crate::units::{Area, Decimal, Length};
use serde::Serialize;

/// The places, with the words for them.
pub const SEAMS: [(Seam, &str); 3] =
    [(Seam::Throat, "throat"), (Seam::Heel, "heel"), (Seam::Alternate, "alternate")];

/// What one place of the seams comes to.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Place {
    /// `throat`, `heel` or `alternate`.
    pub seam: &'static str,
    /// Whether the job's rules say so.
    pub chosen: bool,
    /// In the job's objective: rolls, price or length.
    pub value: Decimal,
    /// A lower bound on the value.
    pub bound: Decimal,
    /// Whether the bound reaches the value.
    #[serde(skip)]
    pub status: Status,
    /// Rolls bought, by thickness.
    #[serde(skip)]
    pub rolls: Vec<(Option<Length>, u64)>,
    /// Offcuts taken, which are there already.
    pub offcuts: u64,
    /// Pieces.
    pub pieces: u64,
    /// Drawn off and cut: rolls without what is kept and the ends too small to keep.
    pub cut: Area,
    /// Between and around the pieces.
    pub between: Area,
}

impl Place {
    /// The figures of a plan with the seams there.
    #[must_use]
    pub fn of(plan: &Plan, (seam, name): (Seam, &'static str), own: Seam) -> Self {
        let sum = |part: fn(&Areas) -> Area| {
            plan.nests.iter().fold(Area::ZERO, |sum, nest| sum + part(&nest.areas))
        };
        Self {
            seam: name,
            chosen: seam == own,
            value: plan.value,
            bound: plan.bound,
            status: plan.status,
            rolls: plan
                .nests
                .iter()
                .enumerate()
                .map(|(at, n)| (n.thickness, plan.bought_for(at)))
                .collect(),
            offcuts: plan.cut_from().offcuts,
            pieces: plan.pieces.iter().map(|piece| piece.quantity).sum(),
            cut: sum(|a| a.rolls - a.kept - a.roll_ends),
            between: sum(|a| a.between),
        }
    }

    /// All rolls bought.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.rolls.iter().map(|(_, count)| count).sum()
    }
}

/// The places side by side.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Seams {
    /// In the order of [`SEAMS`].
    pub places: Vec<Place>,
    /// Whether pieces differ at all: no gore is cut where they do not.
    pub differ: bool,
}

impl Seams {
    /// What the job's rules say.
    #[must_use]
    pub fn own(&self) -> Option<&Place> {
        self.places.iter().find(|place| place.chosen)
    }
}
