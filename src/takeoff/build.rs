//! The layers of a build: `5+10+10`.

use super::desk::Desk;
use super::domain::Build;
use crate::finding::codes::takeoff as codes;
use crate::table::{Cell, quoted};
use crate::units::Length;

/// Thickness of a layer, as for rolls: 0.5 to 150 mm.
const THINNEST: Length = Length::from_nm(500_000);
const THICKEST: Length = Length::from_mm(150);
/// More layers than anybody wraps.
const MOST_LAYERS: usize = 30;
/// More insulation than any pipe carries.
const MOST: Length = Length::from_mm(600);

/// Reads a build.
pub(super) fn read(cell: &Cell<'_>, desk: &mut Desk<'_, '_>) -> Option<Build> {
    let text = desk.reader.text(cell)?;
    let mut layers = Vec::new();
    for part in text.split('+') {
        match Length::parse(part) {
            Ok(layer) if layer >= THINNEST && layer <= THICKEST => layers.push(layer),
            Ok(layer) => {
                let what = format!("a layer of {layer} mm in {} is not possible", quoted(text));
                let remedy = format!("give layers from {THINNEST} to {THICKEST} mm");
                desk.reader.tell(&codes::RANGE, cell, what, remedy);
                return None;
            }
            Err(_) => {
                let what = format!("{} is not a build", quoted(text));
                let remedy = "write the layers from the inside out, joined by +, such as 5+10+10";
                desk.reader.tell(&codes::BUILD, cell, what, remedy);
                return None;
            }
        }
    }
    let build = Build(layers);
    if build.layers().len() > MOST_LAYERS || build.total() > MOST {
        let what = format!("{} layers of {} mm in all", build.layers().len(), build.total());
        let remedy = format!("give at most {MOST_LAYERS} layers and {MOST} mm in all");
        desk.reader.tell(&codes::RANGE, cell, what, remedy);
        return None;
    }
    Some(build)
}
