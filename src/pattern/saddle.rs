//! Tees and branches: the saddle on the branch's cover and the hole in the run's.
//!
//! Symbols (mm): `a` run's and `b <= a` branch's mid-surface radius, `beta` angle between the
//! axes, `theta` angle round the branch (0 on the acute side, in the plane of both axes). A point
//! of both cylinders lies, measured from where the axes cross,
//!
//! * `h(theta) = (sqrt(a^2 - b^2 sin^2 theta) + b cos theta cos beta) / sin beta` up the branch,
//! * `x(theta) = h cos beta + b cos theta sin beta` along the run,
//! * `u(theta) = a asin(b sin theta / a)` round the run from the branch's plane.
//!
//! For `beta = 90` an equal tee has `h = a |cos theta|` and a hole of `4 a^2`. Round both pipes
//! the flat piece is stretched to the wrap radius.
//!
//! A piece has no inner hole: either the run's seam passes through the hole's middle, and each end
//! of the piece has half the hole ([`Saddle::seamed`]), or the cover is parted crosswise through
//! the hole, and each half has the other half ([`Saddle::parted`]). Neighbouring layers take the
//! two in turn, so no joint lies over another. Where a layer that should have its seam through the hole is parted
//! all the same, it keeps that seam ([`Saddle::quartered`]). Source: derived.

use super::disc::{between, marked};
use super::flat::{Flat, PatternError};
use super::mark::{MarkKind, TICK};
use super::wrap::Layer;
use crate::units::Angle;
use std::f64::consts::{FRAC_PI_2, PI};

/// How far an edge may leave the chord between two of its points, mm.
const CHORD: f64 = 0.25;

/// How often a step between two of them is halved at most.
const HALVINGS: u32 = 8;

/// One layer of a branch on a run.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Saddle {
    /// Run's mid-surface radius, mm.
    pub run: f64,
    /// Branch's mid-surface radius, mm.
    pub branch: f64,
    /// Run's wrap radius, mm.
    pub run_wrap: f64,
    /// Branch's wrap radius, mm.
    pub branch_wrap: f64,
    /// Angle between the axes, radians.
    pub angle: f64,
}

/// An end of the run's cover, or of its course with the hole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Side {
    /// How far from where the axes cross, mm; negative beyond that, where the whole hole lies on the other side.
    pub at: f64,
    /// Whether it is a joint, beyond which another course goes on.
    pub joint: bool,
}

impl Side {
    /// Its place along the run, on that side of the branch.
    pub(super) fn along(self, theta: f64) -> f64 {
        if theta > 0.0 { -self.at } else { self.at }
    }
}

impl From<f64> for Side {
    fn from(at: f64) -> Self {
        Self { at, joint: false }
    }
}

/// Which half of a branch's cover faces the seam.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum BranchSeam {
    /// On the acute side.
    Acute,
    /// On the obtuse side.
    Obtuse,
}

impl Saddle {
    /// From the layers of run and branch.
    #[must_use]
    pub fn new(run: &Layer, branch: &Layer, angle: Angle) -> Self {
        Self {
            run: run.mid_radius(),
            branch: branch.mid_radius().min(run.mid_radius()),
            run_wrap: run.wrap_radius(),
            branch_wrap: branch.wrap_radius(),
            angle: angle.radians_f64(),
        }
    }

    /// How far up the branch the two surfaces meet, mm.
    #[must_use]
    pub fn height(&self, theta: f64) -> f64 {
        let across = self.branch * libm::sin(theta);
        let down = libm::sqrt((self.run * self.run - across * across).max(0.0));
        (down + self.branch * libm::cos(theta) * libm::cos(self.angle)) / libm::sin(self.angle)
    }

    /// How far along the run, mm, towards the acute side.
    #[must_use]
    pub fn along(&self, theta: f64) -> f64 {
        self.height(theta) * libm::cos(self.angle)
            + self.branch * libm::cos(theta) * libm::sin(self.angle)
    }

    /// How far round the run on its mid-surface, mm.
    #[must_use]
    pub fn around(&self, theta: f64) -> f64 {
        self.run * libm::asin((self.branch * libm::sin(theta) / self.run).clamp(-1.0, 1.0))
    }

