//! The page and its scripts, part of the program.

use super::answer::of_kind;
use super::state::Bench;
use axum::http::StatusCode;
use axum::response::Response;

const PAGE: &str = include_str!("page/bench.html");

/// Path, kind, text.
const ASSETS: &[(&str, &str, &str)] = &[
    ("bench.css", "text/css; charset=utf-8", include_str!("page/bench.css")),
    ("main.js", JS, include_str!("page/main.js")),
    ("ask.js", JS, include_str!("page/ask.js")),
    ("book.js", JS, include_str!("page/book.js")),
    ("csv.js", JS, include_str!("page/csv.js")),
    ("draft.js", JS, include_str!("page/draft.js")),
    ("make.js", JS, include_str!("page/make.js")),
    ("plan.js", JS, include_str!("page/plan.js")),
    ("pull.js", JS, include_str!("page/pull.js")),
    ("rules.js", JS, include_str!("page/rules.js")),
    ("run.js", JS, include_str!("page/run.js")),
    ("table.js", JS, include_str!("page/table.js")),
    ("toml.js", JS, include_str!("page/toml.js")),
    ("undo.js", JS, include_str!("page/undo.js")),
];

const JS: &str = "text/javascript; charset=utf-8";

/// The page, with the token of this start.
pub fn page(bench: &Bench) -> Response {
    let text = PAGE.replace("TOKEN-OF-THIS-START", &bench.token);
    of_kind(StatusCode::OK, "text/html; charset=utf-8", text)
}

/// One of the page's files; `None` where there is none of the name.
pub fn asset(name: &str) -> Option<Response> {
    let (_, kind, text) = ASSETS.iter().find(|(known, ..)| *known == name)?;
    Some(of_kind(StatusCode::OK, kind, *text))
}

#[cfg(test)]
mod tests {
    use crate::report::{NAMES, PRICED_NAMES, TICKET_NAMES};

    #[test]
    fn the_page_says_what_every_report_is() {
        let page = include_str!("page/main.js");
        for name in [NAMES, PRICED_NAMES, TICKET_NAMES].concat() {
            assert!(page.contains(&format!("\"{name}\": \"")), "{name}");
        }
    }
}
