//! From lines as typed to measured wraps: units, ranges, and whether the layer can have that length
//! at all; every problem told.
//!
//! A wrap that follows its inner face is `pi Du` long, one that follows its outer face
//! `pi (Du + 2 t)`. A length further outside than half the difference is no measurement of that
//! layer: the size, the layer, the unit or the thickness is wrong.

use super::Wrap;
use super::record::{COLUMNS, Record};
use crate::finding::codes::measured as codes;
use crate::finding::{Findings, Place};
use crate::rules::Rules;
use crate::standards::Size;
use crate::stock::limits::THICKNESS;
use crate::table::{Cell, Codes, Reader, Table, quoted};
use crate::takeoff::{Build, BuildError, MOST_LAYERS};
use crate::units::Length;
use std::f64::consts::PI;
use std::ops::RangeInclusive;

const CODES: Codes =
    Codes { missing: &codes::MISSING, unread: &codes::UNREAD, range: &codes::RANGE };

/// Length of a wrap: 10 mm to 70 m, once round the largest vessel.
const LENGTH: RangeInclusive<Length> = Length::from_mm(10)..=Length::from_mm(70_000);

/// Reads a file of measured wraps. Sizes by `DN` are read as the rules say.
#[must_use]
pub fn read(file: &str, bytes: &[u8], rules: &Rules) -> (Option<Vec<Wrap>>, Findings) {
    let mut findings = Findings::new();
    let table = Table::read(file, bytes, COLUMNS, &mut findings);
    let mut wraps = Vec::new();
    let mut reader = Reader::new(CODES, &mut findings);
    for row in table.iter().flat_map(Table::rows) {
        wraps.extend(wrap(&Record::from(row.cells), rules, &mut reader));
    }
    (if findings.has_errors() { None } else { Some(wraps) }, findings)
}

fn wrap(record: &Record<'_>, rules: &Rules, reader: &mut Reader<'_>) -> Option<Wrap> {
    let size = size(&record.size, rules, reader);
    let thickness = reader.length(&record.thickness, &THICKNESS);
    let length = reader.length(&record.length, &LENGTH);
    let beneath = record.beneath.or(None, |cell| layers(cell, reader).map(Some));
    let layer =
        record.layer.or(None, |cell| reader.count(cell, &(1..=MOST_LAYERS as u64)).map(Some));
    let (size, thickness, length) = (size?, thickness?, length?);
    let (beneath, layer) = (beneath?, layer?);
    let layers = beneath.as_ref().map(|layers| layers.len() as u64 + 1);
    if let (Some(layer), Some(layers)) = (layer, layers)
        && layer != layers
    {
        let what = format!("layer {layer} has {} layers beneath it, not {}", layer - 1, layers - 1);
        let remedy = "correct `layer` or `beneath`, or leave one of them empty";
        reader.tell(&codes::LAYERS, &record.layer, what, remedy);
        return None;
    }
    let layer = layer.or(layers).unwrap_or(1);
    let built: Length = match beneath {
        Some(layers) => layers.into_iter().sum(),
        None => thickness * i64::try_from(layer - 1).unwrap_or(0),
    };
    let under = size.od + built * 2;
    possible(&record.length, length, under, thickness, reader).then(|| Wrap {
        size: size.text,
        layer: u32::try_from(layer).unwrap_or(u32::MAX),
        thickness,
        under,
        length,
        place: Place { column: None, field: None, ..record.size.place() },
    })
}

fn size(cell: &Cell<'_>, rules: &Rules, reader: &mut Reader<'_>) -> Option<Size> {
    let text = reader.text(cell)?;
    match Size::parse(text, rules.diameters) {
        Ok((size, _)) => Some(size),
        Err(error) => {
            let what = format!("{} is not a size: {error}", quoted(text));
            reader.tell(&codes::UNREAD, cell, what, error.remedy());
            None
        }
    }
}

/// `5+10`, the layers beneath.
fn layers(cell: &Cell<'_>, reader: &mut Reader<'_>) -> Option<Vec<Length>> {
    let text = reader.text(cell)?;
    let parsed = Build::parse(text).map_err(|error| {
        let (code, what) = match error {
            BuildError::Text => (&codes::UNREAD, format!("{} is no list of layers", quoted(text))),
            _ => (&codes::RANGE, error.what(text)),
        };
        reader.tell(code, cell, what, error.remedy());
    });
    parsed.ok().map(|build| build.0)
}

/// Whether a layer can have this length.
fn possible(
    cell: &Cell<'_>,
    length: Length,
    under: Length,
    thickness: Length,
    reader: &mut Reader<'_>,
) -> bool {
    let inner = PI * under.mm_f64();
    let outer = PI * (under.mm_f64() + 2.0 * thickness.mm_f64());
    let room = (outer - inner) / 2.0;
    let (least, most) = (inner - room, outer + room);
    let good = (least..=most).contains(&length.mm_f64());
    if !good {
        let what = format!(
            "{length} mm is no wrap of a {thickness} mm layer on {under} mm: its inner face is \
             {inner:.0} mm round, its outer face {outer:.0} mm"
        );
        let remedy = "check the size, the layer, what is beneath it and the unit, or measure again";
        reader.tell(&codes::IMPOSSIBLE, cell, what, remedy);
    }
    good
}
