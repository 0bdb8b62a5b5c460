//! Dished ends, caps and spheres: petals round a pole.
//!
//! Symbols (mm): `s` arc along the meridian from the pole, `rho(s)` distance from the axis, `S`
//! the meridian's length, `M` petals, `a = rho(S)`.
//!
//! * A petal at `s` is `2 pi rho(s) / M` wide, so `M` of them have exactly the area of the surface
//!   of revolution, `integral of 2 pi rho ds`, whatever the form.
//! * 2:1 ellipsoid of outside diameter `D`: a layer's mid-surface lies at a distance `h` from it all over, which is no
//!   ellipsoid. Where the ellipse's normal makes the angle `t` with the axis, `tan t = (b/a) tan q`, the meridian is
//!   longer by `h t`, and the radius by `h sin t`. The ellipsoid's own area is
//!   `pi a^2 (1 + (1 - e^2)/e artanh e)`, `e = sqrt(1 - (b/a)^2)`.
//! * Hemisphere: `rho = R sin(s/R)`. Torisphere of crown radius `C` and knuckle radius `k`: an arc
//!   of `C` to the angle `asin((a - k)/(C - k))`, then an arc of `k` to the tangent line.
//! * Below the tangent line a straight skirt may follow: `rho = a`.
//! * A crown disc of meridian radius `s_c` replaces the tips; flat, it has the radius `s_c`.
//! * One piece: all petals stay joined at the crown; since `pi rho / M < s tan(pi / M)`, they open
//!   outward without meeting.
//!
//! Sources: derived (arc length, surface of revolution); the ellipse's meridian agrees with
//! Ramanujan's formula in the tests; head segments are the subject of ASTM C450.

use super::arc::at;
use super::disc::{between, marked};
use super::flat::{Flat, PatternError};
use super::mark::{Mark, MarkKind, TICK};
use std::f64::consts::{FRAC_PI_2, PI};

/// A meridian from the pole to the rim, as many points.
#[derive(Clone, Debug, PartialEq)]
pub struct Meridian {
    /// `(s, rho)` in order, mm.
    points: Vec<(f64, f64)>,
    /// Arc to the tangent line, where a skirt begins.
    tangent: f64,
}

/// Points on a meridian: the chord error stays below a tenth of a millimetre for vessels of 6 m.
const POINTS: u32 = 360;

impl Meridian {
    /// Half an oblate ellipsoid of semi-axes `a` (radius) and `b` (height).
    #[must_use]
    pub fn ellipsoid(a: f64, b: f64) -> Self {
        Self::beside_ellipsoid(a, b, 0.0)
    }

    /// The surface everywhere so far outside half an oblate ellipsoid of semi-axes `a` and `b`, mm.
    #[must_use]
    pub fn beside_ellipsoid(a: f64, b: f64, outside: f64) -> Self {
        let speed = |q: f64| libm::hypot(a * libm::cos(q), b * libm::sin(q));
        let step = FRAC_PI_2 / f64::from(POINTS);
        let mut s = 0.0;
        let mut points = vec![(0.0, 0.0)];
        for i in 0..POINTS {
            // Simpson's rule over one step.
            let q = step * f64::from(i);
            s += step / 6.0 * (speed(q) + 4.0 * speed(q + step / 2.0) + speed(q + step));
            let (sine, cosine) = (libm::sin(q + step), libm::cos(q + step));
            let normal = libm::atan2(b * sine, a * cosine);
            points.push((s + outside * normal, a * sine + outside * libm::sin(normal)));
        }
        let tangent = s + outside * FRAC_PI_2;
        Self { points, tangent }
    }

    /// Half a sphere.
    #[must_use]
    pub fn hemisphere(radius: f64) -> Self {
        Self::ellipsoid(radius, radius)
    }

