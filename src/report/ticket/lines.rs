//! Where the straight cuts of a pull run, to set knife and rule by.
//!
//! What the plan calls a rip or a cross-cut and what it calls a trim is the same to who cuts: each makes
//! an edge of a piece. So every straight cut along the roll is a rip here, the edge trims among them,
//! and every one across it inside the pull a cross-cut. Spans that meet on one line are one cut.

use super::Ticket;
use crate::plan::set_out::{Ruler, Rulers};
use crate::plan::{CutKind, Pull};
use crate::units::{Length, Measure};
use std::collections::BTreeMap;

/// A straight cut.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Line {
    /// Of a rip from the roll's left edge as it comes, before the edge trim; of a cross-cut from the
    /// pull's near end.
    pub at: Length,
    /// From where to where, measured the other way, when it does not run right through the pull.
    pub part: Option<(Length, Length)>,
    /// Whether it only takes the roll's own edge off.
    pub edge: bool,
}

/// The cuts along the roll, edge trims included, from left to right.
#[must_use]
pub fn rips(
    pull: &Pull,
    width: Length,
    edge_trim: Length,
    Rulers { across: x, along: y }: &Rulers,
) -> Vec<Line> {
    let straight = pull.cuts.iter().filter(|c| c.kind != CutKind::Outline);
    let along = straight.filter(|c| c.from.x == c.to.x && c.from.y != c.to.y);
    let spans = along.map(|c| {
        let (from, to) = (c.from.y.min(c.to.y), c.from.y.max(c.to.y));
        (c.from.x, (from - pull.y, to - pull.y))
    });
    let edges = [edge_trim, width - edge_trim];
    let all = lines(spans, (Length::ZERO, pull.length), &edges).into_iter();
    all.map(|line| line.set_out(x, y)).collect()
}

/// The cuts across the roll inside the pull, from its near end; those that square and free it left out.
#[must_use]
pub fn crosses(
    pull: &Pull,
    width: Length,
    edge_trim: Length,
    Rulers { across: x, along: y }: &Rulers,
) -> Vec<Line> {
    let straight = pull.cuts.iter().filter(|c| c.kind != CutKind::Outline);
    let across = straight
        .filter(|c| c.from.y == c.to.y && c.from.y > pull.y && c.from.y < pull.y + pull.length);
    let spans = across.map(|c| (c.from.y - pull.y, (c.from.x.min(c.to.x), c.from.x.max(c.to.x))));
    let all = lines(spans, (edge_trim, width - edge_trim), &[]).into_iter();
    all.map(|line| line.set_out(y, x)).collect()
}

impl Line {
    /// Where it is set out: on the ruler that it is measured by, from where to where on the other.
    #[must_use]
    pub fn set_out(self, at: &Ruler, part: &Ruler) -> Self {
        let along = |(from, to)| (part.at(from), part.at(to));
        Self { at: at.at(self.at), part: self.part.map(along), ..self }
    }
}

/// Spans on lines, put together; `through` is what a cut that runs right through covers.
fn lines(
    spans: impl Iterator<Item = (Length, (Length, Length))>,
    through: (Length, Length),
    edges: &[Length],
) -> Vec<Line> {
    let mut by_place: BTreeMap<Length, Vec<(Length, Length)>> = BTreeMap::new();
    for (at, span) in spans {
        by_place.entry(at).or_default().push(span);
    }
    let mut all = Vec::new();
    for (at, mut spans) in by_place {
        spans.sort_unstable();
        let mut joined: Vec<(Length, Length)> = Vec::new();
        for (from, to) in spans {
            match joined.last_mut().filter(|last| from <= last.1) {
                Some(last) => last.1 = last.1.max(to),
                None => joined.push((from, to)),
            }
        }
        all.extend(joined.into_iter().map(|span| {
            let whole = span.0 <= through.0 && span.1 >= through.1;
            Line { at, part: (!whole).then_some(span), edge: edges.contains(&at) }
        }));
    }
    all
}

/// Places of cuts in words: `5 (edge trim), 1150, 1315 (only from 0 to 500)`. A part of a line is left out where a
/// whole one is set out at the same place: free layouts have edges of pieces nanometres beside the trim.
#[must_use]
pub fn places_in_words(lines: &[Line], measure: Measure) -> String {
    let whole: Vec<String> = lines
        .iter()
        .filter(|line| line.part.is_none())
        .map(|line| measure.words(line.at))
        .collect();
    let one = |line: &Line| {
        let edge = if line.edge { " (edge trim)" } else { "" };
        let part = line.part.map_or_else(String::new, |(from, to)| {
            format!(" (only from {} to {})", measure.words(from), measure.words(to))
        });
        format!("{}{edge}{part}", measure.words(line.at))
    };
    let twice = |line: &&Line| line.part.is_some() && whole.contains(&measure.words(line.at));
    lines.iter().filter(|line| !twice(line)).map(one).collect::<Vec<_>>().join(", ")
}

