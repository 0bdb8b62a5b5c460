//! Points, rectangles, outlines and their placements: whole numbers only.
//!
//! Coordinates are [`Length`](crate::units::Length)s (nanometres); products are kept in 128
//! bits, so no predicate here can be wrong by rounding.

mod covered;
mod joined;
mod outline;
mod rect;

pub use covered::covered;
pub use joined::{Joined, joined};
pub use outline::{Outline, OutlineError};
pub use rect::{Point, Rect};
