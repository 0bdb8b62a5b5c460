//! Lines of `rolls.csv` and `offcuts.csv` as typed: shape only.

use crate::table::{Cell, Column};

/// The columns of `rolls.csv`.
pub const ROLL_COLUMNS: &[Column; 10] = &[
    Column::needed("roll", "name", "R10-1500", "the roll's name, used once"),
    Column::needed("thickness", "length", "10", "blanket thickness"),
    Column::needed("width", "length", "1500", "nominal width, across the roll"),
    Column::needed("length", "length", "20 m", "nominal length, along the roll"),
    Column::optional("price", "number", "310.50", "price of one roll, in the job's currency"),
    Column::optional(
        "available",
        "whole number",
        "12",
        "how many can be had; empty: without limit",
    ),
    Column::optional("currency", "word", "EUR", "the price's currency, the same on every line"),
    Column::optional(
        "breaks",
        "text",
        "20: 295.00 | 50: 280.00",
        "price of one when at least so many are bought: quantity, colon, price; a bar between",
    ),
    Column::optional("minimum", "whole number", "5", "fewest that are sold; empty: one"),
    Column::optional(
        "per_pallet",
        "whole number",
        "6",
        "how many go on one pallet, for freight; empty: none is counted",
    ),
];

/// A line of `rolls.csv`.
pub(super) struct RollRecord<'t> {
    pub(super) roll: Cell<'t>,
    pub(super) thickness: Cell<'t>,
    pub(super) width: Cell<'t>,
    pub(super) length: Cell<'t>,
    pub(super) price: Cell<'t>,
    pub(super) available: Cell<'t>,
    pub(super) currency: Cell<'t>,
    pub(super) breaks: Cell<'t>,
    pub(super) minimum: Cell<'t>,
    pub(super) per_pallet: Cell<'t>,
}

impl<'t> From<[Cell<'t>; 10]> for RollRecord<'t> {
    fn from(cells: [Cell<'t>; 10]) -> Self {
        let [
            roll,
            thickness,
            width,
            length,
            price,
            available,
            currency,
            breaks,
            minimum,
            per_pallet,
        ] = cells;
        Self {
            roll,
            thickness,
            width,
            length,
            price,
            available,
            currency,
            breaks,
            minimum,
            per_pallet,
        }
    }
}

/// The columns of `offcuts.csv`.
pub const OFFCUT_COLUMNS: &[Column; 6] = &[
    Column::needed("offcut", "name", "O-17", "the offcut's name, used once, not a roll's"),
    Column::needed("thickness", "length", "10", "blanket thickness"),
    Column::needed("width", "length", "1500", "usable width, across the roll it came from"),
    Column::needed("length", "length", "20 m", "usable length, along the roll it came from"),
    Column::optional("quantity", "whole number", "2", "how many like it; empty: one"),
    Column::optional("place", "text", "rack 3", "where it lies"),
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
