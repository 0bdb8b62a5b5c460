//! Checks of the patterns against derivations, closed forms and published values.
//!
//! `TV…` names a row of the shop's worked vectors, `domain/vectors.csv`: two independent routes to
//! each number; the figures stand here so that the tests need no file. `tests/vectors.rs` compares
//! the file's rows, where it is at hand.

mod bends;
mod fits;
mod flats;
mod meshes;
mod published;
mod rounds;
mod saddles;
mod wraps;

use super::wrap::Layer;
use crate::units::{Decimal, Length};

/// A layer by its diameter beneath, in hundredths of a millimetre, and thickness in mm.
fn layer(under_hundredths: i64, thickness: i64, factor_millionths: i64) -> Layer {
    Layer {
        under: Length::from_nm(under_hundredths * 10_000),
        thickness: Length::from_mm(thickness),
        factor: Decimal::from_millionths(factor_millionths),
    }
}

const HALF: i64 = 500_000;

/// Asserts that two numbers agree within a tolerance.
#[track_caller]
fn close(found: f64, expected: f64, tolerance: f64) {
    assert!((found - expected).abs() <= tolerance, "{found} is not {expected} within {tolerance}");
}
