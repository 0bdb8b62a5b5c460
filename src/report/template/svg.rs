//! Sheets as SVG: one file a sheet, or all of them in one page to print from.
//!
//! A millimetre of the sheet is a millimetre of the paper: `width` and `height` are in mm and the
//! viewBox has as many units. Text is escaped by the typed templates.

use super::{Anchor, Sheet, Stroke, Text};
use crate::geometry::Point;
use crate::report::text::visible;
use crate::units::Length;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use std::fmt::Write as _;

/// Black on white; a line's look is written at each line, so that any viewer shows it alike.
const STYLE: &str = "path{fill:none;stroke:#000;stroke-linecap:round;stroke-linejoin:round}\
text{fill:#000;font-family:'Helvetica Neue',Arial,'Liberation Sans',sans-serif}";

/// A sheet as a file.
#[must_use]
pub fn svg(sheet: &Sheet) -> Vec<u8> {
    let body = html! {
        (PreEscaped("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"))
        (drawing(sheet, true))
    };
    body.into_string().into_bytes()
}

/// All sheets in one HTML file: each prints on a page of its own size.
#[must_use]
pub fn print_file(name: &str, sheets: &[Sheet]) -> Vec<u8> {
    let mut sizes: Vec<(Length, Length)> = sheets.iter().map(|s| (s.width, s.height)).collect();
    sizes.sort_unstable();
    sizes.dedup();
    let page = |sheet: &Sheet| {
        let size = (sheet.width, sheet.height);
        format!("size{}", sizes.iter().position(|s| *s == size).unwrap_or(0))
    };
    let mut style = format!(
        "{STYLE}body{{margin:0;background:#fff}}svg{{display:block}}\
        .intro{{padding:4mm 8mm;font:15px/1.45 'Helvetica Neue',Arial,'Liberation Sans',sans-serif;\
        max-width:46em}}@media screen{{.sheet{{border-bottom:1px solid #000}}}}\
        @media print{{.intro{{display:none}}}}.sheet{{break-after:page;overflow:hidden}}"
    );
    for (at, (width, height)) in sizes.iter().enumerate() {
        let _ = write!(
            style,
            "@page size{at}{{size:{width}mm {height}mm;margin:0}}.size{at}{{page:size{at}}}"
        );
    }
    let body = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                title { "Templates: " (visible(name)) }
                style { (PreEscaped(style)) }
            }
            body {
                p.intro {
                    "Full-size templates. Print at full size (100 per cent, no fitting to the \
                     page) and measure the bar on each sheet before cutting. Where a piece has \
                     several sheets, cut along the dashed line of one and lay it on the dashed \
                     line of its neighbour, crosses on crosses. Solid lines are cut lines; \
                     ticks with one word meet on neighbouring pieces. Wrap one piece and see that \
                     it closes before cutting the rest."
                }
                @for sheet in sheets {
                    div class={ "sheet " (page(sheet)) } { (drawing(sheet, false)) }
                }
            }
        }
    };
    body.into_string().into_bytes()
}

fn drawing(sheet: &Sheet, alone: bool) -> Markup {
    let (width, height) = (num(sheet.width), num(sheet.height));
    let title = if sheet.tile.is_empty() {
        sheet.piece.clone()
    } else {
        format!("{} {}", sheet.piece, sheet.tile)
    };
    html! {
        svg xmlns="http://www.w3.org/2000/svg" width={ (width) "mm" } height={ (height) "mm" }
            viewBox={ "0 0 " (width) " " (height) } {
            title { (visible(&title)) }
            @if alone { style { (PreEscaped(STYLE)) } }
            @for stroke in &sheet.strokes { (line(stroke, sheet.height)) }
            @for text in &sheet.texts { (words(text, sheet.height)) }
        }
    }
}

fn line(stroke: &Stroke, height: Length) -> Markup {
    let mut path = String::new();
    for (at, p) in stroke.points.iter().enumerate() {
        let letter = if at == 0 { 'M' } else { 'L' };
        let _ = write!(path, "{letter}{} {}", num(p.x), num(height - p.y));
    }
    let dash = stroke.line.dash().map(num);
    html! {
        path d=(path) stroke-width=(num(stroke.line.thickness())) stroke-dasharray=[dash] {}
    }
}

fn words(text: &Text, height: Length) -> Markup {
    let anchor = match text.anchor {
        Anchor::Start => None,
        Anchor::Middle => Some("middle"),
        Anchor::End => Some("end"),
    };
    let Point { x, y } = text.at;
    let (x, y) = (num(x), num(height - y));
    let turn = (text.turn.microdegrees() != 0)
        .then(|| format!("rotate({:.2} {x} {y})", -text.turn.degrees_f64()));
    html! {
        text x=(x) y=(y) font-size=(num(text.size)) text-anchor=[anchor] transform=[turn] {
            (visible(&text.words))
        }
    }
}

/// Millimetres to a hundredth, without trailing zeros.
fn num(length: Length) -> String {
    let step = Length::from_nm(10_000);
    (length + Length::from_nm(5_000)).round_down_to(step).to_string()
}
