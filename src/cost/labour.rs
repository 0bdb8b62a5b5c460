//! What is done by hand: metres cut, pieces cut, pieces wrapped, ties; counted for each item.
//!
//! Metres are those of [`Measured`], each place that is cut once. They belong to a thickness as a whole
//! and are shared among its pieces by their edges.

use super::spread::spread;
use crate::demand::{Demand, Step};
use crate::geometry::{Outline, Point};
use crate::plan::{Measured, Piece, Plan};
use crate::units::Length;
use std::collections::BTreeMap;

/// What is done for one item, or for all.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Work {
    /// Length of the cuts, in nanometres.
    pub cut: i128,
    /// Pieces.
    pub pieces: u64,
    /// Ties.
    pub ties: u64,
}

/// The work of a job, item by item in the order of their names.
#[must_use]
pub fn work<'p>(
    (plan, measured): (&'p Plan, &Measured<'_>),
    demand: &'p Demand,
    square_cut: Length,
) -> BTreeMap<&'p str, Work> {
    let mut all: BTreeMap<&str, Work> = BTreeMap::new();
    for nest in 0..plan.nests.len() {
        let uses: Vec<(&str, i128)> = plan
            .pieces
            .iter()
            .filter(|piece| piece.nest == nest)
            .flat_map(|piece| {
                let edge = edge(piece);
                let share = move |n: u64| edge * i128::from(n);
                piece.uses.iter().map(move |used| (used.item.as_str(), share(used.quantity)))
            })
            .collect();
        let weights: Vec<i128> = uses.iter().map(|(_, weight)| *weight).collect();
        let cut = i128::from(measured.of_nest(nest, square_cut).nm());
        for ((item, _), cut) in uses.iter().zip(spread(cut, &weights)) {
            all.entry(item).or_default().cut += cut;
        }
    }
    let mut cut: BTreeMap<&str, u64> = BTreeMap::new();
    for used in plan.pieces.iter().flat_map(|piece| &piece.uses) {
        all.entry(&used.item).or_default().pieces += used.quantity;
        *cut.entry(&used.id).or_default() += used.quantity;
    }
    // The schedule is of the whole job, whatever is left to cut of it.
    let mut wanted: BTreeMap<&str, u64> = BTreeMap::new();
    for step in &demand.schedule {
        let count = wanted.entry(&step.piece).or_default();
        *count = count.saturating_add(step.count.saturating_mul(step.items));
    }
    for step in &demand.schedule {
        let of = |counts: &BTreeMap<&str, u64>| counts.get(&*step.piece).copied().unwrap_or(0);
        let sum = &mut all.entry(&step.item).or_default().ties;
        *sum = sum.saturating_add(ties(step, of(&cut), of(&wanted)));
    }
    all
}

/// The ties of a step where so many of the pieces that are wanted are cut by a plan: one that goes on from another, or
/// leaves releases out, cuts not all of them.
fn ties(step: &Step, cut: u64, wanted: u64) -> u64 {
    let all = u128::from(step.ties) * u128::from(step.items);
    let part = (all * u128::from(cut)).div_ceil(u128::from(wanted.max(1)));
    u64::try_from(part).unwrap_or(u64::MAX)
}

/// The edge of one piece, in nanometres.
fn edge(piece: &Piece) -> i128 {
    let sides = || 2 * (i128::from(piece.width.nm()) + i128::from(piece.length.nm()));
    piece.outline.as_ref().map_or_else(sides, around)
}

/// The length of an outline, in nanometres, every edge rounded down.
fn around(outline: &Outline) -> i128 {
    let corners = outline.corners();
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(from, to)| between(*from, *to)).sum()
}

/// The distance between two points in nanometres, rounded down.
fn between(from: Point, to: Point) -> i128 {
    i128::from(from.distance(to).nm())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: nine ties hold three like pieces, so one of the three takes three; of ten two take seven, no part of one.
    #[test]
    fn part_of_the_pieces_takes_its_part_of_the_ties() {
        let step = |ties, items| Step {
            item: "P-1".to_owned(),
            run: 1,
            layer: 1,
            piece: "P-1/1/course".to_owned(),
            count: 1,
            items,
            at: Length::ZERO,
            seams: Vec::new(),
            ties,
            pins: 0,
            note: String::new(),
        };
        assert_eq!([1, 3].map(|cut| super::ties(&step(3, 3), cut, 3)), [3, 9]);
        assert_eq!(super::ties(&step(10, 1), 2, 3), 7);
        let mut plan = crate::plan::sample::plan(1, 3);
        for piece in &mut plan.pieces {
            piece.uses[0].id = "P-1/1/course".to_owned();
        }
        plan.pieces.truncate(1);
        // Three are cut of the twelve that four items take, three each.
        let demand =
            Demand { schedule: vec![Step { count: 3, ..step(8, 4) }], ..Demand::default() };
        let measured = Measured::of(&plan);
        let work = work((&plan, &measured), &demand, Length::ZERO);
        assert_eq!(work["P-1"].ties, 8);
    }
}
