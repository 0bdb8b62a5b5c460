//! What is foreseen: allowance, risk, options, and the order's two answers.

use super::table::table;
use crate::compare::order::Study;
use crate::compare::{Comparison, Seams};
use crate::forecast::{Allowance, Risk};
use crate::report::charts::{Bars, Curve, Curves, Fill, Row};
use crate::report::telling::Telling;
use crate::report::{outlook, seams as places};
use maud::{Markup, html};

/// Dashes of the curves at 50, 80 and 90 %.
const DASHES: [&str; 3] = ["", "7 4", "2 3"];
const PARTS: [&str; 3] = ["50 %", "80 %", "90 %"];

/// The fewest rolls beside the cheapest.
pub fn study(study: &Study, telling: &Telling) -> Markup {
    html! {
        (table(&telling.table(outlook::study(study)), None))
        ul { @for sentence in outlook::study_in_words(study) { li { (telling.text(&sentence)) } } }
        p { "Looked for with the work of a plan. " code { "rollwright price JOB --order" } " looks longer, and may \
            find a cheaper order, prove more of it, or cut the same order otherwise, with other labour." }
        @if !study.beside.is_empty() {
            h3 { "One roll more or less than the cheapest order" }
            (table(&telling.table(outlook::beside(study)), None))
        }
    }
}

/// The waste allowance.
pub fn allowance(allowance: &Allowance, telling: &Telling) -> Markup {
    let curve = |which: usize| Curve {
        name: format!("blanket used, {}", PARTS[which]),
        points: allowance.sizes.iter().map(|at| (telling.area(at.plain), at.used[which])).collect(),
        dashes: DASHES[which],
    };
    let whole = Curve {
        name: "whole rolls, 80 %".to_owned(),
        points: allowance.sizes.iter().map(|at| (telling.area(at.plain), at.whole[1])).collect(),
        dashes: "12 3 2 3",
    };
    let chart = Curves {
        title: "Waste allowance by size of job",
        across: format!("plain area of the job, {}", telling.area_unit()),
        up: "allowance that is enough in 50, 80, 90 % of the jobs, % of the plain area".to_owned(),
        curves: (0..3).map(curve).chain([whole]).collect(),
        steps: false,
        marks: Vec::new(),
    };
    html! {
        @if let Some(words) = outlook::allowance_in_words(allowance) { p { (telling.text(&words)) } }
        p { "From " (allowance.jobs) " simulated jobs of each size, seed " (allowance.seed) "." }
        figure.chart tabindex="0" { (chart.svg()) }
        (table(&telling.table(outlook::allowance(allowance)), None))
        h3 { "Rolls" }
        (table(&telling.table(outlook::allowance_rolls(allowance)), None))
        h3 { "By kind" }
        (table(&telling.table(outlook::allowance_kinds(allowance)), None))
        @if let Some(laid) = outlook::allowance_laid(allowance) { p { (telling.text(&laid)) } }
        @for words in outlook::allowance_runs(allowance) { p { (telling.text(&words)) } }
        p { (outlook::ALLOWANCE_NOTE) }
    }
}

/// How sure the order is.
pub fn risk(risk: &Risk, telling: &Telling) -> Markup {
    html! {
        p { "From " (risk.jobs) " simulated takeoffs, seed " (risk.seed) "; part in common "
            (risk.common) ". " (telling.text(&outlook::risk_in_words(risk))) }
        @if risk.nests.is_empty() { p { (outlook::NOTHING_AT_RISK) } } @else { (table(&telling.table(outlook::risk(risk)), None)) }
        @for nest in &risk.nests {
            @let name = format!("{} mm", nest.thickness);
            figure.chart tabindex="0" { figcaption { b { (name) } } (curve(nest, &format!("Chance that rolls of {name} suffice"))) }
        }
        @for words in outlook::risk_counted(risk) { p { (telling.text(&words)) } }
        @for words in outlook::risk_laid(risk) { p { (telling.text(&words)) } }
        p { (outlook::risk_note(risk)) }
    }
}

#[expect(clippy::cast_precision_loss, reason = "numbers of rolls")]
fn curve(nest: &crate::forecast::risk::OfThickness, title: &str) -> Markup {
    let first = nest.curve.first().map_or(0, |point| point.0);
    let mut points = vec![(first.saturating_sub(1) as f64, 0.0)];
    points.extend(nest.curve.iter().map(|(rolls, chance)| (*rolls as f64, *chance)));
    let (last, chance) = points.last().copied().unwrap_or_default();
    points.push((last.max((nest.ordered + nest.spare) as f64) + 1.0, chance));
    let mut marks = vec![(nest.ordered as f64, format!("ordered {}", nest.ordered))];
    if nest.spare > 0 {
        let with = nest.ordered + nest.spare;
        marks.push((with as f64, format!("with spares {with}")));
    }
    Curves {
        title,
        across: "rolls on hand".to_owned(),
        up: "chance that they suffice, %".to_owned(),
        curves: vec![Curve { name: String::new(), points, dashes: "" }],
        steps: true,
        marks,
    }
    .svg()
}

/// Where the seams of gores could lie.
pub fn seams(seams: &Seams, telling: &Telling) -> Markup {
    html! {
        (table(&telling.table(places::table(seams)), None))
        ul { @for sentence in places::in_words(seams) { li { (telling.text(&sentence)) } } }
    }
}

/// Options side by side.
pub fn options(comparison: &Comparison, telling: &Telling) -> Markup {
    let rows: Vec<&crate::compare::Row> = comparison.rows.iter().collect();
    let bars = rows.iter().filter_map(|row| {
        let figures = row.outcome.as_ref().ok()?;
        let more = comparison.against(figures);
        let sign = if more.micros() > 0 { "+" } else { "" };
        Some(Row {
            name: row.name.clone(),
            values: vec![more.units_f64()],
            note: format!("{sign}{}", more.cents()),
        })
    });
    let chart = Bars {
        title: "What each option costs against the job as it stands",
        axis: format!(
            "against the job as it stands, {}",
            crate::report::money::currency(&comparison.currency)
        ),
        kinds: &[("difference", Fill::Hatched)],
        rows: bars.collect(),
    };
    html! {
        figure.chart tabindex="0" { (chart.svg()) }
        (table(&telling.table(outlook::options(comparison, &rows)), None))
    }
}
