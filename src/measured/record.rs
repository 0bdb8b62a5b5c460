//! A line of measured wraps as typed: shape only.

use crate::table::record;

record! {
    /// The columns of a file of measured wraps.
    pub const COLUMNS;

    /// A line.
    struct Record;

    size: needed "pipe size", "NPS 6", "NPS 6, DN 150 or OD 168.3";
    layer: optional "whole number", "2",
        "which layer, 1 innermost; empty: 1, or one more than stand in column beneath";
    thickness: needed "length", "10", "thickness of the blanket that was wrapped";
    length: needed "length", "556", "from the edge to the mark where it met";
    beneath: optional "build", "5+10",
        "layers beneath it, from the inside out; empty: layers of the same thickness";
    #[expect(dead_code, reason = "kept for those who read the file")]
    note: optional "text", "cold, tight", "free text";
}
