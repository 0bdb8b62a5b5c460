//! What was chosen together with the cutting.

use super::table::table;
use crate::plan::Plan;
use crate::report::choice;
use crate::report::sources::Sources;
use maud::{Markup, html};

/// As specified against as chosen, and every choice with what it saves.
pub fn choice(plan: &Plan, sources: &Sources<'_>) -> Markup {
    let Some(choice) = &plan.choice else { return html! {} };
    let telling = &sources.telling;
    html! {
        h3 { "Chosen together with the cutting" }
        @for sentence in choice::sentences(plan, choice, sources) { p { (telling.text(&sentence)) } }
        @if !choice.is_empty() {
            (table(&telling.table(choice::comparison(plan, choice, sources)), None))
            p {
                "What each choice saves, at the nest's last prices, in the unit of the plan's value. \
                 An estimate: choices help each other, and whole rolls do not follow them one by one."
            }
            @if !choice.things.is_empty() { (table(&telling.table(choice::things(plan, choice)), None)) }
            @if !choice.runs.is_empty() { (table(&telling.table(choice::runs(plan, choice)), None)) }
        }
    }
}
