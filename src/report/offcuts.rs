//! What is left and goes on the shelf.

use super::table::{Cell, Table};
use crate::plan::Plan;

/// The kept offcuts as a table in the form of `offcuts.csv` as an input, so that it can be put
/// beside the next job as it is; where they lie is for the shop to fill in. Names carry the layout's
/// number and, within it, the offcut's.
#[must_use]
pub fn offcuts(plan: &Plan) -> Table {
    let mut table = Table::new(&["offcut", "thickness", "width", "length", "quantity", "place"]);
    for (at, roll) in plan.rolls.iter().enumerate() {
        let thickness = plan.nests.get(roll.nest).and_then(|nest| nest.thickness);
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
    table
}
