//! Orders of the pulls, and the search for a better one.
//!
//! Four first orders: roll by roll, next always the one that opens fewest kits for those it
//! closes; by places of the knives; rolls as the kits want them, with phases of their own; and the one of the exact open-stacks search, which takes who
//! gets which piece as given by the best of the others. All keep the phases. The best of them is
//! improved: a block is a stretch of pulls of one phase and one roll, or of one roll and one setting
//! of the knives; moving a block to another place in its phase is kept where it saves points. The
//! search is bounded by work, counted in pieces dealt. Of a few hundred pulls single ones are moved too, and orders
//! that begin with kits or changes of the roll counting for more or for less are improved as well. Of a handful of pulls all
//! orders are gone through.

use super::deal::{Dealt, Kits, Score, deal};
use super::exchange::exchanged;
use super::kitwise::{Kitwise, kitwise};
use super::phases::phases;
use super::{Job, Stop, Weights};
use crate::sequence::{Instance, solve};
use std::collections::BTreeMap;

/// The order of cutting.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sequenced {
    /// Every pull once.
    pub order: Vec<usize>,
    /// For each pull the roll that it lies on: its own, or one with a slot for it.
    pub rolls: Vec<usize>,
    /// For every pull of the order, which kit gets what.
    pub dealt: Dealt,
    /// What it comes to.
    pub score: Score,
    /// With these pieces for these kits, no order of these pulls has fewer kits open at once.
    pub bound: u32,
}

/// Shares looked at before the search ends.
const WORK: u64 = 6_000_000;
/// Shares looked at in the first order; it decides among how many rolls the next one is chosen.
const GREEDY: u64 = 4_000_000;
/// Nodes of the exact search for each connected part.
const NODES: u64 = 2_000;
/// The most kits for which it is asked for an order as well.
const FEW: usize = 64;
/// The most kits for which the exact search is asked.
const KITS: usize = 256;
/// The most pulls of which all orders are gone through: 5,040.
const HANDFUL: usize = 7;
/// The most pulls of which orders begin with other weights too, and single pulls are moved.
const SMALL: usize = 400;

/// What dealing a whole order costs, in shares looked at.
fn dealing(job: &Job) -> u64 {
    let of = |pull: &super::Pull| -> u64 {
        pull.pieces.iter().map(|(piece, _)| job.shares[*piece].len() as u64 + 1).sum()
    };
    job.pulls.iter().map(|pull| of(pull) + 2).sum::<u64>().max(1)
}

/// The best first order of a job.
#[derive(Clone, Debug)]
pub struct First {
    /// For each pull the roll that it lies on: its own, or one changed with others.
    rolls: Vec<usize>,
    started: Started,
}

impl First {
    /// What it comes to, in points; what [`ordered`] makes of it comes to no more.
    #[must_use]
    pub fn points(&self) -> u64 {
        self.started.2.points
    }
}

/// The best first order, with pulls on the rolls that they lie on or changed between them.
#[must_use]
pub fn first(job: &Job, stop: Stop<'_>) -> First {
    let as_laid: Vec<usize> = job.pulls.iter().map(|pull| pull.roll).collect();
    let rolls = exchanged(job, stop);
    let kitwise = kitwise(job, stop);
    let started = of_kits(job, &kitwise, stop);
    if rolls == as_laid || stop() {
        return First { rolls: as_laid, started };
    }
    let changed = of_kits(&on_rolls(job, &rolls), &kitwise, stop);
    if changed.2.points < started.2.points {
        First { rolls, started: changed }
    } else {
        First { rolls: as_laid, started }
    }
}

/// Orders the pulls of a job, from its first order; of a few also from those that other weights lead to.
#[must_use]
pub fn ordered(job: &Job, first: First, stop: Stop<'_>) -> Sequenced {
    let done = finished(&on_rolls(job, &first.rolls), first.started, first.rolls, stop);
    if !(HANDFUL + 1..=SMALL).contains(&job.pulls.len()) {
        return done;
    }
    let others = leanings(&job.weights).into_iter().filter(|_| !stop()).map(|weights| {
        let leaning = Job { weights, ..job.clone() };
        let First { rolls, started: (phase, order, score) } = self::first(&leaning, stop);
        let order = improved(&on_rolls(&leaning, &rolls), &phase, order, score, stop);
        let own = on_rolls(job, &rolls);
        let score = deal(&own, &order).1;
        finished(&own, (phase, order, score), rolls, stop)
    });
    std::iter::once(done).chain(others).min_by_key(|one| one.score.points).unwrap_or_default()
}

