//! The summary for a terminal: what to order, why fewer will not do, where the area goes.

use super::changes::changes;
use super::choice;
use super::cutting::{cutting_in_words, savings};
use super::order::{OrderLine, lines, of_releases, others, without_price};
use super::proof::{counted, longer, proof_of, rolls_and_offcuts, thickness_in_words};
use super::sources::Sources;
use super::table::{Cell, Table};
use super::text::visible;
use super::waste::{parts_in_steps, per_cent};
use crate::plan::Plan;
use crate::plan::wanted::Keep;
use crate::units::{Measure, Money};

/// Lines of a terminal are filled up to this many characters.
const COLUMNS: usize = 78;

/// How the place of a rest on hand begins, of which there is one.
const LEFT: &str = ", left of";

/// The summary of a plan.
#[must_use]
pub fn summary(plan: &Plan, sources: &Sources<'_>) -> String {
    let pieces: u64 = plan.pieces.iter().map(|p| p.quantity).sum();
    let kinds = plan.pieces.len() as u64;
    let mut out = format!(
        "{}: {} of {} on {}",
        visible(&plan.name),
        counted(pieces, "piece", "pieces"),
        counted(kinds, "size", "sizes"),
        rolls_and_offcuts(plan.cut_from())
    );
    if plan.stopped_early() {
        out.push_str("; stopped early");
    }
    out.push('\n');
    for line in of_releases(plan, sources) {
        out.push_str(&filled(&sources.telling.text(&line), "", "  "));
    }
    out.push_str(&order(plan, sources));
    let told = |words: &str| sources.telling.text(words);
    for line in changes(plan, Keep::from(&sources.rules.offcuts)) {
        out.push_str(&filled(&told(&visible(&format!("changed: {line}"))), "", "  "));
    }
    if plan.already.is_some() {
        out.push('\n');
    }
    if let Some(words) = cutting_in_words(plan, sources) {
        out.push_str(&filled(&told(&words), "", "  "));
    }
    out.push_str(&choice::text(plan, sources));
    if !plan.rolls.is_empty() {
        out.push_str("\nWhere the area goes\n");
        let areas = areas(plan, sources.telling.area_step());
        out.push_str(&sources.telling.table(areas).rounded().aligned());
    }
    out
}

/// What to buy and what to take from the shelf, with the proofs.
#[must_use]
pub fn order(plan: &Plan, sources: &Sources<'_>) -> String {
    let mut out = String::new();
    let order = lines(plan, sources);
    for (at, nest) in plan.nests.iter().enumerate() {
        out.push('\n');
        out.push_str(&thickness_in_words(nest));
        out.push('\n');
        for line in order.iter().filter(|line| line.nest == at) {
            out.push_str(&filled(&order_line(line, sources.measure.each_marked()), "  ", "    "));
        }
        let proof = sources.telling.text(&format!("{}.", proof_of(plan, at, sources)));
        out.push_str(&filled(&proof, "  ", "  "));
    }
    let mut further = savings(plan);
    further.extend(longer(plan, sources));
    if !further.is_empty() {
        out.push('\n');
    }
    for line in further {
        out.push_str(&filled(&sources.telling.text(&line), "", "  "));
    }
    for (at, line) in price_in_words(plan, sources, &order).iter().enumerate() {
        if at == 0 {
            out.push('\n');
        }
        out.push_str(&filled(&sources.telling.text(line), "", "  "));
    }
    out
}

/// What the rolls to buy cost together, and what is to be said of it; nothing where none has a price.
pub(super) fn price_in_words(
    plan: &Plan,
    sources: &Sources<'_>,
    order: &[OrderLine],
) -> Vec<String> {
    let total: Money = order.iter().map(|line| line.total).sum();
    if total <= Money::ZERO {
        return Vec::new();
    }
    let currency = sources.currency();
    let space = if currency.is_empty() { "" } else { " " };
    let price = format!("Price of the rolls to buy: {}{space}{}", total.cents(), visible(currency));
    let more = without_price(order).into_iter().chain(others(plan, sources));
    std::iter::once(price).chain(more).collect()
}

/// A line of the order in words.
pub(super) fn order_line(line: &OrderLine, measure: Measure) -> String {
    let size = match (line.length, measure) {
        (Some(length), Measure::Millimetres) => {
            let width = if line.shelf.is_some() { line.width.told() } else { line.width };
            format!("{width} mm x {}", measure.reach(length))
        }
        (Some(length), _) => {
            format!("{} in x {}", measure.words(line.width), measure.reach(length))
        }
        (None, _) => format!("{} {} wide", measure.nominal(line.width), measure.unit()),
    };
    let name = visible(&line.roll);
    if let Some(place) = &line.shelf {
        let place = if place.is_empty() { String::new() } else { format!(", {}", visible(place)) };
        if let Some(product) = &line.whole {
            let rolls = counted(line.cut, "whole roll", "whole rolls");
            return format!("take {rolls} of {} ({size}) on hand{place}", visible(product));
        }
        if place.starts_with(LEFT) {
            return format!("take {name} ({size}){place}");
        }
        return format!(
            "take {} of {name} ({size}) from the shelf{place}",
            counted(line.cut, "offcut", "offcuts")
        );
    }
    let spare = match line.spare {
        0 => String::new(),
        n => format!(", {n} of them spare"),
    };
    let more = match line.more {
        0 => String::new(),
        n => format!(", {n} of them for the minimum order or the price break"),
    };
    let price = if line.unpriced() { String::new() } else { format!(" at {}", line.price.cents()) };
    format!("buy {} of {name} ({size}){price}{spare}{more}", counted(line.count(), "roll", "rolls"))
}

/// Where the area goes, one pair of columns a thickness.
fn areas(plan: &Plan, step: i128) -> Table {
    let mut table = Table::new(&["thickness", "what", "m2", "%"]);
    for nest in &plan.nests {
        let whole = nest.areas.rolls;
        let mut row = |what: &str, (area, shown)| {
            table.push(vec![
                Cell::text(thickness_in_words(nest)),
                Cell::text(what),
                Cell::SquareMetres(shown),
                Cell::Number(per_cent(area, whole)),
            ]);
        };
        let (all, parts) = parts_in_steps(&nest.areas, step);
        for (what, area, shown) in parts.into_iter().filter(|(_, area, _)| area.nm2() != 0) {
            row(what, (area, shown));
        }
        row("all rolls", (whole, all));
    }
    table
}

/// Text filled into lines, the first and the others with their own indents.
#[must_use]
pub fn filled(text: &str, first: &str, others: &str) -> String {
    let mut out = String::from(first);
    let mut used = first.chars().count();
    let mut empty = true;
    for word in text.split_whitespace() {
        let length = word.chars().count();
        if !empty && used + 1 + length > COLUMNS {
            out.push('\n');
            out.push_str(others);
            used = others.chars().count();
            empty = true;
        }
        if !empty {
            out.push(' ');
            used += 1;
        }
        out.push_str(word);
        used += length;
        empty = false;
    }
    out.push('\n');
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn text_is_filled_into_lines() {
        let text = "word ".repeat(40);
        let lines = filled(&text, "  ", "    ");
        assert!(lines.lines().all(|l| l.chars().count() <= COLUMNS));
        assert!(lines.lines().skip(1).all(|l| l.starts_with("    word")));
        assert_eq!(lines.split_whitespace().count(), 40);
    }
}
