//! What was found in the inputs.

use super::table::table;
use crate::finding::{Finding, Findings, Severity};
use crate::report::table::{Cell, Table};
use maud::{Markup, html};
use std::collections::BTreeMap;

/// The findings, like ones in one row.
pub fn findings(findings: &Findings) -> Markup {
    if findings.is_empty() {
        return html! { p { "Nothing was found in the inputs that somebody should look at." } };
    }
    let mut rows = Table::new(&["severity", "code", "what", "what to do", "where"]);
    for (finding, places) in together(findings) {
        rows.push(vec![
            Cell::text(finding.severity().to_string()),
            Cell::text(finding.code.id),
            Cell::text(&finding.what),
            Cell::text(&finding.remedy),
            Cell::Text(places),
        ]);
    }
    html! {
        (table(&rows, None))
        p { code { "rollwright explain CODE" } " says more about a code." }
    }
}

/// Findings in the same words together, the worst first, each with all its places.
fn together(findings: &Findings) -> Vec<(&Finding, String)> {
    let mut alike: BTreeMap<(Severity, &str, &str, &str), Vec<&Finding>> = BTreeMap::new();
    for finding in findings {
        let key = (finding.severity(), finding.code.id, &*finding.what, &*finding.remedy);
        alike.entry(key).or_default().push(finding);
    }
    let mut rows = Vec::with_capacity(alike.len());
    for mut list in alike.into_values() {
        list.sort_by(|a, b| a.place.cmp(&b.place));
        let places: Vec<String> = list.iter().map(|f| f.place.to_string()).collect();
        if let Some(first) = list.first() {
            rows.push((*first, places.join(", ")));
        }
    }
    rows
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Place;
    use crate::finding::codes::job::{MISNAMED, NO_FOLDER};

    #[test]
    fn like_findings_are_one_row() {
        let mut findings = Findings::new();
        for line in [9, 2] {
            let place = Place::line("takeoff.csv", line);
            findings.push(Finding::new(&MISNAMED, place, "same", "same"));
        }
        findings.push(Finding::new(&NO_FOLDER, Place::file("job"), "worse", "mend"));
        let rows = together(&findings);
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[0].0.what, "worse");
        assert_eq!(rows[1].1, "takeoff.csv:2, takeoff.csv:9");
    }
}
