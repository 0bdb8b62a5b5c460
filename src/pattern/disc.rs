//! Flat discs and rings.
//!
//! Symbols (mm): `R` outer, `q` inner radius.
//!
//! * A disc is one piece where it fits, else strips of like width between parallel chords; with
//!   `m` strips the `j`-th lies between `x = -R + 2 R j / m` and the next. The strips' areas add
//!   up to `pi R^2`.
//! * A strip that is too long is parted across into pieces of like length.
//! * A ring goes round something, so it has at least two pieces: `m` sectors of area
//!   `pi (R^2 - q^2) / m`.
//!
//! Outer arcs are drawn by their tangents, holes by chords: no piece is short anywhere. Source:
//! plane geometry.

use super::arc::{at, inner, outer};
use super::flat::{Flat, PatternError, near};
use super::mark::{Mark, MarkKind, TICK};
use crate::geometry::Point;
use crate::units::Length;
use std::borrow::Cow;
use std::f64::consts::PI;

/// A full disc.
///
/// # Errors
/// When the radius is out of range.
pub fn disc(radius: f64, error: Length) -> Result<Flat, PatternError> {
    let note = Mark::note("radius # @", &[radius])?;
    // The box of its tangents is a little larger, and not the same both ways.
    let size = between(MarkKind::Size, (-radius, 0.0), (radius, 0.0), "diameter")?;
    marked(&outer(radius, 0.0, 2.0 * PI, error.mm_f64()), vec![note, size])
}

/// A disc in `strips` strips between parallel chords, from one side to the other; the strips lie
/// along the roll.
///
/// # Errors
/// When the radius is out of range.
pub fn strips(radius: f64, strips: u32, error: Length) -> Result<Vec<Flat>, PatternError> {
    let strips = strips.max(1);
    let whole = Share { at: 0, of: 1 };
    (0..strips)
        .map(|at| strip_part((radius, 0.0), Share { at, of: strips }, whole, error))
        .collect()
}

/// A ring in `strips` strips, an even number, between parallel chords; the hole, which reaches no further than the two
/// strips in the middle, opens along the joint between them.
///
/// # Errors
/// When a radius is out of range.
pub fn ring_strips(
    outside: f64,
    inside: f64,
    strips: u32,
    error: Length,
) -> Result<Vec<Flat>, PatternError> {
    let of = strips.max(2).next_multiple_of(2);
    let whole = Share { at: 0, of: 1 };
    (0..of).map(|at| strip_part((outside, inside), Share { at, of }, whole, error)).collect()
}

/// One of so many like parts, counted from 0.
#[derive(Clone, Copy, Debug)]
pub struct Share {
    /// Which.
    pub at: u32,
    /// Of how many.
    pub of: u32,
}

/// One of [`strips`], parted across its length into `parts` pieces of like length, from its lower end
/// to its upper one.
///
/// # Errors
/// When the radius is out of range.
pub fn strip_parts(
    radius: f64,
    strip: Share,
    parts: u32,
    error: Length,
) -> Result<Vec<Flat>, PatternError> {
    let strip = Share { of: strip.of.max(1), ..strip };
    let parts = parts.max(1);
    (0..parts).map(|at| strip_part((radius, 0.0), strip, Share { at, of: parts }, error)).collect()
}

/// One of so many parts of one of so many strips of a disc, or a whole strip of a ring.
fn strip_part(
    (radius, hole): (f64, f64),
    strip: Share,
    part: Share,
    error: Length,
) -> Result<Flat, PatternError> {
    let edge = |j: u32| radius * (2.0 * f64::from(j) / f64::from(strip.of) - 1.0);
    let (left, right) = (edge(strip.at), edge(strip.at + 1));
    let half_at = |x: f64| libm::sqrt((radius * radius - x * x).max(0.0));
    let angle = |x: f64| libm::acos((x / radius).clamp(-1.0, 1.0));
    let mut points = outer(radius, angle(right), angle(left), error.mm_f64());
    let holed = |j: u32| hole > 0.0 && 2 * j == strip.of;
    if holed(strip.at) {
        points.extend(inner(hole, PI / 2.0, -PI / 2.0, error.mm_f64()));
    }
    points.extend(outer(radius, -angle(left), -angle(right), error.mm_f64()));
    if holed(strip.at + 1) {
        points.extend(inner(hole, 3.0 * PI / 2.0, PI / 2.0, error.mm_f64()));
    }
    // Tangents go a little beyond the circle; the parts are of what they enclose.
    let reach = points.iter().map(|p| p.1).fold(0.0, f64::max);
    let cut = |i: u32| match i {
        0 => f64::NEG_INFINITY,
        i if i == part.of => f64::INFINITY,
        i => reach * (2.0 * f64::from(i) / f64::from(part.of) - 1.0),
    };
    let (low, high) = (cut(part.at), cut(part.at + 1));
    let kept = half_plane(&half_plane(&points, |p| p.1 - low), |p| high - p.1);
    let mut marks = vec![Mark::note("radius # @", &[radius])?];
    for (j, inner, tick) in
        [(strip.at, strip.at > 0, TICK), (strip.at + 1, strip.at + 1 < strip.of, -TICK)]
    {
        let x = edge(j);
        let (from, to) = (low.max(-half_at(x)), high.min(half_at(x)));
        let joints = if holed(j) { vec![(from, -hole), (hole, to)] } else { vec![(from, to)] };
        for (from, to) in joints.into_iter().filter(|(from, to)| inner && from < to) {
            marks.push(between(MarkKind::Edge, (x, from), (x, to), "joint")?);
            let middle = f64::midpoint(from, to);
            marks.push(between(MarkKind::Match, (x, middle), (x + tick, middle), "middle")?);
        }
    }
    for (y, inner) in [(low, part.at > 0), (high, part.at + 1 < part.of)] {
        let (from, to) = (left.max(-half_at(y)), right.min(half_at(y)));
        if inner && from < to {
            marks.push(between(MarkKind::Edge, (from, y), (to, y), "joint in the strip")?);
        }
    }
    marked(&kept, marks)
}