/// Weights under which open kits count for less or for more, or changes of the roll for more.
fn leanings(weights: &Weights) -> [Weights; 3] {
    let kits = |open, held| Weights { open, held, ..*weights };
    [
        kits(weights.open / 4, weights.held / 4),
        kits(weights.open * 4, weights.held * 4),
        Weights { roll: weights.roll * 4, setup: weights.setup * 4, ..*weights },
    ]
}

/// Orders the pulls of a job.
#[must_use]
pub fn sequence(job: &Job, stop: Stop<'_>) -> Sequenced {
    ordered(job, first(job, stop), stop)
}

/// The job with its pulls on these rolls.
fn on_rolls(job: &Job, rolls: &[usize]) -> Job {
    let mut job = job.clone();
    for (pull, &roll) in job.pulls.iter_mut().zip(rolls) {
        pull.roll = roll;
    }
    job
}

/// A first order: the phases, the order, what it comes to.
type Started = (Vec<usize>, Vec<usize>, Score);

/// The best of the first orders.
fn of_kits(job: &Job, kitwise: &Kitwise, stop: Stop<'_>) -> Started {
    let phase = phases(job);
    let mut best: Option<(Vec<usize>, Score)> = None;
    let mut keep = |order: Vec<usize>| {
        let order = lawful(job, order);
        let score = deal(job, &order).1;
        if best.as_ref().is_none_or(|(_, old)| score.points < old.points) {
            best = Some((order, score));
        }
    };
    let mut as_laid: Vec<usize> = (0..job.pulls.len()).collect();
    as_laid.sort_by_key(|&pull| (phase[pull], job.pulls[pull].roll, job.pulls[pull].setup, pull));
    if stop() {
        keep(as_laid);
        let (order, score) = best.unwrap_or_default();
        return (phase, order, score);
    }
    keep(by_rolls(job, &phase, &as_laid));
    let mut by_setup = as_laid;
    by_setup.sort_by_key(|&pull| (phase[pull], job.pulls[pull].setup, job.pulls[pull].roll, pull));
    keep(by_setup);
    let (order, _) = best.clone().unwrap_or_default();
    let few = job.releases.len() <= FEW;
    let exact = few.then(|| stacks(job, &deal(job, &order).0, &order, stop)).flatten();
    if let Some((mut order, _)) = exact {
        order.sort_by_key(|&pull| phase[pull]);
        let order = lawful(job, order);
        let score = deal(job, &order).1;
        if best.as_ref().is_none_or(|(_, old)| score.points < old.points) {
            best = Some((order, score));
        }
    }
    let (order, score) = best.unwrap_or_default();
    let mut best = (phase, order, score);
    let pulls = job.pulls.len();
    for span in [usize::MAX, pulls / 8, pulls / 16, pulls / 32] {
        if stop() {
            break;
        }
        let by_kits = lawful(job, rolls_by_kits(job, kitwise, span));
        let score = deal(job, &by_kits).1;
        if score.points < best.2.points {
            best = (kitwise.phase.clone(), by_kits, score);
        }
    }
    best
}

/// Rolls in the mean order in which kits want their pulls, and those pulls in that order, one release
/// after another. Pulls of a roll that are wanted further apart than `span` pulls are cut apart.
fn rolls_by_kits(job: &Job, kitwise: &Kitwise, span: usize) -> Vec<usize> {
    let mut when = vec![0_usize; kitwise.order.len()];
    for (time, &pull) in kitwise.order.iter().enumerate() {
        when[pull] = time;
    }
    let mut pulls = kitwise.order.clone();
    pulls.sort_by_key(|&pull| (kitwise.phase[pull], job.pulls[pull].roll, when[pull]));
    let mut blocks: Vec<(usize, usize, Vec<usize>)> = Vec::new();
    let mut key = None;
    for pull in pulls {
        let (phase, roll) = (kitwise.phase[pull], job.pulls[pull].roll);
        match (blocks.last_mut(), key) {
            (Some(block), Some((of, from)))
                if of == (phase, roll) && when[pull].abs_diff(from) <= span =>
            {
                block.2.push(pull);
            }
            _ => {
                key = Some(((phase, roll), when[pull]));
                blocks.push((phase, 0, vec![pull]));
            }
        }
    }
    for (_, mean, pulls) in &mut blocks {
        *mean = pulls.iter().map(|&pull| when[pull]).sum::<usize>() * 1000 / pulls.len().max(1);
    }
    blocks.sort_by_key(|block| (block.0, block.1));
    blocks.into_iter().flat_map(|block| block.2).collect()
}

