//! What is left and goes on the shelf.

use super::sources::Sources;
use super::table::{Cell, Table};
use crate::plan::wanted::Keep;
use crate::plan::{OnHand, Plan};
use crate::stock::Offcut;
use crate::units::Length;

/// All that is left after a plan as a table in the form of `offcuts.csv` as an input, so that it can be put
/// beside the next job as it is: kept offcuts, whose names carry the layout's number and, within it, the
/// offcut's, and whose place is for the shop to fill in; what lay on the shelf or was on hand and is not cut;
/// whole rolls that are bought and not begun.
#[must_use]
pub fn offcuts(plan: &Plan, sources: &Sources<'_>) -> Table {
    let mut table = Table::new(&["offcut", "thickness", "width", "length", "quantity", "place"]);
    for (at, roll) in plan.rolls.iter().enumerate() {
        let thickness = plan.thickness_of(roll);
        for (number, left) in roll.offcuts.iter().filter(|o| o.keep).enumerate() {
            table.push(vec![
                Cell::text(format!("{}-L{}-{}", roll.roll, at + 1, number + 1)),
                thickness.map_or(Cell::Empty, Cell::Millimetres),
                Cell::Millimetres(left.width),
                Cell::Millimetres(left.length),
                Cell::Count(roll.copies),
                Cell::Empty,
            ]);
        }
    }
    let left = plan.left_over();
    let keep = Keep::from(&sources.rules.offcuts);
    let worth = |stock: &&OnHand| stock.of.is_some() || keep.worth(stock.width, stock.length);
    for OnHand { name, thickness, width, length, quantity, place, of } in left.iter().filter(worth)
    {
        let place = match of {
            Some(_) => "whole roll, not begun",
            None => sources.shelf(name).unwrap_or(place),
        };
        table.push(row((name, place), [*thickness, *width, *length], *quantity));
    }
    // What of the shelf is neither cut nor told above lies where it lay.
    for Offcut { id, thickness, width, length, quantity, shelf, .. } in sources.offcuts {
        let told: u64 = left.iter().filter(|stock| stock.name == *id).map(|s| s.quantity).sum();
        let quantity = quantity.saturating_sub(plan.copies_of(id)).saturating_sub(told);
        if quantity > 0 {
            table.push(row((id, shelf), [*thickness, *width, *length], quantity));
        }
    }
    table
}

fn row(
    (name, place): (&str, &str),
    [thickness, width, length]: [Length; 3],
    quantity: u64,
) -> Vec<Cell> {
    vec![
        Cell::text(name),
        Cell::Millimetres(thickness),
        Cell::Millimetres(width),
        Cell::Millimetres(length),
        Cell::Count(quantity),
        if place.is_empty() { Cell::Empty } else { Cell::text(place) },
    ]
}
