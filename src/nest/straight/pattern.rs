//! What is cut: pulls with their pieces, rolls with their pulls, in the model's units.

use std::sync::Arc;

/// A piece of a class in a pull.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Place {
    /// Across, from the usable width's edge.
    pub x: usize,
    /// Along, from the pull's front.
    pub y: usize,
    /// The class.
    pub class: usize,
    /// Whether its sides are exchanged.
    pub turned: bool,
}

/// One pull.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct PullCut {
    /// Its length, gap included.
    pub length: usize,
    /// The width it needs, gap included.
    pub width: usize,
    /// Its pieces.
    pub places: Vec<Place>,
}

impl PullCut {
    /// How many of each class it holds, by class.
    pub fn counts(&self) -> Vec<(usize, u64)> {
        count(self.places.iter().map(|place| place.class))
    }
}

/// One roll.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct RollCut {
    /// The roll product.
    pub roll: usize,
    /// Its pulls, from the front.
    pub pulls: Vec<Arc<PullCut>>,
}

impl RollCut {
    /// How many of each class it holds, by class.
    pub fn counts(&self) -> Vec<(usize, u64)> {
        count(self.pulls.iter().flat_map(|pull| pull.places.iter().map(|place| place.class)))
    }
}

/// A whole answer: rolls and how many are cut like each.
pub(super) type Cuts = Vec<(RollCut, u64)>;

/// How often each class occurs, by class.
pub(super) fn count(classes: impl Iterator<Item = usize>) -> Vec<(usize, u64)> {
    let mut all: Vec<usize> = classes.collect();
    all.sort_unstable();
    let mut counts: Vec<(usize, u64)> = Vec::new();
    for class in all {
        match counts.last_mut() {
            Some((last, n)) if *last == class => *n += 1,
            _ => counts.push((class, 1)),
        }
    }
    counts
}
