//! Tickets and kit lists on one page: a sheet a ticket, then a table a kit.

use super::kits::kit;
use super::{boxes, cautions, page, style};
use crate::plan::Plan;
use crate::report::papers::Papers;
use crate::report::sheets::on_sheets;
use crate::report::text::visible;
use crate::report::ticket::{
    Block, BlockPiece, Going, Ticket, counted_from, kits_in_words, places_in_words, rips_from,
};
use crate::units::Measure;
use maud::{Markup, html};

/// The page of all tickets and kit lists.
#[must_use]
pub fn tickets_page(plan: &Plan, papers: &Papers) -> Vec<u8> {
    let Papers { plan: of, tickets, kits, measure, .. } = papers;
    let body = html! {
        @for one in tickets { (ticket(of, one, *measure)) }
        @if !kits.is_empty() {
            section.sheet {
                div.head { b { "Kits" } span { (visible(of)) } }
                p.sum { (kits_in_words(*measure)) }
                (cautions())
                @for list in kits { (kit(list, *measure)) }
            }
        }
    };
    let style = format!("{}{}", style::TICKETS, on_sheets(papers.sheet, 11));
    page(plan, "Tickets", &style, &body)
}

fn ticket(of: &str, ticket: &Ticket, measure: Measure) -> Markup {
    let work = &ticket.work;
    html! {
        section.sheet id=(ticket.name) {
            div.head {
                b { (ticket.name) } b { (ticket.thickness) }
                span { (visible(&ticket.roll)) ", " (measure.words(ticket.width)) " wide"
                    @if let Some(length) = ticket.length { ", " (measure.reach(length)) " long" }
                    @if let Some(from) = &ticket.from { ", " (visible(from)) }
                }
                span { (visible(of)) }
            }
            p.sum { (work.counts()) "; "
                (measure.way(work.straight, 1)) " of straight cuts"
                @if work.outline.is_positive() { ", " (measure.way(work.outline, 1)) " along outlines" }
                "; about " (work.time()) " at the rates in the rules. "
                (ticket.dimensions_in_words(measure)) "; " (counted_from(ticket)) "; "
                (rips_from(ticket.edge_trim, measure)) "." }
            (cautions())
            @if ticket.square_cut.is_positive() {
                p.run { (boxes(1)) b { "Square the front: cut across at " (measure.words(ticket.square_cut)) } }
            }
            @if ticket.edge_trim.is_positive() {
                p.run { "Trim " (measure.up(ticket.edge_trim)) " off each long edge of every pull." }
            }
            @for one in &ticket.blocks { (block(one, measure)) }
            @if !ticket.kept.is_empty() {
                div.block {
                    h3 { "Keep, label and put on the shelf" }
                    @for kept in &ticket.kept {
                        p.run { (boxes(1)) b { (kept.name) } ": " (kept.size_in_words(measure))
                            ", from " (measure.words(kept.from)) ", lies at " span.write {} }
                    }
                }
            }
        }
    }
}

fn block(block: &Block, measure: Measure) -> Markup {
    html! {
        @if block.comes_back { p.back { "The roll comes back on the table here: others are cut first." } }
        div.block {
            h3 { (block.heading(measure)) }
            p.run { @for pull in &block.pulls {
                span.pull { (boxes(1)) (block.pull_in_words(pull, measure)) }
            } }
            @if !block.rips.is_empty() { p.run { "Rip at " b { (places_in_words(&block.rips, measure)) } } }
            @if !block.crosses.is_empty() {
                p.run { "Across inside the pull, from its near end, at " b { (places_in_words(&block.crosses, measure)) } }
            }
            @for blank in &block.shared { p.run { (boxes(1)) (visible(&blank.in_words(measure))) } }
            table {
                thead { tr { th { "piece" } th.n { "across × along" } th.n { "how many" } th { "goes to" } } }
                tbody { @for piece in &block.pieces { (row(piece, measure)) } }
            }
            @if let Some(next) = &block.next { p.run { b { (next.in_words()) "." } } }
        }
    }
}

fn row(piece: &BlockPiece, measure: Measure) -> Markup {
    let lies = piece.lies_in_words(measure);
    html! {
        tr {
            td.code { (visible(&piece.code)) }
            td.n.big { (measure.up(piece.across)) " × " (measure.up(piece.along))
                @if piece.outlined { br; small { "along its outline" } }
                @if !lies.is_empty() { br; small.lies { (lies) } } }
            td.n.big { (piece.count) " " (boxes(piece.ticks())) }
            td { ul.goes { @for going in &piece.goes { li { (goes(going, measure)) } } } }
        }
    }
}

fn goes(going: &Going, measure: Measure) -> Markup {
    html! {
        @if let Some(kit) = going.kit {
            b { "kit " (kit) } " " (visible(&going.item)) ", layer " (going.layer) ", "
            (visible(&measure.in_text(&going.part)))
            @if !going.seam.is_empty() { ", " (going.seam) }
        } @else { "spare: keep" }
        @if going.count > 1 { ": " (going.count) }
    }
}
