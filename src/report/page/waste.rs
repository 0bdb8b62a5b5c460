//! Where the area of the rolls goes, one table a thickness.

use super::table::summed;
use crate::plan::{Lengths, Nest, Plan};
use crate::report::proof::thickness_in_words;
use crate::report::table::{Cell, Table};
use crate::report::telling::Telling;
use crate::report::waste::{parts, per_cent};
use crate::units::Length;
use maud::{Markup, html};

/// The parts of a thickness, all of it last.
fn of_nest(nest: &Nest) -> Table {
    let mut table = Table::new(&["what", "m2", "% of the rolls"]);
    for (what, area) in parts(&nest.areas) {
        table.push(vec![
            Cell::text(what),
            Cell::SquareMetres(area),
            Cell::Number(per_cent(area, nest.areas.rolls)),
        ]);
    }
    table.push(vec![
        Cell::text("all rolls"),
        Cell::SquareMetres(nest.areas.rolls),
        Cell::Number("100.00".to_owned()),
    ]);
    table
}

/// One table a thickness, and how long its cuts are.
pub fn waste(plan: &Plan, square_cut: Length, telling: &Telling) -> Markup {
    let lengths = Lengths::of(plan);
    let cuts = |at: usize| -> Length {
        let rolls = plan.rolls.iter().filter(|roll| roll.nest == at);
        rolls.map(|roll| lengths.of_roll(roll, square_cut).all()).sum()
    };
    html! {
        div.sheet {
            @for (at, nest) in plan.nests.iter().enumerate() {
                figure {
                    figcaption { b { (thickness_in_words(nest)) } }
                    (summed(telling.table(of_nest(nest))))
                    p { (telling.text(&format!(
                        "Length of all cuts: {} m, square cuts and outlines among them; a cut that two pieces share \
                         counts once.",
                        cuts(at).metres(0)
                    ))) }
                }
            }
        }
    }
}
