//! Sheets of labels in the order of cutting.

use super::{Square, cautions, page, style};
use crate::plan::Plan;
use crate::report::papers::Papers;
use crate::report::pdf::{Face, label_words, width};
use crate::report::sheets::{LABEL, LabelSheet, on_sheets};
use crate::report::text::visible;
use crate::report::ticket::Label;
use crate::units::{Length, Measure};
use maud::{Markup, html};

/// The letters of thickness and size and the room beside the square code, in points: 43 mm less a little.
const SIZE: (f64, f64) = (11.0, 120.0);

/// The usual letters below the size, in millimetres: 8.5 points.
const LETTERS: f64 = 3.0;

/// The style of a size that is too wide in the usual letters, so that all of it shows; millimetres always have room.
fn smaller(size: &str) -> Option<String> {
    let (letters, room) = SIZE;
    let wide = width(size, Face::Bold, letters);
    (wide > room).then(|| format!("font-size:{:.1}pt", letters * room / wide))
}

/// The page of all labels.
#[must_use]
pub fn labels_page(plan: &Plan, papers: &Papers) -> Vec<u8> {
    let labels = &papers.labels;
    let lies = LabelSheet::of(papers.sheet);
    let body = html! {
        div.about {
            p { (lies.in_words(labels.len(), papers.sheet, papers.measure)) ": print at full size, without margins. The \
                square code holds the piece's identity, the first column of labels.csv." }
            (cautions())
        }
        @for sheet in labels.chunks(lies.holds()) {
            div.labels { @for (one, square) in sheet { (label(one, square.as_ref(), papers.measure.each_marked())) } }
        }
    };
    let style = format!("{}{}{}", on_sheets(papers.sheet, 0), grid(&lies), style::LABELS);
    page(plan, "Labels", &style, &body)
}

/// The grid of a sheet: a millimetre lower than it is, or printers begin another for it.
fn grid(lies: &LabelSheet) -> String {
    let ((width, height), (left, top)) = (lies.size, lies.margins());
    let (across, (wide, high)) = (lies.across, LABEL);
    format!(
        ".labels{{width:{width}mm;height:{}mm;padding:{top}mm {left}mm 0;\
         grid-template-columns:repeat({across},{wide}mm);grid-auto-rows:{high}mm}}\n",
        height - Length::from_mm(1)
    )
}

fn label(label: &Label, square: Option<&Square>, measure: Measure) -> Markup {
    let size = label.size_in_words(measure);
    let small = (measure != Measure::Millimetres).then(|| smaller(&size)).flatten();
    let long = label.code.chars().count() > 7;
    let words = label_words(label, measure);
    html! {
        div.label {
            @if long { b.long { (visible(&label.code)) } } @else { b { (visible(&label.code)) } }
            i style=[small] { (size) }
            @for (text, below) in &words.lines {
                span.below[*below] style=[(words.letters < LETTERS).then(|| format!("font-size:{}mm", words.letters))] { (text) }
            }
            em {
                span { @if let Some(kit) = label.kit { "kit " (kit) ", " } (label.ticket)
                    @if label.pull > 0 { ", pull " (label.pull) } }
                span { (label.identity) }
            }
            @if let Some(square) = square {
                svg viewBox={ "0 0 " (square.side) " " (square.side) } role="img"
                    aria-label=(label.identity) {
                    path d=(square.path()) {}
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The widest size there is in practice still shows whole, in letters of some 8 points.
    #[test]
    fn a_wide_size_is_set_smaller() {
        assert_eq!(smaller("10 mm, 48 × 22\u{a0}1/16"), None);
        let size = "10 mm, ~123\u{a0}15/16 × ~123\u{a0}15/16";
        let style = smaller(size).unwrap();
        let points = style.strip_prefix("font-size:").and_then(|rest| rest.strip_suffix("pt"));
        let points: f64 = points.unwrap().parse().unwrap();
        assert!(points > 7.5 && width(size, Face::Bold, points) < SIZE.1 + 1.0, "{style}");
    }
}
