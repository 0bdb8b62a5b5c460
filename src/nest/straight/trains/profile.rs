//! How near two curved pieces come to each other side by side.
//!
//! A profile is what an outline looks like from both sides: for every place `v` the least and the
//! greatest `u` of the outline there, as stretches that are straight and may jump where one ends.
//! If piece `b` lies beside `a`, both profiles cover the stretch of `v` that they have in common,
//! and
//!
//! ```text
//!   d(a, b) = max_v (high_a(v) - low_b(v))
//! ```
//!
//! is the least move of `b` that puts all of it beyond `a`. Between two corners both sides are
//! straight, so the corners decide. Corners are whole nanometres, places between them are rounded so
//! that pieces come apart and never into each other: mating waves, whose corners lie at the same `v`,
//! meet exactly.
//!
//! With a gap `g`, sides that are nowhere steeper than `m = du/dv` and do not jump keep it as the true
//! distance if they are `g sqrt(1 + m^2)` further apart along `u`: for points at different `v` the
//! difference along `u` shrinks by `m` at most for each step along `v`, and the least of
//! `(h - m t)^2 + t^2` is `h^2 / (1 + m^2)`.

/// A straight stretch of one side.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Stretch {
    /// Where it begins and ends along `v`.
    from: i64,
    to: i64,
    /// Where it lies along `u` at its two ends.
    first: i64,
    last: i64,
}

impl Stretch {
    /// Where it lies at `v`, rounded up or down.
    fn at(&self, v: i64, up: bool) -> i64 {
        if v <= self.from {
            return self.first;
        }
        if v >= self.to {
            return self.last;
        }
        let (rise, ahead, under) = (self.last - self.first, v - self.from, self.to - self.from);
        // Products of ordinary sizes fit, and half as many figures divide in a tenth of the time.
        let more = if let Some(over) = rise.checked_mul(ahead) {
            over.div_euclid(under) + i64::from(up && over.rem_euclid(under) != 0)
        } else {
            let (over, under) = (i128::from(rise) * i128::from(ahead), i128::from(under));
            let more = over.div_euclid(under) + i128::from(up && over.rem_euclid(under) != 0);
            i64::try_from(more).unwrap_or(0)
        };
        self.first + more
    }
}

/// One side of an outline.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Side {
    stretches: Vec<Stretch>,
    /// The steepest `du/dv` in thousandths, rounded up; none where the side jumps.
    steepest: Option<i64>,
}

/// Both sides of an outline.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Profile {
    low: Side,
    high: Side,
}

impl Profile {
    /// From the corners `(u, v)` of a simple polygon.
    pub fn of(corners: &[(i64, i64)]) -> Self {
        let mut places: Vec<i64> = corners.iter().map(|corner| corner.1).collect();
        places.sort_unstable();
        places.dedup();
        let edges: Vec<Stretch> = corners
            .iter()
            .zip(corners.iter().cycle().skip(1))
            .filter(|(p, q)| p.1 != q.1)
            .map(|(p, q)| {
                let (p, q) = if p.1 < q.1 { (p, q) } else { (q, p) };
                Stretch { from: p.1, to: q.1, first: p.0, last: q.0 }
            })
            .collect();
        let side = |up: bool| {
            let stretches = places.windows(2).filter_map(|ends| {
                let (from, to) = (ends[0], ends[1]);
                let there = edges.iter().filter(|edge| edge.from <= from && edge.to >= to);
                let cut = there.map(|edge| Stretch {
                    from,
                    to,
                    first: edge.at(from, up),
                    last: edge.at(to, up),
                });
                // Edges do not cross, so their middles tell which is outermost.
                let middle = |s: &Stretch| i128::from(s.first) + i128::from(s.last);
                if up { cut.max_by_key(middle) } else { cut.min_by_key(middle) }
            });
            Side::of(stretches.collect())
        };
        Self { low: side(false), high: side(true) }
    }

