//! Kits and tickets by number, as they are written on paper and pieces.
//!
//! A kit is all that one item needs. Kits are numbered by release, then in the order in which they are
//! begun; a plan that goes on keeps the numbers of the one before, as their bags are begun, and numbers
//! what is new behind them. Tickets are numbered anew in every plan, so their names say which plan's
//! they are: `T1` of the first, `T1r2` of the second.

use super::file::{LEFT, Piece, Plan, Use};
use std::collections::BTreeMap;

/// When a kit is cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct KitSpan {
    /// When the site wants it, smallest first.
    pub release: u32,
    /// The pull with which it is begun, in the order of cutting, from 1.
    pub first: u64,
    /// The pull with which it is whole.
    pub last: u64,
}

/// What a ticket is called: `T12`, from the second plan of a job on with the plan's number, `T12r2`.
#[must_use]
pub fn ticket_name(number: u64, revision: u32) -> String {
    if revision > 1 { format!("T{number}r{revision}") } else { format!("T{number}") }
}

impl Plan {
    /// Which plan of the job this is, from 1.
    #[must_use]
    pub fn revision(&self) -> u32 {
        self.already.as_ref().map_or(1, |already| already.revision)
    }

    /// What one of its tickets is called.
    #[must_use]
    pub fn ticket_name(&self, number: u64) -> String {
        ticket_name(number, self.revision())
    }

    /// What the offcut of this number among those that a ticket keeps, from 0, is called on ticket and label.
    #[must_use]
    pub fn left_name(&self, ticket: u64, at: usize) -> String {
        format!("{}{LEFT}{}", self.ticket_name(ticket), at + 1)
    }

    /// What its tickets of these numbers are called, one behind another.
    #[must_use]
    pub fn ticket_names(&self, numbers: &[u64]) -> String {
        numbers.iter().map(|&number| self.ticket_name(number)).collect::<Vec<_>>().join(" ")
    }

    /// The numbers of its tickets by layout, which are its rolls from 0, in order.
    #[must_use]
    pub fn tickets_by_layout(&self) -> BTreeMap<usize, Vec<u64>> {
        let mut tickets: BTreeMap<usize, Vec<u64>> = BTreeMap::new();
        for ((roll, _), number) in self.tickets() {
            tickets.entry(roll).or_default().push(number);
        }
        for numbers in tickets.values_mut() {
            numbers.sort_unstable();
        }
        tickets
    }

    /// Calls `each` with every piece that goes to a kit, in the order of cutting: the pull's number from 1,
    /// the ticket's, the piece and its use.
    pub fn walk<'p>(&'p self, mut each: impl FnMut(u64, u64, (&'p Piece, &'p Use))) {
        let pieces: BTreeMap<&str, &Piece> =
            self.pieces.iter().map(|p| (p.piece.as_str(), p)).collect();
        let tickets = self.tickets();
        for (step, time) in self.sequence.iter().flat_map(|s| &s.steps).zip(1..) {
            let ticket = tickets.get(&(step.roll, step.copy)).copied().unwrap_or_default();
            let pull = self.rolls.get(step.roll).and_then(|roll| roll.pulls.get(step.pull));
            let places = pull.map_or(&[][..], |pull| &pull.placements);
            for (place, used) in places.iter().zip(&step.uses) {
                let piece = pieces.get(place.piece.as_str());
                let found = piece.zip(*used).and_then(|(p, at)| Some((*p, p.uses.get(at)?)));
                if let Some(found) = found {
                    each(time, ticket, found);
                }
            }
        }
    }

    /// For each item with a piece in the order of cutting, when its kit is cut.
    #[must_use]
    pub fn kit_spans(&self) -> BTreeMap<&str, KitSpan> {
        let mut spans: BTreeMap<&str, KitSpan> = BTreeMap::new();
        self.walk(|time, _, (_, used)| {
            let release = used.release;
            let span = spans.entry(used.item.as_str()).or_insert(KitSpan {
                release,
                first: time,
                last: time,
            });
            span.last = time;
        });
        spans
    }

    /// Numbers of the kits by item: those that earlier plans gave, then what is new.
    #[must_use]
    pub fn kits(&self) -> BTreeMap<&str, u64> {
        let given = self.already.iter().flat_map(|already| &already.kits);
        let mut numbers: BTreeMap<&str, u64> = given.map(|(i, &n)| (i.as_str(), n)).collect();
        let mut fresh: Vec<(u32, u64, &str)> = self
            .kit_spans()
            .into_iter()
            .filter(|(item, _)| !numbers.contains_key(item))
            .map(|(item, span)| (span.release, span.first, item))
            .collect();
        fresh.sort_unstable();
        let last = numbers.values().copied().max().unwrap_or(0);
        numbers.extend(fresh.into_iter().zip(last + 1..).map(|((_, _, item), n)| (item, n)));
        numbers
    }
}

#[cfg(test)]
mod tests {
    use crate::plan::{Already, sample};

    #[test]
    fn a_new_kit_has_the_number_behind_the_last_that_was_given() {
        let mut plan = sample::plan(1, 1);
        assert_eq!(plan.kits(), [("item-0", 1)].into());
        let kits = [("before".to_owned(), 3)].into();
        plan.already = Some(Already { kits, ..Already::default() });
        assert_eq!(plan.kits(), [("before", 3), ("item-0", 4)].into());
    }
}
