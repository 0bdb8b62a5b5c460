//! Every edge cut one time: of straight cuts, one after another, what is left when each loses the parts
//! along which an earlier one has gone.
//!
//! Two cuts go along one another where they are less than [`APART`] from each other: curved pieces lie against one
//! another with their slanted edges some nanometres apart, and their corners are whole nanometres, so hardly any two such
//! edges are on one line.
//!
//! Cuts are looked up in strips of the blanket, steep ones by their place across the roll, flat ones by
//! their place along it, so that a long rip stands in one strip. Along a cut of length `L` from `p` in the direction `u`,
//! an earlier one from `a` to `b` covers what lies between `(a - p) u` and `(b - p) u`, if it is near enough at both
//! ends of what the two have in common.

use crate::geometry::Point;
use crate::units::Length;
use std::collections::BTreeMap;

/// Cuts nearer than this are one cut, and shorter parts are none: a thousandth of a millimetre, in nanometres.
const APART: f64 = 1e3;

/// Width of a strip in nanometres.
const STRIP: i64 = 1 << 23;

/// What was cut so far.
#[derive(Clone, Debug, Default)]
pub struct Once {
    /// Steep cuts, by strip across the roll.
    steep: BTreeMap<i64, Vec<[Point; 2]>>,
    /// Flat ones, by strip along it. Cuts that are neither stand in both.
    flat: BTreeMap<i64, Vec<[Point; 2]>>,
}

/// A cut: where it begins, its direction and its length in nanometres.
struct Way {
    from: Point,
    direction: [f64; 2],
    length: f64,
}

impl Way {
    fn new(from: Point, to: Point) -> Option<Self> {
        let [dx, dy] = between(from, to);
        let length = libm::hypot(dx, dy);
        (length > 0.0).then(|| Self { from, direction: [dx / length, dy / length], length })
    }

    /// How far along it, and how far beside it, a point lies.
    fn of(&self, point: Point) -> [f64; 2] {
        let ([x, y], [ux, uy]) = (between(self.from, point), self.direction);
        [x * ux + y * uy, ux * y - uy * x]
    }

    /// The part of it along which a cut goes.
    fn covered(&self, [a, b]: [Point; 2]) -> Option<[f64; 2]> {
        let (a, b) = (self.of(a), self.of(b));
        let (low, high) = if a[0] <= b[0] { (a, b) } else { (b, a) };
        let (from, to) = (low[0].max(0.0), high[0].min(self.length));
        if to - from < APART {
            return None;
        }
        let slope = (high[1] - low[1]) / (high[0] - low[0]);
        let near = |at: f64| (low[1] + slope * (at - low[0])).abs() < APART;
        (near(from) && near(to)).then_some([from, to])
    }

    /// The point so far along it.
    fn at(&self, along: f64) -> Point {
        let place = |from: Length, u: f64| from + Length::from_nm(whole(along * u));
        Point::new(place(self.from.x, self.direction[0]), place(self.from.y, self.direction[1]))
    }
}

#[expect(clippy::cast_possible_truncation, reason = "rounded, and within the blanket")]
fn whole(value: f64) -> i64 {
    value.round() as i64
}

#[expect(clippy::cast_precision_loss, reason = "places are far below 2^53 nm, some 9,000 km")]
fn between(from: Point, to: Point) -> [f64; 2] {
    [(to.x - from.x).nm() as f64, (to.y - from.y).nm() as f64]
}

/// The strips from one place to another, and those that begin next to them.
fn strips(one: Length, other: Length) -> std::ops::RangeInclusive<i64> {
    let (low, high) = (one.min(other).nm(), one.max(other).nm());
    let near = whole(APART);
    (low - near).div_euclid(STRIP)..=(high + near).div_euclid(STRIP)
}

impl Once {
    /// The parts of a cut that were not cut before, in its own direction; they count as cut now.
    pub fn parts(&mut self, from: Point, to: Point) -> Vec<(Point, Point)> {
        let Some(way) = Way::new(from, to) else { return Vec::new() };
        let [ux, uy] = way.direction.map(f64::abs);
        let (lines, range) = if uy >= ux {
            (&self.steep, strips(from.x, to.x))
        } else {
            (&self.flat, strips(from.y, to.y))
        };
        let before = lines.range(range).flat_map(|(_, cuts)| cuts);
        let mut covered: Vec<[f64; 2]> = before.filter_map(|&cut| way.covered(cut)).collect();
        covered.sort_unstable_by(|one, other| one[0].total_cmp(&other[0]));
        let mut left = Vec::new();
        let (mut begin, mut at) = (from, 0.0);
        for [low, high] in covered.iter().copied() {
            if low - at >= APART {
                left.push((begin, way.at(low)));
            }
            if high > at {
                at = high;
                begin = way.at(high);
            }
        }
        if covered.is_empty() || way.length - at >= APART {
            left.push((begin, to));
        }
        for &(a, b) in &left {
            if 2.0 * uy >= ux {
                keep(&mut self.steep, strips(a.x, b.x), [a, b]);
            }
            if 2.0 * ux >= uy {
                keep(&mut self.flat, strips(a.y, b.y), [a, b]);
            }
        }
        left
    }

