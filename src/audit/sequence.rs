//! The order of cutting, from the plan's own rolls and pieces alone.
//!
//! Steps: every pull of every roll is cut once, on each roll from its front; every placement goes to
//! a use of its piece, and every use gets as many as it needs; then the figures are counted anew:
//! the most kits open at once, settings of the knives, changes of the roll, and pulls that are cut
//! while an earlier release waits, which a hard rule forbids.

use super::{Courses, Failures, Rule};
use crate::plan::wanted::Wanted;
use crate::plan::{Piece, Plan, Pull, Roll, Sequence, Step};
use crate::rules::Releases;
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

pub(super) fn check(
    plan: &Plan,
    wanted: &[Wanted],
    courses: Option<&Courses<'_>>,
    failures: &mut Failures,
) {
    let Some(sequence) = &plan.sequence else {
        failures.unless(courses.is_none(), Rule::Sequence, || {
            "The plan of a job lacks the order of cutting.".to_owned()
        });
        return;
    };
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
    if let Err(sentence) = every_pull_once(plan, sequence) {
        failures.add(Rule::Sequence, sentence);
        return;
    }
    match served(plan, sequence, &pieces) {
        Err(sentence) => failures.add(Rule::Sequence, sentence),
        Ok(served) => figures(plan, sequence, &served, (&pieces, wanted), courses, failures),
    }
}

fn pull_of<'p>(plan: &'p Plan, step: &Step) -> Option<(&'p Roll, &'p Pull)> {
    let roll = plan.rolls.get(step.roll)?;
    Some((roll, roll.pulls.get(step.pull)?))
}

fn every_pull_once(plan: &Plan, sequence: &Sequence) -> Result<(), String> {
    let mut next: BTreeMap<(usize, u64), usize> = BTreeMap::new();
    for (number, step) in sequence.steps.iter().enumerate() {
        let known = pull_of(plan, step).is_some_and(|(r, _)| (1..=r.copies).contains(&step.copy));
        if !known {
            return Err(format!("Step {} of the order of cutting names no pull.", number + 1));
        }
        let due = next.entry((step.roll, step.copy)).or_insert(0);
        if *due != step.pull {
            return Err(format!(
                "Step {} of the order of cutting takes pull {} of a roll whose next is pull {}.",
                number + 1,
                step.pull + 1,
                *due + 1
            ));
        }
        *due += 1;
    }
    let all: u128 = plan.rolls.iter().map(|r| u128::from(r.copies) * r.pulls.len() as u128).sum();
    if sequence.steps.len() as u128 == all {
        Ok(())
    } else {
        Err(format!("The order of cutting has {} steps for {all} pulls.", sequence.steps.len()))
    }
}

/// A kit: release and item.
type Kit<'a> = (u32, &'a str);

/// For each step the kits that it yields pieces for.
fn served<'p>(
    plan: &'p Plan,
    sequence: &Sequence,
    pieces: &BTreeMap<&str, &'p Piece>,
) -> Result<Vec<BTreeSet<Kit<'p>>>, String> {
    let mut given: BTreeMap<(&str, usize), u64> = BTreeMap::new();
    let mut all = Vec::with_capacity(sequence.steps.len());
    for (number, step) in sequence.steps.iter().enumerate() {
        let Some((_, pull)) = pull_of(plan, step) else { continue };
        if step.uses.len() != pull.placements.len() {
            return Err(format!("Step {} does not say where all its pieces go.", number + 1));
        }
        let mut kits = BTreeSet::new();
        for (place, used) in pull.placements.iter().zip(&step.uses) {
            let Some(at) = used else { continue };
            let piece = pieces.get(place.piece.as_str());
            let Some((piece, used)) = piece.and_then(|p| Some((p, p.uses.get(*at)?))) else {
                let code = &place.piece;
                return Err(format!("Step {} sends piece `{code}` nowhere.", number + 1));
            };
            *given.entry((piece.piece.as_str(), *at)).or_default() += 1;
            kits.insert((used.release, used.item.as_str()));
        }
        all.push(kits);
    }
    for piece in &plan.pieces {
        for (at, used) in piece.uses.iter().enumerate() {
            let got = given.get(&(piece.piece.as_str(), at)).copied().unwrap_or(0);
            if got != used.quantity {
                return Err(format!(
                    "The order of cutting gives `{}` {got} of piece `{}` where it needs {}.",
                    used.id, piece.piece, used.quantity
                ));
            }
        }
    }
    Ok(all)
}

