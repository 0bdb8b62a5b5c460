//! Arcs as straight edges, on the side that leaves no piece short.
//!
//! An arc of radius `R` in `n` equal parts of angle `h` has its chords off by `R (1 - cos(h/2))`
//! inward and its tangents' corners by `R (1/cos(h/2) - 1)` outward; with an error `e` allowed,
//! `h = 2 acos(1 - e/R)` and `2 acos(R / (R + e))`. Outer edges take tangents, so that the piece
//! covers the arc; holes take chords, so that the material reaches into them.

use std::f64::consts::PI;

/// Points of an outer arc about the origin from angle `from` to `to` (radians): the ends lie on
/// the arc, the corners between on its tangents.
pub(super) fn outer(radius: f64, from: f64, to: f64, error: f64) -> Vec<(f64, f64)> {
    let parts = parts((to - from).abs(), 2.0 * libm::acos(radius / (radius + error.max(1e-3))));
    let step = (to - from) / f64::from(parts);
    let beyond = radius / libm::cos(step / 2.0);
    let mut points = vec![at(radius, from)];
    points.extend((0..parts).map(|i| at(beyond, from + step * (f64::from(i) + 0.5))));
    points.push(at(radius, to));
    points
}

/// Points of a hole's arc: all on the arc.
pub(super) fn inner(radius: f64, from: f64, to: f64, error: f64) -> Vec<(f64, f64)> {
    let least = (1.0 - error.max(1e-3) / radius.max(1e-3)).max(0.0);
    let parts = parts((to - from).abs(), 2.0 * libm::acos(least));
    let step = (to - from) / f64::from(parts);
    (0..=parts).map(|i| at(radius, from + step * f64::from(i))).collect()
}

/// A point in polar coordinates.
pub(super) fn at(radius: f64, angle: f64) -> (f64, f64) {
    (radius * libm::cos(angle), radius * libm::sin(angle))
}

/// How many parts of at most `step` an angle has; at least one for every quarter turn.
#[expect(clippy::cast_possible_truncation, reason = "clamped to the range just before")]
#[expect(clippy::cast_sign_loss, reason = "clamped to the range just before")]
fn parts(angle: f64, step: f64) -> u32 {
    let least = libm::ceil(2.0 * angle / PI);
    libm::ceil(angle / step - 1e-9).max(least).clamp(1.0, 4000.0) as u32
}
