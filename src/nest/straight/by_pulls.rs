//! Rolls that hold many pulls: columns are pulls, and whole rolls are packed at the end.
//!
//! 1. Lonely classes become pulls of their own.
//! 2. Columns from greedy pulls, then column generation to the linear optimum with its bound.
//! 3. Dives of different boldness; each one's pulls are packed on rolls and offered.
//!    If none reaches the linear value rounded up, the shortest is shortened part by part (`shorten`).
//! 4. Where pieces are curved, one dive is enough so far, and generation goes on with trains of them
//!    ([`interlock`]); where their hollows were filled, and that took less than half the work, once more
//!    with hollows left empty, as of few pieces the dives may round better.
//! 5. Where three stages or more are allowed, generation goes on with stacked strips from the columns
//!    that stand, and dives again: never worse than two stages.

use super::best::Best;
use super::dive::{Boldness, Dived, dive};
use super::effort::Effort;
use super::generate::{Pricing, generate};
use super::greedy;
use super::interlock;
use super::lots::Lots;
use super::master::{Column, Cut, Master};
use super::model::Model;
use super::pack;
use super::pattern::PullCut;
use super::pulls::Pulls;
use super::shorten::{Pull, cost, shorten};
use super::simple;
use std::sync::Arc;

/// Dives to try, in order.
pub(super) const DIVES: [Boldness; 5] = [
    Boldness { from: 0.6, share: 5, rounds: 4, noise: 0.0 },
    Boldness { from: 0.8, share: 20, rounds: 6, noise: 0.0 },
    Boldness { from: 0.5, share: 10, rounds: 3, noise: 0.0 },
    Boldness { from: 0.9, share: 40, rounds: 8, noise: 0.0 },
    Boldness { from: 0.99, share: 200, rounds: 10, noise: 0.0 },
];

/// Then so many with fractions raised by lot.
const NOISY: u32 = 10;

/// With many sizes a dive takes seconds, and shortening its answer does more than another dive.
const SIZES_TIMES_DIVES: usize = 3_000;

/// Rounds of generating pulls with stacks.
const ROUNDS: usize = 40;

/// With fewer steps of work than this for each size, trains are not tried: simulated nests want answers
/// in a moment.
const TRAINS: u64 = 300;

/// Improves the best answer and bound.
pub(super) fn improve(
    best: &mut Best<'_>,
    (model, under): (&Model, &Model),
    stages: Option<u8>,
    (lots, effort): (&mut Lots, &Effort<'_>),
) {
    let pricing = Pulls::new(model, under);
    let (aside, left) = pricing.set_aside();
    let settled = model.curved() && simple::boxes_settle(best, under);
    let trains = model.curved() && effort.left() >= TRAINS * model.classes.len() as u64;
    if settled && !trains {
        return;
    }
    let mut master = Master::new(model, false);
    if best.cuts().is_none() {
        master.relax();
    }
    master.set_left(&left);
    master.set_aside(aside.iter().map(|(pull, copies)| pull.length as u64 * copies).sum());
    start(&mut master, model, &left);
    let prover = (stages == Some(2)).then_some(&mut *best);
    // Where boxes cannot do better than the first answer, a round gives prices enough to begin with.
    let rounds = if settled { 1 } else { usize::MAX };
    if !generate(&mut master, &pricing, (model, &left), rounds, (prover, effort)) {
        return;
    }
    let aside: Vec<Pull> = aside.into_iter().map(|(pull, copies)| (0, pull, copies)).collect();
    let task = (aside.as_slice(), left.as_slice());
    let stack =
        |best: &mut Best<'_>, pricing: Pulls<'_>, master: &mut Master<'_>, lots: &mut Lots| {
            if stages == Some(2) || best.proven() {
                return;
            }
            let stacked = pricing.stacked();
            if generate(master, &stacked, (model, &left), ROUNDS, (None, effort)) {
                dives(best, (model, &stacked), master, task, (lots, effort));
            }
        };
    if !trains {
        dives(best, (model, &pricing), &master, task, (lots, effort));
        stack(best, pricing, &mut master, lots);
        return;
    }
    if !settled {
        attempt(best, (model, &pricing), &master, task, (DIVES[0], lots, effort));
    }
    let pricing = pricing.with_trains();
    let fills = pricing.fills();
    let (mut begun, before) = (master.clone(), effort.left());
    if interlock::improve(best, (model, &pricing), &mut master, task, (lots, effort)) {
        stack(best, pricing, &mut master, lots);
    }
    let time = effort.left() > before - effort.left();
    if fills && time && !best.proven() {
        let bare = Pulls::new(model, under).with_trains().bare();
        if interlock::improve(best, (model, &bare), &mut begun, task, (lots, effort)) {
            stack(best, bare, &mut begun, lots);
        }
    }
}

