//! What is done by hand: metres cut, pieces cut, pieces wrapped, ties; counted for each item.
//!
//! Metres are those of [`Lengths`], each place that is cut once. They belong to a thickness as a whole
//! and are shared among its pieces by their edges.

use super::spread::spread;
use crate::demand::Demand;
use crate::geometry::{Outline, Point};
use crate::plan::{Lengths, Piece, Plan};
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
pub fn work<'p>(plan: &'p Plan, demand: &'p Demand, square_cut: Length) -> BTreeMap<&'p str, Work> {
    let mut all: BTreeMap<&str, Work> = BTreeMap::new();
    let lengths = Lengths::of(plan);
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
        for ((item, _), cut) in
            uses.iter().zip(spread(cut(plan, nest, &lengths, square_cut), &weights))
        {
            all.entry(item).or_default().cut += cut;
        }
    }
    for piece in &plan.pieces {
        for used in &piece.uses {
            all.entry(&used.item).or_default().pieces += used.quantity;
        }
    }
    let ties: BTreeMap<&str, u32> = demand
        .schedule
        .iter()
        .map(|step| (step.piece.as_str(), step.ties))
        .fold(BTreeMap::new(), |mut most, (piece, ties)| {
            let known = most.entry(piece).or_insert(ties);
            *known = ties.max(*known);
            most
        });
    for piece in &demand.pieces {
        let each = ties.get(piece.id.as_str()).copied().unwrap_or(0);
        all.entry(&piece.item).or_default().ties += u64::from(each) * piece.quantity;
    }
    all
}

/// All cuts of a nest, in nanometres.
fn cut(plan: &Plan, nest: usize, lengths: &Lengths<'_>, square_cut: Length) -> i128 {
    let rolls = plan.rolls.iter().filter(|roll| roll.nest == nest);
    rolls.map(|roll| i128::from(lengths.of_roll(roll, square_cut).all().nm())).sum()
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
