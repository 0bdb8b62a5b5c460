//! The head of the page: title block, order and proofs.

use super::table::table;
use crate::cutting::Objective;
use crate::nest::Status;
use crate::plan::{CutFrom, Plan};
use crate::report::money::currency;
use crate::report::order::{OrderLine, lines, of_releases, others, without_price};
use crate::report::proof::{counted, proof_of, rolls_and_offcuts, thickness_in_words};
use crate::report::sources::Sources;
use crate::report::table::{Cell, Table};
use crate::report::text::visible;
use crate::units::{Decimal, Measure, Money};
use maud::{Markup, html};

/// What a plan's status means, in words.
pub fn status_in_words(plan: &Plan) -> &'static str {
    let by_price = plan.nests.iter().any(|nest| nest.objective == Objective::Price);
    match plan.status {
        Status::Proven if by_price => {
            "proven: no plan for this cutting style cuts rolls of a lower list price"
        }
        Status::Proven => "proven: no plan for this cutting style needs less",
        Status::Feasible => "a plan that can be cut; not proven to be the least",
        Status::Stopped => "stopped early; a plan that can be cut, not proven to be the least",
    }
}

/// The title block, as on a drawing.
pub fn title_block(plan: &Plan, measure: Measure) -> Markup {
    let pieces: u64 = plan.pieces.iter().map(|p| p.quantity).sum();
    html! {
        header.title {
            div.wide { small { "Cutting plan" } h1 { (visible(&plan.name)) } }
            div { small { "Pieces" } (pieces) }
            div { small { "Cut from" } (rolls_and_offcuts(plan.cut_from())) }
            div { small { "Status" } (status_in_words(plan)) }
            div { small { "Made by" } "rollwright " (plan.program.version) }
            div { small { "Lengths" } (measure.name()) ", unless written otherwise"
                @match measure {
                    Measure::Millimetres => {}
                    Measure::Inches => { "; ~: rounded to 1/64" }
                    Measure::RoundedInches => { "; rounded to 1/64" }
                } }
        }
    }
}

/// The order: a few columns, so that it can be read on a phone.
pub fn order(plan: &Plan, sources: &Sources<'_>) -> Markup {
    let lines = lines(plan, sources);
    let total: Money = lines.iter().map(|line| line.total).sum();
    let mut rows = Table::new(&["thickness", "what", "quantity", "each", "price"]);
    for line in &lines {
        let thickness = plan.nests.get(line.nest).map(thickness_in_words);
        rows.push(vec![
            Cell::text(thickness.unwrap_or_default()),
            Cell::Text(what(line, sources.measure)),
            Cell::Count(line.count()),
            if line.priced { Cell::Money(line.price) } else { Cell::Empty },
            if line.priced { Cell::Money(line.total) } else { Cell::Empty },
        ]);
    }
    let count = |shelf| -> u64 {
        let some = lines.iter().filter(|line| line.shelf.is_some() == shelf);
        some.map(OrderLine::count).sum()
    };
    let (bought, there) = (count(false), count(true));
    let priced = lines.iter().any(|line| line.priced || line.shelf.is_some());
    let total = if priced { Cell::Money(total) } else { Cell::Empty };
    let sums = [Cell::text("to buy"), Cell::Empty, Cell::Count(bought), Cell::Empty, total];
    html! {
        @for words in of_releases(plan, sources) { p { (sources.telling.text(&words)) } }
        (table(&rows, Some(&sums)))
        @if priced { p { "Prices " (visible(&currency(sources.currency()))) "." } }
        @if there > 0 {
            p { (there_already(plan)) " there already and not bought." }
        }
        @if let Some(words) = without_price(&lines) { p { (sources.telling.text(&words)) } }
        @for words in others(plan, sources) { p { (sources.telling.text(&words)) } }
    }
}

/// What is not bought, with its verb: `4 offcuts are`.
fn there_already(plan: &Plan) -> String {
    let from = CutFrom { bought: 0, ..plan.cut_from() };
    let are = if from.whole + from.offcuts == 1 { "is" } else { "are" };
    format!("{} {are}", rolls_and_offcuts(from))
}

/// A line of the order in words.
fn what(line: &OrderLine, measure: Measure) -> String {
    let width = measure.nominal(line.width);
    let size = match line.length {
        Some(length) => format!("{width} × {}", measure.nominal(length)),
        None => format!("{width} wide"),
    };
    if let (Some(product), Some(place)) = (&line.whole, &line.shelf) {
        return format!("{product}, {size}, whole on hand ({place})");
    }
    let how = match (&line.shelf, line.spare) {
        (Some(place), _) if place.is_empty() => ", from the shelf".to_owned(),
        (Some(place), _) if place.starts_with("left of") => format!(", {place}"),
        (Some(place), _) => format!(", from the shelf, {place}"),
        (None, 0) => String::new(),
        (None, spare) => format!(", {spare} of them spare"),
    };
    format!("{}, {size}{how}", line.roll)
}

/// What the bounds rest on, and how anyone checks them again.
fn to_check(plan: &Plan) -> Vec<String> {
    let bounded = || plan.nests.iter().filter(|nest| nest.bound > Decimal::ZERO);
    let which = |certified: bool| {
        let some = bounded().filter(move |nest| nest.certificate.is_some() == certified);
        some.map(thickness_in_words).collect::<Vec<_>>().join(" and ")
    };
    let (with, without) = (which(true), which(false));
    let mut told = Vec::new();
    if !with.is_empty() {
        told.push(format!(
            "What rules fewer out for {with} stands in plan.json and can be checked by anyone: a price for \
             every piece, and the most that any layout of a roll is worth by these prices. All pieces \
             together are worth more than fewer rolls can hold. `rollwright audit` makes that anew from \
             these numbers, without planning, and says how far it came."
        ));
    }
    if !without.is_empty() {
        told.push(format!(
            "For {without} there are no such prices: the bound rests on a search, on all that may be \
             chosen, or on lines across curved pieces, and whoever doubts it plans the job again."
        ));
    }
    told
}

/// One proof a thickness.
pub fn proofs(plan: &Plan, sources: &Sources<'_>) -> Markup {
    html! {
        ul {
            @for (at, nest) in plan.nests.iter().enumerate() {
                li { b { (thickness_in_words(nest)) } ": " (sources.telling.text(&proof_of(plan, at, sources))) "." }
            }
        }
        @if plan.nests.len() > 1 {
            p { "Each thickness stands for itself: a piece of one cannot be cut from a roll of \
                 another. " (counted(plan.nests.len() as u64, "thickness", "thicknesses")) " in all." }
        }
        @for words in to_check(plan) { p { (words) } }
    }
}
