//! Lengths that are rarely meant: most often the unit is missing or wrong.
//!
//! A pipe or shell shorter than 50 mm or longer than 200 m is told (limits: common practice, no source:
//! shorter bits are covered together with the fitting beside them, and longer runs have fittings). Lines of
//! quantities, whose lengths are totals, are not asked.

use super::desk::Desk;
use super::domain::{Item, Kind};
use super::record::TakeoffRecord;
use crate::finding::codes::takeoff as codes;
use crate::table::units::{too_long, too_short};
use crate::units::Length;

/// Shorter is told.
const SHORTEST: Length = Length::from_mm(50);
/// Longer is told.
const LONGEST: Length = Length::from_mm(200_000);

/// Tells a line's length where it is rarely meant.
pub(super) fn tell(record: &TakeoffRecord<'_>, item: &Item, desk: &mut Desk<'_, '_>) {
    let (length, thing) = match &item.kind {
        Kind::Pipe(pipe) => (pipe.length, "pipe"),
        Kind::Shell(shell) => (shell.length, "shell"),
        _ => return,
    };
    let text = record.length.text();
    let (what, remedy) = if length < SHORTEST {
        (format!("the {thing} is only {length} mm long"), too_short(text))
    } else if length > LONGEST {
        (format!("the {thing} is {} m long", length.nm() / 1_000_000_000), too_long(text))
    } else {
        return;
    };
    desk.reader.tell(&codes::UNUSUAL_LENGTH, &record.length, what, remedy);
}
