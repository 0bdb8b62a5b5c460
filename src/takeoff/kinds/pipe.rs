//! A straight run. Its ends and take-outs are settled once all items are known.

use crate::rules::Lengths;
use crate::takeoff::desk::Desk;
use crate::takeoff::domain::{Measure, Pipe};
use crate::takeoff::record::TakeoffRecord;
use crate::units::Length;
use std::ops::RangeInclusive;

/// Length of a run or a vessel: 1 mm to 10 km.
pub(super) const LENGTH: RangeInclusive<Length> = Length::from_mm(1)..=Length::from_mm(10_000_000);

pub(super) const ORIENTATIONS: &[(&str, bool)] = &[("horizontal", false), ("vertical", true)];

pub(super) fn pipe(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<Pipe> {
    let size = desk.size(&record.size);
    let length = desk.reader.length(&record.length, &LENGTH);
    let words = [("net", Lengths::Net), ("through", Lengths::Through)];
    let measure = record.measured.or(desk.rules.lengths, |cell| desk.reader.word(cell, &words));
    let vertical = orientation(record, desk);
    Some(Pipe {
        size: size?,
        length: length?,
        measure: match measure? {
            Lengths::Net => Measure::Net,
            Lengths::Through => Measure::Through(Length::ZERO),
        },
        vertical: vertical?,
        ends: Vec::new(),
    })
}

/// Whether it stands upright.
pub(super) fn orientation(record: &TakeoffRecord<'_>, desk: &mut Desk<'_, '_>) -> Option<bool> {
    record.orientation.or(false, |cell| desk.reader.word(cell, ORIENTATIONS))
}
