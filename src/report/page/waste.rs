//! Where the area of the rolls goes, one table a thickness.

use super::table::table;
use crate::plan::{Nest, Plan};
use crate::report::proof::thickness_in_words;
use crate::report::table::{Cell, Table};
use crate::report::waste::{parts, per_cent};
use maud::{Markup, html};

fn of_nest(nest: &Nest) -> Table {
    let mut table = Table::new(&["what", "m2", "% of the rolls"]);
    for (what, area) in parts(&nest.areas) {
        table.push(vec![
            Cell::text(what),
            Cell::SquareMetres(area),
            Cell::Number(per_cent(area, nest.areas.rolls)),
        ]);
    }
    table
}

/// One table a thickness.
pub fn waste(plan: &Plan) -> Markup {
    html! {
        div.sheet {
            @for nest in &plan.nests {
                figure {
                    figcaption { b { (thickness_in_words(nest)) } }
                    (table(&of_nest(nest), Some(&[
                        Cell::text("all rolls"),
                        Cell::SquareMetres(nest.areas.rolls),
                        Cell::Number("100.00".to_owned()),
                    ])))
                }
            }
        }
    }
}
