//! The ways taken are ways of the instance's choices, and every thing is made in one of them.

use super::{Failures, Rule};
use crate::plan::{Plan, Wanted};
use std::collections::BTreeMap;

pub(super) fn check(plan: &Plan, wanted: &[Wanted], failures: &mut Failures) {
    let mut made: BTreeMap<(&str, &str), u64> = BTreeMap::new();
    for taken in &plan.taken {
        let key = (taken.choice.as_str(), taken.way.as_str());
        let twin = made.insert(key, taken.quantity);
        failures.unless(twin.is_none() && taken.quantity > 0, Rule::Lists, || {
            format!("Way `{}` of choice `{}` is taken twice, or never.", taken.way, taken.choice)
        });
    }
    for choice in wanted.iter().flat_map(|sheet| &sheet.choices) {
        let keys = choice.ways.iter().map(|way| (choice.id.as_str(), way.id.as_str()));
        let things =
            keys.fold(0, |sum: u64, key| sum.saturating_add(made.remove(&key).unwrap_or(0)));
        failures.unless(things == choice.quantity, Rule::Lists, || {
            format!(
                "Of choice `{}` {things} are made where {} are wanted.",
                choice.id, choice.quantity
            )
        });
    }
    for (choice, way) in made.into_keys() {
        failures.add(
            Rule::Lists,
            format!("Way `{way}` of choice `{choice}` is taken, and there is no such way."),
        );
    }
}
