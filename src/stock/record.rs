//! Lines of `rolls.csv` and `offcuts.csv` as typed: shape only.

use crate::table::{Cell, Column};

/// The columns of `rolls.csv`.
pub const ROLL_COLUMNS: &[Column; 6] = &[
    Column::needed("roll", "name", "the roll's name, used once"),
    Column::needed("thickness", "length", "blanket thickness"),
    Column::needed("width", "length", "nominal width, across the roll"),
    Column::needed("length", "length", "nominal length, along the roll"),
    Column::optional("price", "number", "price of one roll, in the job's currency"),
    Column::optional("available", "whole number", "how many can be had; empty: without limit"),
];

/// A line of `rolls.csv`.
pub(super) struct RollRecord<'t> {
    pub(super) roll: Cell<'t>,
    pub(super) thickness: Cell<'t>,
    pub(super) width: Cell<'t>,
    pub(super) length: Cell<'t>,
    pub(super) price: Cell<'t>,
    pub(super) available: Cell<'t>,
}

impl<'t> From<[Cell<'t>; 6]> for RollRecord<'t> {
    fn from([roll, thickness, width, length, price, available]: [Cell<'t>; 6]) -> Self {
        Self { roll, thickness, width, length, price, available }
    }
}

/// The columns of `offcuts.csv`.
pub const OFFCUT_COLUMNS: &[Column; 6] = &[
    Column::needed("offcut", "name", "the offcut's name, used once, not a roll's"),
    Column::needed("thickness", "length", "blanket thickness"),
    Column::needed("width", "length", "usable width, across the roll it came from"),
    Column::needed("length", "length", "usable length, along the roll it came from"),
    Column::optional("quantity", "whole number", "how many like it; empty: one"),
    Column::optional("place", "text", "where it lies"),
];

/// A line of `offcuts.csv`.
pub(super) struct OffcutRecord<'t> {
    pub(super) offcut: Cell<'t>,
    pub(super) thickness: Cell<'t>,
    pub(super) width: Cell<'t>,
    pub(super) length: Cell<'t>,
    pub(super) quantity: Cell<'t>,
    pub(super) place: Cell<'t>,
}

impl<'t> From<[Cell<'t>; 6]> for OffcutRecord<'t> {
    fn from([offcut, thickness, width, length, quantity, place]: [Cell<'t>; 6]) -> Self {
        Self { offcut, thickness, width, length, quantity, place }
    }
}
