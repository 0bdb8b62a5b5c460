//! The order in which things are tried.

use super::bounds::quick;
use super::core::{Core, Packed, whole};
use super::dive::{State, dive, finish};
use super::effort::Effort;
use super::exact::{Ended, Exact};
use super::greedy::cost;
use super::interior::gather;
use super::lots::Lots;
use super::master::{Aim, Bound, Column, Generated, Master};
use super::rules::Rules;
use super::{tight, tree};
use crate::nest::Basis;

/// Waste is limited where it is at most this part of a bin.
const WASTEFUL: i64 = 16;
/// Waste is limited in bins up to this length.
const LONGEST: i64 = 200_000;

/// Dives before and after the search over a pool.
const DIVES: (u32, u32) = (5, 15);
/// Rounds of gathering prices for the pool.
const ROUNDS: u32 = 40;
/// By how much each further dive is blurred, up to four times this.
const NOISE: f64 = 0.1;

/// What the engine came to on a core.
pub(super) struct Solved {
    pub packed: Option<Vec<Packed>>,
    pub bound: i64,
    pub basis: Basis,
    pub linear: Option<Bound>,
    /// No packing exists at all.
    pub impossible: bool,
}

/// Packs a core.
pub(super) fn solve(
    core: &Core,
    seed: u64,
    effort: &Effort<'_>,
    tell: &dyn Fn(Option<i64>, i64),
) -> Solved {
    let (bound, basis) = if core.bins.len() == 1 {
        let (bins, basis) = quick(core);
        (bins.saturating_mul(core.bins[0].cost), basis)
    } else {
        (0, Basis::Area)
    };
    let mut solved = Solved { basis, ..Solved::at(bound) };
    let value = finish(core, &State::new(core, None), &mut solved.packed, effort);
    tell(solved.packed.is_some().then_some(value), bound);
    if solved.packed.is_some() && value <= bound {
        return solved;
    }
    if tight::settle(core, &mut solved, seed, effort, tell) || effort.over() {
        return solved;
    }
    by_programme(core, solved, seed, effort, tell)
}

/// Packs a core by the linear programme and what follows from it, from where `solved` stands.
pub(super) fn by_programme(
    core: &Core,
    mut solved: Solved,
    seed: u64,
    effort: &Effort<'_>,
    tell: &dyn Fn(Option<i64>, i64),
) -> Solved {
    let mut lots = Lots::new(seed);
    if solved.packed.is_none() {
        finish(core, &State::new(core, None), &mut solved.packed, effort);
        if solved.is_proven(core) {
            return solved;
        }
    }
    let mut waste = waste_of(core, solved.bound);
    let mut master = Master::new(core, waste);
    for pattern in solved.packed.iter().flatten() {
        master.add(Column { bin: pattern.bin, counts: pattern.counts.clone() });
    }
    let available: Vec<_> = core.bins.iter().map(|bin| bin.available).collect();
    loop {
        if !raise(core, &mut master, &mut solved, &mut waste, effort) {
            return solved;
        }
        tell(solved.packed.as_ref().map(|packed| cost(core, packed)), solved.bound);
        if solved.is_proven(core) {
            return solved;
        }
        let dives = |count: u32, solved: &mut Solved, master: &mut Master<'_>, lots: &mut Lots| {
            for attempt in 0..count {
                let noise = NOISE * f64::from(attempt.min(4));
                // Bins alike: only the bound itself is worth a dive. Else whatever is better.
                let better = solved.packed.as_ref().map_or(i64::MAX, |best| cost(core, best) - 1);
                let target = if core.bins.len() == 1 { solved.bound } else { better };
                let (state, lot) = (State::new(core, waste), (noise, &mut *lots));
                dive(master, state, target, lot, &mut solved.packed, effort);
                if solved.is_proven(core) || effort.over() {
                    break;
                }
            }
            solved.is_proven(core)
        };
        if dives(DIVES.0, &mut solved, &mut master, &mut lots) {
            return solved;
        }
        master.restrict(&core.demand, &available, waste);
        match settle(&mut master, &mut solved, &mut lots, effort) {
            Settled::Done => {}
            Settled::TooMany => {
                if dives(DIVES.1, &mut solved, &mut master, &mut lots) {
                    return solved;
                }
                let target = solved.bound / core.bins[0].cost;
                let ended = tree::search(&mut master, target, waste, &mut lots, effort);
                master.set_rules(Rules::default());
                if !conclude(core, ended, &mut solved) {
                    return solved;
                }
            }
            Settled::Stopped => {
                dives(DIVES.1, &mut solved, &mut master, &mut lots);
                return solved;
            }
        }
        tell(solved.packed.as_ref().map(|packed| cost(core, packed)), solved.bound);
        if solved.is_proven(core) {
            return solved;
        }
        waste = waste_of(core, solved.bound);
        master.restrict(&core.demand, &available, waste);
    }
}

