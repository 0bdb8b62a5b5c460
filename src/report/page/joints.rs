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

/// Positions; four and more at equal distances are `1490 to 14900 by 1490`.
fn list(lengths: &[Length]) -> String {
    let mut words = Vec::new();
    let mut rest = lengths;
    while let [first, ..] = rest {
        let step = rest.get(1).map_or(Length::ZERO, |&second| second - *first);
        let even = rest.windows(2).take_while(|pair| pair[1] - pair[0] == step).count();
        let taken = if even >= 3 { even + 1 } else { 1 };
        let last = rest[taken - 1];
        words.push(if taken == 1 {
            tenths(*first)
        } else {
            format!("{} to {} by {}", tenths(*first), tenths(last), tenths(step))
        });
        rest = &rest[taken..];
    }
    words.join(", ")
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_distances_are_told_once() {
        let mm = |list: &[i64]| list.iter().map(|&l| Length::from_mm(l)).collect::<Vec<_>>();
        assert_eq!(list(&mm(&[])), "");
        assert_eq!(list(&mm(&[5, 7, 9])), "5, 7, 9");
        assert_eq!(list(&mm(&[1, 10, 20, 30, 40, 41])), "1, 10 to 40 by 10, 41");
    }
}
