//! Rolls on offer.

use super::fields::{Door, Known, Object};
use super::value::Range;
use crate::cutting::Objective;
use crate::finding::codes::nest as codes;
use crate::nest::Roll;
use crate::nest::record::{Kind, Spot};
use std::collections::BTreeSet;

const KEYS: Known = Known {
    read: &["id", "width", "length", "price", "available"],
    passed: &["note", "comment", "name"],
};

impl Door<'_> {
    /// All rolls; `None` where they are no array. Rolls with errors are left out.
    pub(super) fn rolls<'s>(
        &mut self,
        all: &mut Object<'s>,
        objective: Option<Objective>,
    ) -> Option<Vec<(Spot<'s>, Roll)>> {
        let spot = self.need(all, "rolls")?;
        let key = all.key("rolls");
        let members = self.members(spot, &key, "an array of rolls")?;
        let mut names = BTreeSet::new();
        let mut rolls = Vec::with_capacity(members.len());
        let mut none_left = false;
        for (number, member) in members.into_iter().enumerate() {
            let path = format!("{key}[{number}].");
            let Some((roll, priced)) = self.roll(member, path, &mut names) else { continue };
            self.priced &= priced;
            if objective == Some(Objective::Price) && !priced && roll.available != Some(0) {
                self.add(
                    &codes::NO_PRICE,
                    member,
                    &format!("{key}[{number}].price"),
                    format!("the objective is the price, and roll `{}` has none", roll.id),
                    "give its price (0 where it is paid for), or ask for the fewest rolls",
                );
            }
            if roll.available == Some(0) {
                none_left = true;
                self.add(
                    &codes::NONE_LEFT,
                    member,
                    &format!("{key}[{number}].available"),
                    format!("none of roll `{}` is available", roll.id),
                    "leave the roll away, or write how many there are (null: without limit)",
                );
            } else {
                rolls.push((member, roll));
            }
        }
        if rolls.is_empty() && (none_left || !self.findings.has_errors()) {
            let remedy = "offer at least one roll that is available";
            self.add(&codes::NO_ROLLS, spot, &key, "there is no roll to cut from", remedy);
        }
        Some(rolls)
    }

    /// A roll, and whether it has a price.
    fn roll(
        &mut self,
        spot: Spot<'_>,
        path: String,
        names: &mut BTreeSet<String>,
    ) -> Option<(Roll, bool)> {
        let mut roll = self.object(spot, path, &KEYS)?;
        let id = self.name(&mut roll, names);
        let width = self.need(&mut roll, "width");
        let width = width.and_then(|s| self.length(s, &roll.key("width"), Range::Positive));
        let length = self.need(&mut roll, "length").and_then(|s| match s.kind() {
            Kind::Null => Some(None),
            _ => self.length(s, &roll.key("length"), Range::Positive).map(Some),
        });
        let priced = roll.has("price");
        let price = self.price(&mut roll, "price");
        let available = match roll.take("available").filter(|s| s.kind() != Kind::Null) {
            None => Some(None),
            Some(s) => self.count(s, &roll.key("available")).map(Some),
        };
        let (id, width, length) = (id?, width?, length?);
        let (price, available) = (price?, available?);
        Some((Roll { id, width, length, price, available }, priced))
    }

    /// A name that no other has.
    pub(super) fn name(
        &mut self,
        object: &mut Object<'_>,
        names: &mut BTreeSet<String>,
    ) -> Option<String> {
        let id = self.text(object, "id")?;
        if !names.insert(id.clone()) {
            let what = format!("the name `{id}` stands a second time");
            let remedy = "give it a name of its own, or put like ones together with a quantity";
            self.add(&codes::SAME_NAME, object.spot, &object.key("id"), what, remedy);
            return None;
        }
        Some(id)
    }
}
