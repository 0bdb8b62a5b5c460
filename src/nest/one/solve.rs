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
use crate::nest::Basis;

/// Waste is limited where it is at most this part of a bin.
const WASTEFUL: i64 = 16;
/// Waste is limited in bins up to this length.
const LONGEST: i64 = 200_000;

/// Dives before and after the search over a pool.
const DIVES: (u32, u32) = (5, 40);
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
    let mut lots = Lots::new(seed);
    let (bound, basis) = if core.bins.len() == 1 {
        let (bins, basis) = quick(core);
        (bins.saturating_mul(core.bins[0].cost), basis)
    } else {
        (0, Basis::Area)
    };
    let mut solved = Solved { packed: None, bound, basis, linear: None, impossible: false };
    let value = finish(core, &State::new(core, None), &mut solved.packed, effort);
    tell(solved.packed.is_some().then_some(value), bound);
    if solved.packed.is_some() && value <= bound {
        return solved;
    }
    let mut waste = waste_of(core, bound);
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
            (0..count).any(|attempt| {
                let noise = NOISE * f64::from(attempt.min(4));
                let state = State::new(core, waste);
                let lot = (noise, &mut *lots);
                dive(master, state, solved.bound, lot, &mut solved.packed, effort)
            })
        };
        if dives(DIVES.0, &mut solved, &mut master, &mut lots) {
            return solved;
        }
        master.restrict(&core.demand, &available, waste);
        if !search(&mut master, &mut solved, &mut lots, effort) {
            dives(DIVES.1, &mut solved, &mut master, &mut lots);
            return solved;
        }
        if solved.is_proven(core) {
            return solved;
        }
        waste = waste_of(core, solved.bound);
        master.restrict(&core.demand, &available, waste);
    }
}

impl Solved {
    fn is_proven(&self, core: &Core) -> bool {
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

/// Finds a packing at the bound, or raises the bound by one bin, by complete search. Whether it
/// came to an end. `master` must stand at the whole demand.
fn search(
    master: &mut Master<'_>,
    solved: &mut Solved,
    lots: &mut Lots,
    effort: &Effort<'_>,
) -> bool {
    let core = master.core();
    let [bin] = core.bins.as_slice() else { return false };
    if bin.cost == 0 {
        return false;
    }
    let target = solved.bound / bin.cost;
    if bin.available.is_some_and(|most| whole(most) < target) {
        solved.impossible = true;
        return false;
    }
    let Generated::Solved(linear) = master.generate(Aim::End, effort) else { return false };
    let pool = gather(master, &linear, target, lots, effort);
    solved.linear = Some(linear);
    let Some(pool) = pool else { return false };
    match Exact::new(&core.demand, pool, target, effort).run() {
        Ended::Found(packing) => {
            let packed =
                packing.into_iter().map(|(counts, copies)| Packed { bin: 0, counts, copies });
            solved.packed = Some(packed.collect());
            true
        }
        Ended::None => {
            solved.bound += bin.cost;
            solved.basis = Basis::Search;
            true
        }
        Ended::Stopped => false,
    }
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
