//! As few rolls as possible, or the cheapest.
//!
//! 1. First answer: rolls in the order of price for their area, as many of each as there are, and
//!    sorted orders laid into them; then the last roll is exchanged for the cheapest that will do.
//! 2. One roll is left out, or exchanged for a cheaper one, and an order is searched that lays
//!    everything into what remains. Tries are independent and run in rounds, as in
//!    [`strip`](super::strip).

use super::effort::{Effort, LOOKS_PER_STEP};
use super::orders;
use super::packer::{Entry, Packer, Rule, Spot};
use super::search::Chain;
use super::strip::{CHAINS, chain};
use super::task::{Room, Task};
use rayon::prelude::*;

/// What a roll costs in the objective's unit, and how many there are.
#[derive(Clone, Copy, Debug)]
pub struct Offer {
    /// The cost of one.
    pub cost: i64,
    /// How many; `None` is without limit.
    pub available: Option<u64>,
}

/// Rolls and what lies in them.
#[derive(Clone, Debug, Default)]
pub struct Stack {
    /// Which roll each room is, by index into the task's rooms.
    pub rolls: Vec<usize>,
    /// The order that fills them.
    pub order: Vec<Entry>,
    /// Where the pieces lie.
    pub spots: Vec<Spot>,
    /// What the rolls cost.
    pub cost: i64,
}

/// The cheapest rolls that can be found from a start, at least `bound` dear.
pub fn cheapen(
    task: &Task,
    offers: &[Offer],
    bound: i64,
    mut best: Stack,
    effort: Effort<'_>,
    news: &dyn Fn(i64),
) -> Stack {
    let mut chains: Vec<Chain<'_>> = (0..CHAINS).map(|i| chain(task, i, effort.seed)).collect();
    let mut aims = aim(&mut chains, task, offers, &best);
    let turn = effort.turn(CHAINS);
    let mut spent = 0;
    while best.cost > bound
        && !aims.is_empty()
        && spent / LOOKS_PER_STEP < effort.work
        && (effort.go_on)()
    {
        let done: Vec<(bool, u64)> = chains
            .par_iter_mut()
            .map(|chain| {
                let before = chain.spent;
                let done = chain.run(turn, effort.go_on);
                (done, chain.spent - before)
            })
            .collect();
        spent += done.iter().map(|(_, looks)| looks + 1).sum::<u64>();
        let dear = |i: &usize| cost(&aims[i % aims.len()], offers);
        let Some(i) = (0..CHAINS).filter(|&i| done[i].0).min_by_key(dear) else { continue };
        let rolls = &aims[i % aims.len()];
        best = tidy(offers, rolls, chains[i].best().0.to_vec(), &chains[i].packer.spots);
        news(best.cost);
        if best.cost > bound {
            aims = aim(&mut chains, task, offers, &best);
        }
    }
    best
}

/// Gives every search a cheaper choice of rolls to aim at; the choices.
fn aim(chains: &mut [Chain<'_>], task: &Task, offers: &[Offer], best: &Stack) -> Vec<Vec<usize>> {
    let trades = trades(&best.rolls, offers, task);
    for (i, chain) in chains.iter_mut().enumerate() {
        let Some(rolls) = trades.get(i % trades.len().max(1)) else { continue };
        let rooms = rolls.iter().map(|&k| task.rooms[k]).collect();
        if i % 2 == 0 && !best.order.is_empty() {
            chain.aim(rooms, Some(&best.order));
        } else {
            chain.aim(rooms, Some(&orders::sorted(task, i / 2 % orders::WAYS)));
        }
    }
    trades
}

/// What rolls cost.
pub fn cost(rolls: &[usize], offers: &[Offer]) -> i64 {
    rolls.iter().map(|&k| offers[k].cost).sum()
}

/// Cheaper rolls that might do: one left out, or one exchanged for a cheaper one.
fn trades(rolls: &[usize], offers: &[Offer], task: &Task) -> Vec<Vec<usize>> {
    let area = |rolls: &[usize]| -> i128 {
        rolls
            .iter()
            .map(|&k| i128::from(task.rooms[k].width) * i128::from(task.rooms[k].length))
            .sum()
    };
    let mut trades = Vec::new();
    let mut seen = vec![false; offers.len()];
    for (at, &old) in rolls.iter().enumerate() {
        if std::mem::replace(&mut seen[old], true) {
            continue;
        }
        let mut fewer = rolls.to_vec();
        fewer.remove(at);
        for (new, offer) in offers.iter().enumerate() {
            let used = rolls.iter().filter(|&&k| k == new).count() as u64;
            if offer.cost < offers[old].cost && offer.available.is_none_or(|most| used < most) {
                let mut other = fewer.clone();
                other.push(new);
                trades.push(other);
            }
        }
        trades.push(fewer);
    }
    trades.retain(|t| area(t) >= task.area());
    trades.sort_by_key(|t| cost(t, offers));
    trades
}

/// The sorted orders laid into rolls, the cheapest for their area first; how many pieces are left
/// over where the rolls do not hold all. The first layout is there at once.
pub fn first(
    task: &Task,
    offers: &[Offer],
    go_on: &(dyn Fn() -> bool + Sync),
    news: &dyn Fn(i64),
) -> Result<Stack, u64> {
    let area = |k: usize| i128::from(task.rooms[k].width) * i128::from(task.rooms[k].length);
    let mut kinds: Vec<usize> = (0..offers.len()).filter(|&k| area(k) > 0).collect();
    kinds.sort_by(|&a, &b| {
        let dear = |k: usize, other: usize| i128::from(offers[k].cost) * area(other);
        dear(a, b).cmp(&dear(b, a)).then(area(b).cmp(&area(a))).then(a.cmp(&b))
    });
    let pieces = task.pieces();
    let mut rolls = Vec::new();
    for k in kinds {
        let many = offers[k].available.unwrap_or(pieces).min(pieces);
        rolls.extend((0..many).map(|_| k));
    }
    let rooms: Vec<Room> = rolls.iter().map(|&k| task.rooms[k]).collect();
    let mut packer = Packer::new(task, Rule::Fit);
    let mut best: Option<Stack> = None;
    let mut missing = u64::MAX;
    for way in 0..orders::WAYS {
        if best.is_some() && !go_on() {
            break;
        }
        let order = orders::sorted(task, way);
        if !packer.pack(&order, &rooms, &|| true) {
            missing = missing.min(pieces - packer.spots.len() as u64);
            continue;
        }
        let stack = tidy(offers, &rolls, order, &packer.spots);
        if best.as_ref().is_none_or(|b| stack.cost < b.cost) {
            news(stack.cost);
            best = Some(stack);
        }
    }
    best.ok_or(missing)
}

/// Leaves out rooms in which nothing lies.
fn tidy(offers: &[Offer], rolls: &[usize], order: Vec<Entry>, spots: &[Spot]) -> Stack {
    let mut used: Vec<u32> = spots.iter().map(|s| s.room).collect();
    used.dedup();
    let kept: Vec<usize> = used.iter().map(|&room| rolls[room as usize]).collect();
    let mut spots = spots.to_vec();
    let mut number = 0;
    let mut last = spots.first().map_or(0, |s| s.room);
    for spot in &mut spots {
        if spot.room != last {
            last = spot.room;
            number += 1;
        }
        spot.room = number;
    }
    Stack { cost: cost(&kept, offers), rolls: kept, order, spots }
}
