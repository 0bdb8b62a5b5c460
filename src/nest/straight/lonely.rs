//! Pieces that lie alone across the roll: cutting stock in one dimension.
//!
//! Where nothing fits beside any piece, whatever the form and the roll, a pull is one piece, as short as
//! its forms allow, and only the upper level is left: [`crate::nest::one`] packs lengths on rolls. A
//! stack of such pieces is no different from pulls one after another, so this holds for any number of
//! stages.

use super::answer;
use super::effort::Effort;
use super::model::{Form, Model};
use super::pattern::{Cuts, PullCut, RollCut};
use crate::nest::bound::{Certificate, Most};
use crate::nest::one::{self, Bin, Problem};
use crate::nest::{Instance, Nesting, Options, bars};
use std::sync::Arc;

/// Whether every piece, none of them curved, lies alone on every roll, and every roll takes every
/// piece.
pub(super) fn all_alone(model: &Model, under: &Model) -> bool {
    let narrowest = under.forms.iter().map(|form| form.width).min().unwrap_or(0);
    let least = |size: &dyn Fn(usize) -> usize| (0..model.rolls.len()).map(size).min().unwrap_or(0);
    let width = least(&|k| model.rolls[k].width);
    let length = least(&|k| model.rolls[k].length);
    model == under
        && !model.endless
        && !model.curved()
        && model.forms.iter().all(|form| {
            form.width <= width
                && form.length <= length
                && model.rolls.iter().all(|roll| form.width + narrowest > roll.width)
        })
}

/// Solves an instance whose pieces all lie alone. `None` where the one-dimensional engine declines.
pub(super) fn solve(
    instance: &Instance,
    model: &Model,
    options: &Options,
    effort: &Effort<'_>,
) -> Option<Nesting> {
    let forms = shortest(model);
    let whole = |size: usize| i64::try_from(size).unwrap_or(i64::MAX);
    let bins = model.rolls.iter().map(|roll| Bin {
        size: whole(roll.length),
        cost: roll.cost,
        available: roll.available,
    });
    let items = forms.iter().map(|form| (whole(form.length), model.classes[form.class].demand));
    let problem = Problem { bins: bins.collect(), items: items.collect() };
    let packed = one::solve(&problem, options, effort.watch()).ok()?;
    let pulls: Vec<Arc<PullCut>> =
        forms.iter().map(|form| Arc::new(PullCut::alone(form))).collect();
    let cuts: Cuts = packed
        .patterns
        .iter()
        .map(|pattern| {
            let on = pattern
                .items
                .iter()
                .flat_map(|&(item, n)| (0..n).map(move |_| item).collect::<Vec<usize>>());
            let pulls = on.map(|item| Arc::clone(&pulls[item])).collect();
            (RollCut { roll: pattern.bin, pulls }, pattern.copies)
        })
        .collect();
    let certificate = packed.certificate.as_ref().map(|found| {
        let mut prices = vec![None; model.classes.len()];
        for (form, &price) in forms.iter().zip(&found.prices) {
            prices[form.class] = Some(price);
        }
        let most = found.most.iter().map(|&worth| Most { worth, per: 0 }).collect();
        Certificate::new(model.by_piece(&prices), most)
    });
    Some(Nesting {
        layouts: answer::layouts(instance, model, &cuts),
        value: packed.value,
        bound: packed.bound,
        basis: bars::basis(instance, &problem, &packed),
        certificate: certificate.filter(|c| c.bound(instance) == Some(packed.bound)),
        status: packed.status,
    })
}

/// The shortest form of each class.
fn shortest(model: &Model) -> Vec<Form> {
    let mut seen = vec![false; model.classes.len()];
    let first = |form: &&Form| !std::mem::replace(&mut seen[form.class], true);
    model.forms.iter().filter(first).copied().collect()
}
