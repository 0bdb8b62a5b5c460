//! Lines of `rolls.csv` and `offcuts.csv` as typed: shape only.

use crate::table::record;

record! {
    /// The columns of `rolls.csv`.
    pub const ROLL_COLUMNS;

    /// A line of `rolls.csv`.
    struct RollRecord;

    roll: needed "name", "R10-1500", "the roll's name, used once";
    thickness: needed "length", "10", "blanket thickness";
    width: needed "length", "1500", "nominal width, across the roll";
    length: needed "length", "20 m", "nominal length, along the roll";
    price: optional "number", "310.50", "price of one roll, in the job's currency";
    available: optional "whole number", "12", "how many can be had; empty: without limit; 0: not on offer, and no course is laid out for it";
    currency: optional "word", "EUR", "the price's currency, the same wherever it is given; empty: that of the other lines";
    breaks: optional "text", "20: 295.00 | 50: 280.00",
        "price of one when at least so many are bought: quantity, colon, price; a bar between";
    minimum: optional "whole number", "5", "fewest that are sold; empty: one";
    per_pallet: optional "whole number", "6",
        "how many go on one pallet, for freight; empty: none is counted";
    courses: optional "word", "no",
        "no: it is cut from, and no course is laid out for its width; empty or yes: courses are as wide as the widest such roll";
}

record! {
    /// The columns of `offcuts.csv`.
    pub const OFFCUT_COLUMNS;

    /// A line of `offcuts.csv`.
    struct OffcutRecord;

    offcut: needed "name", "O-17", "the offcut's name, used once, not a roll's";
    thickness: needed "length", "10", "blanket thickness";
    width: needed "length", "1500",
        "width as it lies on the shelf, across the roll it came from; both edge trims come off it";
    length: needed "length", "20 m",
        "length as it lies on the shelf, along the roll it came from; a square cut comes off it";
    quantity: optional "whole number", "2", "how many like it; empty: one";
    place: optional "text", "rack 3", "where it lies";
}
