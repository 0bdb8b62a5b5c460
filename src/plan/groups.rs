//! Like pulls put together: drawn once, counted.
//!
//! Two pulls are alike when they are cut from the same thickness and roll width, are equally long,
//! hold the same pieces at the same places, and are cut alike: one that ends with its roll needs no cross-cut.
//! Groups are ordered by thickness, roll width, and length, the longest first, and numbered from 1 in that
//! order. That is the number of a drawing, and of the file that shows it; a pull's own number is its place in
//! the order of cutting.

use super::{Cut, CutKind, Plan, Pull, Step};
use crate::units::{Angle, Length, in_runs};
use std::cmp::{Ordering, Reverse};
use std::collections::BTreeMap;

/// Like pulls.
#[derive(Clone, Debug)]
pub struct Group<'a> {
    /// Index into the plan's nests.
    pub nest: usize,
    /// Nominal width of the roll.
    pub width: Length,
    /// One of them.
    pub pull: &'a Pull,
    /// Its layout, and its place in it.
    pub at: (usize, usize),
    /// How many there are on all rolls.
    pub count: u64,
    /// Layouts that hold some of them, counted from 0, each once and in order.
    pub layouts: Vec<usize>,
    /// Their numbers in the order of cutting, from 1; none where the plan has no such order.
    pub pulls: Vec<u64>,
    /// The numbers of the tickets that they stand on.
    pub tickets: Vec<u64>,
}

impl Group<'_> {
    /// The pulls in the order of cutting, those in a row as one: `3`, `7 to 9`.
    #[must_use]
    pub fn pulls_in_words(&self) -> Vec<String> {
        in_runs(&self.pulls)
    }
}

/// For each pull in the order of cutting the number of its drawing, from 1.
#[must_use]
pub fn drawings(plan: &Plan) -> Vec<u64> {
    Groups::of(plan).drawings(plan)
}

/// The groups of a plan, and for every layout the group of each of its pulls, in order.
#[derive(Clone, Debug)]
pub struct Groups<'a> {
    /// The groups.
    pub groups: Vec<Group<'a>>,
    /// For each layout, the groups of its pulls.
    pub of_layout: Vec<Vec<usize>>,
}

/// What makes pulls alike, in the order of the numbering.
type Likeness<'a> =
    (usize, Reverse<Length>, Reverse<Length>, Vec<(Length, Length, &'a str, Angle)>, Cuts<'a>);

/// The cuts of a pull, places along the roll counted from its near end.
#[derive(Clone, Copy, Debug)]
struct Cuts<'a>(&'a Pull);

/// A cut: its kind, from and to, across and along, and what it frees.
type Key<'a> = (CutKind, [Length; 4], Option<&'a str>);

impl<'a> Cuts<'a> {
    fn keys(self) -> impl Iterator<Item = Key<'a>> {
        let near = self.0.y;
        let key = move |cut: &'a Cut| {
            let places = [cut.from.x, cut.from.y - near, cut.to.x, cut.to.y - near];
            (cut.kind, places, cut.piece.as_deref())
        };
        self.0.cuts.iter().map(key)
    }
}

impl Ord for Cuts<'_> {
    fn cmp(&self, other: &Self) -> Ordering {
        self.keys().cmp(other.keys())
    }
}

impl PartialOrd for Cuts<'_> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Cuts<'_> {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Cuts<'_> {}

fn likeness(nest: usize, width: Length, pull: &Pull) -> Likeness<'_> {
    let mut places: Vec<_> =
        pull.placements.iter().map(|p| (p.x, p.y - pull.y, p.piece.as_str(), p.turn)).collect();
    places.sort_unstable();
    (nest, Reverse(width), Reverse(pull.length), places, Cuts(pull))
}

