//! Every cut in cutting order: layout by layout, pull by pull.

use super::table::{Cell, Table};
use crate::geometry::Point;
use crate::plan::{CutKind, Piece, Plan, Pull};
use crate::units::Length;
use std::collections::BTreeMap;

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

/// A pull's cuts in cutting order. The edges of an outline are one step, at its box, from the
/// corner nearest the roll's front and left edge to the opposite one; outlines come last, as they
/// are cut from what straight cuts have freed.
fn steps<'a>(pull: &'a Pull, pieces: &BTreeMap<&str, &Piece>) -> Vec<Step<'a>> {
    let straight = pull.cuts.iter().filter(|cut| cut.kind != CutKind::Outline);
    let mut steps: Vec<Step<'_>> = straight
        .map(|cut| Step { kind: cut.kind, from: cut.from, to: cut.to, piece: None })
        .collect();
    for placement in &pull.placements {
        let Some(piece) = pieces.get(placement.piece.as_str()) else { continue };
        let Some(outline) = &piece.outline else { continue };
        let (width, length) = match placement.turn.quarter_turns() {
            Some(quarters) => outline.quarter_turned(quarters).size(),
            None => (piece.width, piece.length),
        };
        steps.push(Step {
            kind: CutKind::Outline,
            from: Point::new(placement.x, placement.y),
            to: Point::new(placement.x + width, placement.y + length),
            piece: Some(&placement.piece),
        });
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
    let pieces = plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
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
            for (step, cut) in steps(pull, &pieces).iter().enumerate() {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;

    #[test]
    fn every_straight_cut_and_every_outline_has_a_row() {
        let plan = sample::plan(24, 3);
        let pulls = || plan.rolls.iter().flat_map(|roll| &roll.pulls);
        let curved: Vec<&str> =
            plan.pieces.iter().filter(|p| p.outline.is_some()).map(|p| p.piece.as_str()).collect();
        let outlines =
            pulls().flat_map(|p| &p.placements).filter(|p| curved.contains(&p.piece.as_str()));
        let straight = pulls().flat_map(|p| &p.cuts).filter(|c| c.kind != CutKind::Outline);
        let expected = plan.rolls.len() + straight.count() + outlines.count();
        let table = cuts(&plan, Length::from_mm(50));
        assert!(!curved.is_empty());
        assert_eq!(table.rows.len(), expected);
    }
}