fn figures(
    plan: &Plan,
    sequence: &Sequence,
    served: &[BTreeSet<Kit<'_>>],
    (pieces, wanted): (&BTreeMap<&str, &Piece>, &[Wanted]),
    courses: Option<&Courses<'_>>,
    failures: &mut Failures,
) {
    let mut span: BTreeMap<Kit<'_>, (usize, usize)> = BTreeMap::new();
    for (time, kits) in served.iter().enumerate() {
        for kit in kits {
            span.entry(*kit).or_insert((time, time)).1 = time;
        }
    }
    let begun = |item: &str| wanted.iter().any(|sheet| sheet.begun.contains(item));
    let mut from_the_start = 0;
    for (_, (first, _)) in span.iter_mut().filter(|((_, item), _)| begun(item)) {
        *first = 0;
        from_the_start += 1;
    }
    let most = most_at_once(span.values().copied(), served.len());
    let widest = served.iter().map(BTreeSet::len).max().unwrap_or(0).max(from_the_start);
    failures.unless(sequence.open_kits as usize == most, Rule::Sequence, || {
        format!("The most kits open at once are given as {}, but are {most}.", sequence.open_kits)
    });
    let bound = sequence.open_kits_bound as usize;
    failures.unless((widest..=most).contains(&bound), Rule::Sequence, || {
        format!("The bound of open kits, {bound}, does not lie between {widest} and {most}.")
    });
    let knives: Vec<(usize, Vec<i64>)> = sequence
        .steps
        .iter()
        .map(|step| {
            let found = pull_of(plan, step);
            found.map_or((0, Vec::new()), |(r, pull)| (r.nest, knives(pull, pieces)))
        })
        .collect();
    let setups = 1 + knives.windows(2).filter(|two| two[0] != two[1]).count() as u64;
    let rolls: Vec<(usize, u64)> = sequence.steps.iter().map(|s| (s.roll, s.copy)).collect();
    let changes = 1 + rolls.windows(2).filter(|two| two[0] != two[1]).count() as u64;
    let (setups, changes) = if served.is_empty() { (0, 0) } else { (setups, changes) };
    failures.unless(sequence.setups == setups, Rule::Sequence, || {
        format!("Settings of the knives are given as {}, but are {setups}.", sequence.setups)
    });
    failures.unless(sequence.roll_changes == changes, Rule::Sequence, || {
        format!("Changes of the roll are given as {}, but are {changes}.", sequence.roll_changes)
    });
    let keeps = |roll: &Roll| {
        let gap = wanted.get(roll.nest).map_or(Length::ZERO, |sheet| sheet.cutting.gap);
        keeps_its_order(roll, gap)
    };
    let fixed: Vec<bool> = plan.rolls.iter().map(keeps).collect();
    let late = late(&rolls, &fixed, served, &span);
    failures.unless(sequence.late == late, Rule::Sequence, || {
        format!("Pulls cut too early are given as {}, but are {late}.", sequence.late)
    });
    let hard = courses.is_some_and(|courses| courses.releases == Releases::Hard);
    failures.unless(!hard || late == 0, Rule::Sequence, || {
        format!("{late} pulls are cut while an earlier release waits, which the rules forbid.")
    });
}

/// The most spans that hold one time, of so many; each reaches from its first time to its last.
fn most_at_once(spans: impl Iterator<Item = (usize, usize)>, times: usize) -> usize {
    // What opens at each time, and what has closed before it.
    let mut changes = vec![(0_usize, 0_usize); times.saturating_add(1)];
    for (first, last) in spans {
        changes[first].0 += 1;
        changes[last + 1].1 += 1;
    }
    let mut open = 0;
    let after = changes.into_iter().map(|(opened, closed)| {
        open = open + opened - closed;
        open
    });
    after.max().unwrap_or(0)
}

/// Where across the roll pieces begin and end.
fn knives(pull: &Pull, pieces: &BTreeMap<&str, &Piece>) -> Vec<i64> {
    let mut places = BTreeSet::new();
    for place in &pull.placements {
        let Some(piece) = pieces.get(place.piece.as_str()) else { continue };
        let sideways = place.turn.quarter_turns().is_some_and(|q| q % 2 == 1);
        let width = if sideways { piece.length } else { piece.width };
        places.extend([place.x.nm(), (place.x + width).nm()]);
    }
    places.into_iter().collect()
}

/// Whether the pulls of a roll cannot change places: not so where what lies between them is the same everywhere
/// and no less than the gap.
fn keeps_its_order(roll: &Roll, gap: Length) -> bool {
    let mut between = roll.pulls.windows(2).map(|two| two[1].y - (two[0].y + two[0].length));
    let Some(first) = between.next() else { return false };
    first < gap || between.any(|other| other != first)
}

/// Pulls that yield for later releases only while an earlier one waits, but for those on a roll that keeps its
/// order with a pull behind them which yields for it.
fn late(
    rolls: &[(usize, u64)],
    fixed: &[bool],
    served: &[BTreeSet<Kit<'_>>],
    span: &BTreeMap<Kit<'_>, (usize, usize)>,
) -> u64 {
    let mut late = 0;
    let mut waiting: Vec<(usize, u32)> = span.iter().map(|(k, (_, last))| (*last, k.0)).collect();
    waiting.sort_unstable();
    let mut behind: BTreeMap<(usize, u64), u32> = BTreeMap::new();
    let mut least = u32::MAX;
    for time in (0..served.len()).rev() {
        while waiting.last().is_some_and(|(last, _)| *last >= time) {
            least = waiting.pop().map_or(least, |(_, release)| least.min(release));
        }
        let yields = served[time].first().map_or(0, |kit| kit.0);
        let further = behind.get(&rolls[time]).copied().unwrap_or(u32::MAX);
        let in_the_way = further <= least && fixed.get(rolls[time].0).copied().unwrap_or(false);
        if yields > least && !in_the_way {
            late += 1;
        }
        behind.insert(rolls[time], further.min(yields));
    }
    late
}

#[cfg(test)]
mod tests {
    use super::{late, most_at_once};
    use proptest::prelude::*;
    use std::collections::{BTreeMap, BTreeSet};

    /// Release 2 in front of release 1 on one roll: late where the two could change places.
    #[test]
    fn what_lies_in_front_is_late_where_it_could_lie_behind() {
        let served = [BTreeSet::from([(2, "B")]), BTreeSet::from([(1, "A")])];
        let span = BTreeMap::from([((2, "B"), (0, 0)), ((1, "A"), (1, 1))]);
        let told = [false, true].map(|fixed| late(&[(0, 1), (0, 1)], &[fixed], &served, &span));
        assert_eq!(told, [1, 0]);
        let two_rolls = late(&[(0, 1), (0, 2)], &[true], &served, &span);
        assert_eq!(two_rolls, 1, "the other copy is not in its way");
    }

    #[test]
    fn spans_that_end_and_begin_at_one_time_are_both_open() {
        assert_eq!(most_at_once([(0, 2), (2, 3), (4, 4)].into_iter(), 5), 2);
        assert_eq!(most_at_once(std::iter::empty(), 0), 0);
    }

    proptest! {
        /// Against the definition: at each time the spans that hold it are counted.
        #[test]
        fn spans_are_counted_as_defined(spans in prop::collection::vec((0_usize..30, 0_usize..30), 0..40)) {
            let spans: Vec<(usize, usize)> =
                spans.into_iter().map(|(a, b)| (a.min(b), a.max(b))).collect();
            let open = |time: usize| spans.iter().filter(|(a, b)| *a <= time && time <= *b).count();
            let most = (0..30).map(open).max().unwrap_or(0);
            prop_assert_eq!(most_at_once(spans.into_iter(), 30), most);
        }
    }
}
