//! Every edge cut one time: of a list of straight cuts in cutting order, what is left when each
//! loses the parts that an earlier one has cut.
//!
//! Cuts on one line are compared by their positions along it, in whole nanometres; a part's ends
//! are ends of given cuts, so nothing is rounded.

use crate::geometry::Point;
use std::collections::BTreeMap;

/// A line through whole points: its direction without a common divisor, the first number that is
/// not zero positive, and its distance from the origin times the direction's length.
type Line = (i64, i64, i128);

/// Spans on a line that were cut, apart from each other and in order: from here to there.
type Cut = BTreeMap<i64, (i64, Point, Point)>;

/// What was cut so far.
#[derive(Debug, Default)]
pub(super) struct Once {
    lines: BTreeMap<Line, Cut>,
}

fn gcd(mut a: u64, mut b: u64) -> u64 {
    while b > 0 {
        (a, b) = (b, a % b);
    }
    a
}

fn line(from: Point, to: Point) -> Option<Line> {
    let (dx, dy) = (to.x.nm() - from.x.nm(), to.y.nm() - from.y.nm());
    let divisor = i64::try_from(gcd(dx.unsigned_abs(), dy.unsigned_abs())).ok()?;
    if divisor == 0 {
        return None;
    }
    let (dx, dy) = (dx / divisor, dy / divisor);
    let (dx, dy) = if dx < 0 || (dx == 0 && dy < 0) { (-dx, -dy) } else { (dx, dy) };
    let off = i128::from(dx) * i128::from(from.y.nm()) - i128::from(dy) * i128::from(from.x.nm());
    Some((dx, dy, off))
}

impl Once {
    /// The parts of a cut that were not cut before, in its own direction; they count as cut now.
    pub(super) fn parts(&mut self, from: Point, to: Point) -> Vec<(Point, Point)> {
        let Some(line) = line(from, to) else { return Vec::new() };
        let along = |p: Point| if line.0 == 0 { p.y.nm() } else { p.x.nm() };
        let forth = along(from) < along(to);
        let (low, high) = if forth { (from, to) } else { (to, from) };
        let cut = self.lines.entry(line).or_default();
        let mut left = Vec::new();
        let mut at = low;
        for (_, (end, first, last)) in cut.range(..along(high)) {
            if *end <= along(at) {
                continue;
            }
            if along(*first) > along(at) {
                left.push((at, *first));
            }
            at = *last;
        }
        if along(at) < along(high) {
            left.push((at, high));
        }
        for &(a, b) in &left {
            cut.insert(along(a), (along(b), a, b));
        }
        if !forth {
            left.reverse();
            for (a, b) in &mut left {
                std::mem::swap(a, b);
            }
        }
        left
    }
}

/// A length of a cut, for tests and sums.
#[cfg(test)]
pub(super) fn whole_millimetres(x: i64, y: i64) -> Point {
    use crate::units::Length;
    Point::new(Length::from_mm(x), Length::from_mm(y))
}

/// The length of a straight cut in millimetres.
#[cfg(test)]
pub(super) fn mm(from: Point, to: Point) -> f64 {
    libm::hypot((to.x - from.x).mm_f64(), (to.y - from.y).mm_f64())
}

#[cfg(test)]
mod tests {
    use super::whole_millimetres as at;
    use super::*;

    #[test]
    fn what_was_cut_is_not_cut_again() {
        let mut once = Once::default();
        assert_eq!(once.parts(at(0, 0), at(10, 0)), [(at(0, 0), at(10, 0))]);
        assert!(once.parts(at(10, 0), at(0, 0)).is_empty());
        assert_eq!(once.parts(at(20, 0), at(5, 0)), [(at(20, 0), at(10, 0))]);
        assert_eq!(once.parts(at(30, 0), at(40, 0)), [(at(30, 0), at(40, 0))]);
        assert_eq!(
            once.parts(at(50, 0), at(-5, 0)),
            [(at(50, 0), at(40, 0)), (at(30, 0), at(20, 0)), (at(0, 0), at(-5, 0))]
        );
        assert!(once.parts(at(3, 3), at(3, 3)).is_empty());
        // Beside it, and across it, are other lines.
        assert_eq!(once.parts(at(0, 1), at(10, 1)).len(), 1);
        assert_eq!(once.parts(at(5, -5), at(5, 5)).len(), 1);
    }

    #[test]
    fn slanted_edges_are_compared_exactly() {
        let mut once = Once::default();
        assert_eq!(once.parts(at(0, 0), at(30, 90)).len(), 1);
        assert!(once.parts(at(20, 60), at(10, 30)).is_empty());
        assert_eq!(once.parts(at(40, 120), at(20, 60)), [(at(40, 120), at(30, 90))]);
        assert_eq!(once.parts(at(0, 0), at(30, 91)).len(), 1);
        assert!((mm(at(0, 0), at(30, 40)) - 50.0).abs() < 1e-9);
    }

    proptest::proptest! {
        /// Cells of a grid: each is cut exactly once, however the cuts overlap.
        #[test]
        fn lengths_add_up_to_the_union(cuts in proptest::collection::vec((0_i64..12, 0_i64..12), 1..20)) {
            let mut once = Once::default();
            let mut cells = [false; 12];
            let mut sum = 0.0;
            for (a, b) in cuts {
                for cell in a.min(b)..a.max(b) {
                    cells[usize::try_from(cell).unwrap()] = true;
                }
                sum += once.parts(at(3, a), at(3, b)).iter().map(|(p, q)| mm(*p, *q)).sum::<f64>();
            }
            let union = cells.iter().filter(|cell| **cell).count();
            proptest::prop_assert!((sum - f64::from(u32::try_from(union).unwrap())).abs() < 1e-9);
        }
    }
}
