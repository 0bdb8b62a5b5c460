//! A table on the page.

use crate::report::table::{Cell, Table};
use crate::report::text::visible;
use maud::{Markup, html};

/// The table, with a last row of sums where there is one.
pub fn table(table: &Table, sums: Option<&[Cell]>) -> Markup {
    let many = (table.headings.len() > MANY).then_some("many");
    html! {
        div.scroll tabindex="0" { table class=[many] {
            thead { tr {
                @for (at, heading) in table.headings.iter().enumerate() {
                    @if table.in_figures(at) { th.n scope="col" { (heading) } }
                    @else { th scope="col" { (heading) } }
                }
            } }
            tbody { @for row in &table.rows { (cells(row)) } }
            @if let Some(sums) = sums { tfoot { (cells(sums)) } }
        } }
    }
}

/// A table whose last row is a sum.
pub fn summed(mut rows: Table) -> Markup {
    let last = rows.rows.pop();
    table(&rows, last.as_deref())
}

/// Columns of a table that is set closer on paper: browsers shrink all pages to the widest of their tables.
const MANY: usize = 10;

/// From so many letters on words take several lines, of more than one word each.
const LONG: usize = 24;

fn words(text: &str) -> Markup {
    html! {
        @if text.chars().count() > LONG { td.o { (visible(text)) } } @else { td { (visible(text)) } }
    }
}

fn cells(row: &[Cell]) -> Markup {
    html! {
        tr {
            @for cell in row {
                @if cell.is_number() { td.n { (cell.rounded()) } }
                @else { (words(&cell.plain())) }
            }
        }
    }
}
