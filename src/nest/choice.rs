//! Choices of a bare instance: like things that can each be made in one of several ways.

use super::choose::{Group, Held, Way};

/// So many like things, each of which can be made in any of several ways.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// Its name.
    pub id: String,
    /// How many things.
    pub quantity: u64,
    /// The ways to make one; at least one.
    pub ways: Vec<NamedWay>,
}

/// A way to make a thing.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NamedWay {
    /// Its name.
    pub id: String,
    /// Pieces, by index into the instance's, and how many of each.
    pub pieces: Vec<(usize, u64)>,
}

impl Choice {
    /// As the engine takes it, over one material.
    #[must_use]
    pub fn group(&self) -> Group {
        let held = |&(piece, quantity): &(usize, u64)| Held { material: 0, piece, quantity };
        let way = |way: &NamedWay| Way {
            pieces: way.pieces.iter().map(held).collect(),
            ..Way::default()
        };
        Group { count: self.quantity, ways: self.ways.iter().map(way).collect() }
    }
}
