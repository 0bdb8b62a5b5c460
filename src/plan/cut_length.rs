//! How long the cuts are: what a knife goes along, each place once. The one definition of cut metres,
//! for price, tickets, order of cutting, drawings and summary.
//!
//! * The square cut of a roll's front counts once a roll, as long as the roll is wide.
//! * Every listed straight cut (cross-cuts, rips, trims) counts; where two run along one line, their
//!   common part counts once.
//! * The outline of a piece that is cut round counts where no straight cut runs; an edge that two pieces
//!   share counts once. Edges on the pull's border are no cuts: that is the roll's edge, or a
//!   straight cut that is counted.
//!
//! Steps for a pull: straight cuts first, then the edges of pieces that are cut round; of each counts what no
//! earlier one has cut ([`Once`]). The root of each part is rounded down to a nanometre.

use super::file::{Cut, CutKind, Piece, Placement, Plan, Pull, Roll};
use super::once::Once;
use crate::geometry::Point;
use crate::units::Length;
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Length of cuts.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CutLength {
    /// Along straight cuts from edge to edge, square cuts among them.
    pub straight: Length,
    /// Along outlines, beyond these.
    pub outline: Length,
}

impl CutLength {
    /// Both.
    #[must_use]
    pub fn all(self) -> Length {
        self.straight + self.outline
    }
}

/// Measures the cuts of a plan's pulls.
#[derive(Clone, Debug)]
pub struct Lengths<'a> {
    pieces: BTreeMap<&'a str, &'a Piece>,
}

impl<'a> Lengths<'a> {
    /// Of this plan.
    #[must_use]
    pub fn of(plan: &'a Plan) -> Self {
        Self::of_pieces(&plan.pieces)
    }

    fn of_pieces(pieces: &'a [Piece]) -> Self {
        Self { pieces: pieces.iter().map(|p| (p.piece.as_str(), p)).collect() }
    }

    /// The cuts of a pull off a roll of this width, without the roll's square cut.
    #[must_use]
    pub fn of_pull(&self, pull: &Pull, width: Length) -> CutLength {
        let mut once = Once::default();
        let mut length = CutLength::default();
        let (round, straight): (Vec<&Cut>, Vec<&Cut>) =
            pull.cuts.iter().partition(|cut| cut.kind == CutKind::Outline);
        for cut in straight {
            length.straight += once.length(cut.from, cut.to);
        }
        for cut in round {
            let edges = match &cut.piece {
                Some(name) => self.round(pull, cut, name, width),
                None => vec![(cut.from, cut.to)],
            };
            for (p, q) in edges {
                length.outline += once.length(p, q);
            }
        }
        length
    }

    /// The square cut of a roll's front; nothing where the rules ask for none.
    #[must_use]
    pub fn square(width: Length, square_cut: Length) -> Length {
        if square_cut.is_positive() { width } else { Length::ZERO }
    }

    /// The edges of a piece that is cut round, but for those on the border of the pull off a roll of this width.
    #[must_use]
    pub fn round(&self, pull: &Pull, cut: &Cut, name: &str, width: Length) -> Vec<(Point, Point)> {
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
        let (near, far) = (pull.y, pull.y + pull.length);
        let border = |p: Point, q: Point| {
            (p.x == q.x && (p.x == Length::ZERO || p.x == width))
                || (p.y == q.y && (p.y == near || p.y == far))
        };
        let next = corners.iter().copied().cycle().skip(1);
        corners.iter().copied().zip(next).filter(|&(p, q)| !border(p, q)).collect()
    }
}

/// The cuts of all pulls of a plan, measured once for all its papers.
#[derive(Clone, Debug)]
pub struct Measured<'a> {
    plan: &'a Plan,
    /// By layout, and by pull.
    pulls: Arc<[Vec<CutLength>]>,
}

impl<'a> Measured<'a> {
    /// Of this plan.
    #[must_use]
    pub fn of(plan: &'a Plan) -> Self {
        let lengths = Lengths::of(plan);
        let of_roll = |roll: &Roll| {
            roll.pulls.iter().map(|pull| lengths.of_pull(pull, roll.width)).collect::<Vec<_>>()
        };
        let pulls: Vec<Vec<CutLength>> = plan.rolls.par_iter().map(of_roll).collect();
        Self { plan, pulls: pulls.into() }
    }

    /// Whether it is of this very plan.
    #[must_use]
    pub fn is_of(&self, plan: &Plan) -> bool {
        std::ptr::eq(self.plan, plan)
    }