    /// A crown arc and a knuckle arc that ends at radius `a`.
    #[must_use]
    pub fn torisphere(a: f64, crown: f64, knuckle: f64) -> Self {
        let bend = libm::asin(((a - knuckle) / (crown - knuckle)).clamp(0.0, 1.0));
        let half = POINTS / 2;
        let share = |i: u32| f64::from(i) / f64::from(half);
        let mut points: Vec<(f64, f64)> = (0..=half)
            .map(|i| (crown * bend * share(i), crown * libm::sin(bend * share(i))))
            .collect();
        let rest = FRAC_PI_2 - bend;
        points.extend((1..=half).map(|i| {
            let turn = bend + rest * share(i);
            let s = crown * bend + knuckle * rest * share(i);
            (s, a - knuckle + knuckle * libm::sin(turn))
        }));
        let tangent = points.last().map_or(0.0, |p| p.0);
        Self { points, tangent }
    }

    /// With a straight skirt below the tangent line.
    #[must_use]
    pub fn with_skirt(mut self, skirt: f64) -> Self {
        if let (Some(&(s, rho)), true) = (self.points.last(), skirt > 0.0) {
            self.points.push((s + skirt, rho));
        }
        self
    }

    /// With every radius changed in one ratio: from the mid-surface to the wrap radius.
    #[must_use]
    pub fn stretched(mut self, ratio: f64) -> Self {
        for point in &mut self.points {
            point.1 *= ratio;
        }
        self
    }

