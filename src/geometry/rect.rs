//! Points and axis-parallel rectangles.

use crate::units::{Area, Length};
use serde::{Deserialize, Serialize};

/// A point; `x` runs across the roll, `y` along it.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
#[serde(from = "(Length, Length)", into = "(Length, Length)")]
pub struct Point {
    /// Across the roll.
    pub x: Length,
    /// Along the roll.
    pub y: Length,
}

impl Point {
    /// A point from its coordinates.
    #[must_use]
    pub const fn new(x: Length, y: Length) -> Self {
        Self { x, y }
    }

    /// Twice the signed area of the triangle `self`, `a`, `b`: positive when it turns
    /// counter-clockwise.
    #[must_use]
    pub fn cross(self, a: Self, b: Self) -> i128 {
        let d = |p: Length, q: Length| i128::from(p.nm()) - i128::from(q.nm());
        d(a.x, self.x) * d(b.y, self.y) - d(a.y, self.y) * d(b.x, self.x)
    }

    /// How far `other` is, rounded down to a whole nanometre.
    #[must_use]
    pub fn distance(self, other: Self) -> Length {
        let square = |p: Length, q: Length| u128::from(p.nm().abs_diff(q.nm())).pow(2);
        let root = square(self.x, other.x).saturating_add(square(self.y, other.y)).isqrt();
        Length::from_nm(i64::try_from(root).unwrap_or(i64::MAX))
    }

    /// Turned counter-clockwise about the origin by whole quarter turns.
    #[must_use]
    pub fn quarter_turned(self, quarters: u8) -> Self {
        match quarters % 4 {
            0 => self,
            1 => Self::new(-self.y, self.x),
            2 => Self::new(-self.x, -self.y),
            _ => Self::new(self.y, -self.x),
        }
    }
}

impl From<(Length, Length)> for Point {
    fn from((x, y): (Length, Length)) -> Self {
        Self { x, y }
    }
}

impl From<Point> for (Length, Length) {
    fn from(point: Point) -> Self {
        (point.x, point.y)
    }
}

/// An axis-parallel rectangle, by its lower left corner and its size.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Default, Serialize, Deserialize,
)]
pub struct Rect {
    /// Left edge, across the roll.
    pub x: Length,
    /// Lower edge, along the roll.
    pub y: Length,
    /// Size across the roll.
    pub width: Length,
    /// Size along the roll.
    pub length: Length,
}

impl Rect {
    /// The right edge.
    #[must_use]
    pub fn right(&self) -> Length {
        self.x + self.width
    }

    /// The far edge along the roll.
    #[must_use]
    pub fn far(&self) -> Length {
        self.y + self.length
    }

    /// Its area.
    #[must_use]
    pub const fn area(&self) -> Area {
        Area::of_rectangle(self.width, self.length)
    }

    /// Whether the insides share a point; touching edges do not count.
    #[must_use]
    pub fn overlaps(&self, other: &Self) -> bool {
        self.x < other.right()
            && other.x < self.right()
            && self.y < other.far()
            && other.y < self.far()
    }

    /// The smallest rectangle around both.
    #[must_use]
    pub fn around(&self, other: &Self) -> Self {
        let (x, y) = (self.x.min(other.x), self.y.min(other.y));
        let (right, far) = (self.right().max(other.right()), self.far().max(other.far()));
        Self { x, y, width: right - x, length: far - y }
    }

    /// Whether `other` lies within, edges included.
    #[must_use]
    pub fn contains(&self, other: &Self) -> bool {
        self.x <= other.x
            && self.y <= other.y
            && other.right() <= self.right()
            && other.far() <= self.far()
    }
}