    /// The hole's ends along the run: obtuse side, acute side.
    #[must_use]
    pub fn hole(&self) -> (f64, f64) {
        let ends = self.rim(0.0, PI).into_iter().map(|t| self.along(t));
        ends.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), x| (a.min(x), b.max(x)))
    }

    /// The greatest height at which the surfaces meet.
    #[must_use]
    pub fn highest(&self) -> f64 {
        self.rim(0.0, PI).into_iter().map(|t| self.height(t)).fold(0.0, f64::max)
    }

    /// The least height at which the surfaces meet.
    #[must_use]
    pub fn lowest(&self) -> f64 {
        self.rim(0.0, PI).into_iter().map(|t| self.height(t)).fold(f64::INFINITY, f64::min)
    }

    /// Once round the branch's wrap, mm.
    #[must_use]
    pub fn branch_ring(&self) -> f64 {
        2.0 * PI * self.branch_wrap
    }

    /// Once round the run's wrap, mm.
    #[must_use]
    pub fn run_ring(&self) -> f64 {
        2.0 * PI * self.run_wrap
    }

    /// The run's cover from `-from` to `to` along the run, seam through the hole.
    ///
    /// # Errors
    /// When the hole reaches beyond the cover.
    pub fn seamed(&self, from: impl Into<Side>, to: impl Into<Side>) -> Result<Flat, PatternError> {
        let (start, end) = (from.into(), to.into());
        let (from, to) = (start.at, end.at);
        self.within(from, to)?;
        let ring = self.run_ring();
        let rim: Vec<(f64, f64)> = self.rim(0.0, PI).into_iter().map(|t| self.on_run(t)).collect();
        let mut points = vec![(-from, 0.0)];
        points.extend(rim.iter().rev());
        points.push((to, 0.0));
        points.push((to, ring));
        points.extend(rim.iter().map(|&(x, y)| (x, ring - y)));
        points.push((-from, ring));
        let (near, far) = (self.along(PI), self.along(0.0));
        let (mid, deep) = self.on_run(FRAC_PI_2);
        let marks = vec![
            between(MarkKind::Edge, (-from, 0.0), (near, 0.0), "seam")?,
            between(MarkKind::Edge, (far, 0.0), (to, 0.0), "seam")?,
            between(MarkKind::Edge, (-from, ring), (near, ring), "seam")?,
            between(MarkKind::Edge, (far, ring), (to, ring), "seam")?,
            between(MarkKind::Edge, (-from, 0.0), (-from, ring), self.edge_of(start, PI))?,
            between(MarkKind::Edge, (to, 0.0), (to, ring), self.edge_of(end, 0.0))?,
            between(MarkKind::Match, (mid, deep), (mid, deep + TICK), "side")?,
            between(MarkKind::Match, (mid, ring - deep), (mid, ring - deep - TICK), "side")?,
            between(MarkKind::Size, (-from, 0.0), (near, 0.0), self.end_word(PI))?,
            between(MarkKind::Size, (far, 0.0), (to, 0.0), self.end_word(0.0))?,
            between(MarkKind::Size, (mid, 0.0), (mid, deep), "half the hole")?,
        ];
        marked(&points, marks)
    }

    /// The run's cover parted crosswise through the hole: the obtuse half and the acute half,
    /// seam opposite the branch.
    ///
    /// # Errors
    /// When the hole reaches beyond the cover.
    pub fn parted(
        &self,
        from: impl Into<Side>,
        to: impl Into<Side>,
    ) -> Result<[Flat; 2], PatternError> {
        let half = PI * self.run_wrap;
        let middle = self.along(FRAC_PI_2);
        self.halves([from.into(), to.into()], |side, theta| {
            let (end, edge) = (side.along(theta), self.edge_of(side, theta));
            let mut points = vec![(end, -half), (middle, -half)];
            points.extend(self.inner_edge(theta));
            points.extend([(middle, half), (end, half)]);
            let (rim, tick) = (self.along(theta), TICK * (end - middle).signum());
            let deep = self.on_run(FRAC_PI_2).1;
            let marks = vec![
                between(MarkKind::Edge, (end, -half), (middle, -half), "seam")?,
                between(MarkKind::Edge, (end, half), (middle, half), "seam")?,
                between(MarkKind::Edge, (middle, -half), (middle, -deep), "joint")?,
                between(MarkKind::Edge, (middle, deep), (middle, half), "joint")?,
                between(MarkKind::Edge, (end, -half), (end, half), edge)?,
                between(MarkKind::Match, (rim, 0.0), (rim + tick, 0.0), self.end_word(theta))?,
                between(MarkKind::Size, (rim, 0.0), (end, 0.0), "beside the hole")?,
                between(MarkKind::Size, (middle, -deep), (middle, deep), "hole")?,
            ];
            marked(&points, marks)
        })
    }

    /// The same halves with the seam through the hole's middle, so that each has a quarter of the hole at either end of
    /// its joint.
    ///
    /// # Errors
    /// When the hole reaches beyond the cover.
    pub fn quartered(
        &self,
        from: impl Into<Side>,
        to: impl Into<Side>,
    ) -> Result<[Flat; 2], PatternError> {
        let ring = self.run_ring();
        let (middle, deep) = self.on_run(FRAC_PI_2);
        self.halves([from.into(), to.into()], |side, theta| {
            let (end, edge) = (side.along(theta), self.edge_of(side, theta));
            let rim: Vec<(f64, f64)> =
                self.rim(theta, FRAC_PI_2).into_iter().map(|t| self.on_run(t)).collect();
            let (near, tick) = (self.along(theta), TICK * (end - middle).signum());
            let mut points = vec![(end, 0.0)];
            points.extend(&rim);
            points.extend(rim.iter().rev().map(|&(x, y)| (x, ring - y)));
            points.push((end, ring));
            let marks = vec![
                between(MarkKind::Edge, (end, 0.0), (near, 0.0), "seam")?,
                between(MarkKind::Edge, (end, ring), (near, ring), "seam")?,
                between(MarkKind::Edge, (middle, deep), (middle, ring - deep), "joint")?,
                between(MarkKind::Edge, (end, 0.0), (end, ring), edge)?,
                between(
                    MarkKind::Match,
                    (middle, ring / 2.0),
                    (middle + tick, ring / 2.0),
                    "opposite the branch",
                )?,
                between(MarkKind::Size, (near, 0.0), (end, 0.0), self.end_word(theta))?,
                between(MarkKind::Size, (middle, ring / 2.0), (end, ring / 2.0), "half the cover")?,
                between(MarkKind::Size, (middle, 0.0), (middle, deep), "half the hole")?,
            ];
            marked(&points, marks)
        })
    }

    /// Both halves of a cover that is parted at the hole, on the obtuse side and on the acute side; each from where it ends
    /// and the angle round the branch at which the hole ends there.
    pub(super) fn halves<T>(
        &self,
        [start, end]: [Side; 2],
        half: impl Fn(Side, f64) -> Result<T, PatternError>,
    ) -> Result<[T; 2], PatternError> {
        self.within(start.at, end.at)?;
        Ok([half(start, PI)?, half(end, 0.0)?])
    }

    /// The half of the hole's edge on that side of the branch, from one side of the branch's plane to the other.
    pub(super) fn inner_edge(&self, theta: f64) -> impl Iterator<Item = (f64, f64)> {
        let to = if theta > 0.0 { -3.0 * FRAC_PI_2 } else { FRAC_PI_2 };
        self.rim(-FRAC_PI_2, to).into_iter().map(|t| self.on_run(t))
    }

    /// The branch's cover up to `top` from the run's axis.
    ///
    /// # Errors
    /// When the branch ends within the run's cover.
    pub fn sleeve(&self, top: f64, seam: BranchSeam) -> Result<Flat, PatternError> {
        self.sleeve_to((top, "top, away from the run"), seam)
    }

    /// The same; what its edge at the top is called.
    pub(super) fn sleeve_to(
        &self,
        (top, edge): (f64, &'static str),
        seam: BranchSeam,
    ) -> Result<Flat, PatternError> {
        if top <= self.highest() {
            return Err(PatternError::Short);
        }
        let start = match seam {
            BranchSeam::Acute => 0.0,
            BranchSeam::Obtuse => PI,
        };
        let turn = self.rim(start, start + 2.0 * PI);
        let place = |t: f64| self.branch_wrap * (t - start);
        let mut points: Vec<(f64, f64)> =
            turn.iter().map(|&t| (self.height(t), place(t))).collect();
        points.push((top, place(start + 2.0 * PI)));
        points.push((top, 0.0));
        let end = place(start + 2.0 * PI);
        let mut marks = vec![
            between(MarkKind::Edge, (self.height(start), 0.0), (top, 0.0), "seam")?,
            between(MarkKind::Edge, (self.height(start), end), (top, end), "seam")?,
            between(MarkKind::Edge, (top, 0.0), (top, end), edge)?,
        ];
        for quarter in 0..4_u8 {
            let theta = start + f64::from(quarter) * FRAC_PI_2;
            let (h, y) = (self.height(theta), place(theta));
            let word = if quarter % 2 == 1 { "side" } else { self.end_word(theta) };
            if quarter > 0 {
                marks.push(between(MarkKind::Match, (h, y), (h + TICK, y), word)?);
            }
            marks.push(between(MarkKind::Size, (h, y), (top, y), word)?);
        }
        marked(&points, marks)
    }

    /// What an edge across the run is called on that side of the branch.
    pub(super) fn edge_of(&self, side: Side, theta: f64) -> &'static str {
        if side.joint { "joint" } else { self.end_of_run(theta) }
    }

    /// What the cover's end is called that lies on that side of the branch.
    fn end_of_run(&self, theta: f64) -> &'static str {
        match self.end_word(theta) {
            "acute side" => "end on the acute side",
            "obtuse side" => "end on the obtuse side",
            _ => "end of the cover",
        }
    }

    /// What the ends of the hole are called: angle round the branch 0, or half a turn.
    pub(super) fn end_word(&self, theta: f64) -> &'static str {
        match ((self.angle - FRAC_PI_2).abs() < 1e-9, libm::cos(theta) > 0.0) {
            (true, true) => "one end",
            (true, false) => "other end",
            (false, true) => "acute side",
            (false, false) => "obtuse side",
        }
    }

    /// The hole lies between the cover's ends.
    pub(super) fn within(&self, from: f64, to: f64) -> Result<(), PatternError> {
        let (first, last) = self.hole();
        if -from < first && last < to { Ok(()) } else { Err(PatternError::Short) }
    }

    pub(super) fn on_run(&self, theta: f64) -> (f64, f64) {
        (self.along(theta), self.around(theta) * self.run_wrap / self.run)
    }

    /// Angles round the branch, quarter points included; equal steps (1 - cos(pi / 144) = 0.00024, a
    /// quarter of a millimetre up to 1.2 m), halved where an edge leaves its chord by more than [`CHORD`]:
    /// beside the sides of a branch nearly as wide as its run the edge turns within a degree.
    pub(super) fn rim(&self, from: f64, to: f64) -> Vec<f64> {
        let parts: u32 = if self.branch > 300.0 { 144 } else { 72 };
        let turn = (to - from) / (2.0 * PI);
        let count = (1..=parts).find(|&i| f64::from(i) >= turn.abs() * f64::from(parts) - 1e-6);
        let count = count.unwrap_or(parts);
        let step = (to - from) / f64::from(count);
        let mut angles = vec![from];
        for i in 1..=count {
            let (begin, end) = (from + step * f64::from(i - 1), from + step * f64::from(i));
            self.halved((begin, end), HALVINGS, &mut angles);
        }
        angles
    }

    /// Angles after the first of two, up to the second, near enough to each other for [`CHORD`].
    fn halved(&self, (begin, end): (f64, f64), most: u32, angles: &mut Vec<f64>) {
        let middle = f64::midpoint(begin, end);
        if most > 0 && (self.leaves(begin, end) || self.leaves(end, begin)) {
            self.halved((begin, middle), most - 1, angles);
            self.halved((middle, end), most - 1, angles);
        } else {
            angles.push(end);
        }
    }

    /// Whether the branch's or the hole's edge leaves its chord by too much a quarter of the way, or half.
    fn leaves(&self, begin: f64, end: f64) -> bool {
        let on_branch = |t: f64| (self.height(t), self.branch_wrap * t);
        let on_run = |t: f64| self.on_run(t);
        [0.25, 0.5].into_iter().map(|share| begin + share * (end - begin)).any(|t| {
            beside(on_branch(t), on_branch(begin), on_branch(end)) > CHORD
                || beside(on_run(t), on_run(begin), on_run(end)) > CHORD
        })
    }
}

/// How far a point lies beside the line through two others.
pub(super) fn beside(point: (f64, f64), from: (f64, f64), to: (f64, f64)) -> f64 {
    let (x, y) = (to.0 - from.0, to.1 - from.1);
    let long = libm::hypot(x, y);
    if long <= 0.0 {
        return 0.0;
    }
    ((point.0 - from.0) * y - (point.1 - from.1) * x).abs() / long
}

/// Area of the hole in the run's mid-surface for a branch at right angles, mm2:
/// `4 integral over 0..b of a asin(sqrt(b^2 - x^2) / a) dx`, by Simpson's rule in `x = b sin t`.
#[must_use]
pub fn hole_area(run: f64, branch: f64) -> f64 {
    let value = |t: f64| {
        let u = run * libm::asin((branch * libm::cos(t) / run).min(1.0));
        4.0 * u * branch * libm::cos(t)
    };
    let parts = 2000_u32;
    let step = FRAC_PI_2 / f64::from(parts);
    (0..parts)
        .map(|i| {
            let t = step * f64::from(i);
            step / 6.0 * (value(t) + 4.0 * value(t + step / 2.0) + value(t + step))
        })
        .sum()
}
