//! Shells, heads and discs.

use super::pipe::{LENGTH, orientation};
use crate::finding::codes::takeoff as codes;
use crate::takeoff::desk::Desk;
use crate::takeoff::domain::{Disc, Head, HeadForm, Shell};
use crate::takeoff::record::TakeoffRecord;
use crate::units::Length;

pub(super) fn shell(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<Shell> {
    let size = desk.size(&record.size);
    let length = desk.reader.length(&record.length, &LENGTH);
    let vertical = orientation(record, desk);
    Some(Shell { diameter: size?.od, length: length?, vertical: vertical? })
}

#[derive(Clone, Copy, PartialEq)]
enum Form {
    Ellipsoidal,
    Torispherical,
    Hemispherical,
    Flat,
}

pub(super) fn head(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<Head> {
    let size = desk.size(&record.size);
    let words = [
        ("ellipsoidal", Form::Ellipsoidal),
        ("torispherical", Form::Torispherical),
        ("hemispherical", Form::Hemispherical),
        ("flat", Form::Flat),
    ];
    let form = desk.reader.word(&record.form, &words);
    let radii = (form == Some(Form::Torispherical)).then(|| {
        let of = "torispherical heads";
        let crown = desk.dimension(&record.crown, None, "crown radius", of);
        let knuckle = desk.dimension(&record.knuckle, None, "knuckle radius", of);
        crown.zip(knuckle)
    });
    if form.is_some_and(|form| form != Form::Torispherical) {
        for (cell, column) in [(&record.crown, "crown"), (&record.knuckle, "knuckle")] {
            if !cell.is_empty() {
                let what = format!("only a torispherical head has a {column} radius");
                let remedy = "clear the cell, or write torispherical in `type`";
                desk.reader.tell(&codes::NOT_USED, cell, what, remedy);
            }
        }
    }
    let (diameter, form) = (size?.od, form?);
    let form = match form {
        Form::Ellipsoidal => HeadForm::Ellipsoidal,
        Form::Hemispherical => HeadForm::Hemispherical,
        Form::Flat => HeadForm::Flat,
        Form::Torispherical => {
            let (crown, knuckle) = radii??;
            let twice = |length: Length| length + length;
            let wide = desk.agree(&record.crown, twice(crown) >= diameter, || {
                format!(
                    "a crown radius of {crown} mm is less than half the diameter of {diameter} mm"
                )
            });
            let tight = desk.agree(&record.knuckle, twice(knuckle) < diameter, || {
                format!("a knuckle radius of {knuckle} mm is not less than half the diameter of {diameter} mm")
            });
            if !(wide && tight) {
                return None;
            }
            HeadForm::Torispherical(crown, knuckle)
        }
    };
    Some(Head { diameter, form })
}

pub(super) fn disc(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<Disc> {
    let outside = desk.size(&record.size);
    let inside = record.size2.or(Length::ZERO, |cell| desk.size(cell).map(|size| size.od));
    let (outside, inside) = (outside?.od, inside?);
    let good = desk.agree(&record.size2, inside < outside, || {
        format!("a hole of {inside} mm is not smaller than its disc of {outside} mm")
    });
    good.then_some(Disc { outside, inside })
}
