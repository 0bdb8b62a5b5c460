//! Values are what the rolls come to, bounds stay at or below them, statuses say what is so.

use super::{Failures, Rule};
use crate::cutting::Objective;
use crate::plan::{Plan, Status, Wanted};

pub(super) fn check(plan: &Plan, wanted: &[Wanted], failures: &mut Failures) {
    let (mut values, mut bounds) = (0_i128, 0_i128);
    let mut weakest = Status::Proven;
    for (number, (nest, sheet)) in plan.nests.iter().zip(wanted).enumerate() {
        let (value, bound) = (nest.value, nest.bound);
        let true_value = millionths(plan, sheet, number);
        failures.unless(i128::from(value.millionths()) == true_value, Rule::Value, || {
            format!(
                "The value of {} is given as {value}, but its rolls come to another.",
                sheet.nest()
            )
        });
        failures.unless(bound <= value && bound.millionths() >= 0, Rule::Bound, || {
            format!("The bound of {}, {bound}, does not lie between 0 and {value}.", sheet.nest())
        });
        failures.unless((nest.status == Status::Proven) == (bound == value), Rule::Status, || {
            format!(
                "The status of {} is wrong: its value is {value}, its bound {bound}.",
                sheet.nest()
            )
        });
        if let Some(without) = nest.without_shelf {
            // A plan that leaves the shelf alone is a plan.
            let least = without.bound.millionths() >= 0;
            let holds = least && without.bound <= without.value && bound <= without.value;
            failures.unless(sheet.rolls.iter().any(|roll| roll.shelf), Rule::Bound, || {
                format!(
                    "The plan compares {} with one without the shelf, which gives it nothing.",
                    sheet.nest()
                )
            });
            failures.unless(holds, Rule::Bound, || {
                format!(
                    "Without the shelf {} is said to need {}, at least {}, where nothing below {bound} is \
                     possible.",
                    sheet.nest(),
                    without.value,
                    without.bound
                )
            });
        }
        values += i128::from(value.millionths());
        bounds += i128::from(bound.millionths());
        weakest = weakest.max(nest.status);
    }
    failures.unless(i128::from(plan.value.millionths()) == values, Rule::Value, || {
        format!("The plan's value {} is not the sum of its nests'.", plan.value)
    });
    let joint = plan.choice.as_ref().and_then(|choice| choice.bound);
    let bound = i128::from(plan.bound.millionths());
    let least = joint.map_or(bounds, |joint| bounds.max(i128::from(joint.millionths())));
    failures.unless(bound == least && bound <= values, Rule::Bound, || {
        let bound = plan.bound;
        format!("The plan's bound {bound} is not the sum of its nests', nor what choices leave.")
    });
    let proven = joint.is_some() && bound == values;
    failures.unless(
        plan.status == if proven { Status::Proven } else { weakest },
        Rule::Status,
        || "The plan's status is not the weakest of its nests'.".to_owned(),
    );
}

/// What the rolls of a nest come to, in millionths of the objective's unit.
fn millionths(plan: &Plan, sheet: &Wanted, number: usize) -> i128 {
    let of_nest = plan.rolls.iter().filter(|r| r.nest == number);
    of_nest
        .map(|roll| {
            let product = sheet.rolls.iter().find(|p| p.id == roll.roll);
            let one = match sheet.objective {
                Objective::Rolls if product.is_some_and(|p| p.shelf) => 0,
                Objective::Rolls => 1_000_000,
                Objective::Price => product.map_or(0, |p| p.price.micros()),
                Objective::Length => {
                    roll.pulls.iter().map(|p| (p.y + p.length).nm()).max().unwrap_or(0)
                }
            };
            i128::from(one) * i128::from(roll.copies)
        })
        .sum()
}
