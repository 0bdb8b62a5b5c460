//! Sheets of labels, A4, three across and eight down, in the order of cutting.

use super::{Square, cautions, page, style};
use crate::plan::Plan;
use crate::report::papers::Papers;
use crate::report::text::{shortened, tenths, visible};
use crate::report::ticket::Label;
use maud::{Markup, html};

/// Labels on a sheet.
const ON_A_SHEET: usize = 24;

/// The page of all labels.
#[must_use]
pub fn labels_page(plan: &Plan, papers: &Papers) -> Vec<u8> {
    let labels = &papers.labels;
    let body = html! {
        div.about {
            p { (labels.len()) " labels on " (labels.len().div_ceil(ON_A_SHEET))
                " sheets of A4, three across and eight down, 70 × 36 mm each, in the order of cutting: \
                print at full size, without margins. The square code holds the piece's identity, the \
                first column of labels.csv." }
            (cautions())
        }
        @for sheet in labels.chunks(ON_A_SHEET) {
            div.a4 { @for (one, square) in sheet { (label(one, square.as_ref())) } }
        }
    };
    page(plan, "Labels", style::LABELS, &body)
}

fn label(label: &Label, square: Option<&Square>) -> Markup {
    let long = label.code.chars().count() > 7;
    let place = [&label.area, &label.line].map(|text| visible(text));
    let place: Vec<&str> = place.iter().map(String::as_str).filter(|t| !t.is_empty()).collect();
    html! {
        div.label {
            @if long { b.long { (visible(&label.code)) } } @else { b { (visible(&label.code)) } }
            i { (label.thickness) ", " (tenths(label.width)) " × " (tenths(label.length)) }
            span { (visible(&shortened(&label.item, 40)))
                @if !label.item.is_empty() { ", " } (visible(&shortened(&label.part, 48)))
                @if !label.seam.is_empty() { ", " (shortened(&label.seam, 32)) } }
            @if !place.is_empty() { span { (shortened(&place.join(", "), 60)) } }
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
