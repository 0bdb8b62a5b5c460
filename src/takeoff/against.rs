//! The takeoff against the stock: a layer for which there is no roll.

use super::Takeoff;
use crate::finding::codes::takeoff as codes;
use crate::finding::{Finding, Findings};
use crate::stock::Stock;
use crate::units::Length;
use std::collections::BTreeSet;

/// Tells every item with a layer of a thickness that is neither on offer nor on the shelf.
#[must_use]
pub fn check_against_stock(takeoff: &Takeoff, stock: &Stock) -> Findings {
    let rolls = stock.rolls.iter().map(|roll| roll.thickness);
    let there: BTreeSet<Length> =
        rolls.chain(stock.offcuts.iter().map(|offcut| offcut.thickness)).collect();
    let list: Vec<String> = there.iter().map(ToString::to_string).collect();
    let mut findings = Findings::new();
    for item in &takeoff.items {
        let layers: BTreeSet<Length> = item.build.layers().iter().copied().collect();
        for layer in layers.difference(&there) {
            let thicker = there.last().is_none_or(|thickest| layer > thickest);
            let more = if thicker { ", and all there are are thinner" } else { "" };
            findings.push(Finding::new(
                &codes::NO_ROLL,
                item.place.field("build", None),
                format!("there is no roll or offcut {layer} mm thick{more}"),
                format!("build it from {} mm, or add the roll to the stock", list.join(", ")),
            ));
        }
    }
    findings
}
