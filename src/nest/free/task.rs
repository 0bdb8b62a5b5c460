//! The instance in the engine's own whole numbers.
//!
//! 1. The gap is added to the right and the far side of each piece, and once to the room, so that
//!    pieces may touch from then on and none is asked for at the roll's edges.
//! 2. Lengths are divided by their greatest common divisor; a room is rounded down to it, which
//!    loses nothing when pieces are pushed to the lower left.
//! 3. Pieces of one size and one choice of turns become one kind.

use crate::cutting::Style;
use crate::nest::{Instance, Piece};
use std::collections::BTreeMap;

/// One way of laying a kind: its size across and along, gap included.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Shape {
    /// Size across.
    pub w: i64,
    /// Size along.
    pub h: i64,
}

/// Pieces of one size.
#[derive(Clone, Debug)]
pub struct Kind {
    /// The ways it may lie: one or two.
    pub shapes: Vec<Shape>,
    /// How many are wanted.
    pub demand: u32,
    /// The instance's pieces that it stands for, and how many of each.
    pub pieces: Vec<(usize, u32)>,
}

impl Kind {
    /// The area of one, gap included.
    pub fn area(&self) -> i128 {
        self.shapes.first().map_or(0, |s| i128::from(s.w) * i128::from(s.h))
    }
}

/// An upright box that pieces are laid in: a roll, or a stretch of one.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Room {
    /// Size across.
    pub width: i64,
    /// Size along.
    pub length: i64,
}

/// The instance, scaled.
#[derive(Clone, Debug)]
pub struct Task {
    /// Nanometres in one unit.
    pub unit: i64,
    /// What is to be laid.
    pub kinds: Vec<Kind>,
    /// The room of each of the instance's rolls; without end it is [`Task::ENDLESS`] long.
    pub rooms: Vec<Room>,
    /// The longest pull, gap included.
    pub pull: i64,
    /// Whether every cut runs from edge to edge.
    pub edges: bool,
}

impl Task {
    /// Longer than anything that will be laid.
    pub const ENDLESS: i64 = i64::MAX / 4;
    /// The most pieces that are laid one by one.
    pub const MOST_PIECES: u64 = 5_000_000;

    /// `None` when there are too many pieces, or too long ones, to be laid one by one.
    pub fn new(instance: &Instance) -> Option<Self> {
        let gap = instance.cutting.gap.nm();
        let mut unit = 0;
        let mut total: u64 = 0;
        let mut furthest: i128 = 0;
        for piece in &instance.pieces {
            unit = common_divisor(unit, piece.width.nm() + gap);
            unit = common_divisor(unit, piece.length.nm() + gap);
            total = total.checked_add(piece.quantity).filter(|&t| t <= Self::MOST_PIECES)?;
            let size = i128::from(piece.width.max(piece.length).nm() + gap);
            furthest += size * i128::from(piece.quantity);
        }
        if unit == 0 || furthest > i128::from(Self::ENDLESS) {
            return None;
        }
        let floor = |nm: i64| (nm + gap).max(0) / unit;
        let rooms = instance
            .rolls
            .iter()
            .map(|roll| Room {
                width: floor(roll.width.nm() - 2 * instance.cutting.edge_trim.nm()),
                length: roll
                    .length
                    .map_or(Self::ENDLESS, |l| floor(l.nm() - instance.cutting.square_cut.nm())),
            })
            .collect();
        let pull = instance.cutting.pull_limit.map_or(Self::ENDLESS, |l| floor(l.nm()));
        let mut places: BTreeMap<Vec<Shape>, usize> = BTreeMap::new();
        let mut kinds: Vec<Kind> = Vec::new();
        for (index, piece) in instance.pieces.iter().enumerate() {
            let quantity = u32::try_from(piece.quantity).ok()?;
            let shapes = shapes_of(piece, gap, unit);
            let place = *places.entry(shapes.clone()).or_insert_with(|| {
                kinds.push(Kind { shapes, demand: 0, pieces: Vec::new() });
                kinds.len() - 1
            });
            if let Some(kind) = kinds.get_mut(place) {
                kind.demand += quantity;
                kind.pieces.push((index, quantity));
            }
        }
        let edges = instance.cutting.style == Style::Straight;
        Some(Self { unit, kinds, rooms, pull, edges })
    }

    /// How many pieces are wanted.
    pub fn pieces(&self) -> u64 {
        self.kinds.iter().map(|k| u64::from(k.demand)).sum()
    }

    /// For each of the instance's pieces, its kind.
    pub fn kind_of(&self) -> Vec<u32> {
        let mut pairs: Vec<(usize, u32)> = (0u32..)
            .zip(&self.kinds)
            .flat_map(|(k, kind)| kind.pieces.iter().map(move |&(piece, _)| (piece, k)))
            .collect();
        pairs.sort_unstable();
        pairs.into_iter().map(|(_, k)| k).collect()
    }

    /// The area of all pieces wanted, gap included.
    pub fn area(&self) -> i128 {
        self.kinds.iter().map(|k| k.area() * i128::from(k.demand)).sum()
    }
}

/// The ways a piece may lie, in increasing order.
fn shapes_of(piece: &Piece, gap: i64, unit: i64) -> Vec<Shape> {
    let w = (piece.width.nm() + gap) / unit;
    let h = (piece.length.nm() + gap) / unit;
    let mut shapes = Vec::with_capacity(2);
    if piece.turns.upright() {
        shapes.push(Shape { w, h });
    }
    if piece.turns.sideways() {
        shapes.push(Shape { w: h, h: w });
    }
    shapes.sort_unstable();
    shapes.dedup();
    shapes
}

/// The greatest common divisor; `0` takes the other's part.
fn common_divisor(mut a: i64, mut b: i64) -> i64 {
    while b != 0 {
        (a, b) = (b, a % b);
    }
    a.abs()
}