/// Where running dimensions along the roll count from, for every form of the ticket.
#[must_use]
pub fn counted_from(ticket: &Ticket) -> &'static str {
    match (ticket.squared, ticket.square_cut.is_positive()) {
        (true, _) => {
            "running dimensions from the roll's front, which the cut before has left square"
        }
        (false, true) => "running dimensions from the roll's front before the square cut",
        (false, false) => "running dimensions from the roll's front",
    }
}

/// Where rips are measured from, and what that means where the edge is trimmed; for every form of the
/// ticket.
#[must_use]
pub fn rips_from(edge_trim: Length, measure: Measure) -> String {
    if edge_trim.is_positive() {
        let trim = measure.up(edge_trim);
        format!(
            "rips from the roll's left edge as it comes, before {trim} is trimmed off: the first strip \
             begins at {trim}"
        )
    } else {
        "rips from the roll's left edge".to_owned()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;
    use crate::plan::Cut;

    fn mm(n: i64) -> Length {
        Length::from_mm(n)
    }

    fn in_words(lines: &[Line]) -> String {
        places_in_words(lines, Measure::Millimetres)
    }

    /// A pull from 50 to 896 on a roll of 1500 mm.
    fn pull(cuts: &[(CutKind, [i64; 4])]) -> Pull {
        let cut = |&(kind, [x, y, u, v]): &(CutKind, [i64; 4])| Cut {
            kind,
            from: Point::new(mm(x), mm(y)),
            to: Point::new(mm(u), mm(v)),
            piece: None,
        };
        let cuts = cuts.iter().map(cut).collect();
        Pull { y: mm(50), length: mm(846), placements: Vec::new(), cuts }
    }

    /// The pull of the cold trial: a piece of 1440 on 1490 usable, whose right edge was called a trim.
    #[test]
    fn a_trim_that_makes_an_edge_is_a_rip() {
        let pull = pull(&[
            (CutKind::Cross, [0, 896, 1500, 896]),
            (CutKind::Trim, [5, 50, 5, 896]),
            (CutKind::Trim, [1495, 50, 1495, 896]),
            (CutKind::Trim, [1445, 50, 1445, 896]),
        ]);
        let rips = rips(&pull, mm(1500), mm(5), &Rulers::default());
        assert_eq!(in_words(&rips), "5 (edge trim), 1445, 1495 (edge trim)");
        assert!(crosses(&pull, mm(1500), mm(5), &Rulers::default()).is_empty());
    }

    #[test]
    fn a_cut_through_part_of_the_pull_says_which() {
        let pull = pull(&[
            (CutKind::Cross, [0, 896, 1500, 896]),
            (CutKind::Cross, [0, 350, 1500, 350]),
            (CutKind::Rip, [600, 50, 600, 350]),
            (CutKind::Rip, [700, 350, 700, 896]),
            (CutKind::Trim, [900, 50, 900, 350]),
            (CutKind::Trim, [900, 350, 900, 896]),
            (CutKind::Trim, [700, 850, 900, 850]),
        ]);
        let rips = rips(&pull, mm(1500), Length::ZERO, &Rulers::default());
        let words = "600 (only from 0 to 300), 700 (only from 300 to 846), 900";
        assert_eq!(in_words(&rips), words);
        let crosses = crosses(&pull, mm(1500), Length::ZERO, &Rulers::default());
        assert_eq!(in_words(&crosses), "300, 800 (only from 700 to 900)");
    }

    #[test]
    fn a_part_beside_a_whole_line_is_set_out_once() {
        let line = |nm: i64, part, edge| Line { at: Length::from_nm(nm), part, edge };
        let part = Some((Length::ZERO, mm(300)));
        let lines = [
            line(5_000_003, part, false),
            line(5_000_000, None, true),
            line(700_000_000, part, false),
            line(700_000_003, Some((mm(300), mm(600))), false),
        ];
        let words = "5 (edge trim), 700 (only from 0 to 300), 700 (only from 300 to 600)";
        assert_eq!(in_words(&lines), words);
    }

    #[test]
    fn the_front_of_a_pull_is_no_cut_inside_it() {
        let pull = pull(&[(CutKind::Trim, [0, 50, 1500, 50])]);
        assert!(crosses(&pull, mm(1500), Length::ZERO, &Rulers::default()).is_empty());
    }
}
