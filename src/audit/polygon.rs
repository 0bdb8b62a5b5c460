//! Two polygons, exactly: whether their insides share a point, and whether they keep a distance.
//!
//! Insides. Where two edges cross properly they do. Where none do, cut every edge at the corners
//! of the other polygon that lie on it: each part then lies wholly inside, outside or on the
//! boundary of the other, and one middle point tells which. A part inside: they share. No part
//! inside: the insides are apart or the same, and they are the same only if all of the boundary
//! of one runs along the other's in the same direction. All in whole numbers (middles doubled).
//! Edges that lie beside the other polygon's box are outside, and nothing more is asked of them.
//!
//! Distance. The least distance of two polygons that do not cross is that of a corner of one to
//! an edge of the other; it is compared with the gap in squares, by 256-bit products.

use super::wide;

/// A corner in whole nanometres, or in half ones after [`doubled`].
pub(super) type Corner = (i64, i64);

/// Whether the insides share a point; touching does not count. Both run counter-clockwise.
pub(super) fn overlap(a: &[Corner], b: &[Corner]) -> bool {
    let (a, b) = (doubled(a), doubled(b));
    let (box_a, box_b) = (Bounds::of(&a), Bounds::of(&b));
    let near_b: Vec<_> = edges(&b).filter(|&f| box_a.meets(f)).collect();
    let mut near_a = edges(&a).filter(|&e| box_b.meets(e));
    if near_a.any(|e| near_b.iter().any(|&f| cross_properly(e, f))) {
        return true;
    }
    let (of_a, of_b) = (sides(&a, (&b, &box_b)), sides(&b, (&a, &box_a)));
    let inside = |s: &[Side]| s.contains(&Side::Inside);
    inside(&of_a) || inside(&of_b) || of_a.iter().all(|s| *s == Side::AlongSame)
}

/// Whether two polygons that do not overlap come nearer than `gap` to each other.
pub(super) fn nearer(a: &[Corner], b: &[Corner], gap: i64) -> bool {
    let near = |p: &[Corner], q: &[Corner]| {
        p.iter().any(|&corner| edges(q).any(|edge| corner_nearer(corner, edge, gap)))
    };
    gap > 0 && (near(a, b) || near(b, a))
}

/// Whether the open segment runs through the inside of a polygon.
pub(super) fn cuts_into(segment: (Corner, Corner), polygon: &[Corner]) -> bool {
    if edges(polygon).any(|edge| cross_properly(segment, edge)) {
        return true;
    }
    let (p, q) = segment;
    let double = |c: Corner| (c.0 * 2, c.1 * 2);
    let polygon = doubled(polygon);
    parts((double(p), double(q)), &polygon)
        .any(|(from, to)| side_of(middle(from, to), &polygon, (from, to)) == Side::Inside)
}

/// The smallest box around a polygon, its sides included.
struct Bounds {
    low: Corner,
    high: Corner,
}

impl Bounds {
    fn of(polygon: &[Corner]) -> Self {
        let none = ((i64::MAX, i64::MAX), (i64::MIN, i64::MIN));
        let (low, high) = polygon.iter().fold(none, |(low, high), c| {
            ((low.0.min(c.0), low.1.min(c.1)), (high.0.max(c.0), high.1.max(c.1)))
        });
        Self { low, high }
    }

    /// Whether the box around an edge has a point in common with it.
    fn meets(&self, (p, q): (Corner, Corner)) -> bool {
        p.0.max(q.0) >= self.low.0
            && p.0.min(q.0) <= self.high.0
            && p.1.max(q.1) >= self.low.1
            && p.1.min(q.1) <= self.high.1
    }
}

fn edges(polygon: &[Corner]) -> impl Iterator<Item = (Corner, Corner)> + '_ {
    polygon.iter().copied().zip(polygon.iter().copied().cycle().skip(1))
}

fn doubled(polygon: &[Corner]) -> Vec<Corner> {
    polygon.iter().map(|&(x, y)| (x * 2, y * 2)).collect()
}

