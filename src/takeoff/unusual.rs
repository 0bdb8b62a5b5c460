//! Lengths and dimensions that are rarely meant: most often the unit is missing or wrong, or the value stands in
//! another column.
//!
//! A pipe or shell shorter than 50 mm or longer than 200 m is told (shorter bits are covered together with the
//! fitting beside them, and longer runs have fittings). Lines of quantities, whose lengths are totals, are not
//! asked. Of a measured dimension is told what lies outside these limits, where `OD` is the outside diameter of
//! the item's pipe, of a reducer its large end, and `t` a flange's thickness:
//!
//! | dimension | from | to |
//! |---|---|---|
//! | flange's diameter | `OD` (T012) | `3 OD + 250 mm` |
//! | studs | `2 t` and the gasket (T012) | `10 t + 500 mm` |
//! | valve, face to face | `2 t`; of check and butterfly valves 10 mm and `OD / 20` | `10 OD + 300 mm` |
//! | bonnet's height | `OD / 2` (T012) | `10 OD + 1 m` |
//! | reducer, end to end | 20 mm, `OD / 10` and a third of the difference of its ends | `10 OD + 500 mm` |
//! | cap, end to crown | `OD / 4` (T012) | `2 OD` |
//! | tee, each of its ends | its pipes' halves (T012) | `10 OD + 500 mm` |
//! | shell or head given by `OD` | 100 mm | 20 m |
//! | disc | 20 mm | 20 m |
//! | ring's rim | a tenth of the smallest piece | |
//!
//! All limits are common practice, no source: they lie outside the tables' rows and outside wafer valves, so that
//! only what nobody makes is told.

use super::desk::Desk;
use super::domain::{Flange, Item, Kind, Size, Valve};
use super::record::TakeoffRecord;
use crate::finding::codes::takeoff as codes;
use crate::table::units::{too_long, too_short, unusual};
use crate::table::{Cell, quoted};
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

/// So many times a length, and so many millimetres.
fn times(many: i64, length: Length, more: i64) -> Length {
    length * many + Length::from_mm(more)
}

fn part(length: Length, of: i64) -> Length {
    Length::from_nm(length.nm() / of)
}

/// Tells dimensions of a line that are rarely meant.
pub(super) fn dimensions(record: &TakeoffRecord<'_>, item: &Item, desk: &mut Desk<'_, '_>) {
    let mut told = Told { desk, of: String::new() };
    match &item.kind {
        Kind::Pipe(_) | Kind::Elbow(_) => {}
        Kind::Flange(flange) => told.flange(record, flange),
        Kind::Valve(valve) => {
            told.flange(record, &valve.flange);
            told.valve(record, valve);
        }
        Kind::Reducer(reducer) => {
            let (large, small) = (&reducer.large, &reducer.small);
            told.of = format!("{} x {}", large.text, small.text);
            let least = Length::from_mm(20).max(part(large.od, 10));
            let least = least.max(part(large.od - small.od, 3));
            let most = times(10, large.od, 500);
            told.length(&record.length, "the reducer's length", reducer.length, (least, most));
        }
        Kind::Cap(cap) => {
            told.of.clone_from(&cap.size.text);
            let most = cap.size.od * 2;
            told.length(&record.length, "the cap's length", cap.length, (Length::ZERO, most));
        }
        Kind::Tee(tee) => {
            told.of = format!("{} x {}", tee.run.text, tee.branch.text);
            let limits = (Length::ZERO, times(10, tee.run.od, 500));
            let (centre, height) = (tee.centre_to_end, tee.branch_height);
            told.length(&record.centre_to_end, "the tee's centre to end", centre, limits);
            told.length(&record.acute_end, "the tee's acute end", tee.acute_end, limits);
            told.length(&record.branch_height, "the branch's height", height, limits);
        }
        Kind::Shell(shell) => told.across(&record.size, "shell", shell.diameter, 100),
        Kind::Head(head) => told.across(&record.size, "head", head.diameter, 100),
        Kind::Disc(disc) => {
            told.across(&record.size, "disc", disc.outside, 20);
            let rim = part(disc.outside - disc.inside, 2);
            let smallest = told.desk.rules.joints.smallest_piece;
            if disc.inside.is_positive() && rim < part(smallest, 10) {
                let what = format!(
                    "the ring's rim is only {rim} mm wide, from a hole of {} mm to {} mm outside",
                    disc.inside, disc.outside
                );
                told.tell(
                    &record.size2,
                    what,
                    "check both diameters; leave them if they are right",
                );
            }
        }
    }
}

/// The desk, and what the dimensions are of, for messages; may be empty.
struct Told<'t, 'd, 'f> {
    desk: &'t mut Desk<'d, 'f>,
    of: String,
}

impl Told<'_, '_, '_> {
    fn tell(&mut self, cell: &Cell<'_>, what: String, remedy: impl Into<String>) {
        self.desk.reader.tell(&codes::UNUSUAL, cell, what, remedy);
    }

    /// Tells a dimension that was typed and lies outside its limits.
    fn length(&mut self, cell: &Cell<'_>, name: &str, value: Length, limits: (Length, Length)) {
        let (least, most) = limits;
        if cell.is_empty() || (least..=most).contains(&value) {
            return;
        }
        let (side, limit) = if value < least { ("below", least) } else { ("above", most) };
        let limit = limit.round_up_to(Length::from_mm(1));
        let what = format!(
            "{name} is read as {value} mm, and on {} hardly any is {side} {limit} mm",
            self.of
        );
        self.tell(cell, what, unusual("", cell.text(), &(least..=most)));
    }

    fn flange(&mut self, record: &TakeoffRecord<'_>, flange: &Flange) {
        self.of.clone_from(&flange.size.text);
        let widest = (Length::ZERO, times(3, flange.size.od, 250));
        self.length(&record.diameter, "the flange's diameter", flange.diameter, widest);
        let longest = (Length::ZERO, times(10, flange.thickness, 500));
        self.length(&record.stud, "the studs' length", flange.stud, longest);
    }

    fn valve(&mut self, record: &TakeoffRecord<'_>, valve: &Valve) {
        let flange = &valve.flange;
        let od = flange.size.od;
        // Wafers of these lie between the pipe's flanges and may be thinner than the flanges.
        let form = record.form.text();
        let thin = ["check", "butterfly"].iter().any(|word| form.eq_ignore_ascii_case(word));
        let wafer = Length::from_mm(10).max(part(od, 20));
        let least = if thin { wafer } else { flange.thickness * 2 };
        let limits = (least, times(10, od, 300));
        let name = "the valve's face to face";
        self.length(&record.face_to_face, name, valve.face_to_face, limits);
        let highest = (Length::ZERO, times(10, od, 1000));
        let name = "the bonnet's height";
        self.length(&record.bonnet_height, name, valve.bonnet_height, highest);
    }

    /// Tells something round that is given by its outside diameter and is smaller than so many millimetres.
    /// A nominal size has no unit that could be wrong.
    fn across(&mut self, cell: &Cell<'_>, thing: &str, diameter: Length, least: i64) {
        let (word, number) = cell.text().split_at_checked(2).unwrap_or_default();
        let least = Length::from_mm(least);
        if word.eq_ignore_ascii_case("od") && diameter < least {
            let what = format!("the {thing} {} is only {diameter} mm across", quoted(cell.text()));
            let number = number.trim_start_matches([' ', '\u{A0}', ':', '=']);
            self.tell(cell, what, unusual("OD", number, &(least..=Size::MOST)));
        }
    }
}
