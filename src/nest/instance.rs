//! What is to be nested: rolls, pieces, how they may be cut, and what is to be least.
//!
//! `x` and `width` run across the roll, `y` and `length` along it.

use crate::cutting::{Cutting, Objective, Turns};
use crate::geometry::Outline;
use crate::units::{Area, Length, Money};

/// A valid instance: every piece fits some roll, every number is in range.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Instance {
    /// Its name.
    pub name: String,
    /// The rolls on offer.
    pub rolls: Vec<Roll>,
    /// The pieces wanted; like pieces are one entry with a quantity.
    pub pieces: Vec<Piece>,
    /// How rolls may be cut.
    pub cutting: Cutting,
    /// What is to be least.
    pub objective: Objective,
    /// What others have reached, for benchmarks.
    pub published: Option<Published>,
}

/// A roll on offer, or an offcut on the shelf (then `available` is limited and the price 0).
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Roll {
    /// Its name.
    pub id: String,
    /// Nominal size across.
    pub width: Length,
    /// Nominal size along; `None` is a roll without end.
    pub length: Option<Length>,
    /// Price of one.
    pub price: Money,
    /// How many there are; `None` is without limit.
    pub available: Option<u64>,
}

/// A flat piece and how many of it are wanted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Piece {
    /// Its name.
    pub id: String,
    /// Size across the roll, unturned.
    pub width: Length,
    /// Size along the roll, unturned.
    pub length: Length,
    /// Its shape, where it is no rectangle; `width` and `length` are then the blank it is cut
    /// from, at least its bounding box, which lies in the blank's lower left corner.
    pub outline: Option<Outline>,
    /// How many are wanted (at least one; more may be made).
    pub quantity: u64,
    /// How it may be turned.
    pub turns: Turns,
}

impl Instance {
    /// Whether some pieces are no rectangles.
    #[must_use]
    pub fn is_outlined(&self) -> bool {
        self.pieces.iter().any(|piece| piece.outline.is_some())
    }

    /// The area of all pieces that are asked for, in square nanometres; no more than an `i128` holds.
    #[must_use]
    pub fn wanted_nm2(&self) -> i128 {
        let of = |piece: &Piece| piece.area().nm2().saturating_mul(i128::from(piece.quantity));
        self.pieces.iter().map(of).fold(0, i128::saturating_add)
    }

    /// How many pieces are asked for; no more than a `u64` holds.
    #[must_use]
    pub fn demand(&self) -> u64 {
        self.pieces.iter().map(|piece| piece.quantity).fold(0, u64::saturating_add)
    }
}

impl Roll {
    /// What one counts where rolls or their prices do: 1, or its price in millionths.
    #[must_use]
    pub fn cost(&self, objective: Objective) -> i64 {
        match objective {
            Objective::Price => self.price.micros(),
            Objective::Rolls | Objective::Length => 1,
        }
    }

    /// The area of one; nothing of one without end.
    #[must_use]
    pub fn area(&self) -> Area {
        Area::of_rectangle(self.width, self.length.unwrap_or_default())
    }
}

impl Piece {
    /// The area of one.
    #[must_use]
    pub fn area(&self) -> Area {
        match &self.outline {
            Some(outline) => outline.area(),
            None => Area::of_rectangle(self.width, self.length),
        }
    }
}

/// A value others have published.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Published {
    /// The best known value, in the objective's unit (see [`Objective`]).
    pub value: Option<i64>,
    /// Whether it is proven optimal.
    pub proven: bool,
    /// The best known lower bound.
    pub bound: Option<i64>,
    /// Where it stands.
    pub source: String,
}
