//! The pieces by code, and where each goes.

use crate::plan::{Piece, Plan};
use crate::report::pieces::area_of;
use crate::report::proof::thickness_in_words;
use crate::report::sources::Sources;
use crate::report::table::area_of_one;
use crate::report::text::visible;
use crate::units::Area;
use maud::{Markup, html};

/// All pieces.
pub fn pieces(plan: &Plan, sources: &Sources<'_>) -> Markup {
    let (area, _) = area_of_one(Area::ZERO, sources.measure);
    html! {
        @for (at, nest) in plan.nests.iter().enumerate() {
            h3 { (thickness_in_words(nest)) }
            div.scroll tabindex="0" { table {
                thead { tr {
                    th scope="col" { "code" }
                    @for heading in ["width", "length", area, "quantity"] {
                        th.n scope="col" { (heading) }
                    }
                    th scope="col" { "for: item, layer, part, quantity" }
                } }
                tbody {
                    @for piece in plan.pieces.iter().filter(|p| p.nest == at) {
                        (row(piece, sources))
                    }
                }
            } }
        }
    }
}

fn row(piece: &Piece, sources: &Sources<'_>) -> Markup {
    let measure = sources.measure;
    html! {
        tr {
            td { b { (visible(&piece.piece)) } @if piece.outline.is_some() { " curved" } }
            td.n { (measure.up(piece.width)) }
            td.n { (measure.up(piece.length)) }
            td.n { (area_of_one(area_of(piece), measure).1) }
            td.n { (piece.quantity) }
            td {
                @for (at, used) in piece.uses.iter().enumerate() {
                    @if at > 0 { "; " }
                    (visible(&used.item))
                    @if let Some(item) = sources.item(&used.item) {
                        @if !item.line.is_empty() { " on " (visible(&item.line)) }
                    }
                    ", layer " (used.layer) ", " (visible(&measure.in_text(&used.part))) ", " (used.quantity)
                }
            }
        }
    }
}
