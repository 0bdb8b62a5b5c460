//! Whole rolls whose first cut runs either way, for any number of stages.
//!
//! A roll is first cut across into pulls ([`Whole`]), or first along: the same pricing on the roll
//! with width and length exchanged, whose columns are then laid the other way round as one pull. The
//! master is the same for both, and a column's reduced cost too (see [`super::master`]). Rolls first
//! cut along are priced where none first cut across improves the master. Where pulls
//! may not be as long as a roll, the first cut runs across.

use super::effort::Effort;
use super::generate::{Priced, Pricing, Question};
use super::master::{Column, Cut, Master};
use super::model::Model;
use super::pattern::{Place, PullCut, RollCut};
use super::whole::{Whole, worth_of};
use std::sync::Arc;

/// Whole rolls, their first cut across or, where it may be, along.
pub(super) struct Either<'a> {
    across: Whole<'a>,
    along: Option<Whole<'a>>,
}

impl<'a> Either<'a> {
    /// Across always; along too where there is a pricing for it.
    pub fn new(across: Whole<'a>, along: Option<Whole<'a>>) -> Self {
        Self { across, along }
    }

    /// A roll of product `k` worth much, built strip by strip so that it holds no more than `left`; its
    /// first cut runs along only if `along`, and only if that is worth more.
    pub fn proper(
        &self,
        (k, along): (usize, bool),
        state: (&[i64], &[u64]),
        effort: &Effort<'_>,
    ) -> RollCut {
        let across = self.across.proper(k, None, state, effort);
        let Some(other) = self.along.as_ref().filter(|_| along) else { return across };
        let along = turned_back(&other.proper(k, None, state, effort));
        if worth_of(&along, state.0) > worth_of(&across, state.0) { along } else { across }
    }
}

impl Pricing for Either<'_> {
    fn price(&self, master: &Master<'_>, question: &Question<'_>, effort: &Effort<'_>) -> Priced {
        let mut priced = self.across.price(master, question, effort);
        if let Some(along) = self.along.as_ref().filter(|_| priced.columns.is_empty()) {
            let other = along.price(master, question, effort).columns;
            priced.columns.extend(other.into_iter().map(|column| match column.cut {
                Cut::Roll(roll) => Column { cut: Cut::Roll(turned_back(&roll)), ..column },
                Cut::Pull(..) => column,
            }));
            priced.proof = None;
        }
        priced
    }
}

/// A model with width and length exchanged, to price rolls that are first cut along; `None` where
/// pulls may not be as long as every roll.
pub(super) fn exchanged(model: &Model) -> Option<Model> {
    let longest = model.rolls.iter().map(|roll| roll.length).max()?;
    if model.endless || model.pull < longest {
        return None;
    }
    let mut other = model.clone();
    other.unit.swap(0, 1);
    for roll in &mut other.rolls {
        std::mem::swap(&mut roll.width, &mut roll.length);
    }
    for class in &mut other.classes {
        class.size.swap(0, 1);
    }
    for form in &mut other.forms {
        std::mem::swap(&mut form.width, &mut form.length);
    }
    other.forms.sort_unstable();
    other.pull = other.rolls.iter().map(|roll| roll.length).max()?;
    Some(other)
}

/// A roll of the exchanged model as one pull of the model itself.
pub(super) fn turned_back(roll: &RollCut) -> RollCut {
    let mut whole = PullCut { length: 0, width: 0, places: Vec::new() };
    for pull in &roll.pulls {
        for place in &pull.places {
            whole.places.push(Place { x: whole.width + place.y, y: place.x, ..*place });
        }
        whole.width += pull.length;
        whole.length = whole.length.max(pull.width);
    }
    RollCut { roll: roll.roll, pulls: vec![Arc::new(whole)] }
}