    /// How far `other` must be moved along `u` to lie beyond this one, a gap away, if its `v` begins
    /// `ahead` of this one's; none where nothing but their boxes keeps them apart.
    pub fn apart(&self, other: &Self, ahead: i64, gap: i64) -> Option<i64> {
        let mut most: Option<i64> = None;
        let (mut a, mut b) = (self.high.stretches.iter(), other.low.stretches.iter());
        let (mut mine, mut theirs) = (a.next(), b.next());
        while let (Some(one), Some(two)) = (mine, theirs) {
            let (from, to) = (one.from.max(two.from + ahead), one.to.min(two.to + ahead));
            if from < to {
                for v in [from, to] {
                    let apart = one.at(v, true) - two.at(v - ahead, false);
                    most = most.max(Some(apart));
                }
            }
            if one.to <= two.to + ahead {
                mine = a.next();
            } else {
                theirs = b.next();
            }
        }
        if gap == 0 {
            return most;
        }
        let steepest = self.high.steepest?.max(other.low.steepest?);
        // sqrt(1 + m^2) in thousandths, rounded up.
        let slant = (1_000_000 + i128::from(steepest) * i128::from(steepest)).isqrt() + 1;
        let wider = i64::try_from((i128::from(gap) * slant + 999) / 1000).ok()?;
        most.map(|most| most + wider)
    }
}

impl Side {
    fn of(stretches: Vec<Stretch>) -> Self {
        let jumps = stretches.windows(2).any(|two| two[0].last != two[1].first);
        let slope = |s: &Stretch| {
            let over = i128::from((s.last - s.first).abs()) * 1000;
            let under = i128::from(s.to - s.from);
            i64::try_from((over + under - 1) / under).unwrap_or(i64::MAX)
        };
        let steepest = stretches.iter().map(slope).max().filter(|&most| !jumps && most < 1_000_000);
        Self { stretches, steepest }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_between_corners_are_rounded_alike_however_large_the_product() {
        // By hand: a third of the way up 10 is 3.33, down from 10 it is -3.33 from the top.
        let rises = Stretch { from: 0, to: 3, first: 0, last: 10 };
        assert_eq!((rises.at(1, false), rises.at(1, true)), (3, 4));
        let falls = Stretch { from: 0, to: 3, first: 10, last: 0 };
        assert_eq!((falls.at(1, false), falls.at(1, true)), (6, 7));
        // The same with a rise whose product with the way along is beyond 64 bits.
        let long = 6_000_000_000_000_000_000;
        let steep = Stretch { from: 0, to: 6, first: 0, last: long + 1 };
        assert_eq!((steep.at(4, false), steep.at(4, true)), (long / 6 * 4, long / 6 * 4 + 1));
    }

    /// A square of 100, and a diamond as high, whose corner at half height points to the left.
    fn square() -> Profile {
        Profile::of(&[(0, 0), (100, 0), (100, 100), (0, 100)])
    }

    fn diamond() -> Profile {
        Profile::of(&[(50, 0), (100, 50), (50, 100), (0, 50)])
    }

    #[test]
    fn boxes_lie_side_by_side_and_hollows_are_used() {
        assert_eq!(square().apart(&square(), 0, 0), Some(100));
        assert_eq!(square().apart(&diamond(), 0, 0), Some(100));
        // Two diamonds, half a height ahead, share an edge: their middles are 50 apart.
        assert_eq!(diamond().apart(&diamond(), 50, 0), Some(50));
        // Beside each other along v there is nothing to keep apart.
        assert_eq!(square().apart(&square(), 100, 0), None);
    }

    #[test]
    fn a_gap_is_the_true_distance() {
        // Edges at 45 degrees (m = 1): a gap of 10 needs 10 sqrt(2) = 14.2 along u.
        let apart = diamond().apart(&diamond(), 50, 10).expect("a place");
        assert!((64..=65).contains(&apart), "{apart}");
        // The side of a comb jumps: it keeps no gap but by its box.
        let comb = Profile::of(&[(0, 0), (50, 0), (50, 40), (90, 40), (90, 100), (0, 100)]);
        assert_eq!(comb.apart(&square(), 0, 10), None);
        assert_eq!(comb.apart(&square(), 0, 0), Some(90));
    }

    #[test]
    fn places_between_corners_are_rounded_apart() {
        // A slope of one third: at v = 1 and 2 the side lies at 1/3 and 2/3, between whole numbers.
        let a = Profile::of(&[(0, 0), (100, 0), (101, 3), (0, 3)]);
        let b = Profile::of(&[(0, 0), (9, 0), (9, 1), (0, 1)]);
        assert_eq!(a.apart(&b, 0, 0), Some(101));
        assert_eq!(a.apart(&b, 2, 0), Some(101));
        assert_eq!(b.apart(&a, -1, 0), Some(9));
    }
}
