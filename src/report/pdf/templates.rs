//! Templates in full size: each sheet a page of its own size.

use super::{Anchor, Face, Page, Setting, document};
use crate::geometry::Point;
use crate::report::template::{self, Sheet};

/// The file of all sheets.
#[must_use]
pub fn templates_pdf(name: &str, sheets: &[Sheet]) -> Vec<u8> {
    document(&format!("Templates: {name}"), sheets.iter().map(page).collect())
}

fn page(sheet: &Sheet) -> Page {
    let mut page = Page::new(sheet.width.mm_f64(), sheet.height.mm_f64());
    let at = |point: &Point| (point.x.mm_f64(), point.y.mm_f64());
    for stroke in &sheet.strokes {
        let points: Vec<(f64, f64)> = stroke.points.iter().map(at).collect();
        let dash = stroke.line.dash().map(crate::units::Length::mm_f64);
        page.chain(&points, stroke.line.thickness().mm_f64(), dash);
    }
    for text in &sheet.texts {
        let setting = Setting {
            face: Face::Plain,
            size: text.size.mm_f64(),
            anchor: match text.anchor {
                template::Anchor::Start => Anchor::Start,
                template::Anchor::Middle => Anchor::Middle,
                template::Anchor::End => Anchor::End,
            },
            turn: text.turn.degrees_f64(),
        };
        page.words(at(&text.at), setting, &text.words);
    }
    page
}
