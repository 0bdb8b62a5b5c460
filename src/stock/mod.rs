//! Stock: rolls that can be bought and offcuts on the shelf. `record` as typed, `validate` at the
//! door, `domain` after.

mod domain;
pub mod limits;
mod record;
mod terms;
#[cfg(test)]
mod tests;
mod unusual;
mod validate;

pub use domain::{Offcut, Roll, Stock, Terms};
pub use record::{OFFCUT_COLUMNS, ROLL_COLUMNS};
pub use validate::{check_against_rules, combine, read_offcuts, read_rolls};
