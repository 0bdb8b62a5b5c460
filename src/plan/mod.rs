//! The answer as a file: rolls, pulls, placements, cuts, offcuts, pieces, joints, provenance.
//!
//! Steps: an order sheet for each thickness ([`wanted`], from a job by [`job::wanted`] or from a
//! bare instance); the engine answers it; [`assemble()`] makes the answers a [`Plan`].

mod already;
mod assemble;
mod certificate;
mod choice;
pub mod choose;
mod cut_length;
mod file;
pub mod groups;
pub mod job;
mod kits;
mod left;
mod mark;
mod once;
#[cfg(test)]
pub(crate) mod sample;
pub mod set_out;
mod shared;
pub mod wanted;
pub mod ways;
mod without;

pub use already::{go_on, hold_begun, left_to_buy, take_off};
pub use assemble::{AssemblyError, assemble};
pub use certificate::{Certificate, Most, Scales};
pub use choice::{
    AtTable, Choice, ChosenItem, ChosenRun, ChosenThing, CutFrom, Earlier, Figures, KeptRun,
    NestFigures,
};
pub use cut_length::{CutLength, Lengths, Measured};
pub use file::{
    Already, Areas, Cut, CutKind, InHand, Input, Limits, Nest, Offcut, OnHand, Ordered, Piece,
    Placement, Plan, Program, Pull, Roll, Sequence, SparesOrdered, Step, Taken, Use, WithoutShelf,
    digest,
};
pub use kits::{KitSpan, ticket_name};
pub use once::Once;
pub use shared::{Member, Shared, Side, blanks, boxes, shared};
pub use wanted::Wanted;
pub use without::spared;

pub use crate::nest::{Basis, Status};
