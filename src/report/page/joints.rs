//! Joints and seams of every run, layer by layer.

use super::table::table;
use crate::demand::RunJoints;
use crate::plan::Plan;
use crate::report::joints::seams_in_words;
use crate::report::table::{Cell, Table};
use crate::report::text::tenths;
use crate::units::Length;
use maud::{Markup, html};

/// All runs.
pub fn joints(plan: &Plan) -> Markup {
    if plan.joints.is_empty() {
        return html! { p { "There is no straight run in this job." } };
    }
    let mut rows = Table::new(&[
        "item",
        "run",
        "layer",
        "diameter under",
        "starts at",
        "courses",
        "joints at",
        "seams at degrees",
        "stagger",
    ]);
    for run in &plan.joints {
        rows.push(vec![
            Cell::text(&run.item),
            Cell::Count(run.run.into()),
            Cell::Count(run.layer.into()),
            Cell::Number(tenths(run.under)),
            Cell::Number(tenths(run.start)),
            Cell::Text(courses(run)),
            Cell::Text(list(&run.joints)),
            Cell::text(seams_in_words(&run.seams)),
            Cell::text(run.waived.as_deref().unwrap_or("kept")),
        ]);
    }
    html! {
        p { "Courses and joints are measured along the run from its lower or first end; seams are \
             in degrees clockwise from the top, looking along the run. Joints of neighbouring \
             layers are staggered as the rules ask; where that cannot be, the reason stands in the \
             last column." }
        (table(&rows, None))
    }
}

fn list(lengths: &[Length]) -> String {
    lengths.iter().map(|&l| tenths(l)).collect::<Vec<_>>().join(", ")
}

/// Courses in order, like neighbours together: `1000 + 3 × 1500 + 620`.
fn courses(run: &RunJoints) -> String {
    let mut rows: Vec<(Length, usize)> = Vec::new();
    for &course in &run.courses {
        match rows.last_mut() {
            Some((last, times)) if *last == course => *times += 1,
            _ => rows.push((course, 1)),
        }
    }
    let words = rows.into_iter().map(|(course, times)| {
        let course = tenths(course);
        if times == 1 { course } else { format!("{times} × {course}") }
    });
    words.collect::<Vec<_>>().join(" + ")
}
