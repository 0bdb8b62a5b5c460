//! The shortest strip: one roll without end.
//!
//! 1. Each way to sort gives a first layout; the shortest is the first answer.
//! 2. Several searches, each with its own rule and lots, aim at lengths between the bound and the
//!    best. They run in rounds of equal work and know nothing of each other within a round, so
//!    the answer is the same on any number of threads.
//! 3. After a round the best layout is kept (the first of several), and searches whose aim is no
//!    longer shorter than it get a new one; every other one goes on from the best order.

use super::effort::{Effort, LOOKS_PER_STEP, TURN};
use super::lot::Lot;
use super::orders;
use super::packer::{Entry, Packer, Rule, Spot};
use super::search::Chain;
use super::task::{Room, Task};
use rayon::prelude::*;

/// Searches side by side.
pub const CHAINS: usize = 8;

/// A layout of everything in one room.
#[derive(Clone, Debug)]
pub struct Strip {
    /// The order that gives it.
    pub order: Vec<Entry>,
    /// Where the pieces lie.
    pub spots: Vec<Spot>,
    /// How far they reach.
    pub far: i64,
}

/// The shortest strip that can be found from a start, at least `bound` long.
pub fn shorten(
    task: &Task,
    width: i64,
    bound: i64,
    mut best: Strip,
    effort: Effort<'_>,
    news: &dyn Fn(i64),
) -> Strip {
    let mut chains: Vec<Chain<'_>> = (0..CHAINS).map(|i| chain(task, i, effort.seed)).collect();
    aim(&mut chains, task, width, bound, &best);
    let turn = effort.turn(CHAINS);
    let mut spent = 0;
    while best.far > bound && spent / LOOKS_PER_STEP < effort.work && (effort.go_on)() {
        let done: Vec<(bool, u64)> = chains
            .par_iter_mut()
            .map(|chain| {
                let before = chain.spent;
                let done = chain.run(turn, effort.go_on);
                (done, chain.spent - before)
            })
            .collect();
        spent += done.iter().map(|(_, looks)| looks + 1).sum::<u64>();
        let shorter = (0..CHAINS).filter(|&i| done[i].0).min_by_key(|&i| chains[i].packer.far);
        let Some(i) = shorter else { continue };
        let packer = &chains[i].packer;
        best = Strip {
            order: chains[i].best().0.to_vec(),
            spots: packer.spots.clone(),
            far: packer.far,
        };
        news(best.far);
        if best.far > bound {
            aim(&mut chains, task, width, bound, &best);
        }
    }
    best
}

/// Search number `i`.
pub fn chain(task: &Task, i: usize, seed: u64) -> Chain<'_> {
    let rule = match i % 4 {
        0 | 1 => Rule::Fit,
        2 => Rule::First(4),
        _ => Rule::First(1),
    };
    Chain::new(task, rule, Lot::new(seed, i as u64), 20 * TURN)
}

/// Gives searches that aim no shorter than the best a new aim.
fn aim(chains: &mut [Chain<'_>], task: &Task, width: i64, bound: i64, best: &Strip) {
    for (i, chain) in chains.iter_mut().enumerate() {
        if chain.rooms().first().is_some_and(|room| room.length < best.far) {
            continue;
        }
        let gap = best.far - bound;
        let room = Room { width, length: best.far - (gap >> (i % 5 + 1)).max(1) };
        if chain.rooms().is_empty() && i > 0 {
            chain.aim(vec![room], Some(&orders::sorted(task, i % orders::WAYS)));
        } else if i % 2 == 0 {
            chain.aim(vec![room], Some(&best.order));
        } else {
            chain.aim(vec![room], None);
        }
    }
}

/// The shortest of the sorted orders' layouts. `at_once` is asked while the first is made, which is
/// `None` if it says no, and `go_on` before each of the others.
pub fn first(
    task: &Task,
    width: i64,
    (at_once, go_on): (&dyn Fn() -> bool, &dyn Fn() -> bool),
    news: &dyn Fn(i64),
) -> Option<Strip> {
    let mut packer = Packer::new(task, Rule::Fit);
    let room = Room { width, length: Task::ENDLESS };
    let mut best: Option<Strip> = None;
    for way in 0..orders::WAYS {
        if best.is_some() && !go_on() {
            break;
        }
        let order = orders::sorted(task, way);
        let patience = if best.is_none() { at_once } else { go_on };
        if !packer.pack(&order, &[room], patience) {
            break;
        }
        if best.as_ref().is_none_or(|b| packer.far < b.far) {
            news(packer.far);
            best = Some(Strip { order, spots: packer.spots.clone(), far: packer.far });
        }
    }
    best
}
