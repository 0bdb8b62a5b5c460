//! The order of cutting as a table, and kits and labels as tables for other programs.

use super::sources::Sources;
use super::table::{Cell, Table};
use super::ticket::{self, KitList, Label, Work};
use crate::demand::Demand;
use crate::plan::groups::Groups;
use crate::plan::{Piece, Plan, Step};
use std::collections::{BTreeMap, BTreeSet};

/// Kits open while each pull is cut, in the order of cutting, those that earlier plans of the job began from the first
/// pull on.
#[must_use]
pub fn open_kits(plan: &Plan, demand: &Demand) -> Vec<u64> {
    let mut spans = plan.kit_spans();
    for item in plan.already.iter().flat_map(|already| already.begun(demand)) {
        spans.entry(item).and_modify(|span| span.first = 1);
    }
    // How many begin with each pull, and end before it.
    let mut changes: BTreeMap<u64, (u64, u64)> = BTreeMap::new();
    for span in spans.values() {
        changes.entry(span.first).or_default().0 += 1;
        changes.entry(span.last + 1).or_default().1 += 1;
    }
    let mut open = 0;
    let steps = plan.sequence.iter().flat_map(|sequence| &sequence.steps);
    let open_at = |(_, time): (&Step, u64)| {
        let (begin, ended) = changes.get(&time).copied().unwrap_or_default();
        open = open + begin - ended;
        open
    };
    steps.zip(1..).map(open_at).collect()
}

/// For each step the items that it yields pieces for.
fn served(plan: &Plan) -> Vec<BTreeSet<&str>> {
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let steps = plan.sequence.iter().flat_map(|s| &s.steps);
    steps
        .map(|step| {
            let pull = plan.rolls.get(step.roll).and_then(|roll| roll.pulls.get(step.pull));
            let places = pull.map_or(&[][..], |pull| &pull.placements);
            let items = places.iter().zip(&step.uses).filter_map(|(place, used)| {
                let piece = pieces.get(place.piece.as_str())?;
                Some(piece.uses.get((*used)?)?.item.as_str())
            });
            items.collect()
        })
        .collect()
}

/// One row a pull, in the order of cutting.
#[must_use]
pub fn sequence(plan: &Plan, groups: &Groups<'_>, sources: &Sources<'_>) -> Table {
    let mut table = Table::new(&[
        "pull",
        "ticket",
        "roll",
        "thickness mm",
        "release",
        "from mm",
        "to mm",
        "pieces",
        "kits served",
        "kits open",
        "roll changed",
        "knives set",
        "straight cuts m",
        "outline cuts m",
        "done after s",
        "layout",
        "pull of layout",
        "drawing",
    ]);
    let served = served(plan);
    let open = open_kits(plan, sources.demand);
    let works = ticket::works(plan, sources);
    let tickets = plan.tickets();
    let drawings = groups.drawings(plan);
    let mut all = Work::default();
    let steps = plan.sequence.iter().flat_map(|s| &s.steps);
    for (time, step) in steps.enumerate() {
        let number = tickets.get(&(step.roll, step.copy)).copied().unwrap_or_default();
        let Some(roll) = plan.rolls.get(step.roll) else { continue };
        let Some(pull) = roll.pulls.get(step.pull) else { continue };
        let work = works.get(time).copied().unwrap_or_default();
        all.add(&work);
        let release = served[time].iter().filter_map(|i| sources.item(i)).map(|i| i.release).min();
        let thickness = plan.thickness_of(roll);
        table.push(vec![
            Cell::Count(time as u64 + 1),
            Cell::text(plan.ticket_name(number)),
            Cell::text(&roll.roll),
            thickness.map_or(Cell::Empty, Cell::Millimetres),
            release.map_or(Cell::Empty, |r| Cell::Count(r.into())),
            Cell::Millimetres(pull.y),
            Cell::Millimetres(pull.y + pull.length),
            Cell::Count(work.pieces),
            Cell::Count(served[time].len() as u64),
            Cell::Count(open[time]),
            Cell::Count(work.roll_changes),
            Cell::Count(work.setups),
            Cell::Number(work.straight.metres(3)),
            Cell::Number(work.outline.metres(3)),
            Cell::Count(all.seconds()),
            Cell::Count(step.roll as u64 + 1),
            Cell::Count(step.pull as u64 + 1),
            Cell::Count(drawings.get(time).copied().unwrap_or_default()),
        ]);
    }
    table
}

/// The kits, a row for each of their like pieces, inner layer first.
#[must_use]
pub fn kits(lists: &[KitList]) -> Table {
    let mut table = Table::new(&[
        "kit",
        "release",
        "area",
        "line",
        "item",
        "layer",
        "part",
        "piece",
        "thickness",
        "width mm",
        "length mm",
        "quantity",
        "seam",
        "tickets",
        "begun with pull",
        "whole with pull",
    ]);
    for list in lists {
        for line in &list.lines {
            table.push(vec![
                Cell::Count(list.number),
                Cell::Count(list.release.into()),
                Cell::text(&list.area),
                Cell::text(&list.line),
                Cell::text(&list.item),
                Cell::Count(line.layer.into()),
                Cell::text(&line.part),
                Cell::text(&line.code),
                Cell::text(&line.thickness),
                Cell::Millimetres(line.width),
                Cell::Millimetres(line.length),
                Cell::Count(line.count),
                Cell::text(&line.seam),
                Cell::text(list.tickets(line).join(" ")),
                Cell::Count(list.begun),
                Cell::Count(list.whole),
            ]);
        }
    }
    table
}

/// The labels: what the code on each holds, and what it stands for.
#[must_use]
pub fn labels<'l>(labels: impl Iterator<Item = &'l Label>) -> Table {
    let mut table = Table::new(&[
        "identity",
        "piece",
        "thickness",
        "width mm",
        "length mm",
        "item",
        "part",
        "kit",
        "ticket",
        "pull",
        "drawing",
    ]);
    for label in labels {
        table.push(vec![
            Cell::text(&label.identity),
            Cell::text(&label.code),
            Cell::text(&label.thickness),
            Cell::Millimetres(label.width),
            Cell::Millimetres(label.length),
            Cell::text(&label.item),
            Cell::text(&label.part),
            label.kit.map_or(Cell::Empty, Cell::Count),
            Cell::text(&label.ticket),
            if label.pull > 0 { Cell::Count(label.pull) } else { Cell::Empty },
            label.drawing.map_or(Cell::Empty, Cell::Count),
        ]);
    }
    table
}