fn middle(p: Corner, q: Corner) -> Corner {
    (i64::midpoint(p.0, q.0), i64::midpoint(p.1, q.1))
}

/// Twice the signed area of a triangle.
fn area(p: Corner, q: Corner, r: Corner) -> i128 {
    let d = |a: i64, b: i64| i128::from(a) - i128::from(b);
    d(q.0, p.0) * d(r.1, p.1) - d(q.1, p.1) * d(r.0, p.0)
}

fn cross_properly(e: (Corner, Corner), f: (Corner, Corner)) -> bool {
    let apart = |lo: i64, hi: i64, other: (i64, i64)| {
        lo.max(hi) < other.0.min(other.1) || lo.min(hi) > other.0.max(other.1)
    };
    if apart(e.0.0, e.1.0, (f.0.0, f.1.0)) || apart(e.0.1, e.1.1, (f.0.1, f.1.1)) {
        return false;
    }
    let sign = |p, q, r| area(p, q, r).signum();
    sign(e.0, e.1, f.0) * sign(e.0, e.1, f.1) < 0 && sign(f.0, f.1, e.0) * sign(f.0, f.1, e.1) < 0
}

/// Whether a point lies on the closed segment.
fn on(point: Corner, (p, q): (Corner, Corner)) -> bool {
    point.0 >= p.0.min(q.0)
        && point.0 <= p.0.max(q.0)
        && point.1 >= p.1.min(q.1)
        && point.1 <= p.1.max(q.1)
        && area(p, q, point) == 0
}

/// An edge cut at the corners of a polygon that lie on it.
fn parts(
    (p, q): (Corner, Corner),
    polygon: &[Corner],
) -> impl Iterator<Item = (Corner, Corner)> + use<> {
    let mut stops: Vec<Corner> = polygon.iter().copied().filter(|&c| on(c, (p, q))).collect();
    stops.extend([p, q]);
    let far = |c: &Corner| {
        let d = |a: i64, b: i64| (i128::from(a) - i128::from(b)).abs();
        d(c.0, p.0) + d(c.1, p.1)
    };
    stops.sort_by_key(far);
    stops.dedup();
    let next: Vec<Corner> = stops.iter().copied().skip(1).collect();
    stops.into_iter().zip(next)
}

#[derive(Clone, Copy, PartialEq, Eq)]
enum Side {
    Inside,
    Outside,
    AlongSame,
    AlongOther,
}

/// Where the parts of `a`'s edges lie with respect to `b` (both doubled) with its box.
fn sides(a: &[Corner], (b, bounds): (&[Corner], &Bounds)) -> Vec<Side> {
    let mut sides = Vec::new();
    for edge in edges(a) {
        if bounds.meets(edge) {
            let side = |(from, to)| side_of(middle(from, to), b, (from, to));
            sides.extend(parts(edge, b).map(side));
        } else {
            sides.push(Side::Outside);
        }
    }
    sides
}

/// Where a point on a directed part lies with respect to a polygon.
fn side_of(point: Corner, polygon: &[Corner], (from, to): (Corner, Corner)) -> Side {
    let mut inside = false;
    for (p, q) in edges(polygon) {
        if on(point, (p, q)) {
            let d = |a: i64, b: i64| i128::from(a) - i128::from(b);
            let along = d(to.0, from.0) * d(q.0, p.0) + d(to.1, from.1) * d(q.1, p.1);
            return if along > 0 { Side::AlongSame } else { Side::AlongOther };
        }
        // A ray to the right: edges that pass the point's height on its right side.
        if (p.1 > point.1) != (q.1 > point.1) {
            let turn = area(p, q, point);
            inside ^= if q.1 > p.1 { turn > 0 } else { turn < 0 };
        }
    }
    if inside { Side::Inside } else { Side::Outside }
}

