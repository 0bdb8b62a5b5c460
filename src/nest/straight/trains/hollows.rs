//! Hollows of a blank: the largest empty rectangles among the curved pieces in it.
//!
//! Steps:
//!
//! 1. Every outline is divided along its corners into trapezoids ([`Body`]).
//! 2. Lines across the blank, at all sides of outlines that lie across and at some of the other corners,
//!    divide the blank into stretches. Over each the pieces take spans across: those of their trapezoids
//!    there, rounded apart; what is left are free spans.
//! 3. Free spans that several stretches have in common are rectangles; those that cannot be made longer
//!    are kept.
//!
//! With a gap pieces are taken to be that much larger on all sides: nothing comes nearer, and beside
//! edges along and across that is the true distance. All is in whole nanometres and never too large;
//! between straight sides it is exact, beside slanted ones as fine as the lines.

use crate::geometry::Outline;
use crate::nest::slices::{self, Edge, edges, place};

/// Beside sides that lie across, at most so many lines.
const LINES: usize = 32;
/// At most so many hollows, the largest.
const MOST: usize = 40;

/// A rectangle: left, near, right, far, in nanometres.
pub(super) type Box4 = [i64; 4];

/// A stretch of a piece between two sides.
#[derive(Clone, Debug)]
struct Trapezoid {
    from: i64,
    to: i64,
    left: Edge,
    right: Edge,
}

/// A curved piece as it lies, its box at the origin.
#[derive(Clone, Debug)]
pub(super) struct Body {
    /// From its near end on.
    trapezoids: Vec<Trapezoid>,
    /// Where sides lie across.
    flat: Vec<i64>,
    /// Where corners lie.
    corners: Vec<i64>,
    /// Its box across and along.
    pub size: [i64; 2],
}

impl Body {
    /// Of an outline as it lies.
    pub fn of(outline: &Outline) -> Self {
        let points: Vec<(i64, i64)> =
            outline.corners().iter().map(|p| (p.x.nm(), p.y.nm())).collect();
        let sides = || points.iter().copied().zip(points.iter().copied().cycle().skip(1));
        let sorted = |mut all: Vec<i64>| {
            all.sort_unstable();
            all.dedup();
            all
        };
        let flat = sorted(sides().filter(|(p, q)| p.1 == q.1).map(|(p, _)| p.1).collect());
        let corners = sorted(points.iter().map(|p| p.1).collect());
        let edges = edges(&points);
        let mut trapezoids = Vec::new();
        for ends in corners.windows(2) {
            let (from, to) = (ends[0], ends[1]);
            let two = |two: &[&Edge]| Trapezoid { from, to, left: *two[0], right: *two[1] };
            trapezoids.extend(slices::sides(&edges, [from, to]).chunks_exact(2).map(two));
        }
        let (width, length) = outline.size();
        Self { trapezoids, flat, corners, size: [width.nm(), length.nm()] }
    }

    /// The spans across that the piece takes between two places along.
    fn spans(&self, from: i64, to: i64) -> impl Iterator<Item = (i64, i64)> {
        let first = self.trapezoids.partition_point(|part| part.to <= from);
        let there = self.trapezoids[first..].iter().take_while(move |part| part.from < to);
        there.map(move |part| {
            let (from, to) = (from.max(part.from), to.min(part.to));
            let left = place(&part.left, from, false).min(place(&part.left, to, false));
            let right = place(&part.right, from, true).max(place(&part.right, to, true));
            (left, right)
        })
    }
}

/// The hollows of a blank with these pieces in it, each moved by so much across and along; only those of at
/// least this size across and along, and a gap from all pieces.
pub(super) fn hollows(
    bodies: &[(&Body, [i64; 2])],
    blank: [i64; 2],
    (gap, least): (i64, [i64; 2]),
) -> Vec<Box4> {
    let lines = lines(bodies, blank[1], gap);
    let stretches: Vec<(i64, i64)> = lines.windows(2).map(|ends| (ends[0], ends[1])).collect();
    let free: Vec<Vec<(i64, i64)>> = stretches
        .iter()
        .map(|&(from, to)| {
            let taken = bodies.iter().flat_map(|(body, [x, y])| {
                let spans = body.spans(from - gap - y, to + gap - y);
                spans.map(move |(left, right)| (left + x - gap, right + x + gap))
            });
            free(taken.collect(), blank[0], least[0])
        })
        .collect();
    let within = |outer: &[(i64, i64)], span: (i64, i64)| {
        outer.iter().any(|other| other.0 <= span.0 && span.1 <= other.1)
    };
    let mut found: Vec<Box4> = Vec::new();
    for first in 0..stretches.len() {
        let mut common = free[first].clone();
        for last in first..stretches.len() {
            if last > first {
                common = both(&common, &free[last], least[0]);
            }
            if common.is_empty() {
                break;
            }
            let (near, far) = (stretches[first].0, stretches[last].1);
            if far - near < least[1] {
                continue;
            }
            for &span in &common {
                let longer = (first > 0 && within(&free[first - 1], span))
                    || free.get(last + 1).is_some_and(|next| within(next, span));
                if !longer {
                    found.push([span.0, near, span.1, far]);
                }
            }
        }
    }
    let area = |h: &Box4| i128::from(h[2] - h[0]) * i128::from(h[3] - h[1]);
    found.sort_by(|a, b| area(b).cmp(&area(a)).then(a.cmp(b)));
    found.truncate(MOST);
    found
}

