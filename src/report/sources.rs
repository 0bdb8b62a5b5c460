//! What a report draws on beside the plan.

use crate::demand::Demand;
use crate::finding::Findings;
use crate::rules::Rules;
use crate::stock::Stock;
use crate::takeoff::{Item, Takeoff};
use std::collections::BTreeMap;

/// The job's inputs, looked up by name.
#[derive(Clone, Debug)]
pub struct Sources<'a> {
    /// The rules.
    pub rules: &'a Rules,
    /// The pieces, joints and schedule that the takeoff came to.
    pub demand: &'a Demand,
    /// What was found in the inputs; no errors among them.
    pub findings: &'a Findings,
    items: BTreeMap<&'a str, &'a Item>,
    shelf: BTreeMap<&'a str, &'a str>,
}

impl<'a> Sources<'a> {
    /// Looks everything up once.
    #[must_use]
    pub fn new(
        takeoff: &'a Takeoff,
        stock: &'a Stock,
        rules: &'a Rules,
        demand: &'a Demand,
        findings: &'a Findings,
    ) -> Self {
        Self {
            rules,
            demand,
            findings,
            items: takeoff.items.iter().map(|item| (item.id.as_str(), item)).collect(),
            shelf: stock.offcuts.iter().map(|o| (o.id.as_str(), o.shelf.as_str())).collect(),
        }
    }

    /// The takeoff's item of this name.
    #[must_use]
    pub fn item(&self, id: &str) -> Option<&'a Item> {
        self.items.get(id).copied()
    }

    /// Where the offcut of this name lies on the shelf; `None` for a roll that is bought.
    #[must_use]
    pub fn shelf(&self, roll: &str) -> Option<&'a str> {
        self.shelf.get(roll).copied()
    }
}
