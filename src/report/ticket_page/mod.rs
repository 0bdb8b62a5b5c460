//! Tickets, kit lists and labels as pages to print: black on white, large type, no scripts,
//! nothing fetched. They draw on the model in [`super::ticket`] and say nothing of their own.

mod kits;
mod labels;
mod qr;
mod style;
mod tickets;

pub use labels::labels_page;
pub use qr::Square;
pub use tickets::tickets_page;

use super::text::visible;
use crate::plan::Plan;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// A whole page: head, look and body.
fn page(plan: &Plan, what: &str, style: &str, body: &Markup) -> Vec<u8> {
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content={ "rollwright " (plan.program.version) };
                title { (what) ": " (visible(&plan.name)) }
                style { (PreEscaped(style)) (style::UNSEEN) }
            }
            body { main { h1.unseen { (what) ": " (visible(&plan.name)) } (body) } }
        }
    };
    page.into_string().into_bytes()
}

/// So many empty boxes to tick.
fn boxes(count: u64) -> Markup {
    html! { @for _ in 0..count { span.box {} " " } }
}

/// The handling cautions.
fn cautions() -> Markup {
    html! { p.care { @for line in super::ticket::CAUTIONS { (line) " " } } }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::sample;

    /// Whoever hears a page finds its title and its main part.
    #[test]
    fn a_page_has_a_title_and_a_main_part() {
        let page = page(&sample::plan(3, 2), "Labels", "", &html! { p { "x" } });
        let page = String::from_utf8(page).unwrap();
        assert!(
            page.contains("<main><h1 class=\"unseen\">Labels: sample</h1><p>x</p></main>"),
            "{page}"
        );
    }
}
