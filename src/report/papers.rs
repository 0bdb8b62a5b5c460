//! What the shop's papers are made from, made once for all of them: tickets, kit lists, labels and their square
//! codes.

use super::pdf::legible;
use super::sources::Sources;
use super::ticket::{self, KitList, Label, Ticket};
use super::ticket_page::Square;
use crate::plan::Plan;
use crate::units::{Measure, SheetSize};
use rayon::prelude::*;
use std::collections::BTreeSet;

/// What stands on the shop's papers.
pub struct Papers {
    /// The job, which of its plans this is, and the plan's mark.
    pub plan: String,
    /// The tickets, in the order in which rolls are begun.
    pub tickets: Vec<Ticket>,
    /// The kit lists.
    pub kits: Vec<KitList>,
    /// The labels, each with its square code; without one where no code holds its identity.
    pub labels: Vec<(Label, Option<Square>)>,
    /// In what they give lengths; labels have no room to say that all are rounded, and mark each.
    pub measure: Measure,
    /// What they are printed on.
    pub sheet: SheetSize,
}

impl Papers {
    /// Those of a plan.
    #[must_use]
    pub fn of(plan: &Plan, sources: &Sources<'_>) -> Self {
        let tickets = ticket::tickets(plan, sources);
        let with_square = |label: Label| {
            let square = Square::of(&label.identity);
            (label, square)
        };
        // A code's best mask takes most of the time that a label takes.
        let labels = ticket::labels(plan, &tickets, sources);
        let labels = labels.into_par_iter().map(with_square).collect();
        let (kits, measure) = (ticket::kits(plan, sources), sources.measure);
        let plan = ticket::plan_in_words(plan);
        Self { plan, tickets, kits, labels, measure, sheet: sources.sheet }
    }
}

/// Names that stand on the shop's papers and cannot be read in their PDF files, as no face there has all of their
/// letters: of the job, its items with their areas and lines, its rolls and where they lie. Each stands once.
#[must_use]
pub fn illegible(plan: &Plan, sources: &Sources<'_>) -> Vec<String> {
    let used = plan.pieces.iter().flat_map(|piece| &piece.uses);
    let items = used.filter_map(|used| sources.item(&used.item));
    let of_items = items.flat_map(|item| [item.id.clone(), item.area.clone(), item.line.clone()]);
    let of_rolls = plan.rolls.iter().flat_map(|roll| {
        let lies = sources.taken_from(plan, roll);
        [Some(roll.roll.clone()), lies].into_iter().flatten()
    });
    let mut seen = BTreeSet::new();
    let all = std::iter::once(plan.name.clone()).chain(of_items).chain(of_rolls);
    all.filter(|name| seen.insert(name.clone()) && !legible(name)).collect()
}
