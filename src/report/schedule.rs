//! The wrapping schedule: item by item and layer by layer, which pieces go on in which order.

use super::joints::seams_in_words;
use super::sources::Sources;
use super::table::{Cell, Table};
use crate::plan::Plan;
use std::collections::BTreeMap;

/// One row a step, in the order in which the site wants the items, else in the takeoff's; pieces
/// by the code that is written on them.
#[must_use]
pub fn schedule(plan: &Plan, sources: &Sources<'_>) -> Table {
    let codes: BTreeMap<&str, &str> = plan
        .pieces
        .iter()
        .flat_map(|piece| piece.uses.iter().map(|used| (used.id.as_str(), piece.piece.as_str())))
        .collect();
    let parts: BTreeMap<&str, &str> =
        sources.demand.pieces.iter().map(|p| (p.id.as_str(), p.part.as_str())).collect();
    let release = |item: &str| sources.item(item).map_or(u32::MAX, |item| item.release);
    let mut steps: Vec<_> = sources.demand.schedule.iter().collect();
    steps.sort_by_key(|step| release(&step.item));
    let mut table = Table::new(&[
        "release",
        "area",
        "line",
        "item",
        "run",
        "layer",
        "step",
        "piece",
        "part",
        "pieces",
        "from mm",
        "seams deg",
        "ties each",
        "note",
    ]);
    let mut before = ("", 0, 0);
    let mut number = 0;
    for step in steps {
        let layer = (step.item.as_str(), step.run, step.layer);
        number = if layer == before { number + 1 } else { 1 };
        before = layer;
        let item = sources.item(&step.item);
        let named = |list: &BTreeMap<&str, &str>| {
            list.get(step.piece.as_str()).map_or(Cell::Empty, |&word| Cell::text(word))
        };
        table.push(vec![
            item.map_or(Cell::Empty, |i| Cell::Count(i.release.into())),
            item.map_or(Cell::Empty, |i| Cell::text(&i.area)),
            item.map_or(Cell::Empty, |i| Cell::text(&i.line)),
            Cell::text(&step.item),
            Cell::Count(step.run.into()),
            Cell::Count(step.layer.into()),
            Cell::Count(number),
            named(&codes),
            named(&parts),
            Cell::Count(step.count),
            Cell::Millimetres(step.at),
            Cell::text(seams_in_words(&step.seams)),
            Cell::Count(step.ties.into()),
            Cell::text(&step.note),
        ]);
    }
    table
}
