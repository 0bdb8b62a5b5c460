//! The answer as a file: rolls, pulls, placements, cuts, offcuts, pieces, joints, provenance.
//!
//! Steps: an order sheet for each thickness ([`wanted`], from a job by [`job::wanted`] or from a
//! bare instance); the engine answers it; [`assemble()`] makes the answers a [`Plan`].

mod assemble;
mod file;
pub mod job;
pub mod wanted;

pub use assemble::{AssemblyError, assemble};
pub use file::{
    Areas, Cut, CutKind, Input, Limits, Nest, Offcut, Piece, Placement, Plan, Program, Pull, Roll,
    Sequence, Step, Use,
};
pub use wanted::Wanted;

pub use crate::nest::{Basis, Status};
