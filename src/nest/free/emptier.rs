//! One roll fewer: what the emptiest roll holds is pressed into the others, a few at a time.
//!
//! 1. The roll with the least on it is given up; its pieces are left over.
//! 2. A few of the other rolls are drawn by lot, and an order is searched ([`Chain`]) that lays what
//!    they hold and what is left over into those rolls again. Where no more area is left over than
//!    before, the new layouts take the old ones' place: what is left over changes, and shrinks.
//! 3. When nothing is left over there is one roll fewer, and the next one is given up.
//!
//! Tries of a round are independent, so the answer is the same on any number of threads. Large
//! neighbourhood search (Shaw 1998); emptying a bin with a measure finer than the number of bins:
//! Lodi, Martello and Vigo, INFORMS Journal on Computing 11, 1999.

use super::effort::{Effort, LOOKS_PER_STEP};
use super::lot::Lot;
use super::packer::{Entry, Rule, Spot};
use super::rooms::{Offer, Stack};
use super::search::Chain;
use super::strip::CHAINS;
use super::task::{Room, Task};
use rayon::prelude::*;
use std::cmp::Reverse;

/// The most rolls laid anew at a time.
const ROLLS: usize = 3;
/// Failures in a row after which tries last longer.
const PATIENCE: u64 = 40;

/// The cheapest rolls that can be found from a start, at least `bound` dear.
pub(super) fn empty(
    task: &Task,
    offers: &[Offer],
    bound: i64,
    mut best: Stack,
    effort: Effort<'_>,
    news: &dyn Fn(i64),
) -> Stack {
    let mut left_work = effort.work.saturating_mul(LOOKS_PER_STEP);
    let mut seed = effort.seed ^ 0x3e_9d;
    while best.cost > bound {
        let Some(mut state) = State::new(task, &best) else { break };
        if offers[state.given_up.0].cost <= 0 || !state.roomy() {
            break;
        }
        seed = seed.wrapping_add(1);
        let emptied = state.press(seed, &mut left_work, effort);
        if !emptied {
            break;
        }
        best = state.stack(offers);
        news(best.cost);
    }
    best
}

/// Rolls with what lies on them, and what is left over.
struct State<'a> {
    task: &'a Task,
    /// The roll given up: which kind of roll, and what of each kind lay on it.
    given_up: (usize, Vec<u32>),
    /// The others: which kind of roll, and what lies on it.
    rolls: Vec<(usize, Vec<Spot>)>,
}

/// What a try came to.
struct Try {
    rolls: Vec<usize>,
    spots: Vec<Spot>,
    left: Vec<u32>,
    area: i128,
    looks: u64,
}

impl<'a> State<'a> {
    /// Gives up the roll with the least on it; `None` where there are not two.
    fn new(task: &'a Task, stack: &Stack) -> Option<Self> {
        let mut rolls: Vec<(usize, Vec<Spot>)> =
            stack.rolls.iter().map(|&roll| (roll, Vec::new())).collect();
        for spot in &stack.spots {
            rolls.get_mut(spot.room as usize)?.1.push(*spot);
        }
        let on = |spots: &[Spot]| spots.iter().map(Spot::area).sum::<i128>();
        let emptiest = (0..rolls.len()).min_by_key(|&i| (on(&rolls[i].1), i))?;
        let (roll, spots) = rolls.remove(emptiest);
        let left = spots.iter().map(|spot| spot.kind).collect();
        (!rolls.is_empty()).then_some(Self { task, given_up: (roll, left), rolls })
    }

    fn area(&self, kinds: &[u32]) -> i128 {
        kinds.iter().map(|&kind| self.task.kinds[kind as usize].area()).sum()
    }

    fn free(&self, at: usize) -> i128 {
        let (roll, spots) = &self.rolls[at];
        let room = self.task.rooms[*roll];
        let all = i128::from(room.width) * i128::from(room.length);
        all - spots.iter().map(Spot::area).sum::<i128>()
    }

    /// Whether the others have area enough for what is left over.
    fn roomy(&self) -> bool {
        (0..self.rolls.len()).map(|at| self.free(at)).sum::<i128>() >= self.area(&self.given_up.1)
    }