    /// The cuts of a pull, by layout and place in it, without the roll's square cut; nothing where there is none.
    #[must_use]
    pub fn of_pull(&self, layout: usize, pull: usize) -> CutLength {
        self.pulls.get(layout).and_then(|pulls| pulls.get(pull)).copied().unwrap_or_default()
    }

    /// All cuts of the rolls of a thickness, square cuts included.
    #[must_use]
    pub fn of_nest(&self, nest: usize, square_cut: Length) -> Length {
        let rolls = self.plan.rolls.iter().zip(self.pulls.iter());
        let rolls = rolls.filter(|(roll, _)| roll.nest == nest);
        rolls.map(|(roll, pulls)| of_roll(roll, pulls, square_cut)).sum()
    }
}

/// All cuts of rolls cut like this one, square cuts included.
fn of_roll(roll: &Roll, pulls: &[CutLength], square_cut: Length) -> Length {
    let copies = i64::try_from(roll.copies).unwrap_or(i64::MAX);
    let square = Lengths::square(roll.width, roll.square_cut(square_cut));
    (square + pulls.iter().map(|pull| pull.all()).sum()) * copies
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::Turns;
    use crate::geometry::Outline;
    use crate::units::{Angle, Money};

    fn mm(value: i64) -> Length {
        Length::from_mm(value)
    }

    /// By hand: of a rectangle in the far corner of its pull only the side of 40 mm towards the rest is cut.
    #[test]
    fn the_edges_of_the_blanket_are_not_cut() {
        let name = "r".to_owned();
        let pieces = [Piece {
            piece: name.clone(),
            nest: 0,
            width: mm(30),
            length: mm(40),
            outline: None,
            turns: Turns::none(),
            quantity: 1,
            uses: Vec::new(),
        }];
        let [from, to] = [(70, 50), (100, 90)].map(|(x, y)| Point::new(mm(x), mm(y)));
        let cut = Cut { kind: CutKind::Outline, from, to, piece: Some(name.clone()) };
        let place = Placement { piece: name, x: from.x, y: from.y, turn: Angle::ZERO };
        let pull = Pull { y: mm(50), length: mm(40), placements: vec![place], cuts: vec![cut] };
        let lengths = Lengths::of_pieces(&pieces);
        let outline = |width| lengths.of_pull(&pull, mm(width)).outline;
        assert_eq!((outline(100), outline(110)), (mm(40), mm(80)));
    }

    #[test]
    fn a_cut_that_two_pieces_share_is_counted_once() {
        // Two right triangles 30 x 40 (hypotenuse 50, Euclid I.47) make a rectangle on a pull
        // 100 wide and 40 long: cross-cut 100, rip at 30 of 40, and the hypotenuse once.
        let corners = [(0, 0), (30, 0), (0, 40)].map(|(x, y)| Point::new(mm(x), mm(y)));
        let outline = Outline::new(corners.to_vec()).unwrap();
        let pieces = [Piece {
            piece: "t".to_owned(),
            nest: 0,
            width: mm(30),
            length: mm(40),
            outline: Some(outline),
            turns: Turns::Only(vec![Angle::ZERO, Angle::from_degrees(180)]),
            quantity: 2,
            uses: Vec::new(),
        }];
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
        let lengths = Lengths::of_pieces(&pieces);
        let one = CutLength { straight: mm(140), outline: mm(50) };
        assert_eq!(lengths.of_pull(&pull, mm(100)), one);
        // Without the rip the triangles' legs along it are cut with their outlines; listed edge by
        // edge they are as long.
        let mut bare = pull.clone();
        bare.cuts.remove(1);
        let cut = CutLength { straight: mm(100), outline: mm(40 + 50) };
        assert_eq!(lengths.of_pull(&bare, mm(100)), cut);
        bare.cuts.truncate(1);
        bare.cuts.extend([
            straight(CutKind::Outline, (0, 90), (30, 50)),
            straight(CutKind::Outline, (30, 50), (30, 90)),
        ]);
        assert_eq!(lengths.of_pull(&bare, mm(100)), cut);
        let roll = Roll {
            squared: false,
            roll: "R".to_owned(),
            nest: 0,
            width: mm(100),
            length: Some(mm(1000)),
            price: Money::ZERO,
            shelf: false,
            copies: 3,
            pulls: vec![pull],
            offcuts: Vec::new(),
        };
        assert_eq!(of_roll(&roll, &[one], mm(50)), mm(3 * (100 + 190)));
        assert_eq!(of_roll(&roll, &[one], mm(0)), mm(3 * 190));
    }
}
