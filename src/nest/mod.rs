//! The engine: lays pieces on rolls and bounds what could be saved. Knows sizes, quantities and
//! stock, and nothing of pipes.

mod answer;
mod instance;
mod watch;

pub use answer::{Basis, Layout, Nesting, Placement, Pull, Status};
pub use instance::{Instance, Piece, Published, Roll};
pub use watch::{News, Options, Quiet, Watch};
