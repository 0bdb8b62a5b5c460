//! What is bought is what the job needs for the rolls that the plan cuts: who goes on from the plan
//! counts on it.

use super::{Courses, Failures, Rule};
use crate::plan::{Ordered, Plan};
use std::collections::BTreeMap;

pub(super) fn check(plan: &Plan, courses: Option<&Courses<'_>>, failures: &mut Failures) {
    let needed = match courses {
        Some(courses) => courses.order,
        None => Some(&[][..]),
    };
    let Some(needed) = needed else { return };
    if plan.order == needed {
        return;
    }
    let by_name = |list: &[Ordered]| -> BTreeMap<String, u64> {
        list.iter().map(|line| (line.roll.clone(), line.count())).collect()
    };
    let (told, needed) = (by_name(&plan.order), by_name(needed));
    let names: std::collections::BTreeSet<&String> = told.keys().chain(needed.keys()).collect();
    let before = failures.len();
    for name in names {
        let [told, needed] = [&told, &needed].map(|list| list.get(name).copied().unwrap_or(0));
        failures.unless(told == needed, Rule::Order, || {
            format!("The plan orders {told} of roll `{name}`, where the job needs {needed}.")
        });
    }
    failures.unless(failures.len() > before, Rule::Order, || {
        "The plan's order does not say how many rolls of it are cut, and how many are spares or more."
            .to_owned()
    });
}
