//! Where the area of the rolls goes, one table a thickness.

use super::table::summed;
use crate::plan::{Nest, Plan};
use crate::report::proof::thickness_in_words;
use crate::report::sources::Sources;
use crate::report::table::{Cell, Table};
use crate::report::waste::{parts_in_steps, per_cent};
use maud::{Markup, html};

/// The parts of a thickness, all of it last.
fn of_nest(nest: &Nest, step: i128) -> Table {
    let mut table = Table::new(&["what", "m2", "% of the rolls"]);
    let (all, parts) = parts_in_steps(&nest.areas, step);
    for (what, area, shown) in parts {
        table.push(vec![
            Cell::text(what),
            Cell::SquareMetres(shown),
            Cell::Number(per_cent(area, nest.areas.rolls)),
        ]);
    }
    table.push(vec![
        Cell::text("all rolls"),
        Cell::SquareMetres(all),
        Cell::Number("100.00".to_owned()),
    ]);
    table
}

/// One table a thickness, and how long its cuts are.
pub fn waste(plan: &Plan, sources: &Sources<'_>) -> Markup {
    let (measured, telling) = (sources.measured(plan), &sources.telling);
    let square_cut = sources.rules.table.square_cut;
    html! {
        div.sheet {
            @for (at, nest) in plan.nests.iter().enumerate() {
                figure {
                    figcaption { b { (thickness_in_words(nest)) } }
                    (summed(telling.table(of_nest(nest, telling.area_step()))))
                    p { (telling.text(&format!(
                        "Length of all cuts: {}, square cuts and outlines among them; a cut that two pieces share \
                         counts once.",
                        sources.measure.way(measured.of_nest(at, square_cut), 0)
                    ))) }
                }
            }
        }
    }
}
