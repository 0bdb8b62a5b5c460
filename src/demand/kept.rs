//! What was chosen for an earlier plan and is kept, as far as it still stands.
//!
//! A making stands where the item is still there and the rules allow it, courses where the run still keeps
//! the specification with them. What is kept counts as specified from then on.

use super::domain::Demand;
use super::expand::{expand, expand_chosen};
use super::freedom::{Choices, Picks};
use crate::rules::Rules;
use crate::stock::Stock;
use crate::takeoff::{Item, Takeoff};
use std::collections::BTreeMap;

/// A takeoff's pieces with what is kept.
#[derive(Clone, Debug)]
pub struct Kept {
    /// What stands.
    pub picks: Picks,
    /// The pieces; courses that stand are the specified ones of their runs.
    pub demand: Demand,
    /// Items that are made as specified again, and why; none that left the takeoff.
    pub dropped: BTreeMap<String, String>,
}

/// Keeps what was chosen before as far as it stands; `None` where the takeoff cannot be made even without.
#[must_use]
pub fn keep(takeoff: &Takeoff, (stock, rules): (&Stock, &Rules), before: &Picks) -> Option<Kept> {
    let items: BTreeMap<&str, &Item> =
        takeoff.items.iter().map(|item| (item.id.as_str(), item)).collect();
    let mut dropped = BTreeMap::new();
    let mut picks = Picks::default();
    for (name, making) in &before.makings {
        let Some(item) = items.get(name.as_str()) else { continue };
        match making.allowed(item, rules) {
            Ok(()) => {
                picks.makings.insert(name.clone(), making.clone());
            }
            Err(why) => {
                dropped.insert(name.clone(), why.to_owned());
            }
        }
    }
    let with = |picks: &Picks| expand_chosen(takeoff, stock, rules, picks).0;
    let mut demand = with(&picks);
    if demand.is_none() {
        let why = "the takeoff as it is now cannot be made so";
        let names = std::mem::take(&mut picks.makings).into_keys();
        dropped.extend(names.map(|name| (name, why.to_owned())));
        demand = expand(takeoff, stock, rules).0;
    }
    let made = demand?;
    for ((name, number), courses) in &before.courses {
        if !items.contains_key(name.as_str()) {
            continue;
        }
        let own = made.free.iter().find(|run| run.item == *name && run.run == *number);
        let stands = own.map_or_else(
            || Err("its joints are not free".to_owned()),
            |run| run.keeps(courses).map(|()| *courses != run.specified),
        );
        match stands {
            Ok(true) => {
                picks.courses.insert((name.clone(), *number), courses.clone());
            }
            Ok(false) => {}
            Err(why) => {
                dropped.entry(name.clone()).or_insert(why);
            }
        }
    }
    let mut demand = if picks.courses.is_empty() { made } else { with(&picks)? };
    as_specified(&mut demand, &picks.courses);
    Some(Kept { picks, demand, dropped })
}

/// Makes these courses the specified ones of their runs.
pub fn as_specified(demand: &mut Demand, courses: &Choices) {
    for run in &mut demand.free {
        if let Some(courses) = courses.get(&(run.item.clone(), run.run)) {
            run.specified.clone_from(courses);
        }
    }
}