/// The part of a convex polygon where a linear measure is not negative.
fn half_plane(points: &[(f64, f64)], measure: impl Fn((f64, f64)) -> f64) -> Vec<(f64, f64)> {
    let mut kept = Vec::with_capacity(points.len() + 2);
    for (&a, &b) in points.iter().zip(points.iter().cycle().skip(1)) {
        let (da, db) = (measure(a), measure(b));
        if da >= 0.0 {
            kept.push(a);
        }
        if (da < 0.0) != (db < 0.0) {
            let share = da / (da - db);
            kept.push((a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share));
        }
    }
    kept
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
    sector(outside, inside, 2.0 * PI / f64::from(sectors.max(2)), error, "joint")
}

/// A sector of a ring over an angle less than a full turn, its middle on the x axis; its straight
/// edges bear the word.
///
/// # Errors
/// When the radii are out of range.
pub(super) fn sector(
    outside: f64,
    inside: f64,
    angle: f64,
    error: Length,
    seam: &'static str,
) -> Result<Flat, PatternError> {
    let error = error.mm_f64();
    let mut points = outer(outside, -angle / 2.0, angle / 2.0, error);
    if inside > 0.0 {
        points.extend(inner(inside, angle / 2.0, -angle / 2.0, error));
    } else {
        points.push((0.0, 0.0));
    }
    let ends = |turn: f64| (at(inside, turn), at(outside, turn));
    let (a, b) = (ends(-angle / 2.0), ends(angle / 2.0));
    let mut marks = vec![
        Mark::note(
            format!(
                "arcs of # and # @ about one centre, opening {:.2} degrees",
                angle.to_degrees()
            ),
            &[outside, inside],
        )?,
        between(MarkKind::Edge, a.0, a.1, seam)?,
        between(MarkKind::Edge, b.0, b.1, seam)?,
        between(MarkKind::Size, a.0, a.1, "along the edge")?,
        between(MarkKind::Size, a.1, b.1, "outer chord")?,
    ];
    if inside > 0.0 {
        marks.push(between(MarkKind::Size, a.0, b.0, "inner chord")?);
    }
    for (share, word) in [(-0.25, "quarter"), (0.0, "middle"), (0.25, "quarter")] {
        let turn = angle * share;
        marks.push(between(MarkKind::Match, at(outside, turn), at(outside - TICK, turn), word)?);
        if inside > 0.0 {
            marks.push(between(MarkKind::Match, at(inside, turn), at(inside + TICK, turn), word)?);
        }
    }
    marked(&points, marks)
}

/// A mark between two points in millimetres.
///
/// # Errors
/// When one of them is out of range.
pub(super) fn between(
    kind: MarkKind,
    from: (f64, f64),
    to: (f64, f64),
    word: impl Into<Cow<'static, str>>,
) -> Result<Mark, PatternError> {
    Ok(Mark::new(kind, corner(from)?, corner(to)?, word))
}

fn corner((x, y): (f64, f64)) -> Result<Point, PatternError> {
    Ok(Point::new(near(x)?, near(y)?))
}

/// A polygon through points in millimetres, with its marks.
///
/// # Errors
/// When it is not simple or out of range.
pub(super) fn marked(points: &[(f64, f64)], marks: Vec<Mark>) -> Result<Flat, PatternError> {
    Flat::marked(points.iter().map(|&p| corner(p)).collect::<Result<_, PatternError>>()?, marks)
}
