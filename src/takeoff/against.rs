//! The takeoff against the stock: a layer for which there is no roll, an offcut that serves for nothing.

use super::Takeoff;
use crate::finding::codes::takeoff as codes;
use crate::finding::{Finding, Findings};
use crate::stock::{Roll, Stock};
use crate::table::quoted;
use crate::units::Length;
use std::collections::BTreeSet;

/// Tells every item with a layer of a thickness that is neither on offer nor on the shelf, and every
/// offcut of a thickness that no item has.
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
            let build =
                format!("build it from {} mm, or add the roll to the stock", list.join(", "));
            let remedy = match meant(*layer, stock) {
                Some(roll) => format!(
                    "the roll {} is {} mm: where it is meant, write {layer} as its thickness in rolls.csv, which is its \
                     name; else {build}",
                    quoted(&roll.id),
                    roll.thickness
                ),
                None => build,
            };
            findings.push(Finding::new(
                &codes::NO_ROLL,
                item.place.field("build", None),
                format!("there is no roll or offcut {layer} mm thick{more}"),
                remedy,
            ));
        }
    }
    idle_offcuts(takeoff, stock, &mut findings);
    findings
}

/// The roll that a layer most likely means: it is nearly as thick, as 3/8 in is nearly 10 mm.
fn meant(layer: Length, stock: &Stock) -> Option<&Roll> {
    let off = |roll: &&Roll| (roll.thickness - layer).nm().abs();
    let near = stock.rolls.iter().filter(|roll| off(roll) * 10 <= layer.nm());
    near.min_by_key(off)
}

fn idle_offcuts(takeoff: &Takeoff, stock: &Stock, findings: &mut Findings) {
    let used: BTreeSet<Length> =
        takeoff.items.iter().flat_map(|item| item.build.layers().iter().copied()).collect();
    let sold: BTreeSet<Length> = stock.rolls.iter().map(|roll| roll.thickness).collect();
    for offcut in stock.offcuts.iter().filter(|offcut| !used.contains(&offcut.thickness)) {
        let thickness = offcut.thickness;
        let (code, more, remedy) = if sold.contains(&thickness) {
            (&codes::IDLE_OFFCUT, "", "nothing to do, unless a thickness or a build is wrong")
        } else {
            let remedy =
                "correct its thickness, or leave it if it is right: nothing is cut from it";
            (&codes::STRANGE_OFFCUT, ", and no roll on offer is", remedy)
        };
        findings.push(Finding::new(
            code,
            offcut.place.field("thickness", None),
            format!(
                "the offcut {} is {thickness} mm thick, and no layer of any item is{more}",
                quoted(&offcut.id)
            ),
            remedy,
        ));
    }
}
