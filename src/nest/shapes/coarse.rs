//! Outlines with fewer corners in their hollows, for what is worked out between pairs of convex parts.
//!
//! Each corner of a hollow makes a convex part more, and what two outlines forbid to each other takes as many sums
//! as they have parts together by product: two outlines of 290 corners took seconds, which no limit of work ended.
//! Where such a corner is left out the outline only grows, into its own hollow, so what lies free beside the coarse
//! outline lies free beside the true one. Boxes and corners that stick out stay as they are.

use super::convex::{Corner, cross};
use super::number::float;

/// Outlines with no more hollow corners than this stay as they are; gores have some fifty, which interlock exactly.
const MOST: usize = 60;
/// Others keep no more than this, where that is not too far off.
const KEPT: usize = 30;
/// The farthest that a corner may lie from the edge that takes its place, in nanometres: a hollow 0.5 mm shallower.
const FAR: f64 = 500_000.0;

/// The corners, or fewer of them that go round all of the outline; a simple polygon, counter-clockwise.
pub fn coarse(corners: &[Corner]) -> Vec<Corner> {
    let mut ring = corners.to_vec();
    let mut hollow = hollows(&ring);
    if hollow.len() <= MOST {
        return ring;
    }
    while hollow.len() > KEPT {
        let offs = hollow.iter().map(|&i| (off(around(&ring, i)), i));
        let mut order: Vec<(f64, usize)> = offs.filter(|&(off, _)| off <= FAR).collect();
        order.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        let Some((_, out)) = order.into_iter().find(|&(_, i)| is_clear(&ring, i)) else { break };
        ring.remove(out);
        hollow = hollows(&ring);
    }
    ring
}

/// A corner with its neighbours.
fn around(ring: &[Corner], i: usize) -> [Corner; 3] {
    let n = ring.len();
    [ring[(i + n - 1) % n], ring[i], ring[(i + 1) % n]]
}

/// Which corners turn inward.
fn hollows(ring: &[Corner]) -> Vec<usize> {
    let turns_in = |&i: &usize| {
        let [a, b, c] = around(ring, i);
        cross(a, b, c) < 0
    };
    (0..ring.len()).filter(turns_in).collect()
}

/// How far the middle corner lies from the line through the others.
#[expect(clippy::cast_precision_loss, reason = "only compared, and far below 2^53 square units")]
fn off([a, b, c]: [Corner; 3]) -> f64 {
    let base = libm::hypot(float(c.0 - a.0), float(c.1 - a.1));
    (cross(a, b, c) as f64).abs() / base.max(1.0)
}

/// Whether nothing else of the outline lies in the hollow's corner or touches it.
fn is_clear(ring: &[Corner], i: usize) -> bool {
    let n = ring.len();
    let [a, b, c] = around(ring, i);
    let own = [(i + n - 1) % n, i, (i + 1) % n];
    let inside = |p: Corner| cross(a, b, p) <= 0 && cross(b, c, p) <= 0 && cross(c, a, p) <= 0;
    (0..n).filter(|k| !own.contains(k)).all(|k| !inside(ring[k]))
}

#[cfg(test)]
mod tests {
    use super::super::form::Form;
    use super::*;

    /// Half a ring of radii 400 and 300 mm, its arcs of so many corners each.
    #[expect(clippy::cast_possible_truncation, reason = "half a metre in nanometres")]
    fn half_ring(steps: i64) -> Vec<Corner> {
        let arc = |radius: f64, step: i64| {
            let angle = std::f64::consts::PI * float(step) / float(steps);
            let whole = |value: f64| (value * 1e6).round() as i64;
            (whole(radius * libm::cos(angle)), whole(radius * libm::sin(angle)))
        };
        let outer = (0..=steps).map(|step| arc(400.0, step));
        outer.chain((0..=steps).rev().map(|step| arc(300.0, step))).collect()
    }

    fn twice_area(ring: &[Corner]) -> i128 {
        (1..ring.len() - 1).map(|i| cross(ring[0], ring[i], ring[i + 1])).sum()
    }

    #[test]
    fn a_hollow_of_many_corners_keeps_some_and_only_fills_up() {
        let ring = half_ring(200);
        let coarse = coarse(&ring);
        let hollow = hollows(&coarse).len();
        // By hand: 31 chords of a half circle of 300 mm have a rise of 300 * (pi/31)^2 / 8 = 0.385 mm; left out one
        // by one, some chords end up longer than others and the next would rise more than half a millimetre.
        assert!((20..=40).contains(&hollow), "{hollow}");
        assert!(coarse.iter().all(|corner| ring.contains(corner)));
        // All of the outer arc is there, so only the hollow changed.
        assert!(ring[..=200].iter().all(|corner| coarse.contains(corner)));
        let grown = twice_area(&coarse) - twice_area(&ring);
        // Twice the area of a strip half a millimetre wide along the arc: 300 pi mm2.
        let strip: i128 = 942_477_796_076_938;
        assert!(grown > 0 && grown < strip, "{grown}");
        assert!(Form::new(ring).parts.len() <= 41);
    }

    #[test]
    fn what_is_not_fine_stays_as_it_is() {
        assert_eq!(coarse(&half_ring(50)), half_ring(50));
        // A comb of a hundred teeth: each hollow corner is far from any edge in its place.
        let tooth = |k: i64| {
            [(2, 0), (2, 9), (1, 9), (1, 0)].map(|(x, y)| ((2 * k + x) * 9_000_000, y * 9_000_000))
        };
        let mut comb: Vec<Corner> = (0..100).flat_map(tooth).collect();
        comb.extend([(200 * 9_000_000, 99_000_000), (0, 99_000_000)]);
        comb.reverse();
        assert_eq!(coarse(&comb), comb);
    }
}
