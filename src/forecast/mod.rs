//! Before the detailed takeoff, and beside it: what waste to allow, and how sure the order is.
//!
//! [`allowance()`] draws detailed takeoffs from quantities by size and kind, nests each, and says what
//! allowance suffices in half, four fifths and nine tenths of them. [`risk()`] draws takeoffs whose
//! quantities are off by as much as each is uncertain, and says how many rolls they need and whether
//! those ordered suffice ([`order`]).
//!
//! Simulated jobs are nested with little work, so that of many sizes curved pieces do not interlock: on the
//! demo that takes five times as long. What this makes of one job that is laid both ways is told beside.
//!
//! Every simulated job has a random stream of its own (`ChaCha8`, the seed and the job's number), so
//! the same seed gives the same figures on any number of threads. Distributions come from the
//! `rand_distr` crate; lengths are rounded to whole millimetres.

pub mod allowance;
pub mod law;
pub mod order;
pub mod quantile;
pub mod quantities;
pub mod risk;
mod simulate;
#[cfg(test)]
mod tests;
pub mod uncertainty;

pub use allowance::{Allowance, allowance};
pub use law::{Law, Shape};
pub use order::{Held, Ordered};
pub use quantities::Quantity;
pub use risk::{Risk, risk};
pub use simulate::{Follow, Shop, Trouble};
