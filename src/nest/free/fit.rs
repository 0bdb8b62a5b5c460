//! How well a piece fits a place between two walls.
//!
//! A piece that fills the place from wall to wall and ends level with a wall makes the contour
//! simpler; one that does neither makes it rougher. The fits are ordered by how many of the
//! contour's corners they take away (after Leung, Zhang and Sim, European Journal of Operational
//! Research 215, 2011, with the roof as a further level to end at).

use super::skyline::End;
use super::task::Shape;

/// A place on the contour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Niche {
    /// Its width.
    pub w: i64,
    /// How far the left wall rises above it.
    pub left: i64,
    /// How far the right wall rises above it.
    pub right: i64,
    /// How far it is to the end of the room or of the pull.
    pub roof: i64,
}

/// How well a piece fits, the greater the better.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fit(u8);

impl Fit {
    /// No fit is better.
    pub const PERFECT: Self = Self(7);
}

impl Niche {
    /// How well a shape that is neither too wide nor too long fits, and the wall to push it to.
    pub fn fit(&self, shape: Shape) -> (Fit, End) {
        let higher = if self.left >= self.right { End::Left } else { End::Right };
        let ends_left = shape.h == self.left;
        let ends_right = shape.h == self.right;
        if shape.w == self.w {
            let fit = match (ends_left, ends_right) {
                (true, true) => 7,
                (true, false) | (false, true) => 6,
                _ if shape.h < self.left.min(self.right) => 4,
                _ => 3,
            };
            return (Fit(fit), End::Left);
        }
        if ends_left {
            return (Fit(2), End::Left);
        }
        if ends_right {
            return (Fit(2), End::Right);
        }
        (Fit(1), higher)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Expected values: the corners that each piece takes away, counted by hand.
    #[test]
    fn fits_that_take_away_more_corners_are_better() {
        let niche = Niche { w: 10, left: 7, right: 5, roof: 20 };
        let fit = |w, h| niche.fit(Shape { w, h });
        assert!(fit(10, 7).0 > fit(10, 4).0);
        assert!(fit(10, 5).0 > fit(10, 6).0);
        assert!(fit(10, 4).0 > fit(10, 8).0);
        assert!(fit(10, 8).0 > fit(9, 7).0);
        assert_eq!(fit(9, 7).1, End::Left);
        assert_eq!(fit(9, 5).1, End::Right);
        assert!(fit(9, 5).0 > fit(9, 4).0);
        assert_eq!(fit(9, 4).1, End::Left);
        assert_eq!(Niche { right: 7, ..niche }.fit(Shape { w: 10, h: 7 }).0, Fit::PERFECT);
    }
}