impl<'a> Groups<'a> {
    /// Puts a plan's pulls together.
    #[must_use]
    pub fn of(plan: &'a Plan) -> Self {
        let mut alike: BTreeMap<Likeness<'a>, Vec<(usize, usize)>> = BTreeMap::new();
        for (layout, roll) in plan.rolls.iter().enumerate() {
            for (number, pull) in roll.pulls.iter().enumerate() {
                let key = likeness(roll.nest, roll.width, pull);
                alike.entry(key).or_default().push((layout, number));
            }
        }
        let mut groups = Vec::with_capacity(alike.len());
        let mut of_layout: Vec<Vec<usize>> =
            plan.rolls.iter().map(|roll| vec![0; roll.pulls.len()]).collect();
        for (index, places) in alike.into_values().enumerate() {
            let mut layouts: Vec<usize> = Vec::new();
            let mut count = 0;
            for &(layout, number) in &places {
                of_layout[layout][number] = index;
                count += plan.rolls[layout].copies;
                if layouts.last() != Some(&layout) {
                    layouts.push(layout);
                }
            }
            let Some(&at) = places.first() else { continue };
            let roll = &plan.rolls[at.0];
            let (nest, width, pull) = (roll.nest, roll.width, &roll.pulls[at.1]);
            let (pulls, tickets) = (Vec::new(), Vec::new());
            groups.push(Group { nest, width, pull, at, count, layouts, pulls, tickets });
        }
        let mut all = Self { groups, of_layout };
        let numbers = plan.tickets();
        let steps = plan.sequence.iter().flat_map(|sequence| &sequence.steps);
        for ((step, drawing), number) in steps.zip(all.drawings(plan)).zip(1..) {
            let at = usize::try_from(drawing).unwrap_or(0).wrapping_sub(1);
            let Some(group) = all.groups.get_mut(at) else { continue };
            group.pulls.push(number);
            group.tickets.extend(numbers.get(&(step.roll, step.copy)));
        }
        for group in &mut all.groups {
            group.tickets.sort_unstable();
            group.tickets.dedup();
        }
        all
    }

    /// As [`drawings`].
    #[must_use]
    pub fn drawings(&self, plan: &Plan) -> Vec<u64> {
        let steps = plan.sequence.iter().flat_map(|sequence| &sequence.steps);
        let group = |step: &Step| {
            self.of_layout.get(step.roll).and_then(|layout| layout.get(step.pull)).copied()
        };
        steps.map(|step| group(step).map_or(0, |at| at as u64 + 1)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::sample;

    /// A pull that ends with its roll has no cross-cut: it does not stand for those that have to be cut off.
    #[test]
    fn pulls_that_are_cut_otherwise_are_drawn_apart() {
        let mut plan = sample::plan(40, 3);
        let before = Groups::of(&plan).groups.len();
        let last = plan.rolls.iter_mut().filter_map(|roll| roll.pulls.last_mut());
        let crossed = |pull: &&mut Pull| pull.cuts.iter().any(|cut| cut.kind == CutKind::Cross);
        let pull = last.filter(crossed).last().expect("a pull with a cross-cut");
        pull.cuts.retain(|cut| cut.kind != CutKind::Cross);
        let groups = Groups::of(&plan);
        assert!(groups.groups.len() >= before);
        for (roll, of) in plan.rolls.iter().zip(&groups.of_layout) {
            for (pull, &group) in roll.pulls.iter().zip(of) {
                let crosses =
                    |pull: &Pull| pull.cuts.iter().filter(|cut| cut.kind == CutKind::Cross).count();
                assert_eq!(crosses(pull), crosses(groups.groups[group].pull));
            }
        }
    }

    #[test]
    fn groups_count_every_pull_once() {
        let plan = sample::plan(40, 3);
        let groups = Groups::of(&plan);
        let pulls: u64 = plan.rolls.iter().map(|r| r.copies * r.pulls.len() as u64).sum();
        assert_eq!(groups.groups.iter().map(|g| g.count).sum::<u64>(), pulls);
        assert!(groups.groups.len() < plan.rolls.iter().map(|r| r.pulls.len()).sum());
        for (roll, of) in plan.rolls.iter().zip(&groups.of_layout) {
            for (pull, &group) in roll.pulls.iter().zip(of) {
                let group = &groups.groups[group];
                assert_eq!(
                    likeness(roll.nest, roll.width, pull),
                    likeness(group.nest, group.width, group.pull)
                );
            }
        }
    }
}
