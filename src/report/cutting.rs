//! The order of cutting in a few figures and words: for the summary and the page.

use super::proof::{counted, thickness_in_words};
use super::sequence::open_kits;
use super::sources::Sources;
use super::ticket::{Work, works};
use crate::cutting::Objective;
use crate::demand::Demand;
use crate::plan::{AtTable, Piece, Plan, Sequence};
use core::time::Duration;
use std::collections::BTreeMap;
use std::fmt::Write as _;

/// What a release has to do with the order of cutting.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Released {
    /// The release.
    pub release: u32,
    /// Its kits.
    pub kits: u64,
    /// Number of the pull with which the first of them is begun.
    pub begun: u64,
    /// Number of the pull with which all of them are whole.
    pub whole: u64,
    /// Time at the table until then.
    pub after: Duration,
}

/// All work of a plan.
#[must_use]
pub fn all_work(plan: &Plan, sources: &Sources<'_>) -> Work {
    let mut all = Work::default();
    for work in works(plan, sources) {
        all.add(&work);
    }
    all
}

/// What a plan's order of cutting asks of the table; `None` where it has none.
#[must_use]
pub fn at_table(plan: &Plan, sources: &Sources<'_>) -> Option<AtTable> {
    let sequence = plan.sequence.as_ref()?;
    Some(AtTable {
        open_kits: sequence.open_kits.into(),
        setups: sequence.setups,
        roll_changes: sequence.roll_changes,
        seconds: all_work(plan, sources).seconds(),
    })
}

/// The order of cutting in a sentence or two; `None` where the plan has none.
#[must_use]
pub fn cutting_in_words(plan: &Plan, sources: &Sources<'_>) -> Option<String> {
    let sequence = plan.sequence.as_ref().filter(|s| !s.steps.is_empty())?;
    let work = all_work(plan, sources);
    let mut text = format!(
        "Cutting: {}, at most {} open at once ({}), {}, {}; {} of cuts; about {} at the rates in \
         the rules.",
        counted(sequence.steps.len() as u64, "pull", "pulls"),
        counted(sequence.open_kits.into(), "kit", "kits"),
        bound_in_words(sequence),
        counted(sequence.setups, "setting of the knives", "settings of the knives"),
        counted(sequence.roll_changes, "change of the roll", "changes of the roll"),
        sources.measure.way(work.straight + work.outline, 0),
        work.time()
    );
    if sequence.late > 0 {
        let late = counted(sequence.late, "pull is", "pulls are");
        let _ = write!(text, " {late} cut while an earlier release waits.");
    }
    Some(text)
}

/// How near the number of open kits is to the least. The bound holds for pieces dealt to the kits as they are:
/// dealt otherwise, the same pulls may do with fewer.
#[must_use]
pub fn bound_in_words(sequence: &Sequence) -> String {
    if sequence.open_kits == sequence.open_kits_bound {
        return "no order of these pulls with the same pieces for the same kits has fewer"
            .to_owned();
    }
    let stopped = if sequence.stopped { "the search for a better order was stopped; " } else { "" };
    format!(
        "{stopped}no order of these pulls with the same pieces for the same kits has fewer than {}",
        sequence.open_kits_bound
    )
}

/// The releases of a plan, earliest first.
#[must_use]
pub fn released(plan: &Plan, sources: &Sources<'_>) -> Vec<Released> {
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    let mut kits: BTreeMap<(u32, &str), (u64, u64, Duration)> = BTreeMap::new();
    let mut after = Duration::ZERO;
    let steps = plan.sequence.iter().flat_map(|s| &s.steps);
    for ((step, work), time) in steps.zip(works(plan, sources)).zip(1..) {
        after += work.takes;
        let pull = plan.rolls.get(step.roll).and_then(|roll| roll.pulls.get(step.pull));
        let places = pull.map_or(&[][..], |pull| &pull.placements);
        for (place, used) in places.iter().zip(&step.uses) {
            let piece = pieces.get(place.piece.as_str());
            if let Some(used) = piece.zip(*used).and_then(|(p, at)| p.uses.get(at)) {
                let key = (used.release, used.item.as_str());
                let span = kits.entry(key).or_insert((time, time, after));
                (span.1, span.2) = (time, after);
            }
        }
    }
    let mut all: Vec<Released> = Vec::new();
    for ((release, _), (begun, whole, after)) in kits {
        match all.last_mut().filter(|last| last.release == release) {
            Some(last) => {
                last.kits += 1;
                last.begun = last.begun.min(begun);
                last.whole = last.whole.max(whole);
                last.after = last.after.max(after);
            }
            None => all.push(Released { release, kits: 1, begun, whole, after }),
        }
    }
    all
}

