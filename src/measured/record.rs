//! A line of measured wraps as typed: shape only.

use crate::table::{Cell, Column};

/// The columns of a file of measured wraps.
pub const COLUMNS: &[Column; 6] = &[
    Column::needed("size", "pipe size", "NPS 6", "NPS 6, DN 150 or OD 168.3"),
    Column::optional(
        "layer",
        "whole number",
        "2",
        "which layer, 1 innermost; empty: 1, or one \
                                                    more than stand in column beneath",
    ),
    Column::needed("thickness", "length", "10", "thickness of the blanket that was wrapped"),
    Column::needed("length", "length", "556", "from the edge to the mark where it met"),
    Column::optional(
        "beneath",
        "build",
        "5+10",
        "layers beneath it, from the inside out; empty: \
                                                  layers of the same thickness",
    ),
    Column::optional("note", "text", "cold, tight", "free text"),
];

/// A line.
pub(super) struct Record<'t> {
    pub(super) size: Cell<'t>,
    pub(super) layer: Cell<'t>,
    pub(super) thickness: Cell<'t>,
    pub(super) length: Cell<'t>,
    pub(super) beneath: Cell<'t>,
}

impl<'t> From<[Cell<'t>; 6]> for Record<'t> {
    fn from([size, layer, thickness, length, beneath, _]: [Cell<'t>; 6]) -> Self {
        Self { size, layer, thickness, length, beneath }
    }
}