    /// How long these parts are.
    pub fn length(&mut self, from: Point, to: Point) -> Length {
        self.parts(from, to).iter().map(|(a, b)| a.distance(*b)).sum()
    }
}

fn keep(
    lines: &mut BTreeMap<i64, Vec<[Point; 2]>>,
    strips: std::ops::RangeInclusive<i64>,
    cut: [Point; 2],
) {
    for strip in strips {
        lines.entry(strip).or_default().push(cut);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    fn at(x: i64, y: i64) -> Point {
        Point::new(Length::from_mm(x), Length::from_mm(y))
    }

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
    fn slanted_edges_are_one_cut_where_they_meet() {
        let mut once = Once::default();
        assert_eq!(once.parts(at(0, 0), at(30, 90)).len(), 1);
        assert!(once.parts(at(20, 60), at(10, 30)).is_empty());
        assert_eq!(once.parts(at(40, 120), at(20, 60)), [(at(40, 120), at(30, 90))]);
        assert_eq!(once.length(at(0, 0), at(30, 91)), at(0, 0).distance(at(30, 91)));
        // As steep as flat, whichever of them it is a little more.
        assert_eq!(once.parts(at(200, 200), at(300, 300)).len(), 1);
        let nearly = Point::new(Length::from_nm(300_000_002), Length::from_mm(300));
        assert!(once.parts(nearly, at(200, 200)).is_empty());
    }

    /// Neighbours' edges, some nanometres apart and shifted along one another, as a reviewer found them in a drawing
    /// of interlocked gores, in nanometres.
    #[test]
    fn edges_a_few_nanometres_apart_are_one_cut() {
        let at = |x: i64, y: i64| Point::new(Length::from_nm(x), Length::from_nm(y));
        let mut once = Once::default();
        let long = [at(135_336_321, 666_331_802), at(129_172_868, 713_926_931)];
        let other = [at(129_518_673, 711_256_578), at(135_275_298, 666_803_042)];
        assert_eq!(once.parts(long[0], long[1]), [(long[0], long[1])]);
        assert!(once.parts(other[0], other[1]).is_empty());
        let mut once = Once::default();
        let short = once.length(other[0], other[1]);
        let rest = once.parts(long[0], long[1]);
        assert_eq!(rest.len(), 2);
        assert_eq!((rest[0].0, rest[1].1), (long[0], long[1]));
        let all = rest.iter().map(|(a, b)| a.distance(*b)).sum::<Length>() + short;
        assert!((all - long[0].distance(long[1])).nm().abs() < 10, "{all:?}");
        // A hundredth of a millimetre beside it is another cut.
        assert_eq!(once.parts(at(129_528_673, 711_256_578), at(135_285_298, 666_803_042)).len(), 1);
    }

    /// Cuts between corners of cells on a line: how much of it is cut, and which cells they run along.
    fn cut_along(cuts: &[(i64, i64)], at: impl Fn(i64) -> Point) -> (Length, BTreeSet<i64>) {
        let mut once = Once::default();
        let sum = cuts.iter().map(|&(a, b)| once.length(at(a), at(b))).sum();
        (sum, cuts.iter().flat_map(|&(a, b)| a.min(b)..a.max(b)).collect())
    }

    proptest::proptest! {
        /// Cells of a grid: each is cut exactly once, to the nanometre, however the cuts overlap.
        #[test]
        fn lengths_along_the_roll_add_up_exactly(cuts in proptest::collection::vec((0_i64..12, 0_i64..12), 1..20)) {
            let (sum, cells) = cut_along(&cuts, |cell| at(3, cell));
            proptest::prop_assert_eq!(sum, Length::from_mm(i64::try_from(cells.len()).unwrap()));
        }

        /// Cells of a slanted line (at any angle, whole nanometres): each is cut exactly once, however the
        /// cuts overlap.
        #[test]
        fn lengths_add_up_to_the_union(
            cuts in proptest::collection::vec((0_i64..12, 0_i64..12), 1..20),
            dx in -40_000_000_i64..40_000_000,
            dy in -40_000_000_i64..40_000_000,
        ) {
            proptest::prop_assume!(dx.abs().max(dy.abs()) > 100_000);
            let at = |k: i64| Point::new(Length::from_nm(dx * k + (k % 3)), Length::from_nm(dy * k - (k % 2)));
            let (sum, cells) = cut_along(&cuts, at);
            let union: Length = cells.iter().map(|&cell| at(cell).distance(at(cell + 1))).sum();
            proptest::prop_assert!((sum - union).nm().abs() < 500, "{sum:?} {union:?}");
        }
    }
}