/// Where lines across divide a blank of this length.
fn lines(bodies: &[(&Body, [i64; 2])], length: i64, gap: i64) -> Vec<i64> {
    let sorted = |mut all: Vec<i64>| {
        all.retain(|&y| y > 0 && y < length);
        all.sort_unstable();
        all.dedup();
        all
    };
    let flat = |(body, [_, y]): &(&Body, [i64; 2])| {
        let y = *y;
        body.flat.iter().flat_map(move |at| [at + y - gap, at + y + gap]).collect::<Vec<_>>()
    };
    let corner = |(body, [_, y]): &(&Body, [i64; 2])| {
        let y = *y;
        body.corners.iter().map(move |at| at + y).collect::<Vec<_>>()
    };
    let others = sorted(bodies.iter().flat_map(corner).collect());
    let mut all: Vec<i64> = bodies.iter().flat_map(flat).collect();
    let many = others.len();
    all.extend((0..many.min(LINES)).map(|k| others[k * many / many.min(LINES)]));
    let mut lines = vec![0];
    lines.extend(sorted(all));
    lines.push(length);
    lines
}

/// What is free across beside the spans taken, where it is wide enough.
fn free(mut taken: Vec<(i64, i64)>, width: i64, least: i64) -> Vec<(i64, i64)> {
    taken.sort_unstable();
    let (mut at, mut free) = (0, Vec::new());
    for (left, right) in taken {
        if left - at >= least {
            free.push((at, left));
        }
        at = at.max(right);
    }
    if width - at >= least {
        free.push((at, width));
    }
    free
}

/// What two lists of spans, each in order and apart, have in common, where it is wide enough.
fn both(a: &[(i64, i64)], b: &[(i64, i64)], least: i64) -> Vec<(i64, i64)> {
    let (mut i, mut j, mut common) = (0, 0, Vec::new());
    while let (Some(one), Some(two)) = (a.get(i), b.get(j)) {
        let (from, to) = (one.0.max(two.0), one.1.min(two.1));
        if to - from >= least {
            common.push((from, to));
        }
        if one.1 <= two.1 {
            i += 1;
        } else {
            j += 1;
        }
    }
    common
}

