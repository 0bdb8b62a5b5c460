//! Every cut in cutting order: layout by layout, pull by pull.

use super::table::{Cell, Table};
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
/// like it; x runs across the roll and y along it from its front, before the square cut.
#[must_use]
pub fn cuts(plan: &Plan, square_cut: Length) -> Table {
    let mut table = Table::new(&[
        "layout",
        "roll",
        "rolls",
        "pull",
        "step",
        "cut",
        "from x mm",
        "from y mm",
        "to x mm",
        "to y mm",
        "pull length mm",
    ]);
    for (at, roll) in plan.rolls.iter().enumerate() {
        let head = |pull: Cell, step: u64| {
            vec![
                Cell::Count(at as u64 + 1),
                Cell::text(&roll.roll),
                Cell::Count(roll.copies),
                pull,
                Cell::Count(step),
            ]
        };
        if square_cut.is_positive() {
            let mut row = head(Cell::Count(0), 1);
            row.push(Cell::text("square cut"));
            row.extend([Length::ZERO, square_cut, roll.width, square_cut].map(Cell::Millimetres));
            row.push(Cell::Empty);
            table.push(row);
        }
        for (number, pull) in roll.pulls.iter().enumerate() {
            for (step, cut) in pull.cuts.iter().enumerate() {
                let mut row = head(Cell::Count(number as u64 + 1), step as u64 + 1);
                row.push(Cell::text(cut_in_words(cut.kind)));
                row.extend([cut.from.x, cut.from.y, cut.to.x, cut.to.y].map(Cell::Millimetres));
                row.push(Cell::Millimetres(pull.length));
                table.push(row);
            }
        }
    }
    table
}
