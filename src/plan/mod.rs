//! The answer as a file: rolls, pulls, placements, cuts, offcuts, pieces, joints, provenance.

mod file;

pub use file::{
    Areas, Cut, CutKind, Input, Limits, Nest, Offcut, Piece, Placement, Plan, Program, Pull, Roll,
    Use,
};
