//! The tables that people write: their files, what each is for, and their columns.

use crate::compare::choice;
use crate::forecast::{quantities, uncertainty};
use crate::stock::{OFFCUT_COLUMNS, ROLL_COLUMNS};
use crate::table::{BOOK_ENDINGS, Column};
use crate::{done, measured, takeoff};
use serde::Serialize;

/// A table that a person fills in.
#[derive(Debug, Serialize)]
pub struct Form {
    /// The file's usual name, without its ending.
    #[serde(rename = "table")]
    pub name: &'static str,
    /// What it holds.
    pub holds: &'static str,
    /// Its columns, in the order in which an empty one lists them.
    pub columns: &'static [Column],
}

/// Every table, those of a job first.
pub const FORMS: [Form; 8] = [
    Form { name: "takeoff", holds: "what is to be insulated", columns: takeoff::COLUMNS },
    Form { name: "rolls", holds: "rolls that can be bought", columns: ROLL_COLUMNS },
    Form { name: "offcuts", holds: "offcuts on the shelf (optional)", columns: OFFCUT_COLUMNS },
    Form { name: "options", holds: "options for `compare` (optional)", columns: choice::COLUMNS },
    Form {
        name: "uncertainty",
        holds: "how far quantities may be off, for `risk` (optional)",
        columns: uncertainty::COLUMNS,
    },
    Form {
        name: "quantities",
        holds: "quantities by size and kind, for `allowance`; the columns of the takeoff and these",
        columns: quantities::COLUMNS,
    },
    Form {
        name: "done",
        holds: "what the shop has done, for `plan --done`",
        columns: done::COLUMNS,
    },
    Form { name: "wraps", holds: "measured wraps, for `wraps`", columns: measured::COLUMNS },
];

/// The table of this name, with or without an ending.
#[must_use]
pub fn named(name: &str) -> Option<&'static Form> {
    let stem = BOOK_ENDINGS
        .iter()
        .chain(&["csv"])
        .find_map(|ending| name.strip_suffix(ending)?.strip_suffix('.'))
        .unwrap_or(name);
    FORMS.iter().find(|form| form.name.eq_ignore_ascii_case(stem))
}
