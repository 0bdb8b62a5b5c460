//! Courses, circumferential joints and seams along every run, and of covers round branches, layer by layer.

use super::table::{Cell, Table};
use crate::demand::{CoverJoints, Datum};
use crate::plan::Plan;
use crate::units::{Angle, Length};
use std::collections::BTreeSet;

/// Seams' positions in degrees clockwise from the top: `90`, `90 270`.
#[must_use]
pub fn seams_in_words(seams: &[Angle]) -> String {
    seams.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
}

/// One row a course: where it starts and ends along the run, from the run's lower or first end; behind the runs those of
/// covers round branches that are parted anywhere.
#[must_use]
pub fn joints(plan: &Plan, covers: &[CoverJoints]) -> Table {
    let mut table = Table::new(&[
        "item",
        "run",
        "layer",
        "course",
        "from mm",
        "to mm",
        "width mm",
        "lap with next mm",
        "diameter under mm",
        "seams deg",
        "stagger waived",
        "cover",
        "measured from",
    ]);
    for run in &plan.joints {
        let mut from = run.start;
        let seams = seams_in_words(&run.seams);
        for (number, &width) in run.courses.iter().enumerate() {
            let last = number + 1 == run.courses.len();
            let to = run.joints.get(number).copied().unwrap_or(from + width);
            table.push(vec![
                Cell::text(&run.item),
                Cell::Count(run.run.into()),
                Cell::Count(run.layer.into()),
                Cell::Count(number as u64 + 1),
                Cell::Millimetres(from),
                Cell::Millimetres(to),
                Cell::Millimetres(width),
                Cell::Millimetres(if last { Length::ZERO } else { run.lap }),
                Cell::Millimetres(run.under),
                Cell::text(&seams),
                run.waived.as_ref().map_or(Cell::Empty, Cell::text),
                Cell::Empty,
                Cell::text("its lower or first end"),
            ]);
            from = to;
        }
    }
    let parted: BTreeSet<(&str, &str)> =
        covers.iter().filter(|layer| !layer.joints.is_empty()).map(cover_of).collect();
    for layer in covers.iter().filter(|layer| parted.contains(&cover_of(layer))) {
        push_cover(&mut table, layer);
    }
    table
}

fn cover_of(layer: &CoverJoints) -> (&str, &str) {
    (&layer.item, &layer.cover)
}

/// Up a branch places are told from the top, where a fitter can measure.
fn push_cover(table: &mut Table, layer: &CoverJoints) {
    let [from, to] = layer.ends;
    let (told, measured_from): (fn(Length, Length) -> Length, _) = match layer.datum {
        Datum::End => (|at, _| at, "one end of the cover"),
        Datum::ObtuseEnd => (|at, _| at, "the cover's end on the obtuse side"),
        Datum::Axis => (|at, top| top - at, "the cover's top, downwards"),
    };
    let mut at = from;
    for (number, &next) in layer.joints.iter().chain([&to]).enumerate() {
        let mut ends = [at, next].map(|at| told(at, to));
        ends.sort_unstable();
        table.push(vec![
            Cell::text(&layer.item),
            Cell::Empty,
            Cell::Count(layer.layer.into()),
            Cell::Count(number as u64 + 1),
            Cell::Millimetres(ends[0]),
            Cell::Millimetres(ends[1]),
            Cell::Millimetres(ends[1] - ends[0]),
            Cell::Millimetres(Length::ZERO),
            Cell::Millimetres(layer.under),
            Cell::Empty,
            layer.waived.as_ref().map_or(Cell::Empty, Cell::text),
            Cell::text(&layer.cover),
            Cell::text(measured_from),
        ]);
        at = next;
    }
}
