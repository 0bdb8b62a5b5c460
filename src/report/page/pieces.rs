//! The pieces by code, and where each goes.

use crate::plan::{Piece, Plan};
use crate::report::pieces::area_of;
use crate::report::proof::thickness_in_words;
use crate::report::sources::Sources;
use crate::report::table::square_metres;
use crate::report::text::{tenths, visible};
use maud::{Markup, html};

/// All pieces.
pub fn pieces(plan: &Plan, sources: &Sources<'_>) -> Markup {
    html! {
        @for (at, nest) in plan.nests.iter().enumerate() {
            h3 { (thickness_in_words(nest)) }
            div.scroll tabindex="0" { table {
                thead { tr {
                    th scope="col" { "code" }
                    @for heading in ["width", "length", "area m2", "quantity"] {
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
    html! {
        tr {
            td { b { (visible(&piece.piece)) } @if piece.outline.is_some() { " curved" } }
            td.n { (tenths(piece.width)) }
            td.n { (tenths(piece.length)) }
            td.n { (square_metres(area_of(piece), 4)) }
            td.n { (piece.quantity) }
            td {
                @for (at, used) in piece.uses.iter().enumerate() {
                    @if at > 0 { "; " }
                    (visible(&used.item))
                    @if let Some(item) = sources.item(&used.item) {
                        @if !item.line.is_empty() { " on " (visible(&item.line)) }
                    }
                    ", layer " (used.layer) ", " (visible(&used.part)) ", " (used.quantity)
                }
            }
        }
    }
}
