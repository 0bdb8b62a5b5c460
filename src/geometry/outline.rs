//! Closed outlines of flat pieces.
//!
//! An [`Outline`] is a simple polygon: at least three corners, no repeated or crossing edges,
//! positive area, counter-clockwise, its bounding box's lower left corner at the origin.

use super::rect::{Point, Rect};
use crate::units::{Area, Length};
use serde::{Deserialize, Serialize};
use std::cmp::Ordering;

/// What makes a list of corners no outline.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum OutlineError {
    /// Fewer than three different corners.
    #[error("an outline needs at least three different corners")]
    TooFewCorners,
    /// Nothing inside.
    #[error("the outline encloses no area")]
    NoArea,
    /// Edges that cross or run over each other.
    #[error("edges {} and {} of the outline cross or run over each other", .0 + 1, .1 + 1)]
    Crossing(usize, usize),
}

/// A simple closed polygon, counter-clockwise, with its bounding box at the origin.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(try_from = "Vec<Point>", into = "Vec<Point>")]
pub struct Outline(Vec<Point>);

impl Outline {
    /// Checks, orients and moves a list of corners (closed without repeating the first).
    ///
    /// # Errors
    /// Says why the corners are no outline; edges count from 0 (in words, from 1) in the order given, after
    /// repeated corners are dropped.
    pub fn new(mut corners: Vec<Point>) -> Result<Self, OutlineError> {
        corners.dedup();
        while corners.len() > 1 && corners.first() == corners.last() {
            corners.pop();
        }
        if corners.len() < 3 {
            return Err(OutlineError::TooFewCorners);
        }
        if corners.windows(3).all(|c| twice_area(c) == 0) {
            return Err(OutlineError::NoArea);
        }
        if let Some((a, b)) = first_crossing(&corners) {
            return Err(OutlineError::Crossing(a, b));
        }
        match twice_area(&corners).cmp(&0) {
            Ordering::Equal => return Err(OutlineError::NoArea),
            Ordering::Less => corners.reverse(),
            Ordering::Greater => {}
        }
        let corner = lower_left(&corners);
        for point in &mut corners {
            *point = Point::new(point.x - corner.x, point.y - corner.y);
        }
        Ok(Self(corners))
    }

    /// The corners, counter-clockwise.
    #[must_use]
    pub fn corners(&self) -> &[Point] {
        &self.0
    }

    /// The enclosed area (rounded down to a whole square nanometre).
    #[must_use]
    pub fn area(&self) -> Area {
        Area::from_nm2(twice_area(&self.0) / 2)
    }

    /// Size of the bounding box across and along the roll.
    #[must_use]
    pub fn size(&self) -> (Length, Length) {
        let upper = self
            .0
            .iter()
            .fold(Point::default(), |far, p| Point::new(far.x.max(p.x), far.y.max(p.y)));
        (upper.x, upper.y)
    }

    /// The bounding box.
    #[must_use]
    pub fn bounds(&self) -> Rect {
        let (width, length) = self.size();
        Rect { x: Length::ZERO, y: Length::ZERO, width, length }
    }

    /// Turned counter-clockwise by whole quarter turns, its bounding box back at the origin.
    #[must_use]
    pub fn quarter_turned(&self, quarters: u8) -> Self {
        let mut corners: Vec<Point> = self.0.iter().map(|p| p.quarter_turned(quarters)).collect();
        let corner = lower_left(&corners);
        for point in &mut corners {
            *point = Point::new(point.x - corner.x, point.y - corner.y);
        }
        Self(corners)
    }
}

impl TryFrom<Vec<Point>> for Outline {
    type Error = OutlineError;
    fn try_from(corners: Vec<Point>) -> Result<Self, OutlineError> {
        Self::new(corners)
    }
}

impl From<Outline> for Vec<Point> {
    fn from(outline: Outline) -> Self {
        outline.0
    }
}

fn lower_left(corners: &[Point]) -> Point {
    let mut all = corners.iter();
    let first = all.next().copied().unwrap_or_default();
    all.fold(first, |low, p| Point::new(low.x.min(p.x), low.y.min(p.y)))
}

/// Twice the signed area (shoelace formula); positive when counter-clockwise.
fn twice_area(corners: &[Point]) -> i128 {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).map(|(p, q)| Point::default().cross(*p, *q)).sum()
}

/// One of a point's coordinates.
type Axis = fn(&Point) -> Length;

/// The first pair of edges that are no neighbours and share a point. Of two neighbours that fold back, the shorter
/// one ends on the longer, and the edge that goes on from there touches it.
///
/// Edges go by where they begin along the outline's longer side, and each is held against those that begin before it
/// ends there, if they meet it across as well.
fn first_crossing(corners: &[Point]) -> Option<(usize, usize)> {
    let n = corners.len();
    let span = |of: Axis| {
        let all = corners.iter().map(of);
        all.clone().max().unwrap_or_default() - all.min().unwrap_or_default()
    };
    let upright = span(|p| p.y) > span(|p| p.x);
    let (along, across): (Axis, Axis) =
        if upright { (|p| p.y, |p| p.x) } else { (|p| p.x, |p| p.y) };
    let reach = |of: Axis, (a, b): &(Point, Point)| {
        let (a, b) = (of(a), of(b));
        (a.min(b), a.max(b))
    };
    let edge = |i: usize| (corners[i], corners[(i + 1) % n]);
    let begins = |i: usize| {
        let (from, to) = reach(along, &edge(i));
        (from, to, i)
    };
    let mut edges: Vec<(Length, Length, usize)> = (0..n).map(begins).collect();
    edges.sort_unstable();
    let mut first = None;
    for (at, &(_, to, one)) in edges.iter().enumerate() {
        let (low, high) = reach(across, &edge(one));
        for &(_, _, other) in edges[at + 1..].iter().take_while(|(from, ..)| *from <= to) {
            let (i, j) = (one.min(other), one.max(other));
            let ((a, b), (c, d)) = (edge(one), edge(other));
            let beside = reach(across, &(c, d));
            let neighbours = j == i + 1 || (i == 0 && j == n - 1);
            let earlier = first.is_none_or(|first| (i, j) < first);
            if !neighbours && earlier && beside.0 <= high && beside.1 >= low && touches(a, b, c, d)
            {
                first = Some((i, j));
            }
        }
    }
    first
}

