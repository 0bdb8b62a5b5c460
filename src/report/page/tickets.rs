//! Tickets and kits on the page: for each roll what is cut from its front, like neighbours in one line.
//!
//! A line refers to the drawing of its pull, where rips, cross-cuts and sizes stand, so that every
//! roll has its ticket and the page stays small. `rollwright tickets` writes them at length, a sheet
//! a roll.

use super::table::table;
use crate::plan::Plan;
use crate::report::sources::Sources;
use crate::report::table::{Cell, Table};
use crate::report::text::{positions, visible};
use crate::report::ticket::{Block, BlockPiece, Ticket, kits, tickets};
use crate::units::{Length, Measure};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// All tickets, then the numbers of the kits.
pub fn all(plan: &Plan, sources: &Sources<'_>) -> Markup {
    let tickets = tickets(plan, sources);
    if tickets.is_empty() {
        return html! { p { "The plan has no order of cutting, so it has no tickets." } };
    }
    let (rules, measure) = (&sources.rules.table, sources.measure);
    html! {
        p { "A ticket goes with one roll or offcut, in the order in which they are begun. Lengths are "
            (measure.name()) " and run from the roll's front before the square cut. "
            @if rules.square_cut.is_positive() {
                "Cut the front square at " (measure.up(rules.square_cut)) " first"
                @if plan.rolls.iter().any(|roll| roll.squared) {
                    ", but not where a ticket says that it is: a pull was cut off there"
                }
                ". "
            }
            @if rules.edge_trim.is_positive() {
                "Trim " (measure.up(rules.edge_trim)) " off each long edge of every pull. "
            }
            "Pulls bear their numbers in the order of cutting over all rolls; rips, cross-cuts and \
             sizes stand at the drawing, which is shown once for all pulls that are alike and bears \
             another number. Behind each piece stands where it goes: 3 B12 \
             for 7/2 is three pieces B12 for layer 2 of kit 7. rollwright tickets writes a sheet a \
             roll at length, kit lists and labels, to print." }
        div.tickets { @for one in &tickets { (ticket(one, measure)) } }
        h3 { "Kits" }
        p { "A kit is all that one item needs; what is in it, layer by layer, the wrapping schedule \
             says." }
        (table(&numbered(plan, sources), None))
    }
}

fn ticket(ticket: &Ticket, measure: Measure) -> Markup {
    let work = &ticket.work;
    html! {
        div.ticket {
            h3 id=(ticket.name) {
                (ticket.name) ": " (ticket.thickness) ", " (visible(&ticket.roll)) ", "
                (measure.words(ticket.width)) " wide"
                @if let Some(length) = ticket.length { ", " (measure.words(length)) " long" }
                @if let Some(from) = &ticket.from { ", " (visible(from)) }
                @if ticket.squared { ", front square" }
            }
            p { "Cut as layout " (ticket.layout + 1) ": " (work.counts()) ", " (measure.way(work.straight, 1)) " of straight cuts"
                @if work.outline.is_positive() { ", " (measure.way(work.outline, 1)) " along outlines" }
                ", about " (work.time()) "." }
            table {
                thead { tr {
                    th { "pull" } th.n { "from" } th { "cut across at" } th.n { "drawing" }
                    th { "pieces, for kit/layer" }
                } }
                tbody {
                    @for one in &ticket.blocks { (block(one, measure)) }
                    @for kept in &ticket.kept { tr {
                        td { "keep" } td.n { (measure.words(kept.from)) } td {} td {}
                        td { (kept.name) ", " (kept.size_in_words(measure)) }
                    } }
                }
            }
        }
    }
}

/// One line: like neighbouring pulls.
fn block(block: &Block, measure: Measure) -> Markup {
    let ([first, .., last] | [first @ last]) = block.pulls.as_slice() else { return html! {} };
    let ends: Vec<Length> = block.pulls.iter().map(|pull| pull.to).collect();
    html! {
        tr {
            td {
                @if block.comes_back { b { "roll comes back" } " " }
                (first.number) @if last.number > first.number { " to " (last.number) }
                @if let Some(next) = &block.next { ", then " (visible(&next.ticket)) }
            }
            td.n { (measure.words(first.from)) }
            td { (positions(&ends, measure)) }
            td.n { @for (at, drawing) in block.drawings().iter().enumerate() {
                @if at > 0 { ", " }
                a href={ "#drawing" (drawing) } { (drawing) }
            } }
            td {
                @for (at, piece) in block.pieces.iter().enumerate() {
                    @if at > 0 { "; " }
                    (pieces(piece))
                }
                @for blank in &block.shared { p { (visible(&blank.in_words(measure))) } }
            }
        }
    }
}

/// `3 B12 for 7/2`; where they go to several kits or layers, how many to each.
fn pieces(piece: &BlockPiece) -> Markup {
    let mut goes: BTreeMap<Option<(u64, u32)>, u64> = BTreeMap::new();
    for going in &piece.goes {
        *goes.entry(going.kit.map(|kit| (kit, going.layer))).or_default() += going.count;
    }
    let several = goes.len() > 1;
    let spare = goes.remove(&None);
    html! {
        (piece.count) " " (visible(&piece.code))
        @for (at, ((kit, layer), count)) in
            goes.into_iter().filter_map(|(goes, count)| Some((goes?, count))).enumerate()
        {
            @if at == 0 { " for " } @else { ", " }
            (kit) "/" (layer)
            @if several { " (" (count) ")" }
        }
        @if let Some(count) = spare { ", " (count) " spare" }
    }
}

/// The kits by number.
fn numbered(plan: &Plan, sources: &Sources<'_>) -> Table {
    let mut rows = Table::new(&[
        "kit",
        "item",
        "area",
        "line",
        "release",
        "begun with pull",
        "whole with pull",
    ]);
    for kit in kits(plan, sources) {
        rows.push(vec![
            Cell::Count(kit.number),
            Cell::text(kit.item),
            Cell::text(kit.area),
            Cell::text(kit.line),
            Cell::Count(kit.release.into()),
            if kit.begun == 0 { Cell::text("cut before") } else { Cell::Count(kit.begun) },
            if kit.whole == 0 { Cell::text("cut before") } else { Cell::Count(kit.whole) },
        ]);
    }
    rows
}
