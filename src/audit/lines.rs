//! Cuts and edges as spans on lines: those on one line that meet are one.

use super::polygon::Corner;
use std::collections::{BTreeMap, BTreeSet};
use std::ops::{Bound, Range};

/// Spans by the place of their line, in nanometres.
type ByPlace = BTreeMap<i64, Vec<(i64, i64)>>;

/// Spans on lines across and along the roll, and oblique ones.
#[derive(Default)]
pub(super) struct Lines {
    across: ByPlace,
    along: ByPlace,
    oblique: BTreeSet<(Corner, Corner)>,
}

impl Lines {
    /// Adds what lies between two corners, the lesser first.
    pub(super) fn add(&mut self, p: Corner, q: Corner) {
        if p.1 == q.1 {
            self.across.entry(p.1).or_default().push((p.0, q.0));
        } else if p.0 == q.0 {
            self.along.entry(p.0).or_default().push((p.1, q.1));
        } else {
            self.oblique.insert((p, q));
        }
    }

    /// Joins spans that meet or overlap; asked for before anything is looked up.
    pub(super) fn join(&mut self) {
        for spans in self.across.values_mut().chain(self.along.values_mut()) {
            spans.sort_unstable();
            let mut joined: Vec<(i64, i64)> = Vec::new();
            for &(from, to) in spans.iter() {
                match joined.last_mut() {
                    Some(last) if from <= last.1 => last.1 = last.1.max(to),
                    _ => joined.push((from, to)),
                }
            }
            *spans = joined;
        }
    }

    /// Whether all between two corners is covered, the lesser first; of an oblique line, whether it is
    /// there from corner to corner.
    pub(super) fn cover(&self, p: Corner, q: Corner) -> bool {
        let on = |lines: &ByPlace, at: i64, span: Range<i64>| {
            lines.get(&at).is_some_and(|spans| reaches(spans, &span))
        };
        if p.1 == q.1 {
            on(&self.across, p.1, p.0..q.0)
        } else if p.0 == q.0 {
            on(&self.along, p.0, p.1..q.1)
        } else {
            self.oblique.contains(&(p, q))
        }
    }

    /// The places inside a range along the roll at which a span across it is covered.
    pub(super) fn across_through(
        &self,
        inside: Range<i64>,
        span: Range<i64>,
    ) -> impl Iterator<Item = i64> {
        through(&self.across, inside, span)
    }

    /// The places inside a range across the roll at which a span along it is covered.
    pub(super) fn along_through(
        &self,
        inside: Range<i64>,
        span: Range<i64>,
    ) -> impl Iterator<Item = i64> {
        through(&self.along, inside, span)
    }
}

fn through(lines: &ByPlace, inside: Range<i64>, span: Range<i64>) -> impl Iterator<Item = i64> {
    // An empty range has no inside, and a map would not take it.
    let end = inside.end.max(inside.start.saturating_add(1));
    let within = lines.range((Bound::Excluded(inside.start), Bound::Excluded(end)));
    within.filter(move |(_, spans)| reaches(spans, &span)).map(|(&at, _)| at)
}

/// Whether one of some joined spans covers another.
fn reaches(joined: &[(i64, i64)], span: &Range<i64>) -> bool {
    let behind = joined.partition_point(|(from, _)| *from <= span.start);
    behind.checked_sub(1).is_some_and(|at| span.end <= joined[at].1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn spans_that_meet_cover_as_one() {
        let mut lines = Lines::default();
        for (from, to) in [(50, 90), (0, 20), (20, 40)] {
            lines.add((from, 7), (to, 7));
            lines.add((7, from), (7, to));
        }
        lines.add((0, 0), (3, 4));
        lines.join();
        for swap in [false, true] {
            let at = |x: i64, y: i64| if swap { (y, x) } else { (x, y) };
            let cover = |from: i64, to: i64, on: i64| lines.cover(at(from, on), at(to, on));
            assert!(cover(0, 40, 7) && cover(10, 30, 7) && cover(50, 90, 7));
            assert!(!cover(0, 41, 7) && !cover(30, 60, 7) && !cover(-1, 5, 7) && !cover(0, 5, 8));
        }
        assert!(lines.cover((0, 0), (3, 4)) && !lines.cover((0, 0), (6, 8)));
        let through = |inside: Range<i64>, span: Range<i64>| -> Vec<i64> {
            lines.across_through(inside.clone(), span.clone()).collect::<Vec<_>>()
        };
        assert_eq!(through(0..10, 5..40), [7]);
        assert!(through(7..10, 5..40).is_empty() && through(0..7, 5..40).is_empty());
        assert!(through(0..10, 5..41).is_empty() && through(9..9, 0..1).is_empty());
    }
}