    /// Its whole length, skirt included, mm.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.points.last().map_or(0.0, |p| p.0)
    }

    /// Arc to the tangent line, mm.
    #[must_use]
    pub const fn tangent(&self) -> f64 {
        self.tangent
    }

    /// The rim's radius, mm.
    #[must_use]
    pub fn rim(&self) -> f64 {
        self.points.last().map_or(0.0, |p| p.1)
    }

    /// The arc from the pole, in mm, at which the distance from the axis first is `rho` mm; `None` where the
    /// rim lies closer to the axis.
    #[must_use]
    pub fn arc_to(&self, rho: f64) -> Option<f64> {
        let wide = self.points.iter().position(|p| p.1 >= rho)?;
        let (s, own) = self.points[wide];
        let Some(&(before, less)) = wide.checked_sub(1).and_then(|at| self.points.get(at)) else {
            return Some(s);
        };
        Some(before + (s - before) * (rho - less) / (own - less))
    }

    /// The radius, in mm, up to which a flat disc's edge is no longer than `ratio` times the circle on which
    /// it comes to lie.
    #[must_use]
    pub fn flat_to(&self, ratio: f64) -> f64 {
        let flat = self.points.iter().take_while(|p| p.0 <= ratio * p.1);
        flat.last().map_or(0.0, |p| p.0)
    }

    /// Area of the surface of revolution, mm2, by the trapezoid rule on the petals' own corners.
    #[must_use]
    pub fn area(&self) -> f64 {
        let pairs = self.points.windows(2);
        pairs.map(|w| PI * (w[1].0 - w[0].0) * (w[0].1 + w[1].1)).sum()
    }

    /// One of `petals` like petals from the arc `from` (a crown disc's radius, or nothing) to the
    /// rim, laid along the roll; corners no closer than `error` asks for.
    ///
    /// # Errors
    /// When the shape is not simple.
    pub fn petal(&self, petals: u32, from: f64, error: f64) -> Result<Flat, PatternError> {
        let side = self.side(petals, from, error);
        let mut points: Vec<(f64, f64)> = side.iter().map(|&(s, w)| (w, s)).collect();
        points.extend(side.iter().rev().map(|&(s, w)| (-w, s)));
        let share = PI / f64::from(petals.max(1));
        let (rim, whole) = (share * self.rim(), self.length());
        let mut marks = vec![between(MarkKind::Edge, (-rim, whole), (rim, whole), "rim")?];
        if from > 0.0 {
            let w = share * self.radius_at(from);
            marks.push(between(MarkKind::Edge, (-w, from), (w, from), "crown disc")?);
        }
        for (part, word) in [
            (0.0, "at the crown"),
            (0.25, "quarter"),
            (0.5, "half"),
            (0.75, "three quarters"),
            (1.0, "at the rim"),
        ] {
            let s = (from + (whole - from) * part).min(whole);
            let w = share * self.radius_at(s);
            if w < 1.0 {
                continue;
            }
            marks.push(between(MarkKind::Size, (-w, s), (w, s), word)?);
            if part > 0.0 && part < 1.0 {
                let tick = TICK.min(w / 2.0);
                marks.push(between(MarkKind::Match, (w, s), (w - tick, s), word)?);
                marks.push(between(MarkKind::Match, (-w, s), (tick - w, s), word)?);
            }
        }
        marked(&points, marks)
    }

    /// All petals joined to a crown of meridian radius `crown`.
    ///
    /// # Errors
    /// When the shape is not simple.
    pub fn rosette(&self, petals: u32, crown: f64, error: f64) -> Result<Flat, PatternError> {
        let side = self.side(petals, crown, error);
        let pitch = 2.0 * PI / f64::from(petals.max(1));
        let mut points = Vec::new();
        for j in 0..petals {
            let middle = pitch * f64::from(j);
            points.push(at(crown / libm::cos(pitch / 2.0), middle - pitch / 2.0));
            let turned = |(s, w): (f64, f64)| {
                let (sine, cosine) = (libm::sin(middle), libm::cos(middle));
                (s * cosine - w * sine, s * sine + w * cosine)
            };
            points.extend(side.iter().skip(1).map(|&(s, w)| turned((s, -w))));
            points.extend(side.iter().skip(1).rev().map(|&(s, w)| turned((s, w))));
        }
        let rim = PI / f64::from(petals.max(1)) * self.rim();
        let whole = self.length();
        let marks = vec![
            Mark::note(
                format!("{petals} petals, each # @ from the middle to the rim, joined over # @"),
                &[whole, crown],
            )?,
            between(MarkKind::Edge, (whole, -rim), (whole, rim), "rim")?,
            between(MarkKind::Size, (whole, -rim), (whole, rim), "petal at the rim")?,
        ];
        marked(&points, marks)
    }

    /// The half-widths of a petal along the meridian, thinned to the error.
    fn side(&self, petals: u32, from: f64, error: f64) -> Vec<(f64, f64)> {
        let share = PI / f64::from(petals.max(1));
        let half = |&(s, rho): &(f64, f64)| (s, share * rho);
        let mut all: Vec<(f64, f64)> = vec![(from, share * self.radius_at(from))];
        all.extend(self.points.iter().filter(|p| p.0 > from + 1e-6).map(half));
        thin(&all, error)
    }

    /// The distance from the axis at an arc of `s` mm from the pole, in mm; nothing beyond the rim.
    #[must_use]
    pub fn radius_at(&self, s: f64) -> f64 {
        let between = self.points.windows(2).find(|w| w[0].0 <= s && s <= w[1].0);
        between.map_or(0.0, |w| {
            let share = (s - w[0].0) / (w[1].0 - w[0].0);
            w[0].1 + share * (w[1].1 - w[0].1)
        })
    }
}

/// Leaves out points that lie within `error` of the line between those kept on both sides.
fn thin(points: &[(f64, f64)], error: f64) -> Vec<(f64, f64)> {
    let mut kept = Vec::new();
    let mut from = 0;
    while from < points.len() {
        kept.push(points[from]);
        let near = |to: usize| {
            let ((s0, w0), (s1, w1)) = (points[from], points[to]);
            points[from + 1..to]
                .iter()
                .all(|&(s, w)| (w0 + (w1 - w0) * (s - s0) / (s1 - s0) - w).abs() <= error)
        };
        let mut to = from + 1;
        while to + 1 < points.len() && near(to + 1) {
            to += 1;
        }
        from = to;
    }
    kept
}

/// Area of half an oblate ellipsoid, mm2: the closed form.
#[must_use]
pub fn ellipsoid_area(a: f64, b: f64) -> f64 {
    let e2 = 1.0 - (b / a) * (b / a);
    if e2 < 1e-12 {
        return 2.0 * PI * a * a;
    }
    let e = libm::sqrt(e2);
    PI * a * a * (1.0 + (1.0 - e2) / e * libm::atanh(e))
}
