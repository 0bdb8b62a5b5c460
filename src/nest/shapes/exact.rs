//! Whether two placed outlines overlap or come too near: in whole numbers, so never wrong.
//!
//! Convex parts have no inner point in common exactly when some edge of one has the other on its
//! outer side or on its line (the separating axis theorem); products are kept in 128 bits. The
//! distance between outlines is compared with the gap in whole numbers too where corners or sides along an
//! axis are nearest, else in floating point with two nanometres to spare on the safe side; boxes that
//! are a gap apart need no distance.

use super::convex::{Convex, Corner, cross};
use super::form::Form;
use super::number::float;

/// Room for floating-point noise in distances, in nanometres.
const NOISE: f64 = 2.0;

/// Whether `b`, moved by `(dx, dy)`, and `a` have an inner point in common or are nearer than
/// the gap.
#[must_use]
pub fn conflict(a: &Form, b: &Form, dx: i64, dy: i64, gap: i64) -> bool {
    let apart = dx >= a.width + gap
        || dx + b.width + gap <= 0
        || dy >= a.length + gap
        || dy + b.length + gap <= 0;
    if apart {
        return false;
    }
    overlap(a, b, dx, dy) || (gap > 0 && nearer(a, b, dx, dy, gap))
}

fn overlap(a: &Form, b: &Form, dx: i64, dy: i64) -> bool {
    a.parts.iter().zip(&a.boxes).any(|(p, pb)| {
        b.parts.iter().zip(&b.boxes).any(|(q, qb)| {
            pb.0 < qb.2 + dx
                && qb.0 + dx < pb.2
                && pb.1 < qb.3 + dy
                && qb.1 + dy < pb.3
                && !separated(p, q, (dx, dy))
                && !separated(q, p, (-dx, -dy))
        })
    })
}

/// Whether an edge of `p` has all of `q`, moved, on its outer side or on its line.
fn separated(p: &Convex, q: &Convex, by: Corner) -> bool {
    let n = p.len();
    (0..n).any(|i| {
        let (a, b) = (p[i], p[(i + 1) % n]);
        q.iter().all(|&(x, y)| cross(a, b, (x + by.0, y + by.1)) <= 0)
    })
}

/// Whether two outlines that do not overlap are nearer to each other than the gap.
fn nearer(a: &Form, b: &Form, dx: i64, dy: i64, gap: i64) -> bool {
    let moved: Vec<Corner> = b.corners.iter().map(|&(x, y)| (x + dx, y + dy)).collect();
    corner_near_edge(&a.corners, &moved, gap) || corner_near_edge(&moved, &a.corners, gap)
}

fn corner_near_edge(corners: &[Corner], ring: &[Corner], gap: i64) -> bool {
    let n = ring.len();
    (0..n).any(|i| {
        let (p, q) = (ring[i], ring[(i + 1) % n]);
        corners.iter().any(|&c| near_edge((p, q), c, gap))
    })
}

/// Whether a corner is nearer to an edge than the gap: in whole numbers where an end of the edge is nearest,
/// or the edge lies along an axis.
fn near_edge((p, q): (Corner, Corner), c: Corner, gap: i64) -> bool {
    let (e, v) = ((q.0 - p.0, q.1 - p.1), (c.0 - p.0, c.1 - p.1));
    let far = |v: i64, e: i64| v.abs().min((v - e).abs()) >= gap && (v < 0) == (v < e);
    if far(v.0, e.0) || far(v.1, e.1) {
        return false;
    }
    let product = |a: Corner, b: Corner| {
        i128::from(a.0) * i128::from(b.0) + i128::from(a.1) * i128::from(b.1)
    };
    let within = |v: Corner| product(v, v) < i128::from(gap) * i128::from(gap);
    let (along, square) = (product(v, e), product(e, e));
    if along <= 0 {
        return within(v);
    }
    if along >= square {
        return within((v.0 - e.0, v.1 - e.1));
    }
    if e.0 == 0 || e.1 == 0 {
        return if e.0 == 0 { v.0.abs() } else { v.1.abs() } < gap;
    }
    let t = real(along) / real(square);
    let (x, y) = (float(v.0) - t * float(e.0), float(v.1) - t * float(e.1));
    let least = float(gap) + NOISE;
    x * x + y * y < least * least
}

/// As floating point, rounded.
#[expect(clippy::cast_precision_loss, reason = "only where two nanometres are to spare")]
fn real(value: i128) -> f64 {
    value as f64
}
