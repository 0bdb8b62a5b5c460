//! A first answer at once.
//!
//! Longest first: the longest piece left sets a pull's length, and the pieces left that fit beside
//! it, longest first, fill the width (first fit decreasing on levels: Coffman, Garey, Johnson and
//! Tarjan, SIAM Journal on Computing 9, 1980). The pull is then cut as often as the quantities left
//! allow, so the work depends on the number of sizes, not of pieces.

use super::model::{Form, Model};
use super::pattern::{Place, PullCut};
use std::sync::Arc;

/// Fills pulls of at most `width` by `length` from what is `left`, and takes it from there.
/// `lead` says which forms may set a pull's length. What fits no such pull stays left.
pub(super) fn pulls(
    model: &Model,
    (width, length): (usize, usize),
    left: &mut [u64],
    lead: impl Fn(&Form) -> bool,
) -> Vec<(Arc<PullCut>, u64)> {
    let fits = |form: &&Form| form.width <= width && form.length <= length;
    let order: Vec<Form> = model.forms.iter().rev().filter(fits).copied().collect();
    let mut cut = Vec::new();
    for (at, form) in order.iter().enumerate() {
        if !lead(form) {
            continue;
        }
        while left[form.class] > 0 {
            let pull = fill(&order[at..], width, left);
            let copies = pull.counts().iter().map(|&(class, n)| left[class] / n).min().unwrap_or(0);
            for (class, n) in pull.counts() {
                left[class] -= n * copies;
            }
            cut.push((Arc::new(pull), copies));
        }
    }
    cut
}

/// The longest pull that can be led within `width` by `length`, and how often it can be cut.
pub(super) fn longest(
    model: &Model,
    (width, length): (usize, usize),
    left: &[u64],
    lead: impl Fn(&Form) -> bool,
) -> Option<(Arc<PullCut>, u64)> {
    let fits = |form: &&Form| form.width <= width && form.length <= length && left[form.class] > 0;
    let order: Vec<Form> = model.forms.iter().rev().filter(fits).copied().collect();
    let first = order.iter().position(&lead)?;
    let pull = fill(&order[first..], width, left);
    let copies = pull.counts().iter().map(|&(class, n)| left[class] / n).min().unwrap_or(0);
    Some((Arc::new(pull), copies))
}

/// One pull: as many as fit of each form in turn.
fn fill(order: &[Form], width: usize, left: &[u64]) -> PullCut {
    let mut free = width;
    let mut places: Vec<Place> = Vec::new();
    for form in order {
        if form.width > free || left[form.class] == 0 {
            continue;
        }
        let used = places.iter().filter(|place| place.class == form.class).count() as u64;
        let fit = (free / form.width) as u64;
        for _ in 0..fit.min(left[form.class] - used) {
            let x = width - free;
            places.push(Place::of(form, x, 0));
            free -= form.width;
        }
    }
    let length = order.first().map_or(0, |form| form.length);
    PullCut { length, width: width - free, places }
}