/// What the shelf saves, a sentence a thickness that was planned without it too.
#[must_use]
pub fn savings(plan: &Plan) -> Vec<String> {
    // Rolls that a minimum order or a price break has bought are not cut, and may not be saved.
    let further = |at: usize| -> u64 {
        let cut = |name: &str| plan.rolls.iter().any(|roll| roll.nest == at && roll.roll == name);
        plan.order.iter().filter(|line| cut(&line.roll)).map(|line| line.more).sum()
    };
    let saving = |(at, nest): (usize, &crate::plan::Nest)| {
        let without = nest.without_shelf.as_ref()?;
        let (with, other, least) = (nest.value, without.value, without.bound);
        let what = match nest.objective {
            Objective::Rolls => "rolls",
            Objective::Price => "at list price",
            Objective::Length => "in length",
        };
        // A price as money, a number of rolls or a length as it is.
        let said = |value: crate::units::Decimal| match nest.objective {
            Objective::Price => crate::units::Money::from_micros(value.millionths()).exact(),
            Objective::Rolls | Objective::Length => value.to_string(),
        };
        // Without the shelf less may do, where more is said to be needed; never less than with it.
        let open = least < other;
        let known = if open && other > with {
            format!(
                " as far as was looked (less, down to {}, is not ruled out; rollwright compare JOB --set shelf=none \
                 looks longer)",
                said(least)
            )
        } else {
            String::new()
        };
        // What the pieces take at least without the shelf tells what the saving is sure of.
        let saves = match open {
            false => "saves",
            true if least > with => "saves up to",
            true => "may save",
        };
        let millionths = other.millionths() - with.millionths();
        let saved = crate::units::Decimal::from_millionths(millionths.abs());
        let verdict = match millionths.cmp(&0) {
            std::cmp::Ordering::Greater
                if what == "rolls" && saved == crate::units::Decimal::ONE =>
            {
                format!("{saves} 1 roll")
            }
            std::cmp::Ordering::Greater => format!("{saves} {} {what}", said(saved)),
            std::cmp::Ordering::Equal if open => "saves nothing as far as was looked".to_owned(),
            std::cmp::Ordering::Equal => "saves nothing".to_owned(),
            std::cmp::Ordering::Less => format!("costs {} {what} in this plan", said(saved)),
        };
        let thickness = thickness_in_words(nest);
        let (with_it, without_it) = (said(with), said(other));
        Some(match further(at) {
            more if more > 0 && millionths > 0 => format!(
                "{thickness}: of what is cut the shelf {verdict}: {with_it} with it, {without_it} without it{known}. A \
                 minimum order or a price break has {} more bought, so what is paid may be the same without it: \
                 rollwright compare JOB --set shelf=none tells.",
                counted(more, "roll", "rolls")
            ),
            _ => format!(
                "{thickness}: the shelf {verdict}: {with_it} to buy with it, {without_it} without it{known}."
            ),
        })
    };
    plan.nests.iter().enumerate().filter_map(saving).collect()
}

/// Kits open over time as runs of equal numbers: first pull, how many pulls, how many kits.
#[must_use]
pub fn open_runs(plan: &Plan, demand: &Demand) -> Vec<(u64, u64, u64)> {
    let mut runs: Vec<(u64, u64, u64)> = Vec::new();
    for (open, time) in open_kits(plan, demand).into_iter().zip(1..) {
        match runs.last_mut().filter(|run| run.2 == open) {
            Some(run) => run.1 += 1,
            None => runs.push((time, 1, open)),
        }
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::WithoutShelf;
    use crate::plan::sample;
    use crate::units::Decimal;

    #[test]
    fn what_the_shelf_saves_is_told_as_money_where_the_price_counts() {
        let told = |objective: Objective, [with, without, bound]: [i64; 3]| {
            let mut plan = sample::plan(4, 2);
            let nest = &mut plan.nests[0];
            let [value, bound] = [without, bound].map(Decimal::from_millionths);
            (nest.objective, nest.value) = (objective, Decimal::from_millionths(with));
            nest.without_shelf = Some(WithoutShelf { value, bound });
            savings(&plan)[0].clone()
        };
        assert_eq!(
            told(Objective::Price, [1_013_800_000, 1_400_050_000, 800_000_000]),
            "5 mm: the shelf may save 386.25 at list price: 1013.80 to buy with it, 1400.05 without it as far as \
             was looked (less, down to 800.00, is not ruled out; rollwright compare JOB --set shelf=none looks longer)."
        );
        assert_eq!(
            told(Objective::Rolls, [4_000_000, 4_000_000, 3_000_000]),
            "5 mm: the shelf saves nothing as far as was looked: 4 to buy with it, 4 without it."
        );
        // Some of it is sure.
        let words = told(Objective::Rolls, [4_000_000, 6_000_000, 5_000_000]);
        assert!(words.starts_with("5 mm: the shelf saves up to 2 rolls: 4 to buy"), "{words}");
        assert!(words.contains("(less, down to 5, is not ruled out"), "{words}");
        assert_eq!(
            told(Objective::Rolls, [4_000_000, 5_000_000, 5_000_000]),
            "5 mm: the shelf saves 1 roll: 4 to buy with it, 5 without it."
        );
    }
}
