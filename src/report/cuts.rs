//! Every cut in cutting order: layout by layout, pull by pull.

use super::table::{Cell, Table};
use crate::plan::groups::Groups;
use crate::plan::{CutKind, Plan};
use crate::units::Length;

/// What a cut is called on the sheet.
#[must_use]
pub const fn cut_in_words(kind: CutKind) -> &'static str {
    match kind {
        CutKind::Cross => "cross-cut",
        CutKind::Rip => "rip",
        CutKind::Trim => "trim",
        CutKind::Outline => "outline",
    }
}

/// The cuts as a table. `layout` counts the plan's rolls from 1; `rolls` says how many are cut
/// like it; x runs across the roll and y along it from its front, before the square cut. An outline
/// is one row with its box. `pull of layout` counts within the layout; `drawing` is the number under which
/// the pull is drawn, and `tickets` are those of the rolls cut like this.
#[must_use]
pub fn cuts(plan: &Plan, groups: &Groups<'_>, square_cut: Length) -> Table {
    let mut table = Table::new(&[
        "layout",
        "roll",
        "rolls",
        "pull of layout",
        "step",
        "cut",
        "from x mm",
        "from y mm",
        "to x mm",
        "to y mm",
        "pull length mm",
        "piece",
        "drawing",
        "tickets",
    ]);
    let tickets = plan.tickets_by_layout();
    for (at, roll) in plan.rolls.iter().enumerate() {
        let on = tickets.get(&at).map(|numbers| plan.ticket_names(numbers)).unwrap_or_default();
        let head = |pull: Cell, step: u64| {
            vec![
                Cell::Count(at as u64 + 1),
                Cell::text(&roll.roll),
                Cell::Count(roll.copies),
                pull,
                Cell::Count(step),
            ]
        };
        let square_cut = roll.square_cut(square_cut);
        if square_cut.is_positive() {
            let mut row = head(Cell::Count(0), 1);
            row.push(Cell::text("square cut"));
            row.extend([Length::ZERO, square_cut, roll.width, square_cut].map(Cell::Millimetres));
            row.extend([Cell::Empty, Cell::Empty, Cell::Empty, Cell::text(&on)]);
            table.push(row);
        }
        for (number, pull) in roll.pulls.iter().enumerate() {
            for (step, cut) in pull.cuts.iter().enumerate() {
                let mut row = head(Cell::Count(number as u64 + 1), step as u64 + 1);
                row.push(Cell::text(cut_in_words(cut.kind)));
                row.extend([cut.from.x, cut.from.y, cut.to.x, cut.to.y].map(Cell::Millimetres));
                row.push(Cell::Millimetres(pull.length));
                row.push(cut.piece.as_deref().map_or(Cell::Empty, Cell::text));
                row.push(
                    groups.of_layout[at]
                        .get(number)
                        .map_or(Cell::Empty, |g| Cell::Count(*g as u64 + 1)),
                );
                row.push(Cell::text(&on));
                table.push(row);
            }
        }
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::sample;

    #[test]
    fn every_straight_cut_and_every_outline_has_a_row() {
        let plan = sample::plan(24, 3);
        let pulls = || plan.rolls.iter().flat_map(|roll| &roll.pulls);
        let curved: Vec<&str> =
            plan.pieces.iter().filter(|p| p.outline.is_some()).map(|p| p.piece.as_str()).collect();
        let outlines =
            pulls().flat_map(|p| &p.placements).filter(|p| curved.contains(&p.piece.as_str()));
        let straight = pulls().flat_map(|p| &p.cuts).filter(|c| c.kind != CutKind::Outline);
        let (outlines, straight) = (outlines.count(), straight.count());
        let table = cuts(&plan, &Groups::of(&plan), Length::from_mm(50));
        let named = table.rows.iter().filter(|row| matches!(row[11], Cell::Text(_))).count();
        assert!(!curved.is_empty());
        assert_eq!(named, outlines);
        assert_eq!(table.rows.len(), plan.rolls.len() + straight + outlines);
    }
}