/// Whether the closed segments `ab` and `cd` share a point.
fn touches(a: Point, b: Point, c: Point, d: Point) -> bool {
    let side = |p: Point, q: Point, r: Point| p.cross(q, r).signum();
    let within = |p: Point, q: Point, r: Point| {
        r.x >= p.x.min(q.x) && r.x <= p.x.max(q.x) && r.y >= p.y.min(q.y) && r.y <= p.y.max(q.y)
    };
    let (s1, s2, s3, s4) = (side(a, b, c), side(a, b, d), side(c, d, a), side(c, d, b));
    (s1 * s2 < 0 && s3 * s4 < 0)
        || (s1 == 0 && within(a, b, c))
        || (s2 == 0 && within(a, b, d))
        || (s3 == 0 && within(c, d, a))
        || (s4 == 0 && within(c, d, b))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn points(corners: &[(i64, i64)]) -> Vec<Point> {
        let mm = Length::from_mm;
        corners.iter().map(|&(x, y)| Point::new(mm(x), mm(y))).collect()
    }

    #[test]
    fn a_triangle_is_moved_and_oriented() {
        // Area of a triangle: half of base times height.
        let outline = Outline::new(points(&[(10, 10), (60, 90), (110, 10)])).unwrap();
        assert_eq!(outline.area(), Area::of_rectangle(Length::from_mm(100), Length::from_mm(40)));
        assert_eq!(outline.size(), (Length::from_mm(100), Length::from_mm(80)));
        assert_eq!(outline.quarter_turned(1).size(), (Length::from_mm(80), Length::from_mm(100)));
        assert_eq!(outline.quarter_turned(1).quarter_turned(3).area(), outline.area());
    }

    #[test]
    fn what_is_no_outline_is_refused() {
        assert_eq!(Outline::new(points(&[(0, 0), (1, 1)])), Err(OutlineError::TooFewCorners));
        assert_eq!(
            Outline::new(points(&[(0, 0), (10, 10), (10, 0), (0, 10)])),
            Err(OutlineError::Crossing(0, 2))
        );
        assert!(Outline::new(points(&[(0, 0), (5, 0), (10, 0)])).is_err());
        // Touching itself in one corner counts as crossing.
        assert!(
            Outline::new(points(&[(0, 0), (4, 0), (4, 4), (2, 0), (0, 4)])).is_err(),
            "a corner on another edge"
        );
        // By hand: an edge that runs back over half, all and more of the one before it, whichever is listed first.
        for back in [5, 0, -5] {
            let mut spike = points(&[(0, 0), (10, 0), (back, 0), (back, 8), (-2, 8)]);
            for first in 0..5 {
                let found = Outline::new(spike.clone());
                assert!(matches!(found, Err(OutlineError::Crossing(..))), "{back} from {first}");
                spike.rotate_left(1);
            }
        }
    }

    /// Every pair, one by one.
    fn crossing_by_all_pairs(corners: &[Point]) -> Option<(usize, usize)> {
        let n = corners.len();
        let edge = |i: usize| (corners[i], corners[(i + 1) % n]);
        let pairs = (0..n).flat_map(|i| (i + 1..n).map(move |j| (i, j)));
        let apart = |&(i, j): &(usize, usize)| j != i + 1 && (i, j) != (0, n - 1);
        pairs.filter(apart).find(|&(i, j)| {
            let ((a, b), (c, d)) = (edge(i), edge(j));
            touches(a, b, c, d)
        })
    }

    proptest::proptest! {
        /// On a small grid corners fall on edges, edges on edges, and many cross.
        #[test]
        fn the_first_crossing_is_that_of_all_pairs(
            corners in proptest::collection::vec((0_i64..9, 0_i64..30), 3..12),
        ) {
            let mut corners = points(&corners);
            corners.dedup();
            proptest::prop_assert_eq!(first_crossing(&corners), crossing_by_all_pairs(&corners));
        }

        /// Rings around a middle, most of which do not cross.
        #[test]
        fn rings_cross_as_by_all_pairs(
            far in proptest::collection::vec(1_i32..2000, 3..60), tall in proptest::bool::ANY,
        ) {
            let n = far.len();
            let corner = |(at, &far): (usize, &i32)| {
                let share = f64::from(u16::try_from(at).unwrap()) / f64::from(u16::try_from(n).unwrap());
                let angle = std::f64::consts::TAU * share;
                let (x, y) = (f64::from(far) * angle.cos(), f64::from(far) * angle.sin());
                let nm = |mm: f64| Length::from_mm_f64_nearest(mm).unwrap();
                if tall { Point::new(nm(x / 50.0), nm(y)) } else { Point::new(nm(x), nm(y)) }
            };
            let corners: Vec<Point> = far.iter().enumerate().map(corner).collect();
            proptest::prop_assert_eq!(first_crossing(&corners), crossing_by_all_pairs(&corners));
        }
    }
}
