//! Every cut in cutting order: layout by layout, pull by pull.

use super::table::{Cell, Table};
use crate::geometry::Point;
use crate::plan::{CutKind, Placement, Plan, Pull};
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

/// A step of the cutter's: one straight cut, or a piece's whole outline.
struct Step<'a> {
    kind: CutKind,
    from: Point,
    to: Point,
    /// The piece whose outline it is.
    piece: Option<&'a str>,
}

/// A pull's cuts in cutting order, the edges of an outline put together as one step: its box, from
/// the corner nearest the roll's front and left edge to the opposite one.
fn steps(pull: &Pull) -> Vec<Step<'_>> {
    let mut steps: Vec<Step<'_>> = Vec::new();
    let mut end: Option<Point> = None;
    for cut in &pull.cuts {
        let low = Point::new(cut.from.x.min(cut.to.x), cut.from.y.min(cut.to.y));
        let high = Point::new(cut.from.x.max(cut.to.x), cut.from.y.max(cut.to.y));
        match steps.last_mut() {
            Some(last)
                if cut.kind == CutKind::Outline
                    && last.kind == CutKind::Outline
                    && end == Some(cut.from) =>
            {
                last.from = Point::new(last.from.x.min(low.x), last.from.y.min(low.y));
                last.to = Point::new(last.to.x.max(high.x), last.to.y.max(high.y));
            }
            _ if cut.kind == CutKind::Outline => {
                steps.push(Step { kind: cut.kind, from: low, to: high, piece: None });
            }
            _ => steps.push(Step { kind: cut.kind, from: cut.from, to: cut.to, piece: None }),
        }
        end = Some(cut.to);
    }
    for step in steps.iter_mut().filter(|step| step.kind == CutKind::Outline) {
        let at = |p: &&Placement| (p.x, p.y) == (step.from.x, step.from.y);
        step.piece = pull.placements.iter().find(at).map(|p| p.piece.as_str());
    }
    steps
}

/// The cuts as a table. `layout` counts the plan's rolls from 1; `rolls` says how many are cut
/// like it; x runs across the roll and y along it from its front, before the square cut. An outline
/// is one row with its box.
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
        "piece",
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
            row.extend([Cell::Empty, Cell::Empty]);
            table.push(row);
        }
        for (number, pull) in roll.pulls.iter().enumerate() {
            for (step, cut) in steps(pull).iter().enumerate() {
                let mut row = head(Cell::Count(number as u64 + 1), step as u64 + 1);
                row.push(Cell::text(cut_in_words(cut.kind)));
                row.extend([cut.from.x, cut.from.y, cut.to.x, cut.to.y].map(Cell::Millimetres));
                row.push(Cell::Millimetres(pull.length));
                row.push(cut.piece.map_or(Cell::Empty, Cell::text));
                table.push(row);
            }
        }
    }
    table
}
