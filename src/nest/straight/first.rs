//! The first answers: greedy pulls packed on rolls, product by product.
//!
//! 1. Rolls in limited number (offcuts first, then by price for the area) are filled one kind at a
//!    time with what fits.
//! 2. What is left goes onto one product without limit: each is tried, and so are three ways to
//!    choose which form of a piece leads a pull.

use super::best::Best;
use super::effort::Effort;
use super::greedy;
use super::model::{Form, Model};
use super::pack;
use super::pattern::{Cuts, PullCut, RollCut};
use std::cmp::Reverse;
use std::sync::Arc;

/// Which forms may set a pull's length.
const LEADS: [fn(&Form) -> bool; 3] = [|_| true, |form| !form.turned, |form| form.turned];

/// More products than so many are not tried as the first.
const FIRST: usize = 16;

/// Offers first answers. Returns how many pieces the best attempt could not place.
pub(super) fn offer(best: &mut Best<'_>, model: &Model, effort: &Effort<'_>) -> u64 {
    let mut least = u64::MAX;
    let products = products(model);
    let on = (model, products.as_slice());
    for lead in LEADS {
        for use_shelf in [true, false] {
            if least == 0 && effort.watch().stop() {
                return least;
            }
            let mut left = model.demands();
            let mut cuts = if use_shelf { limited(model, &mut left, lead) } else { Cuts::new() };
            if !use_shelf && model.rolls.iter().all(|roll| roll.available.is_none()) {
                continue;
            }
            for &product in products.iter().take(FIRST) {
                let mut rest = left.clone();
                let mut all = cuts.clone();
                all.extend(on_product(model, product, &mut rest, lead));
                least = least.min(finish(best, on, all, &mut rest, lead));
            }
            least = least.min(finish(best, on, std::mem::take(&mut cuts), &mut left, lead));
        }
    }
    least
}

/// Puts what is left on whatever product takes it, and offers the cuts if nothing is left.
fn finish(
    best: &mut Best<'_>,
    (model, products): (&Model, &[usize]),
    mut cuts: Cuts,
    left: &mut [u64],
    lead: fn(&Form) -> bool,
) -> u64 {
    for &product in products {
        if left.iter().any(|&n| n > 0) {
            cuts.extend(on_product(model, product, left, lead));
        }
    }
    for &product in products {
        if left.iter().any(|&n| n > 0) {
            cuts.extend(on_product(model, product, left, |_| true));
        }
    }
    let missing = left.iter().sum();
    if missing == 0 {
        best.offer(model, cuts);
    }
    missing
}

/// Products without limit, cheapest for their area first.
fn products(model: &Model) -> Vec<usize> {
    let free = (0..model.rolls.len()).filter(|&k| model.rolls[k].available.is_none());
    by_price(model, free)
}

fn by_price(model: &Model, products: impl Iterator<Item = usize>) -> Vec<usize> {
    let mut order: Vec<usize> = products.collect();
    let area = |k: usize| (model.rolls[k].width as u128) * (model.rolls[k].length as u128);
    let cost = |k: usize| u128::try_from(model.rolls[k].cost).unwrap_or(0);
    order.sort_by(|&a, &b| {
        (cost(a) * area(b)).cmp(&(cost(b) * area(a))).then(Reverse(area(a)).cmp(&Reverse(area(b))))
    });
    order
}

/// Everything that fits on one product without limit.
fn on_product(model: &Model, k: usize, left: &mut [u64], lead: fn(&Form) -> bool) -> Cuts {
    let roll = &model.rolls[k];
    let length = roll.length.min(model.pull);
    let pulls = greedy::pulls(model, (roll.width, length), left, lead);
    if model.endless {
        let pulls = pulls.iter().flat_map(|(pull, n)| (0..*n).map(|_| Arc::clone(pull))).collect();
        return vec![(RollCut { roll: k, pulls }, 1)];
    }
    pack::best_fit(&pulls, k, roll.length)
}

/// Fills rolls in limited number, as full as they get, one kind at a time.
fn limited(model: &Model, left: &mut [u64], lead: fn(&Form) -> bool) -> Cuts {
    let mut cuts = Cuts::new();
    let scarce = (0..model.rolls.len()).filter(|&k| model.rolls[k].available.is_some());
    for k in by_price(model, scarce) {
        let roll = &model.rolls[k];
        let mut rolls = roll.available.unwrap_or(0);
        while rolls > 0 {
            let pulls = one_roll(model, k, left, lead);
            if pulls.is_empty() {
                break;
            }
            let cut = RollCut { roll: k, pulls };
            let counts = cut.counts();
            let copies = counts.iter().map(|&(class, n)| left[class] / n).min().unwrap_or(0);
            let copies = copies.min(rolls);
            for (class, n) in counts {
                left[class] -= n * copies;
            }
            rolls -= copies;
            cuts.push((cut, copies));
        }
    }
    cuts
}

/// One roll filled pull by pull.
fn one_roll(model: &Model, k: usize, left: &[u64], lead: fn(&Form) -> bool) -> Vec<Arc<PullCut>> {
    let roll = &model.rolls[k];
    let mut free = roll.length;
    let mut left = left.to_vec();
    let mut pulls = Vec::new();
    while let Some((pull, copies)) =
        greedy::longest(model, (roll.width, free.min(model.pull)), &left, lead)
    {
        let copies = copies.min((free / pull.length.max(1)) as u64).max(1);
        for (class, n) in pull.counts() {
            left[class] -= n * copies;
        }
        for _ in 0..copies {
            free -= pull.length;
            pulls.push(Arc::clone(&pull));
        }
    }
    pulls
}
