//! How long the cuts are, each counted once.
//!
//! Steps for a pull: straight cuts, and the edges along and across the roll of pieces that are cut
//! round, are spans on lines; spans on one line that meet or overlap are one. Oblique edges that
//! two pieces share are one. Edges of curved pieces on the pull's own border are no cuts: that is the
//! roll's edge, or a straight cut that is counted. The root of each oblique edge is rounded down to a nanometre.

use crate::geometry::Point;
use crate::plan::{Cut, CutKind, Piece, Placement, Plan, Pull, Roll};
use crate::units::Length;
use std::collections::{BTreeMap, BTreeSet};

/// Measures the cuts of a plan's pulls.
pub struct Lengths<'a> {
    pieces: BTreeMap<&'a str, &'a Piece>,
}

impl<'a> Lengths<'a> {
    /// Of this plan.
    #[must_use]
    pub fn of(plan: &'a Plan) -> Self {
        Self { pieces: plan.pieces.iter().map(|p| (p.piece.as_str(), p)).collect() }
    }

    /// The length of the cuts of a pull off a roll of this width.
    #[must_use]
    pub fn of_pull(&self, pull: &Pull, width: Length) -> Length {
        let mut lines = Lines::default();
        let (near, far) = (pull.y, pull.y + pull.length);
        let border = |p: Point, q: Point| {
            (p.x == q.x && (p.x == Length::ZERO || p.x == width))
                || (p.y == q.y && (p.y == near || p.y == far))
        };
        for cut in &pull.cuts {
            match (cut.kind, &cut.piece) {
                (CutKind::Outline, Some(name)) => {
                    let edges = self.round(pull, cut, name).into_iter();
                    edges.filter(|&(p, q)| !border(p, q)).for_each(|(p, q)| lines.add(p, q));
                }
                _ => lines.add(cut.from, cut.to),
            }
        }
        lines.length()
    }

    /// The length of all cuts of rolls cut like this one, square cuts included.
    #[must_use]
    pub fn of_roll(&self, roll: &Roll, square_cut: Length) -> Length {
        let square = if square_cut.is_positive() { roll.width } else { Length::ZERO };
        let pulls: Length = roll.pulls.iter().map(|pull| self.of_pull(pull, roll.width)).sum();
        (square + pulls) * i64::try_from(roll.copies).unwrap_or(i64::MAX)
    }

    /// The edges of a piece that is cut round.
    fn round(&self, pull: &Pull, cut: &Cut, name: &str) -> Vec<(Point, Point)> {
        let Some(piece) = self.pieces.get(name) else { return Vec::new() };
        // Like pieces at one corner differ in their turn: each takes its own, in order.
        let alike = |c: &&Cut| c.piece.as_deref() == Some(name) && c.from == cut.from;
        let before = pull.cuts.iter().take_while(|c| !std::ptr::eq(*c, cut)).filter(alike).count();
        let here = |p: &&Placement| p.piece == name && Point::new(p.x, p.y) == cut.from;
        let Some(place) = pull.placements.iter().filter(here).nth(before) else {
            return Vec::new();
        };
        let corners = match &piece.outline {
            Some(outline) => place.corners(outline),
            None => vec![
                cut.from,
                Point::new(cut.to.x, cut.from.y),
                cut.to,
                Point::new(cut.from.x, cut.to.y),
            ],
        };
        let next = corners.iter().copied().cycle().skip(1);
        corners.iter().copied().zip(next).collect()
    }
}

/// Cuts, each once.
#[derive(Default)]
struct Lines {
    across: BTreeMap<Length, Vec<(Length, Length)>>,
    along: BTreeMap<Length, Vec<(Length, Length)>>,
    oblique: BTreeSet<(Point, Point)>,
}

impl Lines {
    fn add(&mut self, p: Point, q: Point) {
        let (p, q) = (p.min(q), p.max(q));
        if p.y == q.y {
            self.across.entry(p.y).or_default().push((p.x, q.x));
        } else if p.x == q.x {
            self.along.entry(p.x).or_default().push((p.y, q.y));
        } else {
            self.oblique.insert((p, q));
        }
    }

    fn length(self) -> Length {
        let straight: Length =
            self.across.into_values().chain(self.along.into_values()).map(joined).sum();
        let oblique: Length = self.oblique.iter().map(|(p, q)| p.distance(*q)).sum();
        straight + oblique
    }
}

/// The length that spans on one line cover together.
fn joined(mut spans: Vec<(Length, Length)>) -> Length {
    spans.sort_unstable();
    let (mut total, mut reached) = (Length::ZERO, None);
    for (from, to) in spans {
        let from = reached.map_or(from, |reached: Length| from.max(reached));
        if to > from {
            total += to - from;
        }
        reached = Some(reached.map_or(to, |reached| to.max(reached)));
    }
    total
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::Turns;
    use crate::geometry::Outline;
    use crate::report::sample;
    use crate::units::Angle;

    fn mm(value: i64) -> Length {
        Length::from_mm(value)
    }

    #[test]
    fn a_cut_that_two_pieces_share_is_counted_once() {
        // Two right triangles 30 x 40 (hypotenuse 50, Euclid I.47) make a rectangle on a pull
        // 100 wide and 40 long: cross-cut 100, rip at 30 of 40, and the hypotenuse once.
        let corners = [(0, 0), (30, 0), (0, 40)].map(|(x, y)| Point::new(mm(x), mm(y)));
        let outline = Outline::new(corners.to_vec()).unwrap();
        let mut plan = sample::plan(2, 1);
        plan.pieces[0] = Piece {
            piece: "t".to_owned(),
            nest: 0,
            width: mm(30),
            length: mm(40),
            outline: Some(outline),
            turns: Turns::Only(vec![Angle::ZERO, Angle::from_degrees(180)]),
            quantity: 2,
            uses: Vec::new(),
        };
        let straight = |kind, from: (i64, i64), to: (i64, i64)| Cut {
            kind,
            from: Point::new(mm(from.0), mm(from.1)),
            to: Point::new(mm(to.0), mm(to.1)),
            piece: None,
        };
        let round =
            Cut { piece: Some("t".to_owned()), ..straight(CutKind::Outline, (0, 50), (30, 90)) };
        let place = |turn| Placement { piece: "t".to_owned(), x: mm(0), y: mm(50), turn };
        let pull = Pull {
            y: mm(50),
            length: mm(40),
            placements: vec![place(Angle::ZERO), place(Angle::from_degrees(180))],
            cuts: vec![
                straight(CutKind::Cross, (0, 90), (100, 90)),
                straight(CutKind::Trim, (30, 50), (30, 90)),
                round.clone(),
                round,
            ],
        };
        assert_eq!(Lengths::of(&plan).of_pull(&pull, mm(100)), mm(100 + 40 + 50));
        let roll = Roll { width: mm(100), copies: 3, pulls: vec![pull], ..plan.rolls[0].clone() };
        let all = Lengths::of(&plan).of_roll(&roll, mm(50));
        assert_eq!(all, mm(3 * (100 + 190)));
    }
}
