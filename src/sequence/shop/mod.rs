//! The order in which the pulls of a whole job are cut.
//!
//! A pull yields pieces; like pieces serve several kits (all that one item needs). A kit is open
//! from the first pull that yields a piece for it to the last. Wanted is an order of the pulls, and
//! for every piece the kit that it goes to, so that kits of earlier releases are whole before later
//! ones are cut for, few kits are open, knives are seldom reset, and a roll is finished before the
//! next: each weighed in points.
//!
//! Steps: let pulls of one length change rolls, so that what is wanted early lies on few
//! ([`exchange`]), where that serves; divide the pulls into phases, one a release ([`phases`]); in each phase take the rolls one
//! after another, always the one that opens fewest kits ([`search`]); try the rolls in the order in which
//! kits want them ([`kitwise`]), the order of the exact open-stacks search and one by knife places as well; improve the best by moving groups of pulls;
//! for every order tried, deal the pieces to the kits by one rule ([`mod@deal`]) and add up the points.
//!
//! Pulls may be cut in any order inside their roll, as the plan lays them on the roll in the order
//! of cutting; pulls of a roll that is `fixed` keep theirs.

mod deal;
mod exchange;
mod kitwise;
mod phases;
mod search;

pub use deal::{Score, deal};
pub use search::{First, Sequenced, first, ordered, sequence};

/// All pulls in the order of the kits, as if rolls could be changed for nothing: what pulls are laid
/// on rolls by, before they are [`ordered`].
#[must_use]
pub fn by_kits(job: &Job, stop: Stop<'_>) -> Vec<usize> {
    kitwise::kitwise(job, stop).order
}

/// Whether somebody wants the order that there is by then. What is made is whole all the same, and better
/// the later that is.
pub type Stop<'a> = &'a (dyn Fn() -> bool + Sync);

/// A job as the order of cutting sees it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Job {
    /// The pulls; those of one roll stand together, in the order in which they lie on it.
    pub pulls: Vec<Pull>,
    /// For each roll, whether its pulls keep their order.
    pub fixed: Vec<bool>,
    /// For each piece, which kits need how many of it.
    pub shares: Vec<Vec<Share>>,
    /// For each kit its release; smaller is earlier.
    pub releases: Vec<u32>,
    /// Kits of which pieces are there already: these are open from the start, as long as they need more.
    pub begun: Vec<usize>,
    /// What counts how much.
    pub weights: Weights,
}

/// A pull.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pull {
    /// Index of its roll.
    pub roll: usize,
    /// Pulls with the same number may lie on each other's rolls: as long, on rolls as wide.
    pub slot: usize,
    /// Pulls with the same number need the same places of the knives.
    pub setup: usize,
    /// Pieces and how many of each; every piece once.
    pub pieces: Vec<(usize, u64)>,
}

/// So many of a piece for a kit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Share {
    /// Index of the kit.
    pub kit: usize,
    /// How many.
    pub quantity: u64,
}

/// What counts how much, in points.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Weights {
    /// For each kit of the most that are open at once.
    pub open: u64,
    /// For each kit open, averaged over the pulls.
    pub held: u64,
    /// For each change of the knives' places.
    pub setup: u64,
    /// For each change of the roll.
    pub roll: u64,
    /// For each pull cut while an earlier release waits; `None` where that may not be.
    pub late: Option<u64>,
}
