//! How the plan was computed, and what to mind when it is carried out.

use super::table::table;
use crate::cutting::Objective;
use crate::plan::Plan;
use crate::report::proof::{style_in_words, thickness_in_words};
use crate::report::sources::Sources;
use crate::report::table::{Cell, Table};
use maud::{Markup, html};

/// How it was computed.
pub fn method(plan: &Plan, sources: &Sources<'_>) -> Markup {
    let (rules, measure) = (&sources.rules.table, sources.measure);
    let least = |objective| match objective {
        Objective::Rolls => "the number of rolls",
        Objective::Price => "the price of the rolls",
        Objective::Length => "the length used",
    };
    html! {
        ol {
            li { "Every item of the takeoff is taken apart into layers, and every layer into flat \
                  pieces: wraps by the diameter under the layer and the wrap factor, courses along \
                  the run with staggered joints, elbows in one piece or in gores." }
            li { "Pieces of one thickness are laid on its rolls together. "
                @for nest in &plan.nests {
                    (thickness_in_words(nest)) ": least is to be " (least(nest.objective)) ", for "
                    (style_in_words(nest)) ". "
                }
                "The table: square cut " (measure.nominal(rules.square_cut)) ", edge trims " (measure.nominal(rules.edge_trim))
                ", gap between pieces " (measure.nominal(rules.gap)) ", "
                @match rules.pull_limit {
                    Some(limit) => { "pulls of at most " (measure.nominal(limit)) "." }
                    None => { "pulls of any length." }
                }
            }
            li { "The bound is computed apart from the plan: no layout, however clever, of the same \
                  style needs less. Its figures were computed again in whole numbers, without \
                  rounding." }
            li { "The finished plan was then checked against the job by a part of the program that \
                  knows nothing of how it was made: every piece is there and of the right size, \
                  lies inside its roll and over no other, pulls keep to the table, joints of runs \
                  and shells keep their stagger where nothing else is said, and areas and order \
                  add up. A plan that fails is never shown." }
        }
        p { "The same inputs, seed " (plan.program.seed) " and work limit "
            (plan.program.limits.work) " give the same plan, to the last byte"
            @match plan.program.limits.seconds {
                Some(seconds) => { ", unless the clock (" (seconds) " seconds a thickness) stops it." }
                None => { "." }
            }
        }
        @let left_out = left_out(sources);
        @if !left_out.is_empty() {
            p { "Not computed, because nobody asked for it: " (left_out.join(", "))
                ". rollwright plan --also adds them, with charts." }
        }
        @let failed = sources.extras.failed;
        @if !failed.is_empty() {
            p { "Asked for and not made: " (failed.join(", ")) ". The findings tell why." }
        }
        (table(&inputs(plan), None))
    }
}

/// Sections that were not asked for, in words.
fn left_out(sources: &Sources<'_>) -> Vec<&'static str> {
    let extras = &sources.extras;
    [
        (extras.study.is_none(), "order", "the fewest rolls beside the cheapest (order)"),
        (extras.allowance.is_none(), "allowance", "the waste allowance (allowance)"),
        (extras.risk.is_none(), "risk", "how sure the order is (risk)"),
        (extras.comparison.is_none(), "options", "options side by side (options)"),
        (extras.seams.is_none(), "seams", "what other seams of elbow gores would save (seams)"),
    ]
    .into_iter()
    .filter_map(|(missing, name, what)| (missing && !extras.failed.contains(&name)).then_some(what))
    .collect()
}

fn inputs(plan: &Plan) -> Table {
    let mut rows = Table::new(&["input", "SHA-256"]);
    for input in &plan.inputs {
        rows.push(vec![Cell::text(&input.file), Cell::text(&input.sha256)]);
    }
    rows
}

/// What can hurt somebody.
pub fn cautions() -> Markup {
    html! {
        ul {
            li { b { "Specification first. " } "The project's insulation specification, local codes \
                  and the judgement of licensed practitioners come before anything that stands \
                  here. Where they differ from this plan, follow them and tell whoever made it." }
            li { b { "Dust. " } "Cutting blanket sets fibres and powder free. Wear what the \
                  product's safety data sheet asks for: mask, eye protection, gloves, long sleeves. \
                  Draw dust off at the table; clean with a vacuum that holds fine dust back, never \
                  with a dry broom or compressed air; bag scraps; no food at the table." }
            li { b { "Knives. " } "Cut away from yourself and from others, on a firm table, with a \
                  sharp blade and cut-resistant gloves; cover blades that are not in use. Large \
                  rolls are heavy: two people or a hoist." }
            li { b { "Hot surfaces. " } "Do not wrap a line that is in service or still hot without \
                  the site's permit and its safeguards. Leave safety valves, vents, nameplates \
                  and packing glands as the specification wants them." }
            li { b { "Measure before cutting. " } "Dimensions of fittings come from tables; measure \
                  what is on site, and cut one piece for trial before a series." }
        }
    }
}