/// Whether a corner comes nearer than `gap` to an edge.
fn corner_nearer(c: Corner, (p, q): (Corner, Corner), gap: i64) -> bool {
    let d = |a: i64, b: i64| i128::from(a) - i128::from(b);
    let dot = |a: Corner, b: Corner, from: Corner| {
        d(a.0, from.0) * d(b.0, from.0) + d(a.1, from.1) * d(b.1, from.1)
    };
    let gap2 = u128::from(gap.unsigned_abs()).pow(2);
    if dot(c, q, p) <= 0 {
        return dot(c, c, p).unsigned_abs() < gap2;
    }
    if dot(c, p, q) <= 0 {
        return dot(c, c, q).unsigned_abs() < gap2;
    }
    let height = area(p, q, c).unsigned_abs();
    wide::less(height, height, gap2, dot(q, q, p).unsigned_abs())
}

#[cfg(test)]
mod random;

#[cfg(test)]
mod tests {
    use super::*;

    fn square(x: i64, y: i64, side: i64) -> Vec<Corner> {
        vec![(x, y), (x + side, y), (x + side, y + side), (x, y + side)]
    }

    #[test]
    fn touching_is_allowed_and_one_unit_is_not() {
        // By construction: a square of 10 at distance 10 touches, at distance 9 overlaps.
        let a = square(0, 0, 10);
        for (x, y) in [(10, 0), (-10, 3), (10, 10), (4, -10)] {
            assert!(!overlap(&a, &square(x, y, 10)), "{x} {y}");
        }
        for (x, y) in [(9, 0), (-9, 3), (9, 9), (4, -9), (0, 0)] {
            assert!(overlap(&a, &square(x, y, 10)), "{x} {y}");
        }
        assert!(overlap(&a, &square(2, 2, 3)) && overlap(&square(2, 2, 3), &a), "one in the other");
        assert!(overlap(&a, &square(0, 0, 5)), "in the corner");
    }

    #[test]
    fn triangles_that_share_their_long_side() {
        let a = vec![(0, 0), (10, 0), (0, 10)];
        let b = vec![(10, 0), (10, 10), (0, 10)];
        assert!(!overlap(&a, &b));
        let moved: Vec<Corner> = b.iter().map(|&(x, y)| (x - 1, y)).collect();
        assert!(overlap(&a, &moved));
        // Crossing only through corners: a diamond over a square of the same middle.
        let diamond = vec![(5, 0), (10, 5), (5, 10), (0, 5)];
        assert!(overlap(&square(0, 0, 10), &diamond));
        // A notch holds a square that fills it exactly.
        let notched =
            vec![(0, 0), (30, 0), (30, 30), (20, 30), (20, 10), (10, 10), (10, 30), (0, 30)];
        assert!(!overlap(&notched, &square(10, 10, 10)));
        assert!(!overlap(&square(10, 20, 10), &notched));
        assert!(overlap(&notched, &square(10, 9, 10)));
    }

    #[test]
    fn distances_are_true_distances() {
        // 3-4-5 triangle: corners 3 across and 4 along apart are 5 apart.
        let (a, b) = (square(0, 0, 10), square(13, 14, 10));
        assert!(!nearer(&a, &b, 5));
        assert!(nearer(&a, &b, 6));
        // Distance of the origin to the line x + y = 10 is 10/sqrt(2) = 7.07 (to the half side
        // of the unit square's diagonal).
        let wedge = vec![(10, 0), (20, 0), (20, 20), (0, 20), (0, 10)];
        let dot = vec![(-5, -5), (0, 0), (-5, 0)];
        assert!(!nearer(&wedge, &dot, 7) && nearer(&wedge, &dot, 8));
    }

    #[test]
    fn a_line_through_the_inside_is_seen() {
        let a = square(0, 0, 10);
        assert!(cuts_into(((-5, 5), (15, 5)), &a));
        assert!(cuts_into(((0, 0), (10, 10)), &a));
        assert!(cuts_into(((2, 2), (3, 3)), &a));
        assert!(!cuts_into(((0, 0), (10, 0)), &a));
        assert!(!cuts_into(((-5, 0), (15, 0)), &a));
        assert!(!cuts_into(((-5, 0), (0, 0)), &a));
    }
}
