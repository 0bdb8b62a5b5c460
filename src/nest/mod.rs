//! The engine: lays pieces on rolls and bounds what could be saved. Knows sizes, quantities and
//! stock, and nothing of pipes.

mod answer;
mod bars;
pub mod bound;
mod choice;
pub mod choose;
mod drawn;
mod endless;
mod error;
mod few;
pub mod free;
mod instance;
pub mod knapsack;
pub mod mix;
mod neighbourhood;
mod offers;
pub mod one;
mod positive;
mod record;
#[cfg(test)]
pub(crate) mod sample;
pub mod shapes;
pub mod simplex;
mod slices;
mod solve;
pub mod straight;
mod validate;
mod watch;

pub use answer::{Basis, Layout, Nesting, Placement, Pull, Status, made, used};
pub use choice::{Choice, NamedWay};
pub use drawn::drawn_less;
pub use error::NestError;
pub use instance::{Instance, Piece, Published, Roll};
pub use offers::solve_offers;
pub(crate) use positive::positive;
pub use solve::{solve, solve_from};
pub use validate::{Entry, read};
pub(crate) use watch::Hushed;
pub use watch::{News, Options, Quiet, Watch};
