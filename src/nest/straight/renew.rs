//! Renewing parts of an answer: take some rolls away, solve what they held anew, keep what is no
//! dearer.
//!
//! A part of a few rolls is a small instance of its own, whose linear programme starts from all
//! columns known and whose dive takes milliseconds. Worst filled rolls are taken with others drawn by
//! lot. An answer that costs the same is kept too, so the search drifts (large neighbourhood search:
//! Shaw 1998; with column generation for cutting stock: Clautiaux et al. 2019 dive in the same way).

use super::best::{Best, keeps_limits, value_of};
use super::dive::{Boldness, Dived, dive};
use super::effort::Effort;
use super::generate::{Pricing, generate};
use super::lots::Lots;
use super::master::{Cut, Master};
use super::model::Model;
use super::pattern::{Cuts, RollCut, all_copies};
use std::cmp::Reverse;

/// Columns beyond which the working programme starts over from the one given.
const MANY: usize = 1_500;

/// Renews parts of the best answer until it is proven, `tries` are made, or the effort is over.
pub(super) fn renew(
    best: &mut Best<'_>,
    (model, pricing): (&Model, &dyn Pricing),
    base: &Master<'_>,
    tries: usize,
    (lots, effort): (&mut Lots, &Effort<'_>),
) {
    let Some(mut cuts) = best.cuts().cloned() else { return };
    let area = model.areas();
    let mut work = base.clone();
    for _ in 0..tries {
        if best.proven() || effort.over() {
            return;
        }
        if work.columns.len() > base.columns.len() + MANY {
            work = base.clone();
        }
        let (part, rest) = split(model, &cuts, &area, lots);
        let before = value_of(model, &part);
        let mut left = vec![0_u64; model.classes.len()];
        let mut spare = surplus(model, &cuts);
        for (roll, copies) in &part {
            for (class, n) in roll.counts() {
                let drop = spare[class].min(n * copies);
                spare[class] -= drop;
                left[class] += n * copies - drop;
            }
        }
        let mut used = vec![0_u64; model.rolls.len()];
        for (roll, copies) in &rest {
            used[roll.roll] += copies;
        }
        work.settle(&vec![0; work.widths.len()], &used);
        work.set_left(&left);
        if !generate(&mut work, pricing, (model, &left), 8, (None, effort)) && effort.over() {
            return;
        }
        let hopeless = !best.could_beat(work.value(), before);
        if hopeless && lots.unit() < 0.6 {
            continue;
        }
        let boldness = Boldness { from: 0.6, share: 8, rounds: 3, noise: 0.3 * lots.unit() };
        let Dived { chosen, left, .. } =
            dive(&mut work, pricing, (model, left), &used, boldness, (lots, effort));
        if left.iter().any(|&n| n > 0) {
            continue;
        }
        let mut new = rest;
        for (column, copies) in chosen {
            if let Cut::Roll(roll) = &work.columns[column].cut {
                new.push((roll.clone(), copies));
            }
        }
        // A programme that was relaxed may lay pieces on rolls that are not there.
        if value_of(model, &new) <= value_of(model, &cuts) && keeps_limits(model, &new) {
            merge(&mut new);
            best.offer(model, new.clone());
            cuts = new;
        }
    }
}

/// Rolls to renew and rolls to keep.
fn split(model: &Model, cuts: &Cuts, area: &[u128], lots: &mut Lots) -> (Cuts, Cuts) {
    let mut order: Vec<(u128, usize)> = (0..cuts.len())
        .map(|at| {
            let roll = &cuts[at].0;
            let size = (model.rolls[roll.roll].width * model.rolls[roll.roll].length) as u128;
            let used: u128 =
                roll.counts().iter().map(|&(class, n)| area[class] * u128::from(n)).sum();
            (size.saturating_sub(used) * 1000 / size.max(1), at)
        })
        .collect();
    order.sort_by_key(|&(waste, at)| (Reverse(waste), at));
    let most = usize::try_from(all_copies(cuts)).unwrap_or(usize::MAX);
    let want = (3 + lots.below(22)).min(most);
    let worst = lots.below(want + 1);
    let mut taken = vec![0_u64; cuts.len()];
    let mut many = 0;
    for &(_, at) in order.iter().take(worst) {
        taken[at] = 1 + lots.below(usize::try_from(cuts[at].1).unwrap_or(1).min(3)) as u64;
        many += taken[at];
    }
    let mut tries = 0;
    while many < want as u64 && tries < 20 * want {
        let at = lots.below(cuts.len());
        if taken[at] < cuts[at].1 {
            taken[at] += 1;
            many += 1;
        }
        tries += 1;
    }
    let pick = |of: &dyn Fn(usize) -> u64| -> Cuts {
        (0..cuts.len()).filter(|&at| of(at) > 0).map(|at| (cuts[at].0.clone(), of(at))).collect()
    };
    (pick(&|at| taken[at]), pick(&|at| cuts[at].1 - taken[at].min(cuts[at].1)))
}

/// What an answer holds beyond the demand, by class.
fn surplus(model: &Model, cuts: &Cuts) -> Vec<u64> {
    let mut made = vec![0_u64; model.classes.len()];
    for (roll, copies) in cuts {
        for (class, n) in roll.counts() {
            made[class] += n * copies;
        }
    }
    made.iter().zip(&model.classes).map(|(made, class)| made.saturating_sub(class.demand)).collect()
}

/// Joins equal rolls.
fn merge(cuts: &mut Cuts) {
    cuts.sort();
    let mut merged: Vec<(RollCut, u64)> = Vec::new();
    for (roll, copies) in cuts.drain(..) {
        match merged.last_mut() {
            Some((last, n)) if *last == roll => *n += copies,
            _ => merged.push((roll, copies)),
        }
    }
    *cuts = merged;
}
