//! The report for people: one HTML file without scripts, to read on a screen of any width and to
//! print.
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
mod tickets;
mod waste;
mod wrapping;

use super::charts::hatching;
use super::sheets::on_sheets;
use super::sources::Sources;
use super::text::visible;
use crate::plan::Plan;
use crate::plan::groups::Groups;
use maud::{DOCTYPE, Markup, PreEscaped, html};

/// A section: its anchor, its heading, what stands in it.
struct Section {
    anchor: &'static str,
    heading: &'static str,
    body: Markup,
}

/// The sections that rest on the plan alone.
pub struct Draft {
    /// Up to where the area goes; what was computed beside the plan follows.
    first: [Section; 3],
    cutting: Section,
    /// From the rolls on.
    rest: [Section; 5],
}

/// What is empty where nothing is left to cut.
const OF_CUTS: [&str; 6] = ["proof", "waste", "money", "rolls", "pulls", "pieces"];

const fn section(anchor: &'static str, heading: &'static str, body: Markup) -> Section {
    Section { anchor, heading, body }
}

/// Drafts the page.
#[must_use]
pub fn draft(plan: &Plan, sources: &Sources<'_>) -> Draft {
    let groups = Groups::of(plan);
    let order = html! {
        (summary::order(plan, sources))
        @if let Some(saved) = cutting::saved(plan, &sources.telling) { (saved) }
    };
    let shop = html! {
        @if let Some(changed) = cutting::changed(plan, sources) { (changed) }
        (cutting::cutting(plan, sources))
    };
    Draft {
        first: [
            section("order", "Order", order),
            section("proof", "Why fewer will not do", summary::proofs(plan, sources)),
            section("waste", "Where the area goes", waste::waste(plan, sources)),
        ],
        cutting: section("cutting", "Order of cutting", shop),
        rest: [
            section("rolls", "Rolls", rolls::rolls(plan, &groups, sources)),
            section("tickets", "Tickets", tickets::all(plan, sources)),
            section("pulls", "Drawings of the pulls", pulls::pulls(plan, &groups, sources)),
            section("pieces", "Pieces", pieces::pieces(plan, sources)),
            section(
                "wrapping",
                "Wrapping schedule",
                html! { (choice::choice(plan, sources)) (wrapping::wrapping(plan, sources)) },
            ),
        ],
    }
}

/// The whole page, from its draft.
#[must_use]
pub fn page(plan: &Plan, sources: &Sources<'_>, draft: Draft) -> Vec<u8> {
    let (extras, telling) = (&sources.extras, &sources.telling);
    let beside = [
        extras.cost.map(|cost| section("price", "Price", price::price(plan, cost, telling))),
        extras
            .cost
            .map(|cost| section("money", "What is lost, in money", price::waste(cost, telling))),
        extras.cost.map(|cost| {
            section("shares", "What each item takes", price::shares(plan, cost, telling))
        }),
        extras.study.map(|s| section("cheapest", "Fewest or cheapest", outlook::study(s, telling))),
        extras
            .allowance
            .map(|a| section("allowance", "Waste allowance", outlook::allowance(a, telling))),
        extras.risk.map(|r| section("risk", "How sure the order is", outlook::risk(r, telling))),
        extras.comparison.map(|c| section("options", "Options", outlook::options(c, telling))),
        extras.seams.map(|s| section("seams", "Seams of gores", outlook::seams(s, telling))),
    ];
    let Draft { first, cutting, rest } = draft;
    let mut sections: Vec<Section> = first.into();
    sections.extend(beside.into_iter().flatten());
    sections.push(cutting);
    let cuts = !plan.rolls.is_empty();
    sections.push(section("findings", "Findings", findings::findings(sources.findings)));
    sections.extend(rest);
    sections.retain(|section| cuts || !OF_CUTS.contains(&section.anchor));
    sections.push(section("method", "How it was computed", method::method(plan, sources)));
    sections.push(section("cautions", "Cautions", method::cautions()));
    let page = html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="generator" content={ "rollwright " (plan.program.version) };
                title { "Cutting plan: " (visible(&plan.name)) }
                style { (PreEscaped(style::STYLE)) (PreEscaped(on_sheets(sources.sheet, 13))) }
            }
            body {
                (summary::title_block(plan, sources.measure))
                nav aria-label="Contents" {
                    @for section in &sections {
                        a href={ "#" (section.anchor) } { (section.heading) } " "
                    }
                }
                main {
                    (hatching())
                    @for section in sections {
                        section id=(section.anchor) { h2 { (section.heading) } (section.body) }
                    }
                }
            }
        }
    };
    without_optional_ends(&page.into_string()).into_bytes()
}

