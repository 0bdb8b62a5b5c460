//! What is cut: pulls with their pieces, rolls with their pulls, in the model's units.

use super::model::{Form, Model};
use std::collections::BTreeSet;
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
    /// Of a piece that shares its blank with others, where it lies in it.
    pub within: Option<Within>,
}

/// Where a piece lies in a blank that it shares, in nanometres from the blank's corner.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Within {
    /// Across.
    pub x: i64,
    /// Along.
    pub y: i64,
    /// How often it is turned by a quarter.
    pub quarters: u8,
    /// How long the blank is.
    pub length: i64,
}

impl Place {
    /// A piece of a form alone in its blank.
    pub fn of(form: &Form, x: usize, y: usize) -> Self {
        Self { x, y, class: form.class, turned: form.turned, within: None }
    }

    /// How far its blank reaches along the roll, gap included.
    fn along(&self, model: &Model) -> usize {
        if let Some(within) = self.within {
            let units = (within.length + model.gap).div_euclid(model.unit[1]);
            return usize::try_from(units).unwrap_or(0);
        }
        let own = |form: &&Form| form.class == self.class && form.turned == self.turned;
        model.forms.iter().find(own).map_or(0, |form| form.length)
    }
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
    /// One piece by itself.
    pub fn alone(form: &Form) -> Self {
        let places = vec![Place::of(form, 0, 0)];
        Self { length: form.length, width: form.width, places }
    }

    /// How many of each class it holds, by class.
    pub fn counts(&self) -> Vec<(usize, u64)> {
        count(self.places.iter().map(|place| place.class))
    }

    /// The pull without the pieces that exceed what is left, as long as what remains. Where a blank loses a
    /// curved piece, rectangles in its hollows go, too: what holds them may be gone.
    pub fn proper(mut self, left: &[u64], model: &Model) -> Self {
        let mut left = left.to_vec();
        let before = self.places.len();
        let curved = |place: &Place| model.classes[place.class].curved.is_some();
        let mut hurt = BTreeSet::new();
        self.places.retain(|place| {
            let there = left[place.class] > 0;
            left[place.class] = left[place.class].saturating_sub(1);
            if !there && place.within.is_some() && curved(place) {
                hurt.insert((place.x, place.y));
            }
            there
        });
        if !hurt.is_empty() {
            let held = |place: &Place| place.within.is_some() && !curved(place);
            self.places.retain(|place| !(held(place) && hurt.contains(&(place.x, place.y))));
        }
        if self.places.len() < before {
            let far = self.places.iter().map(|place| place.y + place.along(model));
            self.length = far.max().unwrap_or(0);
        }
        self
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

/// How many rolls are cut.
pub(super) fn all_copies(cuts: &Cuts) -> u64 {
    cuts.iter().map(|(_, copies)| copies).sum()
}

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
