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
const POINTS: u32 = 144;

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

    /// An eccentric reducer in one piece, seam on the flat side, or in two like halves that meet
    /// on the flat side and opposite.
    ///
    /// # Errors
    /// When the dimensions are out of range.
    pub fn eccentric(&self, halves: bool) -> Result<Flat, PatternError> {
        let half: Vec<(f64, f64)> = self.half_rim();
        let ratio = self.small / self.large;
        let mirrored = half.iter().skip(1).map(|&(d, angle)| (d, -angle));
        // From one flat side over the long side to the other, or half of it.
        let mut rim: Vec<(f64, f64)> = half.iter().rev().copied().collect();
        if !halves {
            rim.extend(mirrored);
        }
        let point = |&(d, angle): &(f64, f64), share: f64| at(d * share, angle);
        let mut points: Vec<(f64, f64)> = rim.iter().map(|p| point(p, 1.0)).collect();
        points.extend(rim.iter().rev().map(|p| point(p, ratio)));
        let mut marks = Vec::new();
        let last = rim.len().saturating_sub(1);
        let (flat, long) = ("seam on the flat side", "seam on the long side");
        for (i, word) in [(0, flat), (last, if halves { long } else { flat })] {
            let Some(p) = rim.get(i) else { continue };
            marks.push(between(MarkKind::Edge, point(p, ratio), point(p, 1.0), word)?);
            marks.push(between(MarkKind::Size, point(p, ratio), point(p, 1.0), word)?);
        }
        // A quarter of the way round from the long side, on both sides, and the long side itself.
        let quarter = half.len() / 2;
        let inside = [(quarter, "side"), (0, "long side")];
        for (i, word) in inside.into_iter().take(if halves { 1 } else { 2 }) {
            let Some(&(d, angle)) = half.get(i) else { continue };
            let both = if halves || i == 0 { vec![angle] } else { vec![angle, -angle] };
            for turn in both {
                let (outer, inner) = (d, d * ratio);
                marks.push(between(
                    MarkKind::Match,
                    at(outer, turn),
                    at(outer - TICK, turn),
                    word,
                )?);
                marks.push(between(
                    MarkKind::Match,
                    at(inner, turn),
                    at(inner + TICK, turn),
                    word,
                )?);
                marks.push(between(MarkKind::Size, at(inner, turn), at(outer, turn), word)?);
            }
        }
        marked(&points, marks)
    }

    /// Half the large rim in polar coordinates about the apex, from the long side (angle 0) to
    /// the flat side.
    fn half_rim(&self) -> Vec<(f64, f64)> {
        let apex = self.height * self.large / (self.large - self.small);
        let arc = 2.0 * PI * self.large / f64::from(POINTS);
        let distance = |i: u32| {
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
