//! Demand: every piece to cut, and where its joints lie.

mod domain;

pub use domain::{Demand, Piece, RunJoints, Step};
