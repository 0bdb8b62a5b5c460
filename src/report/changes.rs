//! What changed since the plan that this one goes on from.

use crate::plan::wanted::Keep;
use crate::plan::{Earlier, Ordered, Plan, SparesOrdered};
use crate::units::{counted, few};
use std::collections::BTreeMap;

/// Items named at most that are made as an earlier plan chose.
const NAMED: usize = 12;

/// A sentence for each change, by what is worth keeping; none where the plan goes on from no other.
#[must_use]
pub fn changes(plan: &Plan, keep: Keep) -> Vec<String> {
    let Some(already) = &plan.already else { return Vec::new() };
    let mut lines = already.told.clone();
    lines.extend(kept(&already.chosen));
    let mut unwanted: BTreeMap<&str, u64> = BTreeMap::new();
    for hand in already.pieces.iter().filter(|hand| hand.id.is_empty()) {
        *unwanted.entry(hand.piece.as_str()).or_default() += hand.quantity;
    }
    for (piece, count) in unwanted {
        lines.push(format!("cut already and wanted no more: {count} of {piece}"));
    }
    for stock in &already.stock {
        // Beyond these like offcuts of the shelf may be cut.
        let left = plan.left_of(stock);
        let used = stock.quantity - left;
        let size = format!("{} x {} mm", stock.width.told(), stock.length.told());
        let small = if left > 0 && !stock.is_kept(keep) { ", too small to keep" } else { "" };
        lines.push(format!(
            "on hand: {} of {} ({size}); {used} used, {left} left{small}",
            stock.quantity, stock.name
        ));
    }
    lines.extend(already.spares.iter().map(|spares| spares_in_words(plan, *spares)));
    let bought: u64 = plan.order.iter().map(Ordered::count).sum();
    lines.push(format!("rolls to buy beyond those on hand: {bought}"));
    lines
}

/// Which items are made as an earlier plan chose.
fn kept(chosen: &Earlier) -> Option<String> {
    let names: Vec<&str> = chosen.named().into_iter().collect();
    let items = counted(names.len() as u64, "item", "items");
    let words = format!("made as the plan before chose: {items} ({})", few(&names, NAMED));
    (!names.is_empty()).then_some(words)
}

/// What became of the spares that were ordered before.
fn spares_in_words(plan: &Plan, spares: SparesOrdered) -> String {
    let SparesOrdered { thickness, count } = spares;
    let stock = plan.already.iter().flat_map(|already| &already.stock);
    let whole = stock.filter(|stock| stock.of.is_some() && stock.thickness == thickness);
    let left: u64 = whole.map(|stock| plan.left_of(stock)).sum();
    let of = |name: &str| plan.thickness_of(plan.bought(name)?);
    let again = plan.order.iter().filter(|line| of(&line.roll) == Some(thickness));
    let again: u64 = again.map(|line| line.spare).sum();
    let mut words = format!(
        "spare rolls of {thickness} mm: {count} ordered before, {again} more now; of the rolls on hand this \
         plan leaves {left} whole"
    );
    if left + again < count {
        words.push_str(
            " (spares are ordered once; where a reserve is still wanted, order it by hand, or raise [order] \
             spare_rolls, which counts where rolls of that thickness are bought)",
        );
    }
    words
}
