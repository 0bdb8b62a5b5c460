//! Where one convex polygon must not lie because of another.
//!
//! With `a` fixed, the places of `b` at which both have an inner point in common are the inside
//! of the Minkowski sum of `a` and `-b`: its edges are the edges of both, in order of direction.
//! Directions are compared in whole numbers.

use super::convex::{Convex, Corner};
use super::number::float;

/// A convex polygon in floating point, as half-planes and box.
#[derive(Clone, Debug)]
pub struct Region {
    /// For each edge: a point on it and the unit normal that points inward.
    pub sides: Vec<[f64; 4]>,
    /// Corners.
    pub corners: Vec<[f64; 2]>,
    /// Left, near, right, far.
    pub bounds: [f64; 4],
}

/// The corners of a convex polygon in floating point, and its box.
#[derive(Clone, Debug)]
pub struct Hull {
    /// Corners.
    pub corners: Vec<[f64; 2]>,
    /// Left, near, right, far.
    pub bounds: [f64; 4],
}

impl Hull {
    fn new(corners: &[Corner]) -> Self {
        let corners: Vec<[f64; 2]> = corners.iter().map(|c| [float(c.0), float(c.1)]).collect();
        let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        let bounds = corners
            .iter()
            .fold(start, |b, c| [b[0].min(c[0]), b[1].min(c[1]), b[2].max(c[0]), b[3].max(c[1])]);
        Self { corners, bounds }
    }
}

impl Region {
    /// The least distance from a point to the sides; positive inside.
    pub fn inside(&self, x: f64, y: f64) -> f64 {
        self.sides
            .iter()
            .map(|s| (x - s[0]) * s[2] + (y - s[1]) * s[3])
            .fold(f64::INFINITY, f64::min)
    }

    /// The region of a hull.
    pub fn new(Hull { corners, bounds }: Hull) -> Self {
        let sides = corners
            .iter()
            .zip(corners.iter().cycle().skip(1))
            .map(|(p, q)| {
                let (ex, ey) = (q[0] - p[0], q[1] - p[1]);
                let size = ex.hypot(ey);
                [p[0], p[1], -ey / size, ex / size]
            })
            .collect();
        Self { sides, corners, bounds }
    }
}

/// The Minkowski sum of `a` and `-b`, grown by the gap.
pub fn difference(a: &Convex, b: &Convex, gap: i64) -> Hull {
    let mirrored: Vec<Corner> = b.iter().map(|c| (-c.0, -c.1)).collect();
    let plain = sum(a, &mirrored);
    Hull::new(&if gap > 0 { sum(&plain, &around(gap)) } else { plain })
}

/// A polygon of sixteen sides around a circle, its first side across the axis: what is grown by
/// it keeps the gap in every direction, and no more than the gap along the axes. Corners are
/// `tan(pi/16)` and `(cos, sin)(3 pi/16) / cos(pi/16)` times the gap, rounded up.
fn around(gap: i64) -> Convex {
    let part = |share: f64| super::number::whole((float(gap) * share).ceil());
    let quarter = if gap < 1000 {
        vec![(gap, gap)]
    } else {
        let (t, u, v) = (part(0.198_912_368), part(0.847_759_066), part(0.566_454_498));
        vec![(gap, t), (u, v), (v, u), (t, gap)]
    };
    let turned = |k: u8| {
        quarter.iter().map(move |&(x, y)| match k {
            0 => (x, y),
            1 => (-y, x),
            2 => (-x, -y),
            _ => (y, -x),
        })
    };
    (0..4).flat_map(turned).collect()
}

/// The Minkowski sum of two convex polygons.
fn sum(a: &Convex, b: &Convex) -> Convex {
    let (a, b) = (from_lowest(a), from_lowest(b));
    let step = |ring: &[Corner], i: usize| {
        let (p, q) = (ring[i % ring.len()], ring[(i + 1) % ring.len()]);
        (i128::from(q.0 - p.0), i128::from(q.1 - p.1))
    };
    let (mut i, mut j) = (0, 0);
    let mut sum = Vec::with_capacity(a.len() + b.len());
    while i < a.len() || j < b.len() {
        let (p, q) = (a[i % a.len()], b[j % b.len()]);
        sum.push((p.0 + q.0, p.1 + q.1));
        let (s, t) = (step(&a, i), step(&b, j));
        let turn = s.0 * t.1 - s.1 * t.0;
        // Both rings start at the lowest corner, so directions rise from 0 to 360 degrees.
        let (first, second) = (half(s), half(t));
        let a_next = j == b.len() || (i < a.len() && (first, 0) <= (second, turn_rank(turn)));
        let b_next = i == a.len() || (j < b.len() && (second, 0) <= (first, turn_rank(-turn)));
        i += usize::from(a_next);
        j += usize::from(b_next);
    }
    sum
}

/// Whether a direction lies in the lower half of the circle, the second half of the way round.
fn half(step: (i128, i128)) -> u8 {
    u8::from(step.1 < 0 || (step.1 == 0 && step.0 < 0))
}

/// -1 where the other direction comes earlier on the way round, else 0 or 1.
fn turn_rank(turn: i128) -> i8 {
    match turn.signum() {
        -1 => -1,
        0 => 0,
        _ => 1,
    }
}

fn from_lowest(ring: &[Corner]) -> Vec<Corner> {
    let first = (0..ring.len()).min_by_key(|&i| (ring[i].1, ring[i].0)).unwrap_or(0);
    let mut ring = ring.to_vec();
    ring.rotate_left(first);
    ring
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_rectangles_give_a_rectangle_and_a_triangle_adds_its_edges() {
        // Identity: the sum of boxes w1 x h1 and w2 x h2 is a box of both sizes added.
        let a = vec![(0, 0), (4, 0), (4, 2), (0, 2)];
        let b = vec![(0, 0), (3, 0), (3, 7), (0, 7)];
        let sum = difference(&a, &b, 0);
        assert_eq!(sum.corners, [[-3.0, -7.0], [4.0, -7.0], [4.0, 2.0], [-3.0, 2.0]]);
        // A triangle and its mirror image at the origin: a hexagon, corners by hand.
        let t = vec![(0, 0), (2, 0), (0, 2)];
        let hexagon = difference(&t, &t, 0);
        assert_eq!(
            hexagon.corners,
            [[0.0, -2.0], [2.0, -2.0], [2.0, 0.0], [0.0, 2.0], [-2.0, 2.0], [-2.0, 0.0]]
        );
        // Grown by a gap, a square's sides move outward by exactly that.
        let grown = difference(&a, &b, 5000);
        let sides = grown.bounds.map(super::super::number::whole);
        assert_eq!(sides, [-5003, -5007, 5004, 5002]);
        assert!((Region::new(hexagon).inside(0.0, 0.0) - 2.0_f64.sqrt()).abs() < 1e-12);
    }
}
