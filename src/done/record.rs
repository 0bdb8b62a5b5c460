//! Lines of what was done, as typed.

use crate::table::{Cell, Column};

/// The columns of the report of what was done.
pub const COLUMNS: &[Column; 9] = &[
    Column::needed("ticket", "ticket", "T12", "which ticket of the plan; for instance `T12`"),
    Column::needed(
        "what",
        "word",
        "cut",
        "cut: pulls are cut; spoilt: pieces of a cut pull are to be made again; damaged: a stretch \
         of the roll cannot be used; short: the roll is shorter than it should be",
    ),
    Column::optional(
        "pull",
        "numbers or all",
        "12-18",
        "of cut and spoilt: the pull's number, a range, or all",
    ),
    Column::optional(
        "from",
        "length",
        "4.2 m",
        "of damaged: where it starts, from the roll's front",
    ),
    Column::optional("to", "length", "4900", "of damaged: where it ends"),
    Column::optional(
        "length",
        "length",
        "38.4 m",
        "of short: the roll's true length from its front",
    ),
    Column::optional("piece", "code", "B12", "of spoilt: the code on the piece"),
    Column::optional("quantity", "whole number", "2", "of spoilt: how many; empty: one"),
    Column::optional("note", "text", "forklift", "free text"),
];

/// A line.
pub(super) struct Record<'t> {
    pub(super) ticket: Cell<'t>,
    pub(super) what: Cell<'t>,
    pub(super) pull: Cell<'t>,
    pub(super) from: Cell<'t>,
    pub(super) to: Cell<'t>,
    pub(super) length: Cell<'t>,
    pub(super) piece: Cell<'t>,
    pub(super) quantity: Cell<'t>,
}

impl<'t> From<[Cell<'t>; 9]> for Record<'t> {
    fn from(cells: [Cell<'t>; 9]) -> Self {
        let [ticket, what, pull, from, to, length, piece, quantity, _] = cells;
        Self { ticket, what, pull, from, to, length, piece, quantity }
    }
}
