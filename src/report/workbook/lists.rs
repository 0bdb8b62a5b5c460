//! The lists of a plan, in the order in which they are asked for.

use super::List;
use crate::finding::{Findings, Place, letters};
use crate::plan::{Nest, Plan};
use crate::report::lists::{Lists, Priced};
use crate::report::outlook;
use crate::report::proof::{gap_per_cent, proof_of, style_in_words};
use crate::report::sources::Sources;
use crate::report::table::{Cell, Table};
use crate::report::waste::{parts, per_cent};
use std::borrow::Cow;

const fn shared<'t>(name: &'static str, table: &'t Table) -> List<'t> {
    List { name, table: Cow::Borrowed(table) }
}

const fn own(name: &'static str, table: Table) -> List<'static> {
    List { name, table: Cow::Owned(table) }
}

/// The lists that rest on the plan alone.
pub(super) fn of_plan<'t>(plan: &Plan, sources: &Sources<'_>, made: &'t Lists) -> Vec<List<'t>> {
    vec![
        shared("order", &made.order),
        own("proof", proof(plan, sources)),
        shared("pieces", &made.pieces),
        shared("cuts", &made.cuts),
        own("offcuts", with_units(made.offcuts.clone())),
        own("area", area(plan)),
        shared("joints", &made.joints),
        shared("schedule", &made.schedule),
        shared("sequence", &made.sequence),
    ]
}

/// Those that follow, of what was computed beside the plan; a job without findings has the sheet all the
/// same.
pub(super) fn beside<'t>(sources: &Sources<'_>, priced: Option<&'t Priced>) -> Vec<List<'t>> {
    let mut lists = Vec::new();
    if let Some(priced) = priced {
        lists.push(shared("cost", &priced.price));
        lists.push(shared("cost of items", &priced.items));
        lists.push(shared("waste", &priced.waste));
    }
    let extras = &sources.extras;
    if let Some(found) = extras.allowance {
        lists.push(own("allowance", outlook::allowance(found)));
    }
    if let Some(found) = extras.risk {
        lists.push(own("risk", outlook::risk(found)));
    }
    lists.push(own("findings", findings(sources.findings)));
    lists
}

/// The offcuts' list has the bare headings of an input; here each says its unit, which the reader
/// of inputs takes as well.
fn with_units(mut table: Table) -> Table {
    for heading in &mut table.headings {
        *heading = match *heading {
            "thickness" => "thickness (mm)",
            "width" => "width (mm)",
            "length" => "length (mm)",
            other => other,
        };
    }
    table
}

/// What each thickness comes to, and why fewer will not do.
fn proof(plan: &Plan, sources: &Sources<'_>) -> Table {
    let mut table = Table::new(&[
        "thickness mm",
        "objective",
        "value",
        "lower bound",
        "gap %",
        "status",
        "cutting style",
        "in words",
    ]);
    for (at, nest) in plan.nests.iter().enumerate() {
        let word = |value: &dyn std::fmt::Debug| format!("{value:?}").to_lowercase();
        table.push(vec![
            nest.thickness.map_or(Cell::Empty, Cell::Millimetres),
            Cell::text(word(&nest.objective)),
            Cell::Number(nest.value.to_string()),
            Cell::Number(nest.bound.to_string()),
            gap(nest),
            Cell::text(word(&nest.status)),
            Cell::text(style_in_words(nest)),
            Cell::text(proof_of(plan, at, sources)),
        ]);
    }
    table
}

/// How far a nest lies above its bound: a number, or words where its tenth would be 0.
fn gap(nest: &Nest) -> Cell {
    match gap_per_cent(nest.value, nest.bound) {
        None => Cell::Empty,
        Some(gap) if gap.starts_with(|first: char| first.is_ascii_digit()) => Cell::Number(gap),
        Some(words) => Cell::Text(words),
    }
}

/// Where the area goes.
fn area(plan: &Plan) -> Table {
    let mut table = Table::new(&["thickness mm", "what", "area m2", "share %"]);
    for nest in &plan.nests {
        let whole = nest.areas.rolls;
        for (what, area) in parts(&nest.areas).into_iter().chain([("all rolls", whole)]) {
            table.push(vec![
                nest.thickness.map_or(Cell::Empty, Cell::Millimetres),
                Cell::text(what),
                Cell::SquareMetres(area),
                Cell::Number(per_cent(area, whole)),
            ]);
        }
    }
    table
}

/// What was found in the inputs.
fn findings(findings: &Findings) -> Table {
    let mut table = Table::new(&[
        "severity",
        "code",
        "file",
        "sheet",
        "line",
        "column",
        "field",
        "what",
        "what to do",
    ]);
    let count = |n: Option<u64>| n.map_or(Cell::Empty, Cell::Count);
    let words = |text: &Option<String>| text.as_ref().map_or(Cell::Empty, Cell::text);
    for finding in findings {
        let Place { file, sheet, line, column, field } = &finding.place;
        table.push(vec![
            Cell::text(finding.severity().to_string()),
            Cell::text(finding.code.id),
            Cell::text(file),
            words(sheet),
            count(*line),
            match (sheet, column) {
                (Some(_), Some(column)) => Cell::text(letters(*column)),
                (_, column) => count(*column),
            },
            words(field),
            Cell::text(&finding.what),
            Cell::text(&finding.remedy),
        ]);
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::sample;
    use crate::units::Decimal;

    #[test]
    fn a_gap_is_a_number_where_it_has_a_tenth() {
        let of = |millionths: i64| {
            let nest = sample::plan(24, 9).nests.swap_remove(0);
            gap(&Nest { value: Decimal::from_millionths(millionths), bound: Decimal::ONE, ..nest })
        };
        assert_eq!(of(1_000_000), Cell::Empty);
        assert_eq!(of(1_000_100), Cell::text("less than 0.1"));
        assert_eq!(of(1_333_333), Cell::Number("33.3".to_owned()));
    }
}