/// The order improved, with its deal and its bound.
fn finished(
    job: &Job,
    (phase, order, score): Started,
    rolls: Vec<usize>,
    stop: Stop<'_>,
) -> Sequenced {
    // Weighed releases may be mixed; the points say whether that is worth it.
    let free = if job.weights.late.is_some() { vec![0; phase.len()] } else { phase };
    let order = improved(job, &free, order, score, stop);
    let order = if order.len() <= HANDFUL { best_of_all(job, &free, order, stop) } else { order };
    let (dealt, score) = deal(job, &order);
    let widest = widest(&dealt);
    let bound = stacks(job, &dealt, &order, stop).map_or(widest, |(_, bound)| bound.max(widest));
    // Kits that are open from the start are so while the first pull is cut.
    let begun =
        score.open.first().map_or(0, |_| u32::try_from(job.begun.len()).unwrap_or(u32::MAX));
    let bound = bound.max(begun).min(score.most());
    Sequenced { order, rolls, dealt, score, bound }
}

/// The same order, with pulls of rolls that keep their order in that order.
fn lawful(job: &Job, mut order: Vec<usize>) -> Vec<usize> {
    let mut places: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (time, &pull) in order.iter().enumerate() {
        let roll = job.pulls[pull].roll;
        if job.fixed[roll] {
            places.entry(roll).or_default().push(time);
        }
    }
    for times in places.into_values() {
        let mut pulls: Vec<usize> = times.iter().map(|&time| order[time]).collect();
        pulls.sort_unstable();
        for (time, pull) in times.into_iter().zip(pulls) {
            order[time] = pull;
        }
    }
    order
}

/// Blocks of one phase and roll, next always the one that adds least to what is open.
fn by_rolls(job: &Job, phase: &[usize], pulls: &[usize]) -> Vec<usize> {
    let look = usize::try_from(GREEDY / dealing(job)).unwrap_or(1).clamp(3, 250);
    let same = |a: usize, b: usize| phase[a] == phase[b] && job.pulls[a].roll == job.pulls[b].roll;
    let mut left: Vec<&[usize]> = pulls.chunk_by(|&a, &b| same(a, b)).collect();
    let mut order = Vec::with_capacity(pulls.len());
    let mut kits = Kits::of(job);
    while let Some(first) = left.first() {
        let now = phase[first[0]];
        let same = left.iter().take_while(|block| phase[block[0]] == now).count().min(look);
        let best = (0..same).min_by_key(|&at| {
            let (opened, whole) = kits.try_on(job, left[at]);
            (opened + job.releases.len() - whole, opened, at)
        });
        let block = left.remove(best.unwrap_or(0));
        kits.cut(job, block);
        order.extend_from_slice(block);
    }
    order
}

/// The widest pull: so many kits are open at once in any order.
fn widest(dealt: &Dealt) -> u32 {
    let kits = |served: &Vec<(usize, Option<usize>, u64)>| {
        let mut kits: Vec<usize> = served.iter().filter_map(|d| d.1).collect();
        kits.sort_unstable();
        kits.dedup();
        u32::try_from(kits.len()).unwrap_or(u32::MAX)
    };
    dealt.iter().map(kits).max().unwrap_or(0)
}

/// An order of the pulls by the open-stacks search, and the fewest kits that any has open, with
/// pieces dealt as given; `None` where there are too many kits or no time.
fn stacks(job: &Job, dealt: &Dealt, order: &[usize], stop: Stop<'_>) -> Option<(Vec<usize>, u32)> {
    if job.releases.len() > KITS || stop() {
        return None;
    }
    let mut wants = vec![Vec::new(); job.releases.len()];
    for (time, served) in dealt.iter().enumerate() {
        for kit in served.iter().filter_map(|d| d.1) {
            if wants[kit].last() != Some(&time) {
                wants[kit].push(time);
            }
        }
    }
    let instance = Instance { name: String::new(), products: order.len(), wants, published: None };
    let answer = solve(&instance, NODES, stop);
    let pulls = answer.order.0.iter().map(|&time| order[time]).collect();
    Some((pulls, u32::try_from(answer.bound).unwrap_or(u32::MAX)))
}

