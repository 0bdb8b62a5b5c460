//! Bounds without a linear programme: area and dual feasible functions.
//!
//! Prices are `f(width) * g(length)` (see [`DualFeasible`]); for a piece that may be turned, the
//! smaller of its two weights, so that the bound holds however it lies. Area is the identity in
//! both directions. Functions other than the identity are used in a direction only where all rolls
//! have the same size in it. These hold for every style of cutting with the same gaps.
//!
//! Curved pieces may interlock, so their boxes prove nothing: where there are any, area is that of
//! the outlines ([`by_area`]), and other functions leave them out. Rectangles in their hollows lie a gap
//! apart from one another across or along as everywhere, so these functions hold for them.

use super::best::Best;
use super::effort::Effort;
use super::model::{Form, Model};
use crate::nest::Basis;
use crate::nest::bound::{Certificate, DualFeasible, Most, Scales, by_area};

/// How many thresholds to try in each direction.
const MARKS: usize = 24;

/// Raises the bound to the best of area and dual feasible functions. `model` is rounded down.
pub(super) fn raise(best: &mut Best<'_>, model: &Model, effort: &Effort<'_>) {
    let plain = (DualFeasible::Identity, DualFeasible::Identity);
    if model.curved() || model.tiny {
        best.raise(by_area(best.instance()), Basis::Area);
    } else if let Some(area) = weigh((model, false), plain)
        && best.raise(area, Basis::Area)
    {
        best.made_of(scales(model, plain));
    }
    let across = family(model, |form| form.width, |k| model.rolls[k].width);
    let along = if model.endless {
        vec![DualFeasible::Identity]
    } else {
        family(model, |form| form.length, |k| model.rolls[k].length)
    };
    for &f in &across {
        for &g in &along {
            effort.spend(20 * model.forms.len());
            if best.proven() || effort.over() {
                return;
            }
            if model.curved() && (f, g) == plain {
                continue;
            }
            if let Some(certificate) = weigh((model, false), (f, g))
                && best.raise(certificate, Basis::DualFeasible)
            {
                best.made_of(scales(model, (f, g)));
            }
        }
    }
}

/// Whether the best answer is as good as pieces in boxes of their own can be, by the boxes' area.
pub(super) fn boxes_settle(best: &Best<'_>, model: &Model) -> bool {
    let boxes = weigh((model, true), (DualFeasible::Identity, DualFeasible::Identity));
    let bound = boxes.and_then(|certificate| certificate.bound(best.instance()));
    bound.is_some_and(|bound| best.value() <= bound)
}

fn family(
    model: &Model,
    size: impl Fn(&Form) -> usize,
    roll: impl Fn(usize) -> usize,
) -> Vec<DualFeasible> {
    let capacity = roll(0);
    if capacity == 0 || (1..model.rolls.len()).any(|k| roll(k) != capacity) {
        return vec![DualFeasible::Identity];
    }
    let sizes: Vec<i64> = model.forms.iter().map(|form| whole(size(form))).collect();
    DualFeasible::family(&sizes, whole(capacity), MARKS)
}

/// What the certificate of a pair of functions is made of.
fn scales(model: &Model, (f, g): (DualFeasible, DualFeasible)) -> Scales {
    let (width, length) = model.rolls.first().map_or((1, 1), |roll| (roll.width, roll.length));
    model.scales(|form| {
        [f.weigh(whole(form.width), whole(width)), g.weigh(whole(form.length), whole(length))]
    })
}

fn whole(size: usize) -> i64 {
    i64::try_from(size).unwrap_or(i64::MAX)
}

/// The certificate of one pair of functions, curved pieces counted as their boxes or not at all; `None`
/// where numbers grow too large.
pub(super) fn weigh(
    (model, boxes): (&Model, bool),
    (f, g): (DualFeasible, DualFeasible),
) -> Option<Certificate> {
    let value = |width: usize, length: usize, of: (usize, usize)| {
        f.weigh(whole(width), whole(of.0)).checked_mul(g.weigh(whole(length), whole(of.1)))
    };
    let first = model.rolls.first()?;
    let capacity = (first.width, first.length);
    let mut least: Vec<Option<i64>> = vec![None; model.classes.len()];
    for form in
        model.forms.iter().filter(|form| boxes || model.classes[form.class].curved.is_none())
    {
        let weight = value(form.width, form.length, capacity)?;
        let so_far = &mut least[form.class];
        *so_far = Some(so_far.map_or(weight, |old| old.min(weight)));
    }
    let most = model.rolls.iter().map(|roll| {
        let worth = value(roll.width, roll.length, (roll.width, roll.length))?;
        let per = if model.endless { whole(roll.length).checked_mul(model.unit[1])? } else { 0 };
        Some(Most { worth, per })
    });
    let most: Option<Vec<Most>> = most.collect();
    Some(Certificate::new(model.by_piece(&least), most?))
}
