//! A kit list, inner layer first.

use super::boxes;
use crate::report::text::visible;
use crate::report::ticket::KitList;
use crate::units::Measure;
use maud::{Markup, html};

/// One kit.
pub fn kit(list: &KitList, measure: Measure) -> Markup {
    html! {
        div.block.kit {
            h3 { "Kit " (list.number) ": " (visible(&list.item))
                @if list.quantity > 1 { ", for " (list.quantity) " of it" } }
            p.sum {
                @if !list.area.is_empty() { (visible(&list.area)) ", " }
                @if !list.line.is_empty() { (visible(&list.line)) ", " }
                "release " (list.release)
                "; " (list.when())
            }
            table {
                thead { tr { td {} th.n { "layer" } th { "part" } th { "piece" } th.n { "size" }
                    th { "thickness" } th { "seam" } th.n { "how many" } th { "from" } } }
                tbody { @for line in &list.lines {
                    tr {
                        td { (boxes(1)) }
                        td.n { (line.layer) }
                        td { (visible(&measure.in_text(&line.part))) @if line.outlined { " (outline)" } }
                        td.code { (visible(&line.code)) }
                        td.n { (measure.up(line.width)) " × " (measure.up(line.length)) }
                        td { (line.thickness) }
                        td { (line.seam_under_heading()) }
                        td.n.big { (line.count) }
                        td { @if line.tickets.is_empty() { "cut before" } @else { (list.tickets(line).join(", ")) } }
                    }
                } }
            }
        }
    }
}
