//! Rolls that hold few pulls: columns are whole rolls.
//!
//! 1. Columns from the best answer so far and from each form alone; column generation to the linear
//!    optimum with its bound.
//! 2. Dives of different boldness. Of one product, when few rolls are left to fill, they are filled piece by
//!    piece (`refill`): the columns' waste is settled by then, and what the programme rounds badly fits.
//! 3. Parts of the answer renewed, whole answers by value correction, and rolls filled again piece by
//!    piece to do without one of them, in turn.
//!
//! Rolls that hold many pulls are priced at chosen lengths, without a proof. Where they are cut in three stages and pulls
//! may be as long as a roll, they may be cut along first and each strip then across: two stages of the roll with width and
//! length exchanged.

use super::FEW;
use super::best::Best;
use super::correct::correct;
use super::dive::{Boldness, Dived, Finish, finished};
use super::effort::Effort;
use super::either::{Either, exchanged};
use super::generate::generate;
use super::lots::Lots;
use super::master::{Column, Cut, Master};
use super::model::Model;
use super::pattern::{Cuts, PullCut, RollCut};
use super::refill::Refill;
use super::renew::renew;
use super::whole::Whole;
use std::sync::Arc;

/// Dives to try, in order.
const DIVES: [Boldness; 5] = [
    Boldness { from: 0.6, share: 5, rounds: 4, noise: 0.0 },
    Boldness { from: 0.8, share: 20, rounds: 6, noise: 0.0 },
    Boldness { from: 0.5, share: 10, rounds: 3, noise: 0.0 },
    Boldness { from: 0.9, share: 40, rounds: 8, noise: 0.0 },
    Boldness { from: 0.99, share: 200, rounds: 10, noise: 0.0 },
];

/// One part in so many of the work left is for filling rolls again: where they are few, at first, and in
/// turn with other ways.
const FEW_ROLLS: u64 = 3;
const BEGINNING: u64 = 12;
const IN_TURN: u64 = 6;
/// The same for what is left in a dive.
const REST: u64 = 24;

/// Rolls longer than this, in units, are priced at chosen lengths only where nothing is to be proven.
pub(super) const LARGE: usize = 500;

/// Tries whole answers by value correction alone.
pub(super) fn begin(
    best: &mut Best<'_>,
    (model, under): (&Model, &Model),
    stages: Option<u8>,
    (lots, effort): (&mut Lots, &Effort<'_>),
) {
    let three = stages.is_none_or(|stages| stages >= 3);
    let other = stages.is_none().then(|| both(model, under)).flatten();
    let along = other.as_ref().map(|(model, under)| Whole::new(model, under, true));
    let pricing = Either::new(Whole::new(model, under, three), along);
    correct(best, (model, &pricing), 60, (lots, effort));
    let across = other.as_ref().map(|(model, _)| model);
    if let Some(mut refill) = Refill::new((model, across), three, best.rolls()) {
        refill.improve(best, FEW_ROLLS, (lots, effort));
    }
}

/// A pricing that is quick, if so asked.
fn hurry(pricing: Whole<'_>, quick: bool) -> Whole<'_> {
    if quick { pricing.quick() } else { pricing }
}

/// The models with width and length exchanged, where the first cut may run along.
fn both(model: &Model, under: &Model) -> Option<(Model, Model)> {
    Some((exchanged(model)?, exchanged(under)?))
}

/// Improves the best answer and bound; `few` says that rolls hold few pulls.
pub(super) fn improve(
    best: &mut Best<'_>,
    (model, under): (&Model, &Model),
    (stages, few): (Option<u8>, bool),
    (lots, effort): (&mut Lots, &Effort<'_>),
) {
    let three = stages.is_none_or(|stages| stages >= 3);
    let prove = few && stages.is_some_and(|stages| stages <= 3);
    let large = model.rolls.iter().any(|roll| roll.length > LARGE);
    let quick = three && !prove && large;
    let free = stages.is_none();
    let turned = free || (three && !few);
    let other = turned.then(|| both(model, under)).flatten();
    // The first cut is one of three.
    let along = other.as_ref().map(|(model, under)| hurry(Whole::new(model, under, free), quick));
    let pricing = Either::new(hurry(Whole::new(model, under, three), quick), along);
    correct(best, (model, &pricing), 20, (lots, effort));
    let across = other.as_ref().filter(|_| free).map(|(model, _)| model);
    let mut refill = Refill::new((model, across), three, best.rolls());
    if let Some(refill) = &mut refill {
        refill.improve(best, BEGINNING, (lots, effort));
    }
    if best.rolls() <= FEW {
        correct(best, (model, &pricing), 200, (lots, effort));
    }
    let demand = model.demands();
    let mut master = Master::new(model, true);
    if best.cuts().is_none() {
        master.relax();
    }
    for (cut, _) in best.cuts().into_iter().flatten() {
        master.add(Column::new(Cut::Roll(cut.clone())));
    }
    for (k, roll) in model.rolls.iter().enumerate() {
        for form in &model.forms {
            if form.width <= roll.width && form.length <= roll.length {
                let pull = PullCut::alone(form);
                let roll = RollCut { roll: k, pulls: vec![Arc::new(pull)] };
                master.add(Column::new(Cut::Roll(roll)));
            }
        }
    }
    let prover = prove.then_some(&mut *best);
    if !generate(&mut master, &pricing, (model, &demand), usize::MAX, (prover, effort)) {
        return;
    }
    dives(best, (model, &pricing), (&master, refill.as_ref()), (lots, effort));
    while !best.proven() && !effort.over() {
        let (parts, wholes) = if best.rolls() <= FEW { (10, 100) } else { (200, 20) };
        renew(best, (model, &pricing), &master, parts, (lots, effort));
        correct(best, (model, &pricing), wholes, (lots, effort));
        if let Some(refill) = &mut refill {
            refill.improve(best, IN_TURN, (lots, effort));
        }
        effort.spend(1_000_000);
    }
}

/// Dives of different boldness; where what is left fits few rolls, it is laid into one less than before.
fn dives(
    best: &mut Best<'_>,
    (model, pricing): (&Model, &Either<'_>),
    (master, refill): (&Master<'_>, Option<&Refill<'_>>),
    (lots, effort): (&mut Lots, &Effort<'_>),
) {
    let none = vec![0; model.rolls.len()];
    for boldness in DIVES {
        if best.proven() || effort.over() {
            return;
        }
        let fewer = best.rolls().saturating_sub(1);
        let mut finish = |left: &[u64], used: &[u64], luck: (&mut Lots, &Effort<'_>)| {
            let rolls = fewer.checked_sub(used.iter().sum()).filter(|&n| 0 < n && n <= FEW)?;
            refill?.rest((left, usize::try_from(rolls).ok()?), REST, luck)
        };
        let mut diving = master.clone();
        let wanted = (model, model.demands());
        let how = (boldness, &mut finish as &mut Finish<'_>);
        let dived = finished(&mut diving, pricing, wanted, &none, how, (lots, effort));
        let Dived { chosen, left, rest } = dived;
        let mut cuts: Cuts = rest.into_iter().map(|roll| (roll, 1)).collect();
        for (column, copies) in chosen {
            if let Cut::Roll(roll) = &diving.columns[column].cut {
                cuts.push((roll.clone(), copies));
            }
        }
        if left.iter().all(|&n| n == 0) {
            best.offer(model, cuts);
        }
    }
}
