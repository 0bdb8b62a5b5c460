//! Why fewer will not do, in plain words.

use super::sources::Sources;
use crate::cutting::{Objective, Style};
use crate::nest::{Basis, Status};
use crate::plan::{Nest, Plan};
use crate::units::{Area, Decimal};

/// So many of something, with the right ending.
#[must_use]
pub fn counted(count: u64, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// A nest's value or bound in words: `5 rolls`, `1550.00`, `2140.5 mm`.
#[must_use]
pub fn amount(objective: Objective, value: Decimal) -> String {
    match objective {
        Objective::Rolls => {
            let rolls = value.millionths() / 1_000_000;
            counted(u64::try_from(rolls).unwrap_or(0), "roll", "rolls")
        }
        Objective::Price => format!("a price of {value}"),
        Objective::Length => format!("{value} mm"),
    }
}

const fn basis_in_words(basis: Basis) -> &'static str {
    match basis {
        Basis::Area => "the area of the pieces",
        Basis::DualFeasible => "dual feasible functions",
        Basis::LinearProgramme => "the linear bound over all layouts",
        Basis::Search => "an exhaustive search",
    }
}

/// The cutting style for which a bound holds, in words.
#[must_use]
pub fn style_in_words(nest: &Nest) -> String {
    match (nest.style, nest.stages) {
        (Style::Free, _) => "any layout that a knife can follow".to_owned(),
        (Style::Straight, None) => "straight cuts edge to edge".to_owned(),
        (Style::Straight, Some(stages)) => format!("straight cuts edge to edge in {stages} stages"),
    }
}

/// How far the value lies above the bound, in per cent of the bound, rounded up to a tenth, so
/// that a gap never looks smaller than it is. `None` where there is no gap or nothing to compare.
#[must_use]
pub fn gap_per_cent(value: Decimal, bound: Decimal) -> Option<String> {
    let (value, bound) = (i128::from(value.millionths()), i128::from(bound.millionths()));
    if bound <= 0 || value <= bound {
        return None;
    }
    let tenths = ((value - bound) * 1000 + bound - 1) / bound;
    Some(format!("{}.{}", tenths / 10, tenths % 10))
}

/// The proof of one nest in a sentence or two, without a full stop at the end.
///
/// `usable` is what one roll gives when nothing is lost but square cut and trims; given only where
/// all rolls of the nest are of one product.
#[must_use]
pub fn proof(nest: &Nest, usable: Option<Area>) -> String {
    let value = amount(nest.objective, nest.value);
    let basis = basis_in_words(nest.basis);
    let style = style_in_words(nest);
    match nest.status {
        Status::Proven => {
            let fewer = nest.value.millionths() / 1_000_000 - 1;
            let mut text = match nest.objective {
                Objective::Rolls if fewer >= 1 => {
                    format!(
                        "{value}, proven; {fewer} cannot hold it: {basis} rules it out for {style}"
                    )
                }
                Objective::Rolls => format!("{value}, proven: some roll is needed"),
                Objective::Price | Objective::Length => {
                    format!(
                        "{value}, proven; nothing less is possible: {basis} says so for {style}"
                    )
                }
            };
            if let (Objective::Rolls, Some(filled)) = (nest.objective, rolls_filled(nest, usable)) {
                text.push_str("; ");
                text.push_str(&filled);
            }
            text
        }
        Status::Feasible | Status::Stopped => {
            let why = if nest.status == Status::Stopped {
                "stopped early"
            } else {
                "the work allowed is done"
            };
            let gap = gap_per_cent(nest.value, nest.bound)
                .map_or_else(String::new, |gap| format!(", and this plan lies {gap} % above that"));
            format!(
                "{value}, not proven to be the least ({why}): no plan for {style} can do with less \
                 than {} by {basis}{gap}",
                amount(nest.objective, nest.bound)
            )
        }
    }
}

/// The nest's thickness in words; a bare instance has none.
#[must_use]
pub fn thickness_in_words(nest: &Nest) -> String {
    nest.thickness.map_or_else(|| "pieces".to_owned(), |t| format!("{t} mm"))
}

/// [`proof`] for one of a plan's nests, with what a roll gives looked up.
#[must_use]
pub fn proof_of(plan: &Plan, at: usize, sources: &Sources<'_>) -> String {
    let Some(nest) = plan.nests.get(at) else { return String::new() };
    proof(nest, usable(plan, at, sources))
}

/// What one roll gives when nothing is lost but square cut and trims, where all rolls of the nest
/// are of one size.
fn usable(plan: &Plan, at: usize, sources: &Sources<'_>) -> Option<Area> {
    let mut rolls = plan.rolls.iter().filter(|r| r.nest == at);
    let first = rolls.next()?;
    if rolls.any(|r| (r.width, r.length) != (first.width, first.length)) {
        return None;
    }
    let table = &sources.rules.table;
    let width = first.width - table.edge_trim - table.edge_trim;
    let length = first.length? - table.square_cut;
    (width.is_positive() && length.is_positive()).then(|| Area::of_rectangle(width, length))
}

/// How many rolls the pieces would fill if nothing at all were lost.
fn rolls_filled(nest: &Nest, usable: Option<Area>) -> Option<String> {
    let usable = usable?.nm2();
    if usable <= 0 {
        return None;
    }
    let hundredths = nest.areas.pieces.nm2() * 100 / usable;
    Some(format!("the pieces alone would fill {}.{:02} rolls", hundredths / 100, hundredths % 100))
}
