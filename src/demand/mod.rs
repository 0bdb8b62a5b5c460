//! Demand: every piece to cut, and where its joints lie.
//!
//! [`expand()`] turns a takeoff into pieces; one file a fitting says what pieces it needs. All
//! shapes come from [`crate::pattern`]; here they get layers, joints, names and quantities.
//!
//! Laps, where the rules ask for them, are for what is wrapped square: runs, shells, bodies of
//! covers, and the seams of elbows, on the outermost layer. Curved edges butt, and so does all of a branch's cover.

mod branch;
mod courses;
mod cover;
mod domain;
mod dome;
mod elbow;
mod expand;
mod flat;
mod freedom;
mod kept;
mod kit;
mod making;
mod pipe;
mod reducer;
mod seams;
mod shop;
mod things;
mod welds;

pub use domain::{CoverJoints, Datum, Demand, Piece, RunJoints, Step};
pub use expand::{expand, expand_chosen};
pub use freedom::{Choices, FreeLayer, FreeRun, Picks};
pub use kept::{Kept, as_specified, keep};
pub use making::{Making, Makings, made};
pub use things::{Thing, ThingWay, leaders, things};

#[cfg(test)]
mod tests;
