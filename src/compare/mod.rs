//! Options side by side: the same job under other rules, rolls, builds, rates or without the shelf.
//!
//! Steps: an option's settings change a copy of the job ([`change`]); the copy is expanded, nested,
//! assembled, audited and priced like any job ([`solve()`]), but a nest for which several options ask is
//! made once ([`nests`]); what matters is put into one row ([`row`]). [`order`] does the same for the order
//! alone: the fewest rolls beside the cheapest.

mod change;
pub mod choice;
mod nests;
pub mod order;
mod row;
mod seams;
mod solve;
#[cfg(test)]
mod tests;

pub use choice::Choice;
pub use row::{
    AS_IT_STANDS, Comparison, Figures, Row, Told, changed, compare, compare_from, mistakes,
    sensitivity,
};
pub use seams::{Place, SEAMS, Seams};
pub use solve::{Setup, Solved, Trouble, solve};
