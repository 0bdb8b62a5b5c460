//! Why fewer will not do, in plain words.

use super::pieces::area_of;
use super::sources::Sources;
use crate::cutting::{Objective, Style};
use crate::nest::{Basis, Status};
use crate::plan::{CutFrom, Nest, Plan, Roll};
use crate::units::{Area, Decimal};

/// So many of something, with the right ending.
#[must_use]
pub fn counted(count: u64, one: &str, many: &str) -> String {
    format!("{count} {}", if count == 1 { one } else { many })
}

/// Rolls that are bought, and what is there already: `13 rolls, 2 whole rolls on hand and 4 offcuts`.
#[must_use]
pub fn rolls_and_offcuts(from: CutFrom) -> String {
    let CutFrom { bought, whole, offcuts } = from;
    let mut parts = Vec::new();
    if bought > 0 || (whole, offcuts) == (0, 0) {
        parts.push(counted(bought, "roll", "rolls"));
    }
    if whole > 0 {
        parts.push(counted(whole, "whole roll on hand", "whole rolls on hand"));
    }
    if offcuts > 0 {
        parts.push(counted(offcuts, "offcut", "offcuts"));
    }
    match parts.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
        None => String::new(),
    }
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
        Basis::Area => "the area that the pieces take",
        Basis::DualFeasible => "a weighing of the pieces (dual feasible functions)",
        Basis::Lines => "what any line across a roll can meet",
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
#[must_use]
fn proof(nest: &Nest, filled: Option<&str>) -> String {
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
                Objective::Rolls if nest.value.millionths() == 0 => {
                    "nothing is to be bought".to_owned()
                }
                Objective::Rolls => format!("{value}, proven: some roll is needed"),
                Objective::Price | Objective::Length => {
                    format!(
                        "{value}, proven; nothing less is possible: {basis} says so for {style}"
                    )
                }
            };
            if let Some(filled) = filled {
                text.push_str("; ");
                text.push_str(filled);
            }
            text
        }
        Status::Feasible | Status::Stopped => {
            let why = if nest.status == Status::Stopped {
                "stopped early"
            } else {
                "the search ended without a proof; more --work may find one"
            };
            if nest.bound <= Decimal::ZERO {
                return format!(
                    "{value}, not proven to be the least ({why}): that less will do for {style} is not \
                     ruled out"
                );
            }
            let gap = gap_per_cent(nest.value, nest.bound)
                .map_or_else(String::new, |gap| format!("; this plan lies {gap} % above that"));
            format!(
                "{value}, not proven to be the least ({why}): {basis} leaves no plan for {style} \
                 below {}{gap}",
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
    proof(nest, rolls_filled(plan, at, sources).as_deref())
}

/// How many rolls the pieces would fill if nothing were lost but square cuts and edge trims, where
/// all rolls that are bought are of one size: what stands on a purchaser's own calculator.
fn rolls_filled(plan: &Plan, at: usize, sources: &Sources<'_>) -> Option<String> {
    let nest = plan.nests.get(at)?;
    if nest.objective != Objective::Rolls {
        return None;
    }
    let table = &sources.rules.table;
    let usable = |roll: &Roll| {
        let width = roll.width - table.edge_trim - table.edge_trim;
        let length = roll.length? - table.square_cut;
        (width.is_positive() && length.is_positive()).then(|| Area::of_rectangle(width, length))
    };
    let (mut shelf, mut one) = (Area::ZERO, None);
    for roll in plan.rolls.iter().filter(|r| r.nest == at) {
        let area = usable(roll)?;
        if roll.shelf {
            shelf += area * i128::from(roll.copies);
        } else if *one.get_or_insert(area) != area {
            return None;
        }
    }
    // Their own area: curved pieces share blanks even where cuts are straight.
    let pieces: Area = plan
        .pieces
        .iter()
        .filter(|p| p.nest == at)
        .map(|p| area_of(p) * i128::from(p.quantity))
        .sum();
    let hundredths = (pieces - shelf).nm2() * 100 / one?.nm2();
    if hundredths < 0 {
        return None;
    }
    let less = if shelf == Area::ZERO { "" } else { ", less what the shelf gives," };
    Some(format!("the pieces alone{less} fill {}.{:02} rolls", hundredths / 100, hundredths % 100))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::report::sample;

    #[test]
    fn what_is_bought_is_not_added_to_what_is_there() {
        let told = [(13, 0, 4), (1, 0, 0), (0, 0, 1), (0, 0, 0), (2, 1, 1), (0, 15, 1)]
            .map(|(bought, whole, offcuts)| rolls_and_offcuts(CutFrom { bought, whole, offcuts }));
        let wanted = [
            "13 rolls and 4 offcuts",
            "1 roll",
            "1 offcut",
            "0 rolls",
            "2 rolls, 1 whole roll on hand and 1 offcut",
            "15 whole rolls on hand and 1 offcut",
        ];
        assert_eq!(told, wanted);
    }

    #[test]
    fn a_proof_names_what_cannot_be_and_a_gap_is_never_made_smaller() {
        let plan = sample::plan(24, 9);
        let proven = proof(&plan.nests[0], None);
        let rolls = plan.nests[0].value.millionths() / 1_000_000;
        assert!(rolls > 1);
        assert!(proven.starts_with(&format!("{rolls} rolls, proven; {} cannot", rolls - 1)));
        let open = proof(&plan.nests[1], None);
        assert!(open.contains("not proven") && open.contains("below 1 roll;"), "{open}");
        let none = proof(&Nest { bound: Decimal::ZERO, ..plan.nests[1].clone() }, None);
        assert!(none.contains("is not ruled out"), "{none}");
        assert!(!none.contains("below"), "{none}");
        let millionths = Decimal::from_millionths;
        // 66 over 65 is 1.538... per cent; 1000001 over 1000000 is 0.0001 per cent.
        assert_eq!(gap_per_cent(millionths(66), millionths(65)), Some("1.6".to_owned()));
        assert_eq!(gap_per_cent(millionths(1_000_001), Decimal::ONE), Some("0.1".to_owned()));
        assert_eq!(gap_per_cent(Decimal::ONE, Decimal::ONE), None);
        assert_eq!(gap_per_cent(Decimal::ONE, Decimal::ZERO), None);
    }
}
