//! Flange pairs and valves.

use crate::finding::codes::takeoff as codes;
use crate::standards::{ValveKind, face_to_face, flange as flange_figures, has_flanges};
use crate::table::{Cell, quoted};
use crate::takeoff::desk::Desk;
use crate::takeoff::domain::{Bare, Flange, Size, Valve};
use crate::takeoff::record::TakeoffRecord;
use crate::units::{Length, joined};
use std::ops::RangeInclusive;

/// Between two flanges where nothing is given; common practice, no source.
const GASKET: Length = Length::from_mm(3);
/// A gasket's thickness, spacers counted in.
const GASKETS: RangeInclusive<Length> = Length::ZERO..=Length::from_mm(100);

/// The class as written and as a number, where it is one.
struct Class {
    text: String,
    number: Option<u32>,
}

/// `150`, `Class 150`, `CL 150`, `150#`, `150 lb`; others, such as `PN 16`, are in no table.
fn class(record: &TakeoffRecord<'_>) -> Class {
    let text = record.class.text().to_ascii_lowercase();
    let bare = text.strip_prefix("class").or_else(|| text.strip_prefix("cl")).unwrap_or(&text);
    let bare = bare.trim_end_matches('#').trim_end_matches("lb").trim();
    let number = bare.parse().ok();
    let text = match number {
        Some(number) => format!("Class {number}"),
        None if text.is_empty() => "without class".to_owned(),
        None => quoted(record.class.text()),
    };
    Class { text, number }
}

/// Asks for the class, where a dimension would have to come from a table.
fn class_given(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>, needs_table: bool) -> bool {
    if needs_table && record.class.is_empty() {
        let what = "there is no `class`, which decides the flange's dimensions";
        let remedy = "fill in 150 or 300, or measure `diameter`, `thickness` and `stud`";
        desk.reader.tell(&codes::MISSING, &record.class, what, remedy);
        return false;
    }
    true
}

/// Tells a class of which no dimensions are known, and which columns are to be measured instead.
fn class_known(
    record: &TakeoffRecord<'_>,
    class: &Class,
    desk: &mut Desk<'_, '_>,
    needs_table: bool,
) -> bool {
    if !needs_table || class.number.is_some_and(has_flanges) {
        return true;
    }
    let face_to_face =
        (record.kind.text().eq_ignore_ascii_case("valve")).then_some(&record.face_to_face);
    let cells = [&record.diameter, &record.thickness, &record.stud].into_iter().chain(face_to_face);
    let empty: Vec<String> =
        cells.filter(|cell| cell.is_empty()).map(|cell| quoted(cell.name())).collect();
    let what = format!(
        "the tables hold flanges of class 150 and 300 only, and this is {}",
        quoted(record.class.text())
    );
    let remedy = format!("measure it and fill in {}, or correct the class", joined(&empty));
    desk.reader.tell(&codes::MEASURE, &record.class, what, remedy);
    false
}

