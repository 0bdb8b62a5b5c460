//! What was found in the inputs.

use crate::finding::{Finding, Findings, Place, Severity};
use crate::report::text::visible;
use maud::{Markup, html};
use std::collections::BTreeMap;

/// The findings, like ones once.
pub fn findings(findings: &Findings) -> Markup {
    if findings.is_empty() {
        return html! { p { "Nothing was found in the inputs that somebody should look at." } };
    }
    html! {
        ul {
            @for (finding, places) in together(findings) {
                li {
                    b { (finding.severity().to_string()) " " (finding.code.id) } ", "
                    (visible(&places)) ": " (visible(&finding.what)) "; "
                    i { (visible(&finding.remedy)) }
                }
            }
        }
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
        let places: Vec<&Place> = list.iter().map(|f| &f.place).collect();
        if let Some(first) = list.first() {
            rows.push((*first, in_short(&places)));
        }
    }
    rows
}

/// Places one after the other, each file named once: `takeoff.csv:2, 9, 14:6 (length)`.
fn in_short(places: &[&Place]) -> String {
    let mut text = String::new();
    let mut file = None;
    for place in places {
        let whole = place.to_string();
        let inside = whole.strip_prefix(&place.file).and_then(|rest| rest.strip_prefix(':'));
        if !text.is_empty() {
            text.push_str(", ");
        }
        match inside {
            Some(inside) if file == Some(&place.file) => text.push_str(inside),
            _ => text.push_str(&whole),
        }
        file = Some(&place.file);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::codes::job::{MISNAMED, NO_FOLDER};

    #[test]
    fn like_findings_are_told_once() {
        let mut findings = Findings::new();
        for line in [9, 2] {
            let place = Place::line("takeoff.csv", line);
            findings.push(Finding::new(&MISNAMED, place, "same", "same"));
        }
        findings.push(Finding::new(&NO_FOLDER, Place::file("job"), "worse", "mend"));
        let rows = together(&findings);
        assert_eq!(rows.len(), 2);
        assert_eq!(rows[0].0.what, "worse");
        assert_eq!(rows[1].1, "takeoff.csv:2, 9");
    }
}
