//! A sheet as SVG (W3C SVG 1.1): one user unit is one millimetre, y turned over so that the roll's
//! front is below; a group for each layer, hairlines, no fill.

use super::sheet::{Label, Layer, Shape, Sheet};
use crate::geometry::Point;
use crate::report::text::visible;
use maud::{Markup, PreEscaped, html};
use std::fmt::Write;

/// Room above the drawing for its title, and around it, in millimetres.
const TITLE: f64 = 30.0;
const MARGIN: f64 = 5.0;

/// The file.
pub(super) fn write(sheet: &Sheet) -> Vec<u8> {
    let (width, length) = (sheet.width.mm_f64(), sheet.length.mm_f64());
    let (wide, high) = (width + 2.0 * MARGIN, length + TITLE + MARGIN);
    let words = visible(&sheet.words());
    let font = num((wide * 1.6 / words.chars().fold(1.0, |sum, _| sum + 1.0)).clamp(3.0, 16.0));
    let drawing = html! {
        (PreEscaped("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n"))
        svg xmlns="http://www.w3.org/2000/svg" width={ (num(wide)) "mm" } height={ (num(high)) "mm" }
            viewBox={ (num(-MARGIN)) " " (num(-TITLE)) " " (num(wide)) " " (num(high)) }
            fill="none" stroke="#000" stroke-width="0.2" {
            title { (words) }
            @for layer in Layer::ALL {
                @let id = layer.name().replace(' ', "-");
                g id=(id) aria-label=(layer.name()) { (contents(sheet, layer, length, &words, &font)) }
            }
        }
    };
    (drawing.into_string() + "\n").into_bytes()
}

fn contents(sheet: &Sheet, layer: Layer, top: f64, words: &str, font: &str) -> Markup {
    let closed = |shapes: &[Shape]| {
        let paths: Vec<String> = shapes.iter().map(|s| path(&s.corners, top, true)).collect();
        html! { @for d in paths { path d=(d) {} } }
    };
    match layer {
        Layer::Edge => closed(&[sheet.edge()]),
        Layer::Pieces => closed(&sheet.pieces),
        Layer::Kept => closed(&sheet.kept),
        Layer::Words => html! {
            text x="0" y="-4" font-family="sans-serif" font-size=(font) fill="#000" stroke="none" {
                (words)
            }
            @for label in &sheet.labels { (text(label, top)) }
        },
        cut => html! {
            @for stroke in sheet.cuts.iter().filter(|stroke| stroke.layer == cut) {
                path d=(path(&[stroke.from, stroke.to], top, false)) {}
            }
        },
    }
}

fn text(label: &Label, top: f64) -> Markup {
    let (x, y) = (label.x, top - label.y);
    let turn = if label.standing { "rotate(-90)" } else { "" };
    html! {
        text transform={ "translate(" (num(x)) " " (num(y)) ")" (turn) } y=(num(label.height * 0.36))
            font-family="sans-serif" font-size=(num(label.height)) text-anchor="middle" fill="#000"
            stroke="none" { (visible(&label.text)) }
    }
}

fn path(points: &[Point], top: f64, closed: bool) -> String {
    let mut d = String::new();
    for (at, p) in points.iter().enumerate() {
        let sign = if at == 0 { 'M' } else { 'L' };
        let _ = write!(d, "{sign}{} {}", num(p.x.mm_f64()), num(top - p.y.mm_f64()));
    }
    if closed {
        d.push('Z');
    }
    d
}

/// A coordinate to a thousandth of a millimetre, without trailing zeros.
fn num(mm: f64) -> String {
    let text = format!("{mm:.3}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}
