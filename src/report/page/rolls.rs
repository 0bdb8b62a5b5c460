//! Every layout of a roll: its drawing, and its pulls with running dimensions.

use crate::plan::{Plan, Roll};
use crate::report::drawing;
use crate::report::groups::{Groups, in_rows};
use crate::report::proof::{counted, thickness_in_words};
use crate::report::sources::Sources;
use crate::report::text::{tenths, visible};
use crate::units::Length;
use maud::{Markup, html};

/// All layouts.
pub fn rolls(plan: &Plan, groups: &Groups<'_>, sources: &Sources<'_>) -> Markup {
    let length = |roll: &Roll| {
        roll.length.unwrap_or_else(|| roll.pulls.last().map_or(Length::ZERO, |p| p.y + p.length))
    };
    let longest = plan.rolls.iter().map(length).max().unwrap_or_default();
    html! {
        p { "Each roll is drawn to scale from its front on the left. Dimensions run from the front \
             before the square cut. White: pulls, with their numbers; dashed: offcuts to keep; \
             hatched: lost. Below each drawing: where each part starts." }
        @for (at, roll) in plan.rolls.iter().enumerate() {
            figure.roll-figure id={ "layout" (at + 1) } {
                figcaption {
                    b { "Layout " (at + 1) } ": " (counted(roll.copies, "roll", "rolls")) " "
                    (visible(&roll.roll)) ", "
                    @if let Some(nest) = plan.nests.get(roll.nest) { (thickness_in_words(nest)) ", " }
                    (roll.width) " wide"
                    @if let Some(length) = roll.length { ", " (length) " long" }
                    @if let Some(place) = sources.shelf(&roll.roll) {
                        ", from the shelf"
                        @if !place.is_empty() { " (" (visible(place)) ")" }
                    }
                }
                (drawing::roll(roll, &groups.of_layout[at], longest))
                (running(roll, &groups.of_layout[at]))
            }
        }
    }
}

/// The roll from front to end, with where each part starts: like neighbours together.
fn running(roll: &Roll, groups: &[usize]) -> Markup {
    let mut parts: Vec<(Length, String)> = Vec::new();
    let mut end = Length::ZERO;
    let mut at = 0;
    for (group, times) in in_rows(groups) {
        let (first, last) = (&roll.pulls[at], &roll.pulls[at + times - 1]);
        if first.y > end {
            let what = if at == 0 { "square cut" } else { "lost" };
            parts.push((end, what.to_owned()));
        }
        end = last.y + last.length;
        let each = tenths(first.length);
        parts.push((
            first.y,
            match times {
                1 => format!("pull {}, {each} long", group + 1),
                _ => format!("pull {}, {times} times {each}", group + 1),
            },
        ));
        at += times;
    }
    for left in roll.offcuts.iter().filter(|o| o.keep) {
        parts.push((left.y, format!("keep {} × {}", tenths(left.width), tenths(left.length))));
    }
    if let Some(length) = roll.length {
        let kept = roll.offcuts.iter().any(|o| o.keep && o.y + o.length == length);
        if !kept && length > end {
            parts.push((end, "roll end, lost".to_owned()));
        }
        parts.push((length, "end".to_owned()));
    }
    html! {
        ol.run { @for (from, what) in parts { li { b { (tenths(from)) } " " (what) } } }
    }
}
