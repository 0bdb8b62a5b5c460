//! The order of cutting: figures, releases, kits open over time; what changed since an earlier plan;
//! what the shelf saves.

use super::table::table;
use crate::plan::Plan;
use crate::plan::wanted::Keep;
use crate::report::changes::changes;
use crate::report::cutting::{bound_in_words, cutting_in_words, open_runs, released, savings};
use crate::report::sources::Sources;
use crate::report::table::{Cell, Table};
use crate::report::telling::Telling;
use crate::report::text::visible;
use crate::report::ticket::in_hours;
use maud::{Markup, html};
use std::fmt::Write as _;

/// The section on the order of cutting.
pub fn cutting(plan: &Plan, sources: &Sources<'_>) -> Markup {
    let Some(sequence) = plan.sequence.as_ref().filter(|s| !s.steps.is_empty()) else {
        return html! { p { "The plan has no order of cutting." } };
    };
    let mut rows = Table::new(&["release", "kits", "begun with pull", "whole with pull", "after"]);
    for one in released(plan, sources) {
        let time = in_hours(one.after);
        rows.push(vec![
            Cell::Count(one.release.into()),
            Cell::Count(one.kits),
            Cell::Count(one.begun),
            Cell::Count(one.whole),
            Cell::text(time),
        ]);
    }
    html! {
        @if let Some(words) = cutting_in_words(plan, sources) { p { (sources.telling.text(&words)) } }
        p { "A kit is all that one item needs; it is open from the first pull that yields a piece for \
             it to the last. sequence.csv lists every pull; tickets go roll by roll. Times rest on the \
             rates in the rules, whose defaults are placeholders." }
        (table(&rows, None))
        figure.chart tabindex="0" {
            figcaption { "Kits open while each pull is cut: at most " (sequence.open_kits) "; "
                (bound_in_words(sequence)) }
            (chart(plan, sources))
        }
    }
}

/// Kits open over the pulls, as steps.
fn chart(plan: &Plan, sources: &Sources<'_>) -> Markup {
    let runs = open_runs(plan, sources.demand);
    let pulls: u64 = runs.iter().map(|run| run.1).sum();
    let most = runs.iter().map(|run| run.2).max().unwrap_or(0);
    if pulls == 0 || most == 0 {
        return html! {};
    }
    let (left, top, width, height) = (36_u64, 10_u64, 700_u64, 150_u64);
    let x = |pull: u64| left + pull * width / pulls;
    let y = |open: u64| top + height - open * height / most;
    let mut path = format!("M{} {}", x(0), y(0));
    for &(first, count, open) in &runs {
        let _ = write!(path, "V{}H{}", y(open), x(first - 1 + count));
    }
    let _ = write!(path, "V{}", y(0));
    html! {
        svg viewBox={ "0 0 " (left + width + 14) " " (top + height + 34) } role="img"
            aria-label="Kits open over the order of cutting" style="max-width:760px" {
            path d=(path) {}
            path class="m" d={ "M" (left) " " (top) "V" (top + height) "H" (left + width) } {}
            text x=(left - 16) y=(top + 5) font-size="12" { (most) }
            text x=(left - 16) y=(top + height + 4) font-size="12" { "0" }
            text x=(left) y=(top + height + 15) font-size="12" { "1" }
            text x=(left + width - 10) y=(top + height + 15) font-size="12" { (pulls) }
            text x=(left + width / 2) y=(top + height + 28) font-size="12" { "pulls in the order of cutting" }
        }
    }
}

/// What changed since an earlier plan; nothing where there is none.
pub fn changed(plan: &Plan, sources: &Sources<'_>) -> Option<Markup> {
    let lines = changes(plan, Keep::from(&sources.rules.offcuts));
    (!lines.is_empty()).then(|| {
        html! {
            p { "This plan goes on from an earlier one of the job: what was cut stays cut, and what \
                 is left of its rolls is used first." }
            ul { @for line in lines { li { (visible(&sources.telling.text(&line))) } } }
        }
    })
}

/// What the shelf saves; nothing where the plan knows of none.
pub fn saved(plan: &Plan, telling: &Telling) -> Option<Markup> {
    let lines = savings(plan);
    (!lines.is_empty())
        .then(|| html! { ul { @for line in lines { li { (telling.text(&line)) } } } })
}
