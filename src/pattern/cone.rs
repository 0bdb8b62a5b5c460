//! Reducers.
//!
//! Symbols (mm): `r1 > r2` radii of the two ends (wrap radii, so that the rims have the rings'
//! stretch-outs), `H` length along the axis, `e` offset of the axes.
//!
//! * Concentric: `l = sqrt(H^2 + (r1 - r2)^2)`, `rho1 = r1 l / (r1 - r2)`,
//!   `rho2 = r2 l / (r1 - r2)`; a ring sector of angle `2 pi (r1 - r2) / l`, area
//!   `pi (r1 + r2) l`.
//! * Eccentric, one side flat, `e = r1 - r2`: an oblique cone whose apex stands over the flat
//!   side at height `H r1 / (r1 - r2)`. Radial lines: with `d_i` the true distance from the apex
//!   to the `i`-th of `n` points of the large rim and the rim's arc `2 pi r1 / n` between two of
//!   them, each triangle opens by the angle that the cosine rule gives; the small rim divides
//!   every line in the ratio `r2 / r1`. Generators run from `H` on the flat side to
//!   `sqrt(H^2 + (2 e)^2)`. Edges are the arcs themselves, so the rims come out in full.
//!
//! Source: derived; radial-line development of sheet-metal pattern books. Real fittings are
//! bell-shaped; ASME B16.9 allows conical ones (common practice: the blanket follows the cone).

use super::arc::at;
use super::disc::{between, marked, sector};
use super::flat::{Flat, PatternError};
use super::mark::{MarkKind, TICK};
use crate::units::Length;
use std::borrow::Cow;
use std::f64::consts::PI;

/// A reducer's cover.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Cone {
    /// Large radius, mm.
    pub large: f64,
    /// Small radius, mm.
    pub small: f64,
    /// Length along the axis, mm.
    pub height: f64,
}

/// Points round the rim of an eccentric reducer: at 72 a polygon's rim would be short by 0.03
/// per cent, and here only the curve between two points is.
const POINTS: i32 = 144;

/// What of an eccentric reducer's cover a piece is: between two points of the rim, counted from the long
/// side (0); the flat side lies at half the points.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Eccentric {
    first: i32,
    last: i32,
}

impl Eccentric {
    /// Into how many parts an eccentric cover may go: such as the rim's points divide, half a part on as well.
    pub const SHARES: [u32; 8] = [1, 2, 3, 4, 6, 8, 9, 12];

    /// All parts, which open by like angles at the rim: from a seam on the long side on, or, `moved`, from half a
    /// part before it, so that its seams lie in the middle of the others.
    #[must_use]
    pub fn all(parts: u32, moved: bool) -> Vec<Self> {
        let parts = i32::try_from(parts).unwrap_or(1).clamp(1, POINTS / 2);
        let each = POINTS / parts;
        let from = if moved { -each / 2 } else { 0 };
        (0..parts).map(|k| Self { first: from + (k + 1) * each, last: from + k * each }).collect()
    }

    /// Where it begins and ends round the rim, in degrees from the long side.
    #[must_use]
    pub fn degrees(self) -> [f64; 2] {
        [self.last, self.first].map(|j| f64::from(j) * 360.0 / f64::from(POINTS))
    }

    /// Whether its mirror image is itself: the long side or the flat one lies in its middle.
    #[must_use]
    pub const fn is_symmetric(self) -> bool {
        (self.first + self.last) % POINTS == 0
    }
}

impl Cone {
    /// The slant length, mm.
    #[must_use]
    pub fn slant(&self) -> f64 {
        libm::hypot(self.height, self.large - self.small)
    }

    /// The opening angle, radians.
    #[must_use]
    pub fn opening(&self) -> f64 {
        2.0 * PI * (self.large - self.small) / self.slant()
    }

    /// One of `pieces` like sectors of a concentric reducer.
    ///
    /// # Errors
    /// When the dimensions are out of range.
    pub fn concentric(&self, pieces: u32, error: Length) -> Result<Flat, PatternError> {
        let slope = self.slant() / (self.large - self.small);
        let angle = self.opening() / f64::from(pieces.max(1));
        sector(self.large * slope, self.small * slope, angle, error, "seam")
    }

