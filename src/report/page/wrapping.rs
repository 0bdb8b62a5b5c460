//! The wrapping schedule on the page: like items once, with their pieces in order and a drawing.
//!
//! Items are alike where they are of one form and all their steps are the same. Runs, shells,
//! bodies of covers and covers in courses are drawn as their layers, one strip above the other, with the joints to scale;
//! every curved piece is drawn once with its dimensions, however many items use it. So that a large
//! job stays small, the runs beyond the first few hundred forms have the table only.

mod strips;
#[cfg(test)]
mod tests;

use crate::demand::CoverJoints;
use crate::plan::Plan;
use crate::report::developed::{self, Developed};
use crate::report::schedule::{Row, rows};
use crate::report::sources::Sources;
use crate::report::text::{positions, visible};
use crate::report::words;
use crate::units::{Angle, Length, Measure};
use maud::{Markup, html};
use std::collections::{BTreeMap, BTreeSet};

/// How many forms of runs are drawn.
const DRAWN_RUNS: usize = 200;

/// Like items.
struct Group<'a> {
    items: Vec<&'a str>,
    quantity: u64,
    rows: Vec<Row<'a>>,
}

/// What makes items alike: form, build, and every step.
type Likeness<'a> = (String, Vec<(u32, u32, String, u64, Length, &'a [Angle], u64, String)>);

fn groups<'a>(plan: &'a Plan, sources: &Sources<'a>) -> Vec<Group<'a>> {
    let mut all: Vec<Group<'a>> = Vec::new();
    let mut seen: BTreeMap<Likeness<'a>, usize> = BTreeMap::new();
    let rows = rows(plan, sources);
    for item in rows.chunk_by(|a, b| a.step.item == b.step.item) {
        let Some(first) = item.first() else { continue };
        let form = first.item.map_or_else(String::new, |i| {
            format!("{}; {}", words::thing(i, Measure::default()), words::build(&i.build))
        });
        let steps = item.iter().map(|row| {
            let s = row.step;
            let codes = row.codes_in_words();
            (s.run, s.layer, codes, s.count, s.at, s.seams.as_slice(), s.ties, row.note())
        });
        let quantity = first.item.map_or(1, |i| i.quantity);
        match seen.entry((form, steps.collect())) {
            std::collections::btree_map::Entry::Occupied(entry) => {
                if let Some(group) = all.get_mut(*entry.get()) {
                    group.items.push(&first.step.item);
                    group.quantity = group.quantity.saturating_add(quantity);
                }
            }
            std::collections::btree_map::Entry::Vacant(entry) => {
                entry.insert(all.len());
                all.push(Group { items: vec![&first.step.item], quantity, rows: item.to_vec() });
            }
        }
    }
    all
}

/// The whole schedule.
pub fn wrapping(plan: &Plan, sources: &Sources<'_>) -> Markup {
    let measure = sources.measure;
    let groups = groups(plan, sources);
    if groups.is_empty() {
        return html! { p { "There is nothing to wrap in this job." } };
    }
    let mut by_item: BTreeMap<&str, Vec<&CoverJoints>> = BTreeMap::new();
    for layer in &sources.demand.covers {
        by_item.entry(&layer.item).or_default().push(layer);
    }
    let mut drawn: BTreeSet<&str> = BTreeSet::new();
    let mut runs = 0;
    let mut blocks = Vec::with_capacity(groups.len());
    for group in &groups {
        let run = group.rows.iter().any(|row| row.to.is_some());
        runs += usize::from(run);
        let own = group.items.first().and_then(|item| by_item.get(item));
        let covers = in_courses(own.map_or(&[], Vec::as_slice));
        runs += usize::from(!covers.is_empty());
        let covers = if runs <= DRAWN_RUNS { covers } else { Vec::new() };
        blocks.push(block(group, (run && runs <= DRAWN_RUNS, &covers), &mut drawn, measure));
    }
    html! {
        p { "Item by item, from the inner layer outward; like items stand together, and counts are \
             for one of them. Lengths are " (measure.name()) (about(measure)) ". Along a run they count from its lower or \
             first end; seams are in degrees clockwise from the top, looking along the run; of what stands upright \
             from a line that is marked on it, the same for all its layers. A run that does not begin at 0 stops short of \
             what is there: of bolts that must be drawn, or of a fitting's cover that reaches onto it. Fix \
             each layer before the next; ties lie within " (near(measure)) " of every circumferential joint and \
             evenly between (common practice, no source). Butt all joints tightly. Small lines in \
             the drawings of pieces are dimensions to set out by; ticks with one word meet on \
             neighbouring pieces. Full-size templates: rollwright templates." }
        @for block in blocks { (block) }
        @if runs > DRAWN_RUNS {
            p { "The first " (DRAWN_RUNS) " forms of runs are drawn; the tables of the others say the \
                 same." }
        }
    }
}

