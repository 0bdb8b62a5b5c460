//! Full-size templates of curved pieces: gores, saddles, sectors, petals, rings, covers with holes.
//!
//! Steps: one [`Template`] for each curved piece of a job, by the code that is written on it; each
//! is laid on as many [`Sheet`]s of paper as it needs ([`Template::sheets`]). A sheet knows nothing
//! of any file format: it is its size, strokes and texts, all as lengths from its lower left
//! corner, x to the right and y up, already cut to what shows on it. [`svg()`] writes it as SVG and
//! [`print_file`] all of them as one page to print from; anything else that can draw lines and
//! letters can be made from it likewise.
//!
//! Every sheet bears a bar of 100 mm or 4 in, because printers shrink pages unasked.

mod cell;
mod draw;
mod footer;
mod svg;
#[cfg(test)]
mod tests;
mod tile;
mod words;

pub use svg::{print_file, svg};
pub use tile::Paper;

use crate::demand::{self, Demand};
use crate::geometry::{Outline, Point};
use crate::pattern::Mark;
use crate::plan::Wanted;
use crate::units::{Angle, Length};
use std::collections::BTreeMap;

/// A curved piece to be drawn in full size.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Template {
    /// The piece's code, as in the plan.
    pub piece: String,
    /// What it is: `gore, seam at the throat`.
    pub part: String,
    /// Blanket thickness, where it is known.
    pub thickness: Option<Length>,
    /// How many the job needs.
    pub quantity: u64,
    /// Its shape, the bounding box's lower left corner at the origin.
    pub outline: Outline,
    /// What is drawn on it.
    pub marks: Vec<Mark>,
    /// Where it goes: item, layer, how many.
    pub kit: Vec<String>,
}

/// A sheet of paper with what is drawn on it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sheet {
    /// The piece's code.
    pub piece: String,
    /// Its place among the piece's sheets: a letter for the column from the left, a number for the
    /// row from the top. Empty where there is only one.
    pub tile: String,
    /// Width of the paper.
    pub width: Length,
    /// Height of the paper.
    pub height: Length,
    /// Lines.
    pub strokes: Vec<Stroke>,
    /// Words.
    pub texts: Vec<Text>,
}

/// What a line is for, which decides how it is drawn.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Line {
    /// Cut here: solid, 0.5 mm.
    Cut,
    /// Match marks and the scale bar: solid, 0.35 mm.
    Mark,
    /// Frames, dimension lines, small drawings: solid, 0.18 mm.
    Fine,
    /// Where two sheets are joined: dashed, 0.18 mm.
    Join,
}

impl Line {
    /// How thick it is drawn.
    #[must_use]
    pub const fn thickness(self) -> Length {
        match self {
            Self::Cut => Length::from_nm(500_000),
            Self::Mark => Length::from_nm(350_000),
            Self::Fine | Self::Join => Length::from_nm(180_000),
        }
    }

    /// Length of its dashes and of the gaps between them, where it is dashed.
    #[must_use]
    pub const fn dash(self) -> Option<Length> {
        match self {
            Self::Join => Some(Length::from_mm(2)),
            Self::Cut | Self::Mark | Self::Fine => None,
        }
    }
}

/// An open chain of straight lines, at least two points.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Stroke {
    /// What it is for.
    pub line: Line,
    /// Its points.
    pub points: Vec<Point>,
}

/// Where a text's anchor point lies in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Anchor {
    /// At its beginning.
    Start,
    /// In its middle.
    Middle,
    /// At its end.
    End,
}

/// A line of words, in a sans-serif face.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Text {
    /// A point on the line the letters stand on.
    pub at: Point,
    /// Where that point lies in the text.
    pub anchor: Anchor,
    /// Turned counter-clockwise about the point.
    pub turn: Angle,
    /// Size of the face (the height of a line, not of a capital).
    pub size: Length,
    /// The words; from inputs too, so whoever writes them into a file must escape them.
    pub words: String,
}

/// The templates of a job, in the order of the codes: every piece that is no rectangle.
#[must_use]
pub fn templates(sheets: &[Wanted], demand: &Demand) -> Vec<Template> {
    let by_id: BTreeMap<&str, &demand::Piece> =
        demand.pieces.iter().map(|p| (p.id.as_str(), p)).collect();
    let curved = |sheet: &Wanted| {
        let thickness = sheet.thickness;
        let one = |piece: &crate::plan::wanted::Piece| {
            let outline = piece.outline.clone()?;
            let first = by_id.get(piece.uses.first()?.id.as_str())?;
            // Two parts of one layer may be one shape.
            let mut uses: Vec<(&str, u32, u64)> = Vec::new();
            for used in &piece.uses {
                match uses.last_mut() {
                    Some((item, layer, off)) if *item == used.item && *layer == used.layer => {
                        *off += used.quantity;
                    }
                    _ => uses.push((&used.item, used.layer, used.quantity)),
                }
            }
            let kit =
                uses.iter().map(|(item, layer, off)| format!("{item} layer {layer}: {off} off"));
            Some(Template {
                piece: piece.code.clone(),
                part: first.part.clone(),
                thickness,
                quantity: piece.quantity,
                outline,
                marks: first.marks.clone(),
                kit: kit.collect(),
            })
        };
        sheet.pieces.iter().filter_map(one).collect::<Vec<_>>()
    };
    sheets.iter().flat_map(curved).collect()
}
