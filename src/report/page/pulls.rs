//! Every pull, drawn to scale; like ones once.

use crate::plan::groups::{Group, Groups};
use crate::plan::set_out::{Rulers, SetOut};
use crate::plan::{Measured, Plan, Pull};
use crate::report::drawing::{self, ByName, Scale};
use crate::report::outlines::Outlines;
use crate::report::proof::thickness_in_words;
use crate::report::sources::Sources;
use crate::report::text::visible;
use crate::report::ticket::{crosses, places_in_words, rips, rips_from};
use crate::units::{Length, Measure};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// What all drawings share, defined once: the hatching of what is lost, the curved pieces.
fn shared(outlines: &Outlines, scale: Scale) -> Markup {
    html! {
        svg width="0" height="0" style="position:absolute" aria-hidden="true" {
            defs {
                pattern id="lost" width="44" height="44" patternUnits="userSpaceOnUse"
                    patternTransform="rotate(45)" {
                    path d="M0 0V44" style="stroke-width:.8px" {}
                }
                (scale.tick())
                (outlines.definitions())
            }
        }
    }
}

/// All pulls.
pub fn pulls(plan: &Plan, groups: &Groups<'_>, sources: &Sources<'_>) -> Markup {
    let (table, measure) = (&sources.rules.table, sources.measure);
    let edge_trim = table.edge_trim;
    let set_out = SetOut::of(plan, groups, sources.rules, measure);
    let unit = if measure == Measure::Millimetres { "mm" } else { "inches" };
    let pieces: ByName<'_> =
        plan.pieces.iter().enumerate().map(|(at, p)| (p.piece.as_str(), (at, p))).collect();
    let widest = plan.rolls.iter().map(|r| r.width).max().unwrap_or_default();
    let scale = Scale::for_width(widest);
    let measured = sources.measured(plan);
    let outlines = Outlines::of(&groups.groups, &pieces);
    html! {
        p { "A pull is one length drawn off the roll and cut square. All are drawn to one scale, \
             seen from the roll's front, which is at the bottom; like pulls are drawn once. A \
             drawing's number is also that of its file for the cutting table; pulls bear their own, in \
             the order of cutting, as on tickets. Each piece bears its code and its width across and length along the roll, unturned. \
             Hatched: lost. Places are measured in " (unit) ": " (rips_from(edge_trim, measure)) "; cuts across inside \
             a pull from its near end." }
        (shared(&outlines, scale))
        div.sheet.pulls style=(scale.style()) {
            @for (at, group) in groups.groups.iter().enumerate() {
                @for part in 0..scale.parts(group.pull.length) {
                    (figure(plan, (group, edge_trim), at + 1, part, scale, (&pieces, &outlines, &measured),
                        (set_out.group(at), measure)))
                }
            }
        }
    }
}

fn figure(
    plan: &Plan,
    (group, edge_trim): (&Group<'_>, Length),
    number: usize,
    part: u32,
    scale: Scale,
    (pieces, outlines, measured): (&ByName<'_>, &Outlines, &Measured<'_>),
    (rulers, measure): (&Rulers, Measure),
) -> Markup {
    let parts = scale.parts(group.pull.length);
    html! {
        figure {
            figcaption {
                b { "Drawing " (number) }
                @if parts > 1 { ", part " (part + 1) " of " (parts) }
                ": "
                @if let Some(nest) = plan.nests.get(group.nest) { (thickness_in_words(nest)) ", " }
                (measure.up(rulers.along.at(group.pull.length))) " long, "
                @if group.count == 1 { "once" } @else { (group.count) " times" }
                @if part == 0 { small {
                    @if !group.pulls.is_empty() { (pull_numbers(group)) "; " }
                    "layout " (layouts(&group.layouts))
                    @let rips = rips(group.pull, group.width, edge_trim, rulers);
                    @if !rips.is_empty() { "; rip at " (places_in_words(&rips, measure)) }
                    @let crosses = crosses(group.pull, group.width, edge_trim, rulers);
                    @if !crosses.is_empty() { "; across inside at " (places_in_words(&crosses, measure)) }
                    "; cuts " (measure.way(measured.of_pull(group.at.0, group.at.1).all(), 2))
                } }
            }
            (drawing::pull(group, number, part, scale, (pieces, outlines), (rulers, measure)))
            @if part + 1 == parts { p.list { (list(group.pull, pieces, measure)) } }
        }
    }
}

/// At most a dozen of a list.
fn few(list: Vec<String>) -> String {
    let most = 12;
    let more = list.len().saturating_sub(most);
    let mut text: Vec<String> = list.into_iter().take(most).collect();
    if more > 0 {
        text.push(format!("and {more} more"));
    }
    text.join(", ")
}

/// Layouts' numbers.
fn layouts(list: &[usize]) -> String {
    few(list.iter().map(|at| (at + 1).to_string()).collect())
}

/// Which pulls in the order of cutting a drawing stands for.
fn pull_numbers(group: &Group<'_>) -> String {
    let word = if group.pulls.len() == 1 { "Pull" } else { "Pulls" };
    format!("{word} {}", few(group.pulls_in_words()))
}

/// The pieces of a pull: code, size, turn, how many.
fn list(pull: &Pull, pieces: &ByName<'_>, measure: Measure) -> Markup {
    let mut counts: BTreeMap<(&str, crate::units::Angle), u64> = BTreeMap::new();
    for placement in &pull.placements {
        *counts.entry((placement.piece.as_str(), placement.turn)).or_default() += 1;
    }
    html! {
        @for (at, ((name, turn), count)) in counts.into_iter().enumerate() {
            @if at > 0 { "; " }
            b { (visible(name)) }
            @if let Some((_, piece)) = pieces.get(name) { " " (measure.up(piece.width)) "×" (measure.up(piece.length)) }
            @if turn != crate::units::Angle::ZERO { " turned " (turn) "°" }
            @if count > 1 { " (" (count) ")" }
        }
    }
}