/// Moves blocks as long as that saves points and work is left.
fn improved(
    job: &Job,
    phase: &[usize],
    order: Vec<usize>,
    score: Score,
    stop: Stop<'_>,
) -> Vec<usize> {
    let mut tries = WORK / dealing(job);
    let (mut order, mut score) = (order, score);
    let grains = [Grain::Roll, Grain::Knives, Grain::Pull];
    for &grain in &grains[..if order.len() > SMALL { 2 } else { 3 }] {
        let mut better = true;
        while better && tries > 0 && !stop() {
            better = false;
            let mut from = 0;
            while from < order.len() && tries > 0 && !stop() {
                let blocks = blocks(job, phase, &order, grain);
                let Some(at) = blocks.iter().position(|b| b.0 >= from) else { break };
                from = blocks[at].1;
                let moved = best_move(job, phase, &order, &blocks, at, &score, &mut tries);
                if let Some((next, new)) = moved {
                    (order, score) = (next, new);
                    better = true;
                }
            }
        }
    }
    order
}

/// The best of all orders that keep the phases, as far as the work goes; this one where none is better.
fn best_of_all(job: &Job, phase: &[usize], order: Vec<usize>, stop: Stop<'_>) -> Vec<usize> {
    let points = deal(job, &order).1.points;
    let tries = WORK / dealing(job);
    let mut all = All { job, phase, stop, tries, points, best: order, order: Vec::new() };
    all.go_on();
    all.best
}

/// All orders of a few pulls, one after another.
struct All<'a> {
    job: &'a Job,
    phase: &'a [usize],
    stop: Stop<'a>,
    /// Orders that may still be looked at.
    tries: u64,
    best: Vec<usize>,
    /// What the best comes to.
    points: u64,
    /// The order at hand, as far as it goes.
    order: Vec<usize>,
}

impl All<'_> {
    fn go_on(&mut self) {
        let pulls = &self.job.pulls;
        let left: Vec<usize> = (0..pulls.len()).filter(|pull| !self.order.contains(pull)).collect();
        let Some(now) = left.iter().map(|&pull| self.phase[pull]).min() else {
            self.tries = self.tries.saturating_sub(1);
            let points = deal(self.job, &self.order).1.points;
            if points < self.points {
                (self.points, self.best) = (points, self.order.clone());
            }
            return;
        };
        for (at, &pull) in left.iter().enumerate() {
            // Of pulls that are alike, and of those of a roll that keeps its order, the first comes first.
            let waits = |&other: &usize| {
                let same = pulls[other].roll == pulls[pull].roll;
                same && (self.job.fixed[pulls[pull].roll] || pulls[other] == pulls[pull])
            };
            if self.tries == 0 || (self.stop)() {
                return;
            }
            if self.phase[pull] > now || left[..at].iter().any(waits) {
                continue;
            }
            self.order.push(pull);
            self.go_on();
            self.order.pop();
        }
    }
}

/// What a stretch of an order that is moved has in common beside its phase.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Grain {
    Roll,
    /// Roll and places of the knives.
    Knives,
    /// It is one pull.
    Pull,
}

/// Stretches of an order: from, to.
fn blocks(job: &Job, phase: &[usize], order: &[usize], grain: Grain) -> Vec<(usize, usize)> {
    let mut blocks = Vec::new();
    let mut from = 0;
    for at in 1..=order.len() {
        let key = |time: usize| {
            let pull = order[time];
            let apart = match grain {
                Grain::Roll => 0,
                Grain::Knives => job.pulls[pull].setup,
                Grain::Pull => time,
            };
            (phase[pull], job.pulls[pull].roll, apart)
        };
        if at == order.len() || key(at) != key(from) {
            blocks.push((from, at));
            from = at;
        }
    }
    blocks
}