    /// A piece of an eccentric reducer.
    ///
    /// # Errors
    /// When the dimensions are out of range.
    pub fn eccentric(&self, part: Eccentric) -> Result<Flat, PatternError> {
        let half: Vec<(f64, f64)> = self.half_rim();
        let ratio = self.small / self.large;
        let all = half.last().map_or(0.0, |p| p.1) * 2.0;
        // The j-th point of the rim from the long side, on the other side where it is negative; the flat
        // side lies at half the points.
        let place = |j: i32| {
            let past = j.abs() > POINTS / 2;
            let i = if past { POINTS - j.abs() } else { j.abs() };
            let (d, angle) = usize::try_from(i).ok().and_then(|i| half.get(i)).copied()?;
            let angle = if past { all - angle } else { angle };
            Some((d, if j < 0 { -angle } else { angle }))
        };
        let Eccentric { first, last } = part;
        // Laid with its middle on the x axis.
        let ends = [first, last].map(|j| place(j).map_or(0.0, |p| p.1));
        let middle = f64::midpoint(ends[0], ends[1]);
        let rim = |j: i32| place(j).map(|(d, angle)| (d, angle - middle));
        let stretch: Vec<(f64, f64)> = (last..=first).rev().filter_map(rim).collect();
        let point = |&(d, angle): &(f64, f64), share: f64| at(d * share, angle);
        let mut points: Vec<(f64, f64)> = stretch.iter().map(|p| point(p, 1.0)).collect();
        points.extend(stretch.iter().rev().map(|p| point(p, ratio)));
        let mut marks = Vec::new();
        // The seams at both ends, and ticks every quarter of the way round.
        for j in (last..=first).rev() {
            let is_seam = j == first || j == last;
            let quarter = match j.rem_euclid(POINTS) {
                0 => Some(("seam on the long side", "long side")),
                i if i == POINTS / 2 => Some(("seam on the flat side", "flat side")),
                i if i % (POINTS / 4) == 0 => Some(("seam on the side", "side")),
                _ => None,
            };
            let Some(p) = rim(j).filter(|_| is_seam || quarter.is_some()) else { continue };
            let (inner, outer) = (point(&p, ratio), point(&p, 1.0));
            if is_seam {
                let word = quarter.map_or_else(
                    || Cow::Owned(format!("seam at {} degrees", from_long_side(j))),
                    |(seam, _)| Cow::Borrowed(seam),
                );
                marks.push(between(MarkKind::Edge, inner, outer, word.clone())?);
                marks.push(between(MarkKind::Size, inner, outer, word)?);
            } else if let Some((_, inside)) = quarter {
                marks.push(between(MarkKind::Match, outer, at(p.0 - TICK, p.1), inside)?);
                marks.push(between(MarkKind::Match, inner, at(p.0 * ratio + TICK, p.1), inside)?);
                marks.push(between(MarkKind::Size, inner, outer, inside)?);
            }
        }
        if let (Some(a), Some(b)) = (rim(first), rim(last)) {
            for (share, word) in [(1.0, "outer chord"), (ratio, "inner chord")] {
                marks.push(between(MarkKind::Size, point(&a, share), point(&b, share), word)?);
            }
        }
        marked(&points, marks)
    }

    /// Half the large rim in polar coordinates about the apex, from the long side (angle 0) to
    /// the flat side.
    fn half_rim(&self) -> Vec<(f64, f64)> {
        let apex = self.height * self.large / (self.large - self.small);
        let arc = 2.0 * PI * self.large / f64::from(POINTS);
        let distance = |i: i32| {
            // The point at angle phi from the long side is 2 r cos(phi/2) from the flat one.
            let phi = 2.0 * PI * f64::from(i) / f64::from(POINTS);
            libm::hypot(apex, 2.0 * self.large * libm::cos(phi / 2.0))
        };
        let mut angle = 0.0;
        let mut rim = vec![(distance(0), 0.0)];
        for i in 1..=POINTS / 2 {
            let (a, b) = (distance(i - 1), distance(i));
            let cosine = (a * a + b * b - arc * arc) / (2.0 * a * b);
            angle += libm::acos(cosine.clamp(-1.0, 1.0));
            rim.push((b, angle));
        }
        rim
    }
}

/// A point of the rim in degrees from the long side, on whichever side it lies.
fn from_long_side(point: i32) -> f64 {
    let past = point.rem_euclid(POINTS);
    f64::from(past.min(POINTS - past)) * 360.0 / f64::from(POINTS)
}
