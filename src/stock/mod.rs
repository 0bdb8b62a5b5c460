//! Stock: rolls that can be bought and offcuts on the shelf.

mod domain;

pub use domain::{Offcut, Roll, Stock};
