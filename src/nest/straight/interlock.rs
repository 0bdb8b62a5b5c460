//! Pulls with trains of curved pieces: generation goes on from the boxes' columns until trains do not
//! save any more that counts.
//!
//! 1. Pulls that are full at prices by area come first: from boxes alone the programme's prices take
//!    long to tell which trains are good.
//! 2. Generation in steps of a few rounds. Whenever the linear value, and what a dive loses beyond it,
//!    lies below the best answer, a dive among the columns that are nearly in use gives another.
//! 3. It ends where the pace of the last step does not lead to a better answer, since no bound but
//!    those by area and by lines tells how far trains can go.
//! 4. If the linear value could still be reached, a thorough dive comes first where there is work for
//!    one: trains that go well together are found while the rest is solved again. All dives and
//!    shortening follow.

use super::best::Best;
use super::by_pulls::{attempt, dives};
use super::dive::Boldness;
use super::effort::Effort;
use super::generate::generate;
use super::lots::Lots;
use super::master::{Master, real};
use super::model::Model;
use super::pulls::Pulls;
use super::shorten::{Pull, cost};
use crate::nest::positive;

/// Rounds of filling pulls at prices by area.
const AREAS: usize = 5;
/// Rounds in a step, and for how many more steps its pace is thought to last.
const PACE: usize = 5;
const HOPE: f64 = 2.0;
/// A linear value that falls by a smaller share in a step is as good as solved.
const SLOW: f64 = 1e-4;
/// The dives between steps.
const QUICK: Boldness = Boldness { from: 0.5, share: 10, rounds: 3, noise: 0.0 };
/// The thorough dive, and the steps it may take for each size.
const THOROUGH: Boldness = Boldness { from: 0.6, share: 5, rounds: 20, noise: 0.0 };
const TAKES: u64 = 6_000;
/// What a dive is thought to lose before there was one.
const LOSS: f64 = 0.004;
/// Columns that cost no more than this share above what they are worth are dived among.
const CLOSE: f64 = 0.01;
/// Columns kept between steps, for each size.
const KEPT: usize = 2;

/// Improves the best answer; whether there is reason to go on.
pub(super) fn improve(
    best: &mut Best<'_>,
    (model, pricing): (&Model, &Pulls<'_>),
    master: &mut Master<'_>,
    task: (&[Pull], &[u64]),
    (lots, effort): (&mut Lots, &Effort<'_>),
) -> bool {
    let left = task.1;
    by_area(master, pricing, (model, left), effort);
    let (mut before, mut loss) = (f64::INFINITY, LOSS);
    loop {
        let known = master.columns.len();
        if !generate(master, pricing, (model, left), PACE, (None, effort)) {
            return false;
        }
        let now = master.value();
        if best.could_beat(now * (1.0 + loss), best.value()) {
            let close = master.close(CLOSE);
            let how = (QUICK, &mut *lots, effort);
            if let Some(pulls) = attempt(best, (model, pricing), &close, task, how) {
                loss = positive(cost(master, &pulls) / worth(master, left) - 1.0);
            }
        }
        let fallen = before - now;
        let hope = (now - HOPE * fallen) * (1.0 + loss);
        let ended = master.columns.len() == known || fallen < SLOW * now;
        if ended || best.proven() || !best.could_beat(hope, best.value()) {
            break;
        }
        before = now;
        master.tidy(KEPT * model.classes.len());
    }
    if best.proven() || !best.could_beat(master.value(), best.value()) {
        return false;
    }
    let close = master.close(CLOSE);
    if effort.left() >= TAKES * model.classes.len() as u64 {
        attempt(best, (model, pricing), &close, task, (THOROUGH, &mut *lots, effort));
    }
    dives(best, (model, pricing), &close, task, (lots, effort));
    !best.proven() && best.could_beat(master.value(), best.value())
}

/// What is left is worth at the programme's prices.
fn worth(master: &Master<'_>, left: &[u64]) -> f64 {
    master.prices().iter().zip(left).map(|(price, &n)| price * real(n)).sum()
}

/// Columns for curved pieces to begin with: pulls that are worth most for their length at prices by
/// area, as often as what is left allows, again and again.
fn by_area(
    master: &mut Master<'_>,
    pricing: &Pulls<'_>,
    (model, left): (&Model, &[u64]),
    effort: &Effort<'_>,
) {
    let mut left = left.to_vec();
    let areas = model.areas();
    for _ in 0..AREAS {
        let mut taken = false;
        for column in pricing.by_area((&areas, &left), master, effort) {
            let copies = column.copies(&left);
            if copies > 0 {
                for &(class, n) in &column.counts {
                    left[class] -= n * copies;
                }
                taken = true;
                master.add(column);
            }
        }
        if !taken || effort.over() {
            return;
        }
    }
}
