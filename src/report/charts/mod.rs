//! Charts as SVG: bars and curves in black and white, with axes, units and words.
//!
//! What a reader must tell apart differs by fill (white, hatched, black) or by dashes and is named
//! beside the bar or the curve, never by colour. All text goes through maud, which escapes it. Styles
//! stand on the elements themselves, since the page's own rules for drawings differ.

mod axis;
mod bars;
mod curves;
mod style;

pub use bars::{Bars, Fill, Row, hatching};
pub use curves::{Curve, Curves};