/// The page without what HTML lets one leave out: the end tags of rows, cells and entries of lists
/// (HTML Living Standard, 13.1.2.4), quotation marks around a plain word, and the end tags of shapes
/// that hold nothing. Text cannot be hit: it is escaped, so no tag and no quotation mark stands in it.
fn without_optional_ends(page: &str) -> String {
    const LEFT_OUT: [&str; 6] = ["</td>", "</th>", "</tr>", "</li>", "</thead>", "</tbody>"];
    let mut out = String::with_capacity(page.len());
    let mut rest = page;
    while let Some(at) = rest.find("</") {
        out.push_str(&rest[..at]);
        rest = &rest[at..];
        if let Some(end) = LEFT_OUT.iter().find(|end| rest.starts_with(**end)) {
            rest = &rest[end.len()..];
        } else if let Some(after) = ["</path>", "</use>"]
            .iter()
            .find_map(|end| rest.strip_prefix(end))
            .filter(|_| out.ends_with("\">"))
        {
            out.truncate(out.len() - 1);
            out.push_str("/>");
            rest = after;
        } else {
            out.push_str("</");
            rest = &rest[2..];
        }
    }
    out.push_str(rest);
    out.replace("class=\"n\"", "class=n")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demand::Demand;
    use crate::finding::Findings;
    use crate::plan::sample;
    use crate::rules::Rules;
    use crate::stock::Stock;
    use crate::takeoff::Takeoff;

    fn html(plan: &Plan) -> String {
        let (takeoff, stock, rules) = (Takeoff::default(), Stock::default(), Rules::default());
        let (demand, findings) = (Demand::default(), Findings::new());
        let sources = Sources::new(&takeoff, &stock, &rules, &demand, &findings);
        String::from_utf8(page(plan, &sources, draft(plan, &sources))).unwrap()
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
    fn every_roll_has_a_ticket_that_leads_to_its_pulls() {
        let plan = sample::plan(40, 3);
        let html = html(&plan);
        let tickets = html.matches("<h3 id=\"T").count();
        assert_eq!(tickets, plan.rolls.len());
        let mut led = 0;
        for rest in html.split("href=\"#drawing").skip(1) {
            let number = rest.split('"').next().unwrap();
            assert!(html.contains(&format!("id=\"drawing{number}\"")), "{number}");
            led += 1;
        }
        assert!(led >= tickets);
        // What goes to a kit, counted on the tickets, is all pieces that are laid.
        let (_, section) = html.split_once("<section id=\"tickets\"").unwrap();
        let (section, _) = section.split_once("<h3>Kits").unwrap();
        let told: u64 = section
            .split(" for ")
            .filter_map(|before| before.rsplit(['>', ';']).next()?.split_whitespace().next())
            .filter_map(|count| count.parse::<u64>().ok())
            .sum();
        let laid: usize =
            plan.rolls.iter().flat_map(|roll| &roll.pulls).map(|pull| pull.placements.len()).sum();
        assert_eq!(told, laid as u64);
    }

    #[test]
    fn end_tags_are_left_out_and_text_stays() {
        let page =
            "<td class=\"n\">1</td><path d=\"M0 0\"></path><b>&lt;/td&gt; class=&quot;n&quot;</b>";
        let slim = "<td class=n>1<path d=\"M0 0\"/><b>&lt;/td&gt; class=&quot;n&quot;</b>";
        assert_eq!(without_optional_ends(page), slim);
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
