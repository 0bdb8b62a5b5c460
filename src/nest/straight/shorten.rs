//! Shortening an answer's pulls: take some pulls away, solve what they held anew, keep what is no
//! longer.
//!
//! What [`super::renew`] does with whole rolls, for rolls that hold many pulls: a part of a few dozen
//! pulls is a small programme that starts from all columns known. Pulls with much waste are taken
//! first, others are drawn by lot. When the total has become shorter, the pulls are packed on rolls
//! again.

use super::best::Best;
use super::dive::{Boldness, Dived, dive};
use super::effort::Effort;
use super::generate::{Pricing, generate};
use super::lots::Lots;
use super::master::{Cut, Master, real};
use super::model::Model;
use super::pack;
use super::pattern::PullCut;
use std::sync::Arc;

/// Columns beyond which the working programme starts over from the one given.
const MANY: usize = 2_000;
/// Tries in a row without a shorter answer, after which it is left as it is.
const PATIENCE: usize = 150;

/// A pull, the width of its roll, and how often it is cut.
pub(super) type Pull = (usize, Arc<PullCut>, u64);

/// Shortens `pulls` until the answer is proven, tries no longer help, or the effort is over. `aside`
/// are pulls that stay as they are.
pub(super) fn shorten(
    best: &mut Best<'_>,
    (model, pricing): (&Model, &dyn Pricing),
    base: &Master<'_>,
    (aside, mut pulls): (&[Pull], Vec<Pull>),
    (lots, effort): (&mut Lots, &Effort<'_>),
) {
    let area = model.areas();
    let widths = base.widths.clone();
    let mut work = base.clone();
    let none = vec![0; model.rolls.len()];
    let mut in_vain = 0;
    while in_vain < PATIENCE && !best.proven() && !effort.over() {
        in_vain += 1;
        if work.columns.len() > base.columns.len() + MANY {
            work = base.clone();
        }
        let (part, mut rest) = split(&pulls, &widths, &area, lots);
        let mut left = vec![0_u64; model.classes.len()];
        let mut spare = surplus(model, aside, &pulls);
        for (_, pull, copies) in &part {
            for (class, n) in pull.counts() {
                let drop = spare[class].min(n * copies);
                spare[class] -= drop;
                left[class] += n * copies - drop;
            }
        }
        work.settle(&lengths(&widths, rest.iter().chain(aside)), &none);
        work.set_left(&left);
        if !generate(&mut work, pricing, (model, &left), 6, (None, effort)) && effort.over() {
            return;
        }
        let before = cost(base, &part);
        if work.part_value() > before * (1.0 - 1e-9) && lots.unit() < 0.7 {
            continue;
        }
        let boldness = Boldness { from: 0.6, share: 8, rounds: 3, noise: 0.3 * lots.unit() };
        let dived = dive(&mut work, pricing, (model, left), &none, boldness, (lots, effort));
        let Dived { chosen, left, .. } = dived;
        if left.iter().any(|&n| n > 0) {
            continue;
        }
        let mut new = Vec::new();
        for (column, copies) in chosen {
            if let Cut::Pull(q, pull) = &work.columns[column].cut {
                new.push((*q, Arc::clone(pull), copies));
            }
        }
        let after = cost(base, &new);
        if after > before * (1.0 + 1e-9) {
            continue;
        }
        rest.extend(new);
        pulls = rest;
        if after < before * (1.0 - 1e-9) {
            in_vain = 0;
            let mut on_width = vec![Vec::new(); widths.len()];
            for (q, pull, copies) in pulls.iter().chain(aside) {
                on_width[*q].push((Arc::clone(pull), *copies));
            }
            if let Some(cuts) = pack::on_products(model, &widths, &on_width) {
                best.offer(model, cuts);
            }
        }
    }
}

/// What pulls cost at the rates of their widths.
pub(super) fn cost(master: &Master<'_>, pulls: &[Pull]) -> f64 {
    let rates = master.rates();
    pulls.iter().map(|(q, pull, n)| rates[*q] * real(pull.length as u64 * n)).sum()
}

/// Length used on each width.
fn lengths<'p>(widths: &[usize], pulls: impl Iterator<Item = &'p Pull>) -> Vec<usize> {
    let mut used = vec![0; widths.len()];
    for (q, pull, copies) in pulls {
        used[*q] += pull.length * usize::try_from(*copies).unwrap_or(0);
    }
    used
}

/// Pulls to cut anew and pulls to keep.
fn split(
    pulls: &[Pull],
    widths: &[usize],
    area: &[u128],
    lots: &mut Lots,
) -> (Vec<Pull>, Vec<Pull>) {
    let waste = |(q, pull, _): &Pull| {
        let used: u128 = pull.places.iter().map(|place| area[place.class]).sum();
        ((pull.length * widths[*q]) as u128).saturating_sub(used)
    };
    let mut order: Vec<usize> = (0..pulls.len()).collect();
    order.sort_by_key(|&at| (std::cmp::Reverse(waste(&pulls[at])), at));
    let total: u64 = pulls.iter().map(|pull| pull.2).sum();
    let want = (8 + lots.below(40) as u64).min(total);
    let mut taken = vec![0_u64; pulls.len()];
    let mut many = 0;
    let from_worst = 1 + lots.below(pulls.len());
    for _ in 0..20 * want {
        if many == want {
            break;
        }
        let at =
            if lots.unit() < 0.5 { order[lots.below(from_worst)] } else { lots.below(pulls.len()) };
        if taken[at] < pulls[at].2 {
            taken[at] += 1;
            many += 1;
        }
    }
    let pick = |of: &dyn Fn(usize) -> u64| -> Vec<Pull> {
        let some = (0..pulls.len()).filter(|&at| of(at) > 0);
        some.map(|at| (pulls[at].0, Arc::clone(&pulls[at].1), of(at))).collect()
    };
    (pick(&|at| taken[at]), pick(&|at| pulls[at].2 - taken[at]))
}

/// What the pulls hold beyond the demand, by class.
fn surplus(model: &Model, aside: &[Pull], pulls: &[Pull]) -> Vec<u64> {
    let mut made = vec![0_u64; model.classes.len()];
    for (_, pull, copies) in pulls.iter().chain(aside) {
        for (class, n) in pull.counts() {
            made[class] += n * copies;
        }
    }
    made.iter().zip(&model.classes).map(|(made, class)| made.saturating_sub(class.demand)).collect()
}
