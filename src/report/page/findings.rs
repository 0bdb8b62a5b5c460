//! What was found in the inputs.

use super::table::table;
use crate::finding::Findings;
use crate::report::table::{Cell, Table};
use maud::{Markup, html};

/// The findings in the order of the files' lines.
pub fn findings(findings: &Findings) -> Markup {
    if findings.is_empty() {
        return html! { p { "Nothing was found in the inputs that somebody should look at." } };
    }
    let mut list: Vec<_> = findings.iter().collect();
    list.sort_by(|a, b| a.place.cmp(&b.place));
    let mut rows = Table::new(&["where", "severity", "code", "what", "what to do"]);
    for finding in list {
        rows.push(vec![
            Cell::text(finding.place.to_string()),
            Cell::text(finding.severity().to_string()),
            Cell::text(finding.code.id),
            Cell::text(&finding.what),
            Cell::text(&finding.remedy),
        ]);
    }
    html! {
        (table(&rows, None))
        p { code { "rollwright explain CODE" } " says more about a code." }
    }
}
