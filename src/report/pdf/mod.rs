//! PDF pages in millimetres: lines, filled areas and words, at true size.
//!
//! A [`Page`] has its origin at its lower left corner, x to the right and y up. Words are in one of
//! two faces that every reader of PDF has, [`font`] knows how wide they are; letters that these lack are
//! put into the file ([`wide`]). [`document`] puts pages
//! into a file: compressed, without dates, and with the wish that printers do not scale it.

mod flow;
mod font;
mod label_words;
mod labels;
mod templates;
#[cfg(test)]
mod tests;
mod tickets;
mod wide;

pub use font::{Face, legible, lines, shortened_to, width};
pub use label_words::{LabelWords, label_words};
pub use labels::labels_pdf;
pub use templates::templates_pdf;
pub use tickets::tickets_pdf;

use crate::report::bar::Bar;
use crate::units::{Measure, SheetSize};
use pdf_writer::{Content, Filter, Finish, Name, Pdf, Rect, Ref, Str, TextStr};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::io::Write;

/// A point, in millimetres.
pub type Point = (f64, f64);

/// A page that is being drawn.
pub struct Page {
    width: f64,
    height: f64,
    content: Content,
    /// The letters of each of [`wide`]'s faces that it shows.
    wide: BTreeMap<Face, wide::Used>,
}

/// Where a text's point lies in it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// At its beginning.
    Start,
    /// In its middle.
    Middle,
    /// At its end.
    End,
}

/// How words are set.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Setting {
    /// The face.
    pub face: Face,
    /// Its size in millimetres: the height of a line, of which a capital takes 0.72.
    pub size: f64,
    /// Where the point lies.
    pub anchor: Anchor,
    /// Turned counter-clockwise about the point, degrees.
    pub turn: f64,
}

impl Setting {
    /// Lying words that start at their point.
    #[must_use]
    pub const fn plain(size: f64) -> Self {
        Self { face: Face::Plain, size, anchor: Anchor::Start, turn: 0.0 }
    }

    /// As [`Setting::plain`], in the bold face.
    #[must_use]
    pub const fn bold(size: f64) -> Self {
        Self { face: Face::Bold, ..Self::plain(size) }
    }
}

/// Millimetres as points of 1/72 inch, in the file's numbers.
#[expect(clippy::cast_possible_truncation, reason = "PDF's numbers are no finer than this")]
fn points(mm: f64) -> f32 {
    (mm * 72.0 / 25.4) as f32
}

#[expect(clippy::cast_possible_truncation, reason = "PDF's numbers are no finer than this")]
fn number(value: f64) -> f32 {
    value as f32
}

impl Page {
    /// An empty page.
    #[must_use]
    pub fn new(width: f64, height: f64) -> Self {
        let mut content = Content::new();
        content.set_line_cap(pdf_writer::types::LineCapStyle::RoundCap);
        content.set_line_join(pdf_writer::types::LineJoinStyle::RoundJoin);
        Self { width, height, content, wide: BTreeMap::new() }
    }

    /// An empty sheet, upright.
    #[must_use]
    pub fn of(sheet: SheetSize) -> Self {
        let (width, height) = sheet.size();
        Self::new(width.mm_f64(), height.mm_f64())
    }

    /// Its width.
    #[must_use]
    pub const fn width(&self) -> f64 {
        self.width
    }

    /// Its height.
    #[must_use]
    pub const fn height(&self) -> f64 {
        self.height
    }

    /// A chain of straight lines, so thick, with dashes and gaps of this length or solid.
    pub fn chain(&mut self, chain: &[Point], thickness: f64, dash: Option<f64>) {
        self.content.set_line_width(points(thickness));
        let dashes = dash.map(|dash| [points(dash), points(dash)]);
        self.content.set_dash_pattern(dashes.into_iter().flatten(), 0.0);
        for (at, &(x, y)) in chain.iter().enumerate() {
            if at == 0 {
                self.content.move_to(points(x), points(y));
            } else {
                self.content.line_to(points(x), points(y));
            }
        }
        self.content.stroke();
    }

    /// One straight line.
    pub fn line(&mut self, from: Point, to: Point, thickness: f64) {
        self.chain(&[from, to], thickness, None);
    }

    /// A frame around a rectangle.
    pub fn frame(&mut self, (x, y): Point, width: f64, height: f64, thickness: f64) {
        let (right, top) = (x + width, y + height);
        self.chain(&[(x, y), (right, y), (right, top), (x, top), (x, y)], thickness, None);
    }

    /// Black rectangles, each by its lower left corner and its size.
    pub fn fill(&mut self, rectangles: impl IntoIterator<Item = (Point, f64, f64)>) {
        let mut any = false;
        for ((x, y), width, height) in rectangles {
            self.content.rect(points(x), points(y), points(width), points(height));
            any = true;
        }
        if any {
            self.content.fill_nonzero();
        }
    }