    /// Presses what is left over into the others; whether all of it went.
    fn press(&mut self, seed: u64, left_work: &mut u64, effort: Effort<'_>) -> bool {
        let turn = effort.turn(CHAINS);
        let (mut round, mut in_vain) = (0, 0);
        while !self.given_up.1.is_empty() {
            if *left_work == 0 || !(effort.go_on)() {
                return false;
            }
            let looks = turn * (1 + in_vain / PATIENCE).min(16);
            let before = self.area(&self.given_up.1);
            let tries: Vec<Try> = (0..CHAINS as u64)
                .into_par_iter()
                .map(|i| self.attempt(Lot::new(seed, round * CHAINS as u64 + i), looks, effort))
                .collect();
            round += 1;
            let spent = tries.iter().map(|t| t.looks + 1).sum::<u64>();
            *left_work = left_work.saturating_sub(spent);
            let top = tries.into_iter().min_by_key(|t| t.area).filter(|t| t.area <= before);
            in_vain += 1;
            let Some(top) = top else { continue };
            if top.area < before {
                in_vain = 0;
            }
            for &at in &top.rolls {
                self.rolls[at].1.clear();
            }
            for spot in top.spots {
                let at = top.rolls[spot.room as usize];
                self.rolls[at].1.push(spot);
            }
            self.given_up.1 = top.left;
        }
        true
    }

    /// Lays a few rolls anew, with what is left over.
    fn attempt(&self, mut lot: Lot, looks: u64, effort: Effort<'_>) -> Try {
        let many = (1 + lot.below(ROLLS)).min(self.rolls.len());
        let mut order: Vec<usize> = (0..self.rolls.len()).collect();
        order.sort_by_key(|&at| (Reverse(self.free(at)), at));
        let mut rolls = Vec::new();
        while rolls.len() < many {
            let draws = 1 + lot.below(2);
            let at = (0..draws).map(|_| lot.below(order.len())).min().unwrap_or(0);
            rolls.push(order.remove(at));
        }
        let kinds = rolls.iter().flat_map(|&at| self.rolls[at].1.iter().map(|spot| spot.kind));
        let mut entries: Vec<Entry> =
            kinds.chain(self.given_up.1.iter().copied()).map(|kind| Entry::new(kind, 1)).collect();
        let area = |entry: &Entry| self.task.kinds[entry.kind as usize].area();
        entries.sort_by_key(|entry| (Reverse(area(entry)), entry.kind));
        let rule = [Rule::Fit, Rule::Fit, Rule::First(4), Rule::First(1)][lot.below(4)];
        let rooms: Vec<Room> = rolls.iter().map(|&at| self.task.rooms[self.rolls[at].0]).collect();
        let mut chain = Chain::new(self.task, rule, lot, looks);
        chain.aim(rooms.clone(), Some(&entries));
        chain.run(looks, effort.go_on);
        let best = chain.best().0.to_vec();
        let packer = &mut chain.packer;
        packer.pack(&best, &rooms, &|| true);
        let mut laid = vec![0_u32; self.task.kinds.len()];
        for spot in &packer.spots {
            laid[spot.kind as usize] += 1;
        }
        let mut left = Vec::new();
        for entry in &entries {
            match laid.get_mut(entry.kind as usize) {
                Some(n) if *n > 0 => *n -= 1,
                _ => left.push(entry.kind),
            }
        }
        let spots = std::mem::take(&mut packer.spots);
        Try { rolls, spots, left, area: packer.left, looks: packer.looks }
    }

    fn stack(self, offers: &[Offer]) -> Stack {
        let rolls: Vec<usize> = self.rolls.iter().map(|roll| roll.0).collect();
        let mut spots = Vec::new();
        for (room, (_, on)) in (0..).zip(self.rolls) {
            spots.extend(on.into_iter().map(|spot| Spot { room, ..spot }));
        }
        Stack { cost: super::rooms::cost(&rolls, offers), rolls, order: Vec::new(), spots }
    }
}
