//! Every layout of a roll, drawn.

use crate::plan::groups::Groups;
use crate::plan::{Plan, Roll};
use crate::report::drawing;
use crate::report::proof::{cut_from, thickness_in_words};
use crate::report::sources::Sources;
use crate::report::text::visible;
use crate::units::Length;
use maud::{Markup, html};

/// All layouts.
pub fn rolls(plan: &Plan, groups: &Groups<'_>, sources: &Sources<'_>) -> Markup {
    let length = |roll: &Roll| {
        roll.length.unwrap_or_else(|| roll.pulls.last().map_or(Length::ZERO, |p| p.y + p.length))
    };
    let measure = sources.measure;
    let longest = plan.rolls.iter().map(length).max().unwrap_or_default();
    html! {
        p { "Each roll is drawn to scale from its front on the left. White: pulls, like neighbours \
             with the number of their drawing; dashed: offcuts to keep; hatched: lost. Where each \
             cut lies, the tickets say." }
        @for (at, roll) in plan.rolls.iter().enumerate() {
            figure.roll-figure id={ "layout" (at + 1) } {
                figcaption {
                    b { "Layout " (at + 1) } ": " (cut_from(plan, roll)) " "
                    (visible(&roll.roll)) ", "
                    @if let Some(nest) = plan.nests.get(roll.nest) { (thickness_in_words(nest)) ", " }
                    (measure.nominal(roll.width)) " wide"
                    @if let Some(length) = roll.length { ", " (measure.nominal(length)) " long" }
                    @if let Some(from) = sources.taken_from(plan, roll) { ", " (visible(&from)) }
                }
                (drawing::roll(roll, &groups.of_layout[at], longest))
            }
        }
    }
}