/// Takes a rectangle with a gap around it out of free ones: what is left of each, each as large as can be.
pub(super) fn take_out(free: &mut Vec<Box4>, taken: Box4, (gap, least): (i64, [i64; 2])) {
    let [left, near, right, far] = taken;
    let (left, near, right, far) = (left - gap, near - gap, right + gap, far + gap);
    let mut parts: Vec<Box4> = Vec::new();
    free.retain(|h| {
        let meets = h[0] < right && left < h[2] && h[1] < far && near < h[3];
        if meets {
            parts.extend([
                [h[0], h[1], left, h[3]],
                [right, h[1], h[2], h[3]],
                [h[0], h[1], h[2], near],
                [h[0], far, h[2], h[3]],
            ]);
        }
        !meets
    });
    parts.retain(|h| h[2] - h[0] >= least[0] && h[3] - h[1] >= least[1]);
    let holds = |a: &Box4, b: &Box4| a[0] <= b[0] && a[1] <= b[1] && b[2] <= a[2] && b[3] <= a[3];
    for (at, part) in parts.iter().enumerate() {
        let twin = parts[..at].iter().any(|other| holds(other, part));
        let inside = parts[at + 1..].iter().any(|other| holds(other, part) && other != part);
        if !twin && !inside && !free.iter().any(|other| holds(other, part)) {
            free.push(*part);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point;
    use crate::units::Length;
    use proptest::prelude::*;

    fn body(corners: &[(i64, i64)]) -> Body {
        let point = |&(x, y): &(i64, i64)| Point::new(Length::from_nm(x), Length::from_nm(y));
        Body::of(&Outline::new(corners.iter().map(point).collect()).expect("an outline"))
    }

    /// A block of 40 by 30 with a neck of 20 by 20 at its far end.
    const NECK: [(i64, i64); 8] =
        [(0, 0), (40, 0), (40, 30), (30, 30), (30, 10), (10, 10), (10, 30), (0, 30)];

    #[test]
    fn a_neck_is_found_exactly_and_smaller_by_the_gap() {
        let neck = body(&NECK);
        let at = |gap: i64, blank: [i64; 2]| hollows(&[(&neck, [0, 0])], blank, (gap, [1, 1]));
        assert_eq!(at(0, [40, 30]), [[10, 10, 30, 30]]);
        // The far end is the blank's, where nothing is nearer than the gap beside it.
        assert_eq!(at(3, [40, 30]), [[13, 13, 27, 30]]);
        // In a blank of 50 by 30 there is a strip beside it, too, a smaller one.
        assert_eq!(at(0, [50, 30]), [[10, 10, 30, 30], [40, 0, 50, 30]]);
        assert_eq!(hollows(&[(&neck, [0, 0])], [40, 30], (0, [21, 1])), [[0_i64; 4]; 0]);
        assert_eq!(hollows(&[(&neck, [0, 0])], [40, 30], (0, [1, 21])), [[0_i64; 4]; 0]);
    }

    /// A quarter of a round piece, 40 by 40: lines lie at its corners, and beside each stretch of its side is free
    /// what is free beside the widest place of it. A plain triangle has no corner between its ends, and no hollow.
    #[test]
    fn beside_a_slanted_side_nothing_is_taken_that_is_not_free() {
        let quarter = body(&[(0, 0), (40, 0), (31, 11), (21, 21), (11, 31), (0, 40)]);
        let mut found = hollows(&[(&quarter, [0, 0])], [40, 40], (0, [1, 1]));
        found.sort_unstable();
        assert_eq!(found, [[11, 31, 40, 40], [21, 21, 40, 40], [31, 11, 40, 40]]);
        let triangle = body(&[(0, 0), (40, 0), (0, 40)]);
        assert_eq!(hollows(&[(&triangle, [0, 0])], [40, 40], (0, [1, 1])), [[0_i64; 4]; 0]);
    }

    #[test]
    fn what_is_laid_in_leaves_the_largest_rectangles_beside_it() {
        let mut free = vec![[0, 0, 10, 10]];
        take_out(&mut free, [0, 0, 4, 4], (1, [2, 2]));
        free.sort_unstable();
        assert_eq!(free, [[0, 5, 10, 10], [5, 0, 10, 10]]);
        take_out(&mut free, [0, 5, 10, 10], (1, [2, 2]));
        assert_eq!(free, [[5, 0, 10, 4]]);
        take_out(&mut free, [5, 0, 9, 2], (1, [2, 2]));
        assert_eq!(free, [[0_i64; 4]; 0]);
    }

    proptest! {
        /// Triangles anywhere in a blank: no hollow has a point of any within the gap, by the corners of both
        /// (a hollow's corners outside, a triangle's corners beside), and none could be wider.
        #[test]
        fn hollows_keep_away_from_all_pieces(
            triangles in prop::collection::vec(
                (0_i64..60, 0_i64..60, prop::collection::vec((0_i64..40, 0_i64..40), 3)),
                1..4,
            ),
            gap in 0_i64..5,
        ) {
            let made: Vec<(Body, [i64; 2])> = triangles
                .iter()
                .filter_map(|(x, y, corners)| {
                    let nm = Length::from_nm;
                    let points = corners.iter().map(|&(x, y)| Point::new(nm(x), nm(y))).collect();
                    Some((Body::of(&Outline::new(points).ok()?), [*x, *y]))
                })
                .collect();
            let bodies: Vec<(&Body, [i64; 2])> = made.iter().map(|(b, at)| (b, *at)).collect();
            for [left, near, right, far] in hollows(&bodies, [100, 100], (gap, [1, 1])) {
                prop_assert!(left >= 0 && near >= 0 && right <= 100 && far <= 100);
                let mut stops = (left == 0, right == 100);
                for (body, [x, y]) in &bodies {
                    for (from, to) in body.spans(near - gap - y, far + gap - y) {
                        prop_assert!(to + x + gap <= left || right <= from + x - gap);
                        stops.0 |= to + x + gap == left;
                        stops.1 |= from + x - gap == right;
                    }
                }
                prop_assert!(stops.0 && stops.1, "{left} {near} {right} {far} could be wider");
            }
        }
    }
}
