//! A sheet as DXF of release 2010, which is text in UTF-8: drawing units are millimetres
//! (`$INSUNITS` 4), a layer for each kind of line, straight cuts as lines in cutting order, shapes
//! to look at as closed polylines; layers to look at are grey. The library writes tables without handles of their own
//! and a block's end with the block's: both get one ([`handled`]).

use super::sheet::{Label, Layer, Shape, Sheet};
use crate::geometry::Point;
use crate::report::text::visible;
use dxf::entities::{Entity, EntityType, Line, LwPolyline, Text};
use dxf::enums::{
    AcadVersion, DrawingUnits, HorizontalTextJustification, Units, VerticalTextJustification,
};
use dxf::tables::Layer as Table;
use dxf::{Block, Color, Drawing, DxfResult, LwPolylineVertex, Point as Place};
use std::borrow::Cow;

/// The head of a drawing with fixed dates and names: what the library would take from the clock and
/// by chance. Julian day 2451545 is 1 January 2000.
const HEAD: &str = "0\nSECTION\n2\nHEADER\n9\n$ACADVER\n1\nAC1024\n\
    9\n$TDCREATE\n40\n2451545.0\n9\n$TDUCREATE\n40\n2451545.0\n\
    9\n$TDUPDATE\n40\n2451545.0\n9\n$TDUUPDATE\n40\n2451545.0\n\
    9\n$FINGERPRINTGUID\n2\n{00000000-0000-0000-0000-000000000000}\n\
    9\n$VERSIONGUID\n2\n{00000000-0000-0000-0000-000000000000}\n\
    0\nENDSEC\n0\nEOF\n";

/// Colour numbers of what is cut (black on white, white on black) and of what is to look at.
const BLACK: u8 = 7;
const GREY: u8 = 8;
/// What stands for no transparency: 0 has no meaning there.
const OPAQUE: i32 = 0x0200_00FF;

/// Room between drawing and title, and height of the title's letters, in millimetres.
const TITLE: f64 = 12.0;

/// The file.
///
/// # Errors
/// The library's: it does not know the head any more, or a line has no form.
pub(super) fn write(sheet: &Sheet) -> DxfResult<Vec<u8>> {
    let mut drawing = Drawing::load(&mut HEAD.as_bytes())?;
    drawing.normalize();
    drawing.header.version = AcadVersion::R2010;
    drawing.header.default_drawing_units = Units::Millimeters;
    drawing.header.drawing_units = DrawingUnits::Metric;
    drawing.header.minimum_drawing_extents = Place::new(0.0, 0.0, 0.0);
    drawing.header.maximum_drawing_extents =
        Place::new(sheet.width.mm_f64(), sheet.length.mm_f64() + 2.0 * TITLE, 0.0);
    for (name, is_in_paperspace) in [("*MODEL_SPACE", false), ("*PAPER_SPACE", true)] {
        drawing.add_block(Block { name: name.to_owned(), is_in_paperspace, ..Block::default() });
    }
    for layer in Layer::ALL {
        let color = Color::from_index(if layer.is_cut() { BLACK } else { GREY });
        drawing.add_layer(Table { name: layer.name().to_owned(), color, ..Table::default() });
    }
    closed(&mut drawing, &sheet.edge());
    for stroke in &sheet.cuts {
        let line = Line::new(place(stroke.from), place(stroke.to));
        add(&mut drawing, stroke.layer, EntityType::Line(line));
    }
    for shape in sheet.pieces.iter().chain(&sheet.kept) {
        closed(&mut drawing, shape);
    }
    for label in &sheet.labels {
        words(&mut drawing, label, true);
    }
    let title = Label {
        x: 0.0,
        y: sheet.length.mm_f64() + TITLE,
        height: TITLE,
        standing: false,
        text: sheet.words(),
    };
    words(&mut drawing, &title, false);
    let mut bytes = Vec::new();
    drawing.save(&mut bytes)?;
    Ok(handled(&String::from_utf8_lossy(&bytes)).into_bytes())
}

/// A drawing in which tables and ends of blocks have handles of their own, and the next free one is told: a handle
/// stands for one thing in a file, and strict readers refuse what has none or another's.
fn handled(text: &str) -> String {
    let lines: Vec<&str> = text.lines().collect();
    let pairs = || lines.chunks_exact(2).map(|pair| (pair[0].trim(), pair[1]));
    let seed =
        |at: usize| at > 0 && lines.get(2 * at - 1).is_some_and(|name| name.trim() == "$HANDSEED");
    let free = pairs().enumerate().find(|&(at, (code, _))| code == "5" && seed(at));
    let first = free.and_then(|(_, (_, value))| u64::from_str_radix(value.trim(), 16).ok());
    let Some(first) = first else { return text.to_owned() };
    let mut next = first;
    let mut new = || {
        next += 1;
        format!("{:X}", next - 1)
    };
    let mut all: Vec<(&str, Cow<'_, str>)> = Vec::with_capacity(lines.len() / 2 + 16);
    let (mut of, mut told) = ("", None);
    for (at, (code, value)) in pairs().enumerate() {
        if code == "0" {
            of = value;
        }
        if code == "5" && seed(at) {
            told = Some(all.len());
        }
        let another = (code, of) == ("5", "ENDBLK");
        all.push((code, if another { new().into() } else { value.into() }));
        if (code, of) == ("2", "TABLE") {
            all.push(("5", new().into()));
        }
    }
    if let Some(pair) = told.and_then(|at| all.get_mut(at)) {
        pair.1 = new().into();
    }
    all.into_iter()
        .flat_map(|(code, value)| [format!("{code:>3}\r\n"), format!("{value}\r\n")])
        .collect()
}

fn place(point: Point) -> Place {
    Place::new(point.x.mm_f64(), point.y.mm_f64(), 0.0)
}

fn add(drawing: &mut Drawing, layer: Layer, what: EntityType) {
    let mut entity = Entity::new(what);
    layer.name().clone_into(&mut entity.common.layer);
    entity.common.transparency = OPAQUE;
    drawing.add_entity(entity);
}

fn closed(drawing: &mut Drawing, shape: &Shape) {
    let mut line = LwPolyline::default();
    line.set_is_closed(true);
    line.vertices = shape
        .corners
        .iter()
        .map(|p| LwPolylineVertex { x: p.x.mm_f64(), y: p.y.mm_f64(), ..Default::default() })
        .collect();
    add(drawing, shape.layer, EntityType::LwPolyline(line));
}

fn words(drawing: &mut Drawing, label: &Label, centred: bool) {
    let at = Place::new(label.x, label.y, 0.0);
    let mut text = Text {
        location: at.clone(),
        text_height: label.height,
        value: plain(&label.text),
        rotation: if label.standing { 90.0 } else { 0.0 },
        ..Text::default()
    };
    if centred {
        text.second_alignment_point = at;
        text.horizontal_text_justification = HorizontalTextJustification::Center;
        text.vertical_text_justification = VerticalTextJustification::Middle;
    }
    add(drawing, Layer::Words, EntityType::Text(text));
}

/// The text so that no sign in it is a code: `%%` and `^` begin codes in DXF texts, and so does
/// `\U+`; a text of one line holds at most 2,049 bytes in old readers, far more than is readable.
fn plain(text: &str) -> String {
    let text: String = visible(text).chars().take(250).collect();
    text.replace('\\', "/").replace('^', "^ ").replace("%%", "% %").replace("%%", "% %")
}
