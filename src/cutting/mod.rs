//! The cutting process, free of any trade: how a roll may be cut, how a piece may be turned, and
//! what is to be least. Rules, demand and the engine share these words.

mod objective;
mod process;
mod turns;

pub use objective::Objective;
pub use process::{Cutting, Style, fine};
pub use turns::Turns;
