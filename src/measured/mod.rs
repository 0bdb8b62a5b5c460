//! Measured wraps: a scrap wrapped round the pipe and marked where it meets itself, written down in a
//! small file. `record` as typed, `validate` at the door; [`fit()`] makes wrap factors of them.

mod fit;
mod record;
#[cfg(test)]
mod tests;
mod validate;

pub use fit::{fit, with_factors};
pub use record::COLUMNS;
pub use validate::read;

use crate::finding::Place;
use crate::units::Length;

/// One measured wrap; the length is one that this layer can have.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Wrap {
    /// The pipe's size as written.
    pub size: String,
    /// Which layer, 1 innermost.
    pub layer: u32,
    /// Blanket thickness.
    pub thickness: Length,
    /// Diameter under the layer.
    pub under: Length,
    /// From edge to mark.
    pub length: Length,
    /// The line it stands in.
    pub place: Place,
}