/// What must be known of inches: along a run they are rounded to the nearest.
const fn about(measure: Measure) -> &'static str {
    match measure {
        Measure::Millimetres => "",
        Measure::Inches => {
            "; ~ before one: rounded to 1/64, sizes up, places and dimensions inside a piece to the nearest"
        }
        Measure::RoundedInches => {
            "; they are rounded to 1/64, sizes up, places and dimensions inside a piece to the nearest"
        }
    }
}

/// How near to a joint a tie lies: 50 mm, or 2 in.
const fn near(measure: Measure) -> &'static str {
    match measure {
        Measure::Millimetres => "50",
        Measure::Inches | Measure::RoundedInches => "2",
    }
}

/// The covers round an item's branch that have more courses than the hole asks for, each with its layers.
fn in_courses<'a>(own: &[&'a CoverJoints]) -> Vec<Vec<&'a CoverJoints>> {
    let mut covers: Vec<Vec<&CoverJoints>> = Vec::new();
    for &layer in own {
        match covers.iter_mut().find(|layers| layers[0].cover == layer.cover) {
            Some(layers) => layers.push(layer),
            None => covers.push(vec![layer]),
        }
    }
    let wide = |layers: &Vec<&CoverJoints>| {
        layers.iter().any(|layer| layer.joints.len() > usize::from(layer.at_hole.is_some()))
    };
    covers.into_iter().filter(wide).collect()
}

fn block<'a>(
    group: &Group<'a>,
    (draw_runs, covers): (bool, &[Vec<&CoverJoints>]),
    drawn: &mut BTreeSet<&'a str>,
    measure: Measure,
) -> Markup {
    let what = group.rows.first().and_then(|row| row.item);
    let mut shown: BTreeSet<&str> = BTreeSet::new();
    let mut figures = Vec::new();
    for row in &group.rows {
        let (Some(code), Some(piece)) = (row.code(), row.piece) else { continue };
        if piece.outline.is_some() && shown.insert(code) {
            figures.push(figure(code, row, drawn.insert(code), measure));
        }
    }
    html! {
        h3 {
            @if let Some(item) = what { (visible(&words::capital(&words::thing(item, measure)))) ", " (words::build(&item.build)) }
            ": " (visible(&group.items.join(", ")))
            @if group.quantity > 1 { " (" (group.quantity) " in all)" }
        }
        @if group.rows.iter().all(|row| row.to.is_some()) { (layers(&group.rows, measure)) }
        @else { (table(&group.rows, measure)) }
        @if draw_runs && group.rows.iter().any(|row| !row.joints.is_empty()) {
            (strips::runs(&group.rows, measure))
        }
        @for layers in covers { (strips::cover(layers, measure)) }
        @if !figures.is_empty() { div.sheet.drawn { @for figure in figures { (figure) } } }
    }
}

