//! What the job costs: price, waste in money, what each item really takes.

use super::table::{summed, table};
use crate::cost::waste::{NestWaste, Part};
use crate::cost::{Cost, Group, RatesAre};
use crate::plan::Plan;
use crate::report::charts::{Bars, Fill, Row};
use crate::report::money;
use crate::report::telling::Telling;
use crate::report::text::visible;
use maud::{Markup, html};

/// Sizes shown in the chart; the others stand in the table.
const SHOWN: usize = 16;

/// The price of the job.
pub fn price(plan: &Plan, cost: &Cost, telling: &Telling) -> Markup {
    let placeholders = match RatesAre::of(&cost.labour) {
        RatesAre::Given => None,
        RatesAre::Partly => Some("Some labour rates are placeholders, no facts. "),
        RatesAre::Placeholders => Some("Labour rates are placeholders, no facts. "),
    };
    html! {
        p { "All amounts " (visible(&money::currency(&cost.currency))) ", rounded half to even; every \
             total is the sum of what is shown." }
        @if let Some(words) = money::going_on(plan) {
            p { b { (words) } }
        }
        @if let Some(words) = placeholders {
            p { b { (words) } "Put your own into rates.toml." }
        }
        @if cost.freight_open {
            p { b { "No rate of freight is given, so none is counted. " } "Put pallet into rates.toml." }
        }
        (summed(telling.table(money::totals(cost))))
        h3 { "Rolls to buy" }
        @if cost.purchase.lines.is_empty() {
            p { "None." }
        } @else {
            (table(&telling.table(money::purchase(plan, cost)), None))
        }
        h3 { "Labour" }
        (table(&telling.table(money::labour(cost)), None))
        h3 { "By area" }
        (summed(telling.table(money::groups("area", &cost.areas, telling.area_step()))))
        h3 { "By line" }
        (summed(telling.table(money::groups("line", &cost.lines, telling.area_step()))))
    }
}

/// Where the money goes that is paid for blanket.
pub fn waste(cost: &Cost, telling: &Telling) -> Markup {
    html! {
        @for nest in &cost.waste {
            @let name = nest.thickness.map_or_else(String::new, |t| format!("{t} mm"));
            figure.chart tabindex="0" {
                figcaption { b { (name) ", where it is lost or kept" } }
                (chart_of(&format!("Where the blanket of {name} goes"), nest, nest.parts.get(1..).unwrap_or_default(), telling))
            }
            figure.chart tabindex="0" {
                figcaption { b { (name) ", the same area by the reason why" } }
                (chart_of(&format!("Why blanket of {name} is lost"), nest, &nest.reasons, telling))
            }
        }
        (table(&telling.table(money::waste_shown(cost, telling.area_step())), None))
        p { "Unavoidable, the shapes: what the linear programme over layouts needs beyond the \
             pieces. Unavoidable, whole rolls: what the bound adds because no part of a roll is sold. \
             Avoidable at most: what the plan has above the bound. Per cent are rounded each by itself."
             @if cost.waste.iter().any(|nest| nest.reasons.len() > 3) {
                 " Kept of what was on hand: rests worth keeping of offcuts and rolls that were there already."
             }
        }
    }
}

fn chart_of(title: &str, nest: &NestWaste, parts: &[Part], telling: &Telling) -> Markup {
    let row = |part: &Part| Row {
        name: part.what.to_owned(),
        values: vec![telling.area(part.area.m2_f64())],
        note: format!("{} %", crate::report::waste::per_cent(part.area, nest.rolls)),
    };
    let bars = Bars {
        title,
        axis: format!(
            "area, {}, and its part of the rolls; without the pieces wanted",
            telling.area_unit()
        ),
        kinds: &[("lost or kept", Fill::Hatched)],
        rows: parts.iter().map(row).collect(),
    };
    bars.svg()
}

/// What each item really takes of the rolls.
pub fn shares(plan: &Plan, cost: &Cost, telling: &Telling) -> Markup {
    let mut sizes: Vec<&Group> = cost.sizes.iter().filter(|size| size.taken.nm2() > 0).collect();
    sizes.sort_by(|a, b| b.taken.cmp(&a.taken).then_with(|| a.name.cmp(&b.name)));
    let rows = sizes.iter().take(SHOWN).map(|size| Row {
        name: size.name.clone(),
        values: [size.plain, size.taken].map(|area| telling.area(area.m2_f64())).to_vec(),
        note: format!("{:.2} times", size.times()),
    });
    let bars = Bars {
        title: "Plain area and what is taken of the rolls, by kind and size",
        axis: format!("area, {}", telling.area_unit()),
        kinds: &[("plain area", Fill::White), ("taken of the rolls", Fill::Hatched)],
        rows: rows.collect(),
    };
    if cost.purchase.lines.is_empty() {
        return html! {
            p { (money::NOTHING_BOUGHT) }
            h3 { "By kind" }
            (summed(telling.table(money::groups("kind", &cost.kinds, telling.area_step()))))
            h3 { "By kind and size" }
            (summed(telling.table(money::groups("kind and size", &cost.sizes, telling.area_step()))))
        };
    }
    // Of what the shelf gives nothing is charged, so a size below its area costs as much as that by chance.
    let dearest = cost.sizes.first().filter(|size| !money::below_its_area(size));
    html! {
        p { "Each piece takes what the linear programme over layouts charges for it: what one more \
             of it would cost in blanket, waste included. Together the items take exactly the rolls; \
             the rounding to whole rolls stands apart." }
        @for words in money::bases(plan, cost) {
            p { (telling.text(&words)) }
        }
        @if let Some(size) = dearest {
            p { (visible(&size.name)) " costs " (format!("{:.2}", size.times())) " times its area." }
        }
        figure.chart tabindex="0" { (bars.svg()) }
        (table(&telling.table(money::shares(plan, cost)), None))
        h3 { "By kind" }
        (summed(telling.table(money::groups("kind", &cost.kinds, telling.area_step()))))
        h3 { "By kind and size" }
        (summed(telling.table(money::groups("kind and size", &cost.sizes, telling.area_step()))))
    }
}
