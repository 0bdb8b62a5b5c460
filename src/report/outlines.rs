//! Outlines of curved pieces as the drawings of pulls show them: each shape defined once and shown many
//! times, and an edge that neighbours share drawn once.
//!
//! Steps, for each drawn pull: the edges of its rectangular pieces count as drawn, since all boxes of a
//! pull are one line; curved pieces follow in their order, and of each what an earlier one has not
//! drawn is left ([`Once`]). A piece that keeps all its edges is its whole shape; another is its
//! shape without a line under the parts that are left. As a piece covers half the line that it leaves to
//! an earlier one, pieces are shown last first, and boxes after them.

use super::drawing::{ByName, box_of, curved, num, turned};
use crate::geometry::Point;
use crate::plan::groups::Group;
use crate::plan::{Once, Piece, Placement};
use crate::units::Angle;
use maud::{Markup, html};
use std::collections::BTreeMap;
use std::fmt::Write;

/// A curved piece as it is turned: its number in the plan, and the turn.
type Shape = (usize, Angle);

/// The shapes that pulls show.
#[derive(Debug, Default)]
pub struct Outlines {
    /// Whole outlines.
    whole: BTreeMap<Shape, String>,
    /// What is left of an outline where neighbours have drawn the rest, and its number among them.
    parts: BTreeMap<(Shape, String), usize>,
    /// For each pull, what its curved pieces show, in the order of its placements.
    shown: Vec<Vec<Shown>>,
}

/// What stands for a curved piece.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Shown {
    /// The piece is a box.
    Box,
    Whole(Shape),
    Part(Shape, usize),
}

