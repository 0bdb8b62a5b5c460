//! Whether two placed outlines overlap or come too near: in whole numbers, so never wrong.
//!
//! Convex parts have no inner point in common exactly when some edge of one has the other on its
//! outer side or on its line (the separating axis theorem); products are kept in 128 bits. The
//! distance between outlines is compared with the gap in floating point, with two nanometres to
//! spare on the safe side; boxes that are a gap apart need no distance.

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
    let least = float(gap) + NOISE;
    corner_near_edge(&a.corners, &moved, least) || corner_near_edge(&moved, &a.corners, least)
}

fn corner_near_edge(corners: &[Corner], ring: &[Corner], least: f64) -> bool {
    let n = ring.len();
    (0..n).any(|i| {
        let (p, q) = (ring[i], ring[(i + 1) % n]);
        let (ex, ey) = (float(q.0 - p.0), float(q.1 - p.1));
        let square = ex * ex + ey * ey;
        corners.iter().any(|&c| {
            let (vx, vy) = (float(c.0 - p.0), float(c.1 - p.1));
            let t = ((vx * ex + vy * ey) / square).clamp(0.0, 1.0);
            let (rx, ry) = (vx - t * ex, vy - t * ey);
            rx * rx + ry * ry < least * least
        })
    })
}