pub(super) fn flange(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<Flange> {
    let words = [
        ("covered", Bare::Covered),
        ("blind", Bare::Blind),
        ("bare", Bare::Uninsulated),
        ("closed", Bare::Closed),
        ("flush", Bare::Flush),
    ];
    let bare = record.form.or(Bare::Covered, |cell| desk.reader.word(cell, &words));
    let size = desk.size(&record.size);
    let flange = dimensions(record, desk, size?, "flange", bare.unwrap_or(Bare::Covered));
    bare.and(flange)
}

fn dimensions(
    record: &TakeoffRecord<'_>,
    desk: &mut Desk<'_, '_>,
    size: Size,
    thing: &str,
    bare: Bare,
) -> Option<Flange> {
    let gasket = record.gasket.or(GASKET, |cell| desk.reader.length(cell, &GASKETS));
    let open = [&record.diameter, &record.thickness, &record.stud].iter().any(|c| c.is_empty());
    if !class_given(record, desk, open) {
        return None;
    }
    let class = class(record);
    if !class_known(record, &class, desk, open) {
        return None;
    }
    let figures = size.nps_64ths.zip(class.number).and_then(|(n, c)| flange_figures(n, c));
    let of = format!("the {} {} {thing}", size.text, class.text);
    let diameter =
        desk.dimension(&record.diameter, figures.map(|f| f.diameter), "flange diameter", &of);
    let thickness =
        desk.dimension(&record.thickness, figures.map(|f| f.thickness), "flange thickness", &of);
    let stud = desk.dimension(&record.stud, figures.map(|f| f.stud), "stud length", &of);
    let (diameter, thickness, stud) = (diameter?, thickness?, stud?);
    let wide = desk.agree(&record.diameter, diameter > size.od, || {
        format!("a flange of {diameter} mm is not larger than its pipe of {} mm", size.od)
    });
    let gasket = gasket?;
    let flanges = thickness + thickness;
    // Whatever was typed is the likelier slip; without a gasket the flanges alone are too thick.
    let cell =
        if stud > flanges && !record.gasket.is_empty() { &record.gasket } else { &record.stud };
    let long = desk.agree(cell, stud > flanges + gasket, || {
        format!(
            "studs of {stud} mm do not reach through two flanges of {thickness} mm and a gasket of {gasket} mm"
        )
    });
    (wide && long).then_some(Flange { size, diameter, thickness, stud, gasket, bare })
}

/// How valves are written; `None` where their face to face is in no table.
const VALVES: &[(&str, Option<ValveKind>)] = &[
    ("gate", Some(ValveKind::Gate)),
    ("globe", Some(ValveKind::Globe)),
    ("ball", Some(ValveKind::Ball)),
    ("check", None),
    ("butterfly", None),
    ("plug", None),
    ("control", None),
];

pub(super) fn valve(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<Valve> {
    let kind = desk.reader.word(&record.form, VALVES);
    let size = desk.size(&record.size);
    let bonnet = bonnet(record, desk);
    let size = size?;
    let nps = size.nps_64ths;
    let flange = dimensions(record, desk, size, "valve", Bare::Covered);
    // Where the class was asked for, or is in no table, which was told above, face to face is not asked for as well.
    let class = class(record);
    let figure = || face_to_face(kind??, nps?, class.number?);
    let in_table = class.number.is_some_and(has_flanges);
    let told = record.class.is_empty() || (flange.is_none() && !in_table);
    let asked = kind.is_some() && !(told && record.face_to_face.is_empty());
    let length = match asked {
        true => {
            let of =
                format!("the {} {} {} valve", record.size.text(), class.text, record.form.text());
            desk.dimension(&record.face_to_face, figure(), "face-to-face length", &of)
        }
        false if flange.is_some() => {
            class_given(record, desk, true);
            None
        }
        false => None,
    };
    let (flange, (bonnet, bonnet_height)) = (flange?, bonnet?);
    let good = bonnet == Length::ZERO
        || desk.agree(
            &record.bonnet_height,
            bonnet_height + bonnet_height > flange.size.od,
            || format!("a bonnet {bonnet_height} mm above the centreline ends inside its pipe"),
        );
    let face_to_face = length?;
    good.then_some(Valve { flange, face_to_face, bonnet, bonnet_height })
}

/// Diameter and height of the bonnet: measured, because they differ from maker to maker; both
/// nothing where the valve has none.
fn bonnet(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<(Length, Length)> {
    if record.bonnet.text().eq_ignore_ascii_case("none") {
        return Some((Length::ZERO, Length::ZERO));
    }
    let mut ask = |cell: &Cell<'_>, name: &str| {
        if cell.is_empty() {
            let what = format!("there is no {name}, and bonnets differ from maker to maker");
            let remedy = format!(
                "measure it and fill in `{}`, or write none in `bonnet` where the valve has none",
                cell.name()
            );
            desk.reader.tell(&codes::MEASURE, cell, what, remedy);
            return None;
        }
        if !cell.text().contains(|sign: char| sign.is_ascii_digit()) {
            let what = format!("{} is not a length", quoted(cell.text()));
            let remedy = "write it in millimetres or with its unit, or write none in `bonnet` where the valve has none";
            desk.reader.tell(&codes::UNREAD, cell, what, remedy);
            return None;
        }
        desk.measured(cell)
    };
    let diameter = ask(&record.bonnet, "bonnet diameter");
    let height = ask(&record.bonnet_height, "bonnet height");
    diameter.zip(height)
}
