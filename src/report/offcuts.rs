//! What is left and goes on the shelf.

use super::sources::Sources;
use super::table::{Cell, Table};
use crate::plan::groups::Groups;
use crate::plan::set_out::SetOut;
use crate::plan::wanted::Keep;
use crate::plan::{OnHand, Plan, Roll};
use crate::stock::Offcut;
use crate::table::LONGEST_NAME;
use crate::units::Length;
use std::collections::BTreeSet;

/// All that is left after a plan as a table in the form of `offcuts.csv` as an input, so that it can be put
/// beside the next job as it is: kept offcuts, whose names carry the layout's number and, within it, the
/// offcut's, and whose place is for the shop to fill in; what lay on the shelf or was on hand and is not cut;
/// whole rolls that are bought and not begun. What is new takes no name that stands for something else, such as
/// for what an earlier job left. Kept offcuts are as large as the tickets leave them.
#[must_use]
pub fn offcuts(plan: &Plan, groups: &Groups<'_>, sources: &Sources<'_>) -> Table {
    let set_out = SetOut::of(plan, groups, sources.rules, sources.measure);
    let mut table = Table::new(&["offcut", "thickness", "width", "length", "quantity", "place"]);
    let mut names = Names::of(plan, sources);
    let kept = names.kept(plan);
    for (layout, (roll, kept)) in plan.rolls.iter().zip(kept).enumerate() {
        let thickness = plan.thickness_of(roll);
        for (left, name) in roll.offcuts.iter().filter(|o| o.keep).zip(kept) {
            let left = set_out.left(layout, roll, left);
            table.push(vec![
                Cell::Text(name),
                thickness.map_or(Cell::Empty, Cell::Millimetres),
                Cell::Millimetres(left.width),
                Cell::Millimetres(left.length),
                Cell::Count(roll.copies),
                Cell::Empty,
            ]);
        }
    }
    let left = plan.left_over();
    // What was on hand before the plan keeps its name; all else that is left is bought with it.
    let on_hand = |name: &str| -> u64 {
        let stock = plan.already.iter().flat_map(|already| &already.stock);
        stock.filter(|stock| stock.name == name).map(|stock| plan.left_of(stock)).sum()
    };
    let keep = Keep::from(&sources.rules.offcuts);
    for OnHand { name, thickness, width, length, quantity, place, of, .. } in
        left.iter().filter(|stock| stock.is_kept(keep))
    {
        let place = match of {
            Some(_) => "whole roll, not begun",
            None => sources.shelf(name).unwrap_or(place),
        };
        let size = [*thickness, *width, *length];
        if on_hand(name) > 0 {
            table.push(row((name, place), size, *quantity));
            continue;
        }
        let mut number = 0;
        let name = short(name);
        let numbered = |number: usize| match number {
            1 => name.to_owned(),
            number => format!("{name} {number}"),
        };
        table.push(row((&names.free(&mut number, numbered), place), size, *quantity));
    }
    // What of the shelf is neither cut nor told above lies where it lay.
    for Offcut { id, thickness, width, length, quantity, shelf, .. } in sources.offcuts {
        let quantity = quantity.saturating_sub(plan.copies_of(id)).saturating_sub(on_hand(id));
        if quantity > 0 {
            table.push(row((id, shelf), [*thickness, *width, *length], quantity));
        }
    }
    table
}

/// What is kept of every layout, by the names that it has in the table.
#[must_use]
pub fn names(plan: &Plan, sources: &Sources<'_>) -> Vec<Vec<String>> {
    Names::of(plan, sources).kept(plan)
}

/// Names that stand for something: on the shelf, on hand, on offer, cut, or in the list.
struct Names(BTreeSet<String>);

impl Names {
    fn of(plan: &Plan, sources: &Sources<'_>) -> Self {
        let hand = plan.already.iter().flat_map(|already| &already.stock);
        let names = hand.map(|stock| &stock.name).chain(sources.rolls.iter().map(|roll| &roll.id));
        let names = names.chain(sources.offcuts.iter().map(|offcut| &offcut.id));
        Self(names.chain(plan.rolls.iter().map(|roll| &roll.roll)).cloned().collect())
    }

    /// Names for what is kept of every layout.
    fn kept(&mut self, plan: &Plan) -> Vec<Vec<String>> {
        let mut of = |(at, roll): (usize, &Roll)| {
            let root = short(root(&roll.roll));
            let mut number = 0;
            let kept = roll.offcuts.iter().filter(|o| o.keep);
            kept.map(|_| self.free(&mut number, |number| format!("{root}-L{}-{number}", at + 1)))
                .collect()
        };
        plan.rolls.iter().enumerate().map(&mut of).collect()
    }

    /// The first name with a number above this one that stands for nothing yet.
    fn free(&mut self, number: &mut usize, name: impl Fn(usize) -> String) -> String {
        loop {
            *number += 1;
            let name = name(*number);
            if self.0.insert(name.clone()) {
                return name;
            }
        }
    }
}

/// The product or offcut from which something was cut first: `R` of `R-L3-1`, so that names of what is left of
/// what was left do not grow.
fn root(name: &str) -> &str {
    let digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let mut root = name;
    while let Some((before, last)) = root.rsplit_once('-')
        && let Some((first, layout)) = before.rsplit_once("-L")
        && digits(last)
        && digits(layout)
        && !first.is_empty()
    {
        root = first;
    }
    root
}

/// As much of a name as leaves room for what is written behind it: a job's list takes it so.
fn short(name: &str) -> &str {
    let most = LONGEST_NAME - BEHIND;
    name.char_indices().nth(most).map_or(name, |(end, _)| name[..end].trim_end())
}

/// Letters for layout and number: `-L1234-567`, and some to spare.
const BEHIND: usize = 14;

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

#[cfg(test)]
mod tests {
    use super::{Names, root, short};

    #[test]
    fn long_names_leave_room_for_numbers() {
        let long = "Ü".repeat(60);
        assert_eq!(short(&long).chars().count(), 46);
        assert_eq!(short(&format!("{} b", "a".repeat(45))), "a".repeat(45));
        assert_eq!(short("R"), "R");
    }

    #[test]
    fn names_go_back_to_what_was_cut_first() {
        assert_eq!(["R-L3-1", "R-L3-1-L12-2", "H-60-L1-1"].map(root), ["R", "R", "H-60"]);
        assert_eq!(
            ["shelf-07", "R-L3", "-L3-1", "R-Lx-1"].map(root),
            ["shelf-07", "R-L3", "-L3-1", "R-Lx-1"]
        );
    }

    #[test]
    fn a_name_that_something_bears_already_is_passed_over() {
        let mut names = Names(["R-L1-1".to_owned()].into());
        let mut number = 0;
        let free = [(); 2].map(|()| names.free(&mut number, |number| format!("R-L1-{number}")));
        assert_eq!(free, ["R-L1-2", "R-L1-3"]);
    }
}
