//! Sequential value correction: rolls one after another, each as valuable as can be, with values
//! that learn from every answer.
//!
//! 1. A class's value starts as its area.
//! 2. The next roll is the one worth most for its cost at these values, built strip by strip from what
//!    is left; it is cut as often as the rest allows, at most so often that no class runs dry early.
//! 3. When all is placed, each class's value moves towards its area over the fill of the roll it lay
//!    in: pieces that ended in poorly filled rolls become dearer and come earlier next time.
//!
//! 4. In every other answer rolls may be first cut along, where that is allowed.
//! 5. Values are shaken a little by lot, now more, now less.
//!
//! Mukhacheva and Zalgaller 1993; Belov and Scheithauer, INFORMS Journal on Computing 19, 2007; in two
//! dimensions Cui, Cui and Tang, Computers & OR 53, 2015.

use super::best::Best;
use super::effort::Effort;
use super::either::Either;
use super::lots::Lots;
use super::model::Model;
use super::pattern::{Cuts, RollCut};
use super::whole::worth_of;

/// What a unit of area is worth at first.
const UNIT: f64 = 1_000_000.0;

/// Tries answers until one is proven, `tries` are made, or the effort is over.
pub(super) fn correct(
    best: &mut Best<'_>,
    (model, whole): (&Model, &Either<'_>),
    tries: usize,
    (lots, effort): (&mut Lots, &Effort<'_>),
) {
    let area = areas(model);
    let mut values = area.clone();
    for number in 0..tries {
        if best.proven() || effort.over() {
            return;
        }
        let Some(cuts) = sequence(model, (whole, number % 2 == 1), &values, effort) else { return };
        for (roll, _) in &cuts {
            let fill = worth(roll, &area) / size(model, roll.roll);
            let pull = 0.1 + 0.4 * lots.unit();
            for (class, _) in roll.counts() {
                let towards = area[class] / fill.max(0.05);
                values[class] = (1.0 - pull) * values[class] + pull * towards;
            }
        }
        best.offer(model, cuts);
        let shake = 0.3 * lots.unit() * lots.unit();
        for value in &mut values {
            *value *= 1.0 - shake + 2.0 * shake * lots.unit();
        }
    }
}

/// One answer, rolls first cut either way if `along`; `None` if rolls run out.
fn sequence(
    model: &Model,
    (whole, along): (&Either<'_>, bool),
    values: &[f64],
    effort: &Effort<'_>,
) -> Option<Cuts> {
    let scale = UNIT / values.iter().fold(1.0_f64, |a, &b| a.max(b));
    let prices: Vec<i64> = values.iter().map(|&value| price(value * scale)).collect();
    let mut left = model.demands();
    let mut stock: Vec<u64> =
        model.rolls.iter().map(|roll| roll.available.unwrap_or(u64::MAX)).collect();
    let mut cuts = Cuts::new();
    while left.iter().any(|&n| n > 0) {
        if effort.over() {
            return None;
        }
        let mut top: Option<(i128, i128, RollCut)> = None;
        for k in (0..model.rolls.len()).filter(|&k| stock[k] > 0) {
            // There may be thousands on the shelf.
            if effort.over() {
                return None;
            }
            let roll = whole.proper((k, along), (&prices, &left), effort);
            let (worth, cost) = (i128::from(worth_of(&roll, &prices)), cost(model, k));
            if worth > 0 && top.as_ref().is_none_or(|t| worth * t.1 > t.0 * cost) {
                top = Some((worth, cost, roll));
            }
        }
        let (_, _, roll) = top?;
        let counts = roll.counts();
        let copies = counts.iter().map(|&(class, n)| left[class] / n).min().unwrap_or(0);
        let copies = copies.min(stock[roll.roll]);
        if copies == 0 {
            return None;
        }
        for (class, n) in counts {
            left[class] -= n * copies;
        }
        stock[roll.roll] -= copies;
        cuts.push((roll, copies));
    }
    Some(cuts)
}

fn cost(model: &Model, k: usize) -> i128 {
    i128::from(model.rolls[k].cost.max(1))
}

/// Area of each class.
fn areas(model: &Model) -> Vec<f64> {
    let mut areas = vec![0.0; model.classes.len()];
    for form in &model.forms {
        areas[form.class] = real(form.width) * real(form.length);
    }
    areas
}

fn size(model: &Model, k: usize) -> f64 {
    real(model.rolls[k].width) * real(model.rolls[k].length)
}

fn worth(roll: &RollCut, area: &[f64]) -> f64 {
    roll.pulls.iter().flat_map(|pull| pull.places.iter()).map(|place| area[place.class]).sum()
}

fn real(size: usize) -> f64 {
    super::master::real(size as u64)
}

#[expect(clippy::cast_possible_truncation, reason = "scaled to a million")]
fn price(value: f64) -> i64 {
    value.max(1.0).round() as i64
}
