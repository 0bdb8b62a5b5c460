//! Flat discs and rings.
//!
//! Symbols (mm): `R` outer, `q` inner radius.
//!
//! * A disc is one piece where it fits, else strips of like width between parallel chords; with
//!   `m` strips the `j`-th lies between `x = -R + 2 R j / m` and the next. The strips' areas add
//!   up to `pi R^2`.
//! * A ring goes round something, so it has at least two pieces: `m` sectors of area
//!   `pi (R^2 - q^2) / m`.
//!
//! Outer arcs are drawn by their tangents, holes by chords: no piece is short anywhere. Source:
//! plane geometry.

use super::arc::{inner, outer};
use super::flat::{Flat, PatternError, near};
use crate::geometry::Point;
use crate::units::Length;
use std::f64::consts::PI;

/// A full disc.
///
/// # Errors
/// When the radius is out of range.
pub fn disc(radius: f64, error: Length) -> Result<Flat, PatternError> {
    polygon(&outer(radius, 0.0, 2.0 * PI, error.mm_f64()))
}

/// A disc in `strips` strips between parallel chords, from one side to the other; the strips lie
/// along the roll.
///
/// # Errors
/// When the radius is out of range.
pub fn strips(radius: f64, strips: u32, error: Length) -> Result<Vec<Flat>, PatternError> {
    let error = error.mm_f64();
    let edge = |j: u32| radius * (2.0 * f64::from(j) / f64::from(strips.max(1)) - 1.0);
    let angle = |x: f64| libm::acos((x / radius).clamp(-1.0, 1.0));
    let strip = |j: u32| {
        let (left, right) = (angle(edge(j)), angle(edge(j + 1)));
        let mut points = outer(radius, right, left, error);
        points.extend(outer(radius, -left, -right, error));
        polygon(&points)
    };
    (0..strips.max(1)).map(strip).collect()
}

/// One of `sectors` like sectors of a ring.
///
/// # Errors
/// When the radii are out of range.
pub fn ring_sector(
    outside: f64,
    inside: f64,
    sectors: u32,
    error: Length,
) -> Result<Flat, PatternError> {
    sector(outside, inside, 2.0 * PI / f64::from(sectors.max(2)), error)
}

/// A sector of a ring over an angle less than a full turn, its middle on the x axis.
///
/// # Errors
/// When the radii are out of range.
pub(super) fn sector(
    outside: f64,
    inside: f64,
    angle: f64,
    error: Length,
) -> Result<Flat, PatternError> {
    let error = error.mm_f64();
    let mut points = outer(outside, -angle / 2.0, angle / 2.0, error);
    if inside > 0.0 {
        points.extend(inner(inside, angle / 2.0, -angle / 2.0, error));
    } else {
        points.push((0.0, 0.0));
    }
    polygon(&points)
}

/// A polygon through points in millimetres.
///
/// # Errors
/// When it is not simple or out of range.
pub(super) fn polygon(points: &[(f64, f64)]) -> Result<Flat, PatternError> {
    let corner = |&(x, y): &(f64, f64)| Ok(Point::new(near(x)?, near(y)?));
    Flat::through(points.iter().map(corner).collect::<Result<_, PatternError>>()?)
}
