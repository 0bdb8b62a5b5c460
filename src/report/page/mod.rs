//! The report for people: one HTML file without scripts, to read on a screen of any width and to
//! print on A4.
//!
//! It is made from typed templates, which escape all text; nothing from an input goes around
//! them. Black on white, thin lines, words instead of colours.

mod choice;
mod cutting;
mod findings;
mod method;
mod outlook;
mod pieces;
mod price;
mod pulls;
mod rolls;
mod style;
mod summary;
mod table;
mod waste;
mod wrapping;

use super::groups::Groups;
use super::sources::Sources;
use super::text::visible;
use crate::plan::Plan;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// A section: its anchor, its heading, what stands in it.
struct Section {
    anchor: &'static str,
    heading: &'static str,
    body: Markup,
}

/// The whole page.
#[must_use]
pub fn page(plan: &Plan, sources: &Sources<'_>) -> Vec<u8> {
    let groups = Groups::of(plan);
    let section = |anchor, heading, body| Section { anchor, heading, body };
    let order = html! {
        (summary::order(plan, sources))
        @if let Some(saved) = cutting::saved(plan) { (saved) }
    };
    let shop = html! {
        @if let Some(changed) = cutting::changed(plan, sources) { (changed) }
        (cutting::cutting(plan, sources))
    };
    let extras = &sources.extras;
    let beside = [
        extras.cost.map(|cost| section("price", "Price", price::price(plan, cost))),
        extras.cost.map(|cost| section("money", "What is lost, in money", price::waste(cost))),
        extras
            .cost
            .map(|cost| section("shares", "What each item takes", price::shares(plan, cost))),
        extras.study.map(|s| section("cheapest", "Fewest or cheapest", outlook::study(s))),
        extras.allowance.map(|a| section("allowance", "Waste allowance", outlook::allowance(a))),
        extras.risk.map(|r| section("risk", "How sure the order is", outlook::risk(r))),
        extras.comparison.map(|c| section("options", "Options", outlook::options(c))),
    ];
    let sections = [
        section("order", "Order", order),
        section("proof", "Why fewer will not do", summary::proofs(plan, sources)),
        section("waste", "Where the area goes", waste::waste(plan, sources.rules.table.square_cut)),
        section("cutting", "Order of cutting", shop),
        section("findings", "Findings", findings::findings(sources.findings)),
        section("rolls", "Rolls", rolls::rolls(plan, &groups, sources)),
        section("pulls", "Pulls", pulls::pulls(plan, &groups)),
        section("pieces", "Pieces", pieces::pieces(plan, sources)),
        section(
            "wrapping",
            "Wrapping schedule",
            html! { (choice::choice(plan, sources)) (wrapping::wrapping(plan, sources)) },
        ),
        section("method", "How it was computed", method::method(plan, sources)),
        section("cautions", "Cautions", method::cautions()),
    ];
    // What was computed beside the plan stands behind the waste.
    let mut sections: Vec<Section> = sections.into();
    sections.splice(3..3, beside.into_iter().flatten());
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content={ "rollwright " (plan.program.version) };
                title { "Cutting plan: " (visible(&plan.name)) }
                style { (PreEscaped(style::STYLE)) }
            }
            body {
                (summary::title_block(plan))
                nav aria-label="Contents" {
                    @for section in &sections {
                        a href={ "#" (section.anchor) } { (section.heading) } " "
                    }
                }
                main {
                    @for section in sections {
                        section id=(section.anchor) { h2 { (section.heading) } (section.body) }
                    }
                }
            }
        }
    };
    page.into_string().into_bytes()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demand::Demand;
    use crate::finding::Findings;
    use crate::report::sample;
    use crate::rules::Rules;
    use crate::stock::Stock;
    use crate::takeoff::Takeoff;

    fn html(plan: &Plan) -> String {
        let (takeoff, stock, rules) = (Takeoff::default(), Stock::default(), Rules::default());
        let (demand, findings) = (Demand::default(), Findings::new());
        let sources = Sources::new(&takeoff, &stock, &rules, &demand, &findings);
        String::from_utf8(page(plan, &sources)).unwrap()
    }

    #[test]
    fn twenty_thousand_pieces_stay_under_three_megabytes() {
        let plan = sample::plan(600, 17);
        let pieces: u64 = plan.pieces.iter().map(|p| p.quantity).sum();
        let html = html(&plan);
        assert!(pieces > 20_000);
        assert!(html.len() < 3 << 20, "{} bytes for {pieces} pieces", html.len());
    }

    #[test]
    fn text_of_the_job_is_escaped_and_nothing_is_fetched_or_run() {
        let mut plan = sample::plan(9, 1);
        plan.name = "<script>alert(1)</script>\"'&\u{202e}".to_owned();
        plan.pieces[0].uses[0].item = "<img src=x onerror=alert(1)>".to_owned();
        plan.joints[0].item = "</td><script>".to_owned();
        let html = html(&plan);
        assert!(!html.contains("<script") && !html.contains("<img") && !html.contains('\u{202e}'));
        assert!(html.contains("&lt;script&gt;alert(1)&lt;/script&gt;&quot;"));
        assert!(!html.contains("http") && !html.contains("src=\""));
    }
}