/// The best place for a block among the borders of the other blocks of its phase.
fn best_move(
    job: &Job,
    phase: &[usize],
    order: &[usize],
    blocks: &[(usize, usize)],
    at: usize,
    score: &Score,
    tries: &mut u64,
) -> Option<(Vec<usize>, Score)> {
    let (from, to) = blocks[at];
    let own = phase[order[from]];
    let mut best: Option<(Vec<usize>, Score)> = None;
    for (other, &(start, end)) in blocks.iter().enumerate() {
        if other == at || phase[order[start]] != own {
            continue;
        }
        // Where the tries end here, what was found so far still counts.
        let Some(left) = tries.checked_sub(1) else { break };
        *tries = left;
        let mut next: Vec<usize> = Vec::with_capacity(order.len());
        let block = &order[from..to];
        if other < at {
            next.extend_from_slice(&order[..start]);
            next.extend_from_slice(block);
            next.extend_from_slice(&order[start..from]);
            next.extend_from_slice(&order[to..]);
        } else {
            next.extend_from_slice(&order[..from]);
            next.extend_from_slice(&order[to..end]);
            next.extend_from_slice(block);
            next.extend_from_slice(&order[end..]);
        }
        let next = lawful(job, next);
        let new = deal(job, &next).1;
        let least = best.as_ref().map_or(score.points, |(_, b)| b.points);
        if new.points < least {
            best = Some((next, new));
        }
    }
    best
}

impl From<&crate::rules::Sequence> for Weights {
    fn from(rules: &crate::rules::Sequence) -> Self {
        Self {
            open: rules.open_kits,
            held: rules.held_kits,
            setup: rules.setup,
            roll: rules.roll_change,
            late: (rules.release == crate::rules::Releases::Weighed).then_some(rules.late),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sequence::shop::{Pull, Share};
    use proptest::prelude::*;

    /// All orders of so many.
    fn orders(pulls: usize) -> Vec<Vec<usize>> {
        if pulls == 0 {
            return vec![Vec::new()];
        }
        let put = |order: Vec<usize>| {
            (0..pulls).map(move |at| {
                let mut order = order.clone();
                order.insert(at, pulls - 1);
                order
            })
        };
        orders(pulls - 1).into_iter().flat_map(put).collect()
    }

    proptest! {
        #[test]
        fn no_order_of_a_few_pulls_is_better(
            pulls in prop::collection::vec((0_usize..3, 0_usize..3, 0_usize..4, 0_usize..4), 1..6),
            kits in prop::collection::vec(1_u32..3, 2..5),
            fixed in prop::collection::vec(any::<bool>(), 3),
        ) {
            let mut pulls = pulls;
            pulls.sort_by_key(|pull| pull.0);
            let pull = |&(roll, setup, one, other): &(usize, usize, usize, usize)| {
                let mut pieces = vec![(one, 1)];
                pieces.extend((other != one).then_some((other, 2)));
                pieces.sort_unstable();
                Pull { roll, slot: roll, setup, pieces }
            };
            let share = |kit: usize| Share { kit, quantity: 2 };
            let weights = Weights { open: 50, held: 100, setup: 2, roll: 8, late: Some(10) };
            let job = Job {
                pulls: pulls.iter().map(pull).collect(),
                fixed,
                shares: (0..4).map(|piece| vec![share(piece % kits.len()), share((piece + 1) % kits.len())]).collect(),
                releases: kits.clone(),
                begun: Vec::new(),
                weights,
            };
            let made = sequence(&job, &|| false);
            let job = on_rolls(&job, &made.rolls);
            let lawful = |order: &Vec<usize>| lawful(&job, order.clone()) == *order;
            let all = orders(job.pulls.len());
            let least = all.iter().filter(|order| lawful(order)).map(|order| deal(&job, order).1.points).min();
            prop_assert_eq!(Some(made.score.points), least);
        }
    }

    #[test]
    fn the_best_move_counts_though_the_tries_end_behind_it() {
        // Three pulls of one piece on three rolls, the first and the last with the same knives:
        // side by side the knives are set twice and not three times.
        let pull =
            |roll: usize, setup: usize| Pull { roll, slot: roll, setup, pieces: vec![(0, 1)] };
        let job = Job {
            pulls: vec![pull(0, 0), pull(1, 1), pull(2, 0)],
            fixed: vec![false; 3],
            shares: vec![vec![Share { kit: 0, quantity: 3 }]],
            releases: vec![1],
            begun: Vec::new(),
            weights: Weights { setup: 1, ..Weights::default() },
        };
        let (order, phase) = ([0, 1, 2], [0, 0, 0]);
        let score = deal(&job, &order).1;
        let blocks = blocks(&job, &phase, &order, Grain::Roll);
        assert_eq!((score.points, blocks.len()), (3, 3));
        for mut tries in [1, 2] {
            let found = best_move(&job, &phase, &order, &blocks, 2, &score, &mut tries);
            let (next, new) = found.unwrap();
            assert_eq!((next, new.points, tries), (vec![2, 0, 1], 2, 0));
        }
    }
}
