//! What the takeoff wants otherwise than when the earlier plan was made.

use crate::demand::Demand;
use crate::geometry::Outline;
use crate::plan::Plan;
use crate::units::{Length, few};
use std::collections::{BTreeMap, BTreeSet};

/// Names of items told at most in a sentence.
const TOLD: usize = 12;

/// For each item: its pieces by name, with size or outline, and how many.
type Wants<'a> = BTreeMap<&'a str, BTreeMap<(&'a str, Form<'a>), u64>>;
/// Thickness, and the size of a rectangle or the outline.
type Form<'a> = (Length, Option<(Length, Length)>, Option<&'a Outline>);

/// A sentence for each kind of change: items that are new, dropped, or want other pieces.
#[must_use]
pub fn differences(plan: &Plan, demand: &Demand) -> Vec<String> {
    let then = then(plan, demand);
    let mut now: Wants<'_> = BTreeMap::new();
    for piece in demand.pieces.iter().filter(|p| p.quantity > 0) {
        let size = piece.outline.is_none().then_some((piece.width, piece.length));
        let form = (piece.thickness, size, piece.outline.as_ref());
        let wants = now.entry(piece.item.as_str()).or_default();
        *wants.entry((piece.id.as_str(), form)).or_default() += piece.quantity;
    }
    let items: BTreeSet<&str> = then.keys().chain(now.keys()).copied().collect();
    let mut lists: [(&str, Vec<&str>); 3] = [
        ("new in the takeoff", Vec::new()),
        ("no longer in the takeoff", Vec::new()),
        ("with other pieces than before", Vec::new()),
    ];
    for item in items {
        match (then.get(item), now.get(item)) {
            (None, Some(_)) => lists[0].1.push(item),
            (Some(_), None) => lists[1].1.push(item),
            (Some(a), Some(b)) if a != b => lists[2].1.push(item),
            _ => {}
        }
    }
    let filled = lists.into_iter().filter(|(_, items)| !items.is_empty());
    filled.map(|(what, items)| format!("items {what}: {}", few(&items, TOLD))).collect()
}

/// What the earlier plan was to make, with what was in hand before it.
fn then<'a>(plan: &'a Plan, demand: &'a Demand) -> Wants<'a> {
    let mut then: Wants<'_> = BTreeMap::new();
    let mut add = |item: &'a str, id: &'a str, form: Form<'a>, quantity: u64| {
        *then.entry(item).or_default().entry((id, form)).or_default() += quantity;
    };
    for piece in &plan.pieces {
        let Some(thickness) = plan.nests.get(piece.nest).and_then(|n| n.thickness) else {
            continue;
        };
        let size = piece.outline.is_none().then_some((piece.width, piece.length));
        for used in &piece.uses {
            let form = (thickness, size, piece.outline.as_ref());
            add(&used.item, &used.id, form, used.quantity);
        }
    }
    let items: BTreeMap<&str, &str> =
        demand.pieces.iter().map(|p| (p.id.as_str(), p.item.as_str())).collect();
    for hand in plan.already.iter().flat_map(|a| &a.pieces).filter(|h| !h.id.is_empty()) {
        // The item stands in front of the layer in a piece's name.
        let item = items.get(hand.id.as_str()).copied();
        let item = item.or_else(|| hand.id.rsplitn(3, '/').nth(2)).unwrap_or(&hand.id);
        let size = hand.outline.is_none().then_some((hand.width, hand.length));
        add(item, &hand.id, (hand.thickness, size, hand.outline.as_ref()), hand.quantity);
    }
    then
}