/// Dives until the answer is the linear value rounded up; then shortens the shortest answer.
pub(super) fn dives(
    best: &mut Best<'_>,
    (model, pricing): (&Model, &dyn Pricing),
    master: &Master<'_>,
    task: (&[Pull], &[u64]),
    (lots, effort): (&mut Lots, &Effort<'_>),
) {
    let linear = master.value();
    let noisy = (0..NOISY).map(|at| Boldness {
        from: 0.5 + 0.04 * f64::from(at % 12),
        share: 8,
        rounds: 4,
        noise: 0.02 * f64::from(1 + at % 10),
    });
    let mut shortest: Option<(f64, Vec<Pull>)> = None;
    let many = (SIZES_TIMES_DIVES / model.classes.len().max(1)).max(1);
    for boldness in DIVES.into_iter().chain(noisy).take(many) {
        if best.proven() || effort.over() || !best.could_beat(linear, best.value()) {
            return;
        }
        let Some(pulls) = attempt(best, (model, pricing), master, task, (boldness, lots, effort))
        else {
            continue;
        };
        let cost = cost(master, &pulls);
        if shortest.as_ref().is_none_or(|old| cost < old.0) {
            shortest = Some((cost, pulls));
        }
    }
    if let Some((_, pulls)) = shortest {
        shorten(best, (model, pricing), master, (task.0, pulls), (lots, effort));
    }
}

/// One dive, packed on rolls and offered: its pulls, without those set aside.
pub(super) fn attempt(
    best: &mut Best<'_>,
    (model, pricing): (&Model, &dyn Pricing),
    master: &Master<'_>,
    (aside, left): (&[Pull], &[u64]),
    (boldness, lots, effort): (Boldness, &mut Lots, &Effort<'_>),
) -> Option<Vec<Pull>> {
    let none = vec![0; model.rolls.len()];
    let mut diving = master.clone();
    let task = (model, left.to_vec());
    let dived = dive(&mut diving, pricing, task, &none, boldness, (lots, effort));
    let Dived { chosen, mut left, .. } = dived;
    let mut pulls: Vec<Pull> = Vec::new();
    for (column, copies) in chosen {
        if let Cut::Pull(q, pull) = &diving.columns[column].cut {
            pulls.push((*q, Arc::clone(pull), copies));
        }
    }
    for (q, &width) in master.widths.iter().enumerate().rev() {
        let rest = greedy::pulls(model, (width, model.pull), &mut left, |_| true);
        pulls.extend(rest.into_iter().map(|(pull, copies)| (q, pull, copies)));
    }
    if left.iter().any(|&n| n > 0) {
        return None;
    }
    let mut on_width = vec![Vec::new(); master.widths.len()];
    for (q, pull, copies) in pulls.iter().chain(aside) {
        on_width[*q].push((Arc::clone(pull), *copies));
    }
    if let Some(cuts) = pack::on_products(model, &master.widths, &on_width) {
        best.offer(model, cuts);
    }
    Some(pulls)
}

/// First columns: greedy pulls on each width, and each form alone.
pub(super) fn start(master: &mut Master<'_>, model: &Model, left: &[u64]) {
    for (q, width) in master.widths.clone().into_iter().enumerate() {
        for lead in [true, false] {
            let mut rest = left.to_vec();
            let pulls =
                greedy::pulls(model, (width, model.pull), &mut rest, |form| lead || !form.turned);
            for (pull, _) in pulls {
                master.add(Column::new(Cut::Pull(q, pull)));
            }
        }
        for form in &model.forms {
            if form.width <= width && left[form.class] > 0 {
                let pull = PullCut::alone(form);
                master.add(Column::new(Cut::Pull(q, Arc::new(pull))));
            }
        }
    }
}
