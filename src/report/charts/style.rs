//! Letters and lines of every chart, on the elements themselves.

/// Letters.
pub(super) const SMALL: &str = "font-size:11px";

/// Letters that end at their place.
pub(super) const END: &str = "font-size:11px;text-anchor:end";

/// Letters that start at their place.
pub(super) const START: &str = "font-size:11px;text-anchor:start";

/// A line.
pub(super) const LINE: &str = "stroke:#000;stroke-width:1;fill:none";

/// A line to measure by.
pub(super) const FAINT: &str = "stroke:#bbb;stroke-width:1;fill:none";
