//! Courses, circumferential joints and seams along every run, layer by layer.

use super::table::{Cell, Table};
use crate::plan::Plan;
use crate::units::{Angle, Length};

/// Seams' positions in degrees clockwise from the top: `90`, `90 270`.
#[must_use]
pub fn seams_in_words(seams: &[Angle]) -> String {
    seams.iter().map(ToString::to_string).collect::<Vec<_>>().join(" ")
}

/// One row a course: where it starts and ends along the run, from the run's lower or first end.
#[must_use]
pub fn joints(plan: &Plan) -> Table {
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
            ]);
            from = to;
        }
    }
    table
}