/// A run: one row a layer, its pieces in the order in which they follow each other along it.
fn layers(rows: &[Row<'_>], measure: Measure) -> Markup {
    let many_runs = rows.iter().any(|row| row.step.run > 1);
    let of = |row: &Row<'_>| (row.step.run, row.step.layer);
    let layers: Vec<&[Row<'_>]> = rows.chunk_by(|a, b| of(a) == of(b)).collect();
    let noted = layers.iter().any(|layer| !notes(layer).is_empty());
    html! {
        div.scroll tabindex="0" { table {
            thead { tr {
                @if many_runs { th.n { "run" } }
                th.n { "layer" } th { "pieces in order" } th.n { "from" } th.n { "to" }
                th { "joints at" } th { "seams at degrees" } th.n { "ties" }
                @if noted { th { "note" } }
            } }
            tbody { @for layer in layers { @if let [first, .., last] | [first @ last] = layer { tr {
                @if many_runs { td.n { (first.step.run) } }
                td.n { (first.step.layer) }
                td.o { (in_order(layer, measure)) }
                td.n { (measure.words(first.step.at)) }
                td.n { @if let Some(to) = last.to { (measure.words(to)) } }
                td { (positions(&layer.iter().flat_map(|row| row.joints.clone()).collect::<Vec<_>>(), measure)) }
                td { (seams_at(&first.step.seams)) }
                td.n { (layer.iter().map(|r| r.step.ties).sum::<u64>()) }
                @if noted { td.o { (measure.in_text(&notes(layer))) } }
            } } } }
        } }
    }
}

/// What stands beside the pieces of a layer, each note once.
fn notes(layer: &[Row<'_>]) -> String {
    let mut all: Vec<String> = Vec::new();
    for row in layer {
        let cut = row.in_hand > 0 && layer.len() > 1;
        let note = if cut { format!("{}: {}", row.codes_in_words(), note(row)) } else { note(row) };
        let parts: Vec<&str> = if cut { vec![&note] } else { note.split("; ").collect() };
        for part in parts.into_iter().filter(|part| !part.is_empty()) {
            if !all.iter().any(|other| other == part) {
                all.push(part.to_owned());
            }
        }
    }
    all.join("; ")
}

/// Pieces one after another: `3 × B25 (1500 × 1049), B10 (550 × 1049)`.
fn in_order(layer: &[Row<'_>], measure: Measure) -> Markup {
    html! {
        @for (at, row) in layer.iter().enumerate() {
            @if at > 0 { ", " }
            @if row.step.count > 1 { (row.step.count) " × " }
            b { (visible(&row.codes_in_words())) }
            @if let Some(piece) = row.piece {
                " (" (measure.up(piece.width)) " × " (measure.up(piece.length)) (round(&piece.part)) ")"
            }
        }
    }
}

/// What a part's name says after `course 1 of 2`: `, 3 turns`, `, 2 round`.
fn round(part: &str) -> &str {
    let after = part.rfind(" of ").map_or("", |at| part.get(at + 4..).unwrap_or_default());
    after.find(',').and_then(|at| after.get(at..)).unwrap_or_default()
}

/// One row a step; columns that nothing stands in are left out.
fn table(rows: &[Row<'_>], measure: Measure) -> Markup {
    let many_runs = rows.iter().any(|row| row.step.run > 1);
    let along = rows.iter().any(|row| row.to.is_some());
    let seams = rows.iter().any(|row| !row.step.seams.is_empty());
    let pins = rows.iter().any(|row| row.step.pins > 0);
    let ties = rows.iter().any(|row| row.step.ties > 0);
    let notes = rows.iter().any(|row| !note(row).is_empty());
    html! {
        div.scroll tabindex="0" { table {
            thead { tr {
                @if many_runs { th.n { "run" } }
                th.n { "layer" } th { "piece" } th { "part" } th.n { "pieces" } th.n { "size" }
                @if along { th.n { "from" } th.n { "to" } th { "joints at" } }
                @if seams { th { "seams at degrees" } }
                @if ties { th.n { "ties" } }
                @if pins { th.n { "pins each" } }
                @if notes { th { "note" } }
            } }
            tbody { @for (row, times) in in_turn(rows) { tr {
                @if many_runs { td.n { (row.step.run) } }
                td.n { (row.step.layer) }
                td { b { (visible(&row.codes_in_words())) } }
                td { (row.piece.map_or_else(String::new, |p| measure.in_text(&p.part))) }
                td.n {
                    @if times > 1 { (times) " times " (row.step.count) ", in turn" }
                    @else { (row.step.count) }
                }
                td.n { @if let Some(p) = row.piece { (measure.up(p.width)) " × " (measure.up(p.length)) } }
                @if along {
                    td.n { @if row.to.is_some() { (measure.words(row.step.at)) } }
                    td.n { @if let Some(to) = row.to { (measure.words(to)) } }
                    td { (positions(&row.joints, measure)) }
                }
                @if seams { td { (seams_at(&row.step.seams)) } }
                @if ties { td.n { @if row.step.ties > 0 { (row.step.ties * times as u64) } } }
                @if pins { td.n { @if row.step.pins > 0 { (row.step.pins) } } }
                @if notes { td.o { (measure.in_text(&note(row))) } }
            } } }
        } }
    }
}

/// Rows with how often each comes: steps that repeat in turn, as the two halves of gore after gore,
/// are told once.
fn in_turn<'a, 'r>(rows: &'r [Row<'a>]) -> Vec<(&'r Row<'a>, usize)> {
    // A note may say where the piece lies.
    let alike = |a: &Row<'_>, b: &Row<'_>| {
        (&a.codes, a.step.layer, a.step.run, a.step.count, a.to, &a.step.note)
            == (&b.codes, b.step.layer, b.step.run, b.step.count, b.to, &b.step.note)
    };
    let mut all = Vec::with_capacity(rows.len());
    let mut rest = rows;
    while !rest.is_empty() {
        let times = |period: usize| {
            let first = rest.get(..period).unwrap_or_default();
            let chunks = rest.chunks_exact(period.max(1));
            let same = |c: &&[Row<'_>]| c.iter().zip(first).all(|(a, b)| alike(a, b));
            chunks.take_while(same).count()
        };
        let period = (2..=MOST_IN_TURN).find(|&period| times(period) > 1);
        let (period, times) = period.map_or((1, 1), |period| (period, times(period)));
        all.extend(rest.iter().take(period).map(|row| (row, times)));
        rest = rest.get(period * times..).unwrap_or_default();
    }
    all
}

/// More steps than these are not looked at for repeating in turn.
const MOST_IN_TURN: usize = 8;

/// Seams in degrees to a tenth; many at even distances are told by the first and the distance.
fn seams_at(seams: &[Angle]) -> String {
    let tenth = |degrees: f64| {
        let text = format!("{degrees:.1}");
        text.strip_suffix(".0").map_or(text.clone(), str::to_owned)
    };
    match seams {
        [first, _, _, _, ..] => {
            let count = u32::try_from(seams.len()).unwrap_or(u32::MAX);
            let (first, each) = (first.degrees_f64(), 360.0 / f64::from(count));
            format!("{} and every {} on", tenth(first), tenth(each))
        }
        _ => seams.iter().map(|s| tenth(s.degrees_f64())).collect::<Vec<_>>().join(" "),
    }
}

/// The step's note and, where the stagger is not kept, why.
fn note(row: &Row<'_>) -> String {
    match (row.note(), row.waived) {
        (note, None) => note,
        (note, Some(waived)) if note.is_empty() => format!("stagger not kept: {waived}"),
        (note, Some(waived)) => format!("{note}; stagger not kept: {waived}"),
    }
}

fn figure(code: &str, row: &Row<'_>, first: bool, measure: Measure) -> Markup {
    let Some(piece) = row.piece else { return html! {} };
    let shape = Developed {
        width: piece.width,
        length: piece.length,
        outline: piece.outline.as_ref(),
        marks: &piece.marks,
    };
    let notes = developed::notes(&piece.marks, measure);
    html! {
        figure {
            figcaption {
                b { (visible(code)) } " " (measure.in_text(&piece.part))
                @if !notes.is_empty() { small { (notes) } }
            }
            (developed::drawing(&shape, code, first, measure))
        }
    }
}