impl Solved {
    /// Nothing packed yet, and a bound by area.
    pub fn at(bound: i64) -> Self {
        Self { packed: None, bound, basis: Basis::Area, linear: None, impossible: false }
    }

    /// Whether the packing costs no more than the bound.
    pub fn is_proven(&self, core: &Core) -> bool {
        self.packed.as_ref().is_some_and(|packed| cost(core, packed) <= self.bound)
    }
}

/// Solves the linear programme, with waste limited to what packings at the bound may leave, as long
/// as that raises the bound. Whether it came to an end.
fn raise(
    core: &Core,
    master: &mut Master<'_>,
    solved: &mut Solved,
    waste: &mut Option<i64>,
    effort: &Effort<'_>,
) -> bool {
    loop {
        let linear = match master.generate(Aim::Bound, effort) {
            Generated::Solved(linear) => linear,
            Generated::Infeasible => {
                solved.impossible = true;
                return false;
            }
            Generated::CutOff | Generated::Stopped => return false,
        };
        let mut raised = linear.value;
        if waste.is_some() {
            // Waste was limited to what packings at the bound so far may leave: it says no more
            // than that these do not exist.
            raised = raised.min(solved.bound + core.bins[0].cost);
        }
        solved.linear = Some(linear);
        if raised > solved.bound {
            solved.bound = raised;
            solved.basis = Basis::LinearProgramme;
        }
        let limit = waste_of(core, solved.bound);
        if limit == *waste {
            return true;
        }
        *waste = limit;
        let available: Vec<_> = core.bins.iter().map(|bin| bin.available).collect();
        master.restrict(&core.demand, &available, limit);
    }
}

/// How the search over a pool ended.
enum Settled {
    /// A packing at the bound is found, or the bound is raised by one bin.
    Done,
    /// The patterns are too many for a pool.
    TooMany,
    /// Stopped, or not a case for it.
    Stopped,
}

/// Settles the bound by a search over the pool of all patterns at it. `master` must stand at the
/// whole demand.
fn settle(
    master: &mut Master<'_>,
    solved: &mut Solved,
    lots: &mut Lots,
    effort: &Effort<'_>,
) -> Settled {
    let core = master.core();
    let [bin] = core.bins.as_slice() else { return Settled::Stopped };
    if bin.cost == 0 {
        return Settled::Stopped;
    }
    let target = solved.bound / bin.cost;
    if bin.available.is_some_and(|most| whole(most) < target) {
        solved.impossible = true;
        return Settled::Stopped;
    }
    let Generated::Solved(linear) = master.generate(Aim::End, effort) else {
        return Settled::Stopped;
    };
    let pool = gather(master, &linear, target, ROUNDS, lots, effort);
    solved.linear = Some(linear);
    let Some(pool) = pool else {
        return if effort.over() { Settled::Stopped } else { Settled::TooMany };
    };
    let ended = Exact::new(&core.demand, pool, target, effort).run();
    if conclude(core, ended, solved) { Settled::Done } else { Settled::Stopped }
}

/// Takes over what a search came to; whether it came to anything.
fn conclude(core: &Core, ended: Ended, solved: &mut Solved) -> bool {
    match ended {
        Ended::Found(packed) => solved.packed = Some(packed),
        Ended::None => {
            solved.bound += core.bins[0].cost;
            solved.basis = Basis::Search;
        }
        Ended::Stopped => return false,
    }
    true
}

/// What a packing of this cost may leave empty, where that is little enough to be worth minding.
fn waste_of(core: &Core, bound: i64) -> Option<i64> {
    let [bin] = core.bins.as_slice() else { return None };
    if bin.cost == 0 {
        return None;
    }
    let whole = i128::from(bound / bin.cost) * i128::from(bin.size);
    let waste = i64::try_from(whole - i128::from(core.total())).ok()?;
    (waste <= bin.size / WASTEFUL && bin.size <= LONGEST).then_some(waste)
}
