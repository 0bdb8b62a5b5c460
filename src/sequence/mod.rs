//! The order of work: which product (a pull) is made when, so that few customers (kits) are open
//! at a time. Knows products and customers, and nothing of pipes or rolls. [`shop`] weighs open
//! kits with releases, knife places and changes of the roll.

mod beam;
mod bits;
mod dead;
mod graph;
mod minor;
mod moves;
mod part;
mod record;
mod search;
pub mod shop;
mod stacks;

pub use record::read;
pub use stacks::{Answer, Instance, Order, solve};
