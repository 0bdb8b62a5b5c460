//! Patterns that price out.
//!
//! Prices come scaled to whole numbers. One call gives many patterns that differ:
//! 1. a short search over all kinds, keeping its last improvements;
//! 2. for each kind that the patterns so far hold less than twice, the best that a few nodes find
//!    among the patterns that hold it;
//! 3. only if nothing was found: the best pattern through every kind in short bins, labels in long
//!    ones, and the plain table where there are too many labels. Then the most that any pattern is
//!    worth is known exactly.
//!
//! Many diverse patterns a call: da Silva and Schouery, INFORMS J. on Computing (2025), section 5.

use super::effort::Effort;
use crate::nest::knapsack::{Counts, Kind, Search, Table, best_through, cells_through, label};
use std::collections::BTreeSet;

/// Nodes of the first, short search.
const SHORT: u64 = 1_500;
/// Nodes for the patterns that hold a given kind.
const FORCED: u64 = 120;
/// Improvements kept of the first search.
const KEPT: usize = 4;
/// Cells up to which the best pattern through each kind is computed.
const MOST_THROUGH: u64 = 6_000_000;
/// Labels kept at most.
const MOST_LABELS: usize = 8_000_000;
/// Largest table, in cells.
const MOST_CELLS: u64 = 1_500_000_000;
/// Nodes where even the table is too large.
const LONGEST: u64 = 200_000_000;

/// What pricing found.
#[derive(Clone, Debug, Default)]
pub(super) struct Priced {
    /// Patterns worth more than the threshold.
    pub patterns: Vec<Counts>,
    /// A value that no pattern exceeds, if that is proven.
    pub most: Option<i64>,
}

/// Patterns for one bin worth more than `threshold`: by a short search, then by the first of the tables that is
/// small enough, or else by a long search.
pub(super) fn price(
    kinds: &[Kind],
    capacity: i64,
    waste: Option<i64>,
    threshold: i64,
    effort: &Effort<'_>,
) -> Priced {
    effort.spend(kinds.len() as u64 / 50 + 1);
    let asked = Asked { kinds, capacity, waste, threshold, effort };
    let mut search = Search::new(kinds, capacity, waste);
    let mut kept = Kept { held: vec![0; kinds.len()], seen: BTreeSet::new() };
    let priced = asked.by_short_search(&mut search, &mut kept);
    if priced.most.is_some() || !priced.patterns.is_empty() {
        return priced;
    }
    asked
        .by_each_kind(&mut kept)
        .or_else(|| asked.by_labels(&mut kept))
        .or_else(|| asked.by_table())
        .unwrap_or_else(|| asked.by_long_search(&mut search))
}

/// A question to the pricing.
struct Asked<'a> {
    kinds: &'a [Kind],
    capacity: i64,
    /// The most that may be left over.
    waste: Option<i64>,
    /// Patterns must be worth more.
    threshold: i64,
    effort: &'a Effort<'a>,
}

/// Patterns kept so far.
struct Kept {
    /// How many of them have each kind.
    held: Vec<u32>,
    seen: BTreeSet<Counts>,
}

impl Kept {
    fn keep(&mut self, counts: Counts, patterns: &mut Vec<Counts>) {
        if self.seen.insert(counts.clone()) {
            for &(kind, _) in &counts {
                self.held[kind] += 1;
            }
            patterns.push(counts);
        }
    }
}

impl Asked<'_> {
    /// Branch and bound cut short, then one more for each kind that few patterns have.
    fn by_short_search(&self, search: &mut Search, kept: &mut Kept) -> Priced {
        let Self { kinds, threshold, effort, .. } = *self;
        let mut priced = Priced::default();
        let mut latest: Vec<Counts> = Vec::new();
        let verdict = search.run(threshold, SHORT, &mut |_, counts| latest.push(counts));
        effort.spend(verdict.nodes / 100 + 1);
        if verdict.complete {
            priced.most = Some(verdict.best);
            if latest.is_empty() {
                return priced;
            }
        }
        for counts in latest.into_iter().rev().take(KEPT) {
            kept.keep(counts, &mut priced.patterns);
        }
        for (number, kind) in kinds.iter().enumerate() {
            if kept.held[number] >= 2 || kind.price <= 0 || kind.limit == 0 {
                continue;
            }
            let mut last = None;
            let verdict =
                search.run_with(number, threshold, FORCED, &mut |_, counts| last = Some(counts));
            effort.spend(verdict.nodes / 100 + 1);
            if let Some(counts) = last {
                kept.keep(counts, &mut priced.patterns);
            }
        }
        priced
    }

    /// The best pattern with each kind, from tables over the capacity.
    fn by_each_kind(&self, kept: &mut Kept) -> Option<Priced> {
        let Self { kinds, capacity, waste, threshold, effort } = *self;
        if cells_through(kinds, capacity) > MOST_THROUGH {
            return None;
        }
        let through = best_through(kinds, capacity, waste.unwrap_or(capacity))?;
        effort.spend(cells_through(kinds, capacity) / 500 + 1);
        let most = through.iter().flatten().map(|best| best.0).max().unwrap_or(0);
        let mut priced = Priced { most: Some(most.max(threshold)), ..Priced::default() };
        let mut found: Vec<(i64, Counts)> =
            through.into_iter().flatten().filter(|best| best.0 > threshold).collect();
        found.sort_by(|one, other| other.0.cmp(&one.0).then(one.1.cmp(&other.1)));
        for (_, counts) in found {
            kept.keep(counts, &mut priced.patterns);
        }
        Some(priced)
    }

    /// Labels of sums that some kinds come to, where they are few.
    fn by_labels(&self, kept: &mut Kept) -> Option<Priced> {
        let Self { kinds, capacity, waste, threshold, effort } = *self;
        let labelled = label(kinds, capacity, waste, threshold, MOST_LABELS)?;
        effort.spend(labelled.made / 100 + 1);
        let most = labelled.patterns.first().map_or(threshold, |best| best.0);
        let mut priced = Priced { most: Some(most), ..Priced::default() };
        for (_, counts) in labelled.patterns {
            if priced.patterns.is_empty() || counts.iter().any(|count| kept.held[count.0] < 3) {
                kept.keep(counts, &mut priced.patterns);
            }
        }
        Some(priced)
    }

    /// The best pattern, from a table over the capacity.
    fn by_table(&self) -> Option<Priced> {
        let Self { kinds, capacity, waste, threshold, effort } = *self;
        let cells = Table::cells(kinds, capacity);
        if cells > MOST_CELLS {
            return None;
        }
        let table = Table::new(kinds, capacity, waste.is_some())?;
        effort.spend(cells / 500 + 1);
        let least = waste.map_or(0, |waste| capacity - waste);
        let (value, length) = table.best(least).unwrap_or((threshold, 0));
        let mut priced = Priced { most: Some(value.max(threshold)), ..Priced::default() };
        if value > threshold {
            priced.patterns.push(table.counts(length));
        }
        Some(priced)
    }

    /// Branch and bound for as long as can be waited for.
    fn by_long_search(&self, search: &mut Search) -> Priced {
        let mut last = None;
        let verdict = search.run(self.threshold, LONGEST, &mut |_, counts| last = Some(counts));
        self.effort.spend(verdict.nodes / 100 + 1);
        let most = verdict.complete.then_some(verdict.best);
        Priced { most, patterns: last.into_iter().collect() }
    }
}