impl Outlines {
    /// The shapes of these pulls.
    #[must_use]
    pub fn of(groups: &[Group<'_>], pieces: &ByName<'_>) -> Self {
        let mut outlines = Self::default();
        for group in groups {
            let shown = outlines.add(group, pieces);
            outlines.shown.push(shown);
        }
        outlines
    }

    fn add(&mut self, group: &Group<'_>, pieces: &ByName<'_>) -> Vec<Shown> {
        let places = &group.pull.placements;
        let piece = |place: &Placement| pieces.get(place.piece.as_str()).copied();
        let mut once = Once::default();
        for place in places {
            if let Some((_, piece)) = piece(place)
                && let Some(corners) = box_of(piece, place)
            {
                let _ = left_of(&corners, &mut once);
            }
        }
        let mut one = |place: &Placement| match piece(place) {
            Some((number, piece)) if curved(piece, place) => {
                self.shape((number, place.turn), piece, place, &mut once)
            }
            _ => Shown::Box,
        };
        places.iter().map(&mut one).collect()
    }

    fn shape(&mut self, shape: Shape, piece: &Piece, place: &Placement, once: &mut Once) -> Shown {
        self.whole.entry(shape).or_insert_with(|| {
            let corners = turned(piece, place).into_iter().map(|(x, y)| (tenths(x), tenths(-y)));
            path(&corners.collect::<Vec<_>>()) + "z"
        });
        let exact = piece.outline.as_ref().filter(|_| place.turn.quarter_turns().is_some());
        let Some(left) = exact.and_then(|outline| left_of(&place.corners(outline), once)) else {
            return Shown::Whole(shape);
        };
        let at = |p: &Point| (tenths((p.x - place.x).mm_f64()), tenths((place.y - p.y).mm_f64()));
        let lines = left.iter().map(|line| path(&line.iter().map(at).collect::<Vec<_>>()));
        let next = self.parts.len();
        Shown::Part(shape, *self.parts.entry((shape, lines.collect())).or_insert(next))
    }

    /// The definitions.
    #[must_use]
    pub fn definitions(&self) -> Markup {
        html! {
            @for (shape, line) in &self.whole { path.p id=(id(*shape)) d=(line) {} }
            @for ((shape, line), number) in &self.parts {
                g id={ "q" (number) } {
                    use.bare href={ "#" (id(*shape)) } {}
                    @if !line.is_empty() { path d=(line) {} }
                }
            }
        }
    }

    /// The curved pieces of a pull; `place` says where each of its placements lies.
    #[must_use]
    pub fn pieces(&self, pull: usize, place: impl Fn(usize) -> (f64, f64)) -> Markup {
        let shown = self.shown.get(pull).map_or(&[][..], Vec::as_slice);
        let name = |shown: &Shown| match *shown {
            Shown::Box => None,
            Shown::Whole(shape) => Some(id(shape)),
            Shown::Part(_, number) => Some(format!("q{number}")),
        };
        let named = shown.iter().enumerate().rev();
        html! {
            @for (at, name) in named.filter_map(|(at, shown)| Some((at, name(shown)?))) {
                @let (x, y) = place(at);
                use href={ "#" (name) } x=(num(x)) y=(num(y)) {}
            }
        }
    }
}

fn id((number, turn): Shape) -> String {
    format!("o{number}-{turn}")
}

/// What is left of a closed line, as lines without a gap; nothing where that is all of it. All of it
/// counts as drawn from now on.
fn left_of(corners: &[Point], once: &mut Once) -> Option<Vec<Vec<Point>>> {
    let mut whole = true;
    let mut lines: Vec<Vec<Point>> = Vec::new();
    let next = corners.iter().cycle().skip(1);
    for (&from, &to) in corners.iter().zip(next) {
        let parts = once.parts(from, to);
        whole &= parts == [(from, to)];
        for (from, to) in parts {
            match lines.last_mut() {
                Some(line) if line.last() == Some(&from) => line.push(to),
                _ => lines.push(vec![from, to]),
            }
        }
    }
    (!whole).then_some(lines)
}

/// Tenths of a millimetre, the nearest.
#[expect(clippy::cast_possible_truncation, reason = "a roll is shorter than 1e9 mm")]
fn tenths(mm: f64) -> i64 {
    (mm * 10.0).round() as i64
}

/// A line through points in tenths of a millimetre: the first as it is, the others from the one before.
fn path(points: &[(i64, i64)]) -> String {
    let mut out = String::new();
    let mut before = None;
    for &(x, y) in points {
        match before {
            None => {
                let _ = write!(out, "M{}", pair(x, y));
            }
            Some((a, b)) if (a, b) == (x, y) => {}
            Some((a, b)) => {
                let _ = write!(out, "l{}", pair(x - a, y - b));
            }
        }
        before = Some((x, y));
    }
    out
}

/// Two numbers, with nothing between them that is not needed.
fn pair(x: i64, y: i64) -> String {
    let one = |tenths: i64| {
        let (whole, rest) = (tenths.unsigned_abs() / 10, tenths.unsigned_abs() % 10);
        let sign = if tenths < 0 { "-" } else { "" };
        match (whole, rest) {
            (whole, 0) => format!("{sign}{whole}"),
            (0, rest) => format!("{sign}.{rest}"),
            (whole, rest) => format!("{sign}{whole}.{rest}"),
        }
    };
    let space = if y < 0 { "" } else { " " };
    format!("{}{space}{}", one(x), one(y))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Outline;
    use crate::plan::groups::Groups;
    use crate::plan::sample;
    use crate::units::Length;

    fn at(x: i64, y: i64) -> Point {
        Point::new(Length::from_mm(x), Length::from_mm(y))
    }

    /// The length of all lines, in millimetres: what is drawn of them.
    fn drawn(lines: &[Vec<Point>]) -> f64 {
        let pairs = lines.iter().flat_map(|line| line.windows(2));
        pairs.map(|p| libm::hypot((p[1].x - p[0].x).mm_f64(), (p[1].y - p[0].y).mm_f64())).sum()
    }

    #[test]
    fn a_shared_edge_is_left_to_the_first_of_two() {
        // A triangle, and the one that fills its box: the slanted edge of 50 is shared.
        let mut once = Once::default();
        assert_eq!(left_of(&[at(0, 0), at(30, 0), at(0, 40)], &mut once), None);
        let left = left_of(&[at(30, 0), at(30, 40), at(0, 40)], &mut once).unwrap();
        assert_eq!(left, [vec![at(30, 0), at(30, 40), at(0, 40)]]);
        assert!((drawn(&left) - 70.0).abs() < 1e-9);
        // All edges of a third lie on drawn ones.
        assert_eq!(left_of(&[at(0, 0), at(30, 0), at(0, 40)], &mut once), Some(Vec::new()));
    }

    #[test]
    fn a_part_is_shown_where_neighbours_share_and_the_whole_where_they_do_not() {
        let mut plan = sample::plan(9, 1);
        let triangle = |corners: Vec<Point>| Some(Outline::new(corners).unwrap());
        let (size, name) = ((Length::from_mm(300), Length::from_mm(400)), ["t", "u"]);
        let outlines = [
            triangle(vec![at(0, 0), at(300, 0), at(0, 400)]),
            triangle(vec![at(300, 0), at(300, 400), at(0, 400)]),
        ];
        for ((piece, name), outline) in plan.pieces.iter_mut().zip(name).zip(outlines) {
            (piece.piece, piece.outline) = (name.to_owned(), outline);
            (piece.width, piece.length) = size;
        }
        let roll = &mut plan.rolls[0];
        roll.pulls.truncate(1);
        let pull = &mut roll.pulls[0];
        let y = pull.y;
        let place = |piece: &str, x: i64, turn: i64| Placement {
            piece: piece.to_owned(),
            x: Length::from_mm(x),
            y,
            turn: Angle::from_degrees(turn),
        };
        pull.placements = vec![place("t", 0, 0), place("u", 0, 0), place("u", 700, 0)];
        plan.rolls.truncate(1);
        let groups = Groups::of(&plan);
        let pieces: ByName<'_> =
            plan.pieces.iter().enumerate().map(|(at, p)| (p.piece.as_str(), (at, p))).collect();
        let outlines = Outlines::of(&groups.groups, &pieces);
        let whole = |number| Shown::Whole((number, Angle::ZERO));
        let part = Shown::Part((1, Angle::ZERO), 0);
        assert_eq!(outlines.shown, [[whole(0), part, whole(1)]]);
        let told = outlines.definitions().into_string();
        assert!(
            told.contains("<path class=\"p\" id=\"o0-0\" d=\"M0 0l300 0l-300-400z\">"),
            "{told}"
        );
        // From its lower right corner up and to the left, without the slanted edge.
        assert!(
            told.contains("href=\"#o1-0\"") && told.contains("d=\"M300 0l0-400l-300 0\""),
            "{told}"
        );
        // The piece that draws the shared edge is shown after the one that leaves it out.
        let shown = outlines.pieces(0, |_| (0.0, 0.0)).into_string();
        assert!(shown.find("#q0") < shown.find("#o0-0"), "{shown}");
    }
}