    /// Words on one line. What no face can show stands there as its number in Unicode.
    pub fn words(&mut self, (x, y): Point, setting: Setting, words: &str) {
        let runs = font::runs(words, setting.face);
        let long = font::width_of(&runs, setting.size);
        let back = match setting.anchor {
            Anchor::Start => 0.0,
            Anchor::Middle => long / 2.0,
            Anchor::End => long,
        };
        let (sin, cos) =
            (libm::sin(setting.turn.to_radians()), libm::cos(setting.turn.to_radians()));
        let (x, y) = (x - back * cos, y - back * sin);
        let (s, c) = (number(sin), number(cos));
        self.content.begin_text();
        self.content.set_text_matrix([c, s, -s, c, points(x), points(y)]);
        for run in &runs {
            let face = if run.wide { wide::name(setting.face) } else { setting.face.name() };
            self.content.set_font(face, points(setting.size));
            self.content.show(Str(&run.bytes));
            if run.wide {
                self.wide.entry(setting.face).or_default().extend(run.glyphs.iter().copied());
            }
        }
        self.content.end_text();
    }

    /// The bar by which a print is checked.
    pub fn bar(&mut self, (x, y): Point, measure: Measure) {
        let bar = Bar::of(measure);
        self.line((x, y), (x + bar.length().mm_f64(), y), 0.35);
        for (at, tall) in bar.ticks() {
            let at = x + at.mm_f64();
            self.line((at, y), (at, y + tall.mm_f64()), 0.35);
        }
        self.words((x, y - 3.5), Setting::plain(2.8), &bar.words());
    }
}

/// A file of pages.
#[must_use]
pub fn document(title: &str, pages: Vec<Page>) -> Vec<u8> {
    let mut pdf = Pdf::with_settings(pdf_writer::Settings { pretty: false });
    let id = |at: usize| Ref::new(i32::try_from(at).unwrap_or(i32::MAX));
    let (catalog, tree, about) = (id(1), id(2), id(3));
    let faces: Vec<(Face, Ref)> =
        Face::ALL.iter().enumerate().map(|(at, face)| (*face, id(4 + at))).collect();
    let first = 4 + faces.len();
    let page_ref = |at: usize| id(first + 2 * at);
    let mut root = pdf.catalog(catalog);
    root.pages(tree).lang(TextStr("en"));
    root.viewer_preferences().pair(Name(b"PrintScaling"), Name(b"None"));
    root.finish();
    let count = i32::try_from(pages.len()).unwrap_or(i32::MAX);
    pdf.pages(tree).kids((0..pages.len()).map(page_ref)).count(count);
    let mut info = pdf.document_info(about);
    info.title(TextStr(&font::shown(title)));
    info.producer(TextStr(concat!("rollwright ", env!("CARGO_PKG_VERSION"))));
    info.finish();
    for (face, at) in &faces {
        let mut font = pdf.type1_font(*at);
        font.base_font(face.base()).encoding_predefined(Name(b"WinAnsiEncoding"));
        font.finish();
    }
    let mut used: BTreeMap<Face, wide::Used> = BTreeMap::new();
    for (face, letters) in pages.iter().flat_map(|page| &page.wide) {
        used.entry(*face).or_default().extend(letters);
    }
    let mut next = id(first + 2 * pages.len()).get();
    let mut fonts: Vec<(Name<'_>, Ref)> = faces.iter().map(|(f, at)| (f.name(), *at)).collect();
    for (face, letters) in &used {
        if let Some((at, after)) = wide::put(&mut pdf, *face, letters, next) {
            fonts.push((wide::name(*face), at));
            next = after;
        }
    }
    let written = pages.into_par_iter().map(|page| {
        let plain = page.content.finish();
        let content = packed(&plain).map_or((plain.into_vec(), false), |bytes| (bytes, true));
        ((page.width, page.height), content)
    });
    let written: Vec<_> = written.collect();
    for (at, ((width, height), (bytes, is_packed))) in written.into_iter().enumerate() {
        let content = id(first + 2 * at + 1);
        let mut written = pdf.page(page_ref(at));
        let size = Rect::new(0.0, 0.0, points(width), points(height));
        written.media_box(size).parent(tree).contents(content);
        let mut resources = written.resources();
        resources.fonts().pairs(fonts.iter().copied());
        resources.finish();
        written.finish();
        let mut stream = pdf.stream(content, &bytes);
        if is_packed {
            stream.filter(Filter::FlateDecode);
        }
    }
    pdf.finish()
}

/// Compressed; writing to memory does not fail, and where it did the plain bytes would do.
fn packed(bytes: &[u8]) -> Option<Vec<u8>> {
    let mut packer = flate2::write::ZlibEncoder::new(Vec::new(), flate2::Compression::default());
    packer.write_all(bytes).ok()?;
    packer.finish().ok()
}
