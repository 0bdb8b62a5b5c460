//! Covers of tees and necks parted round the pipe as well, where roll or table are too short for a
//! whole ring.
//!
//! Symbols as in [`super::saddle`]; `n` pieces round, each `2 pi r_k / n` of the wrap. Seams of a
//! layer lie at `k / n` of the turn from the hole's middle, or half a piece further in every second
//! layer. Where a seam crosses the hole's edge, both pieces share the point in which the straight
//! edge between two of the edge's corners crosses it, so they meet exactly. Source: derived.

use super::disc::{between, marked};
use super::flat::{Flat, PatternError};
use super::mark::{MarkKind, TICK};
use super::saddle::{BranchSeam, Saddle, Side};
use std::f64::consts::{FRAC_PI_2, PI};

/// Least blanket left between the hole and the far edge of a piece beside it, mm: the smallest throat of a gore
/// by default. Below it a piece hangs together by a thread, and where an equal branch's hole reaches
/// just as far as the piece, rounding would say whether it crosses its own edge.
const BESIDE: f64 = 25.0;

impl Saddle {
    /// The run's cover from `-from` to `to` in `round` pieces, one seam through the hole's middle:
    /// the two beside the hole, then the plain ones.
    ///
    /// # Errors
    /// When the hole reaches beyond the cover, or leaves too little of the two pieces beside it.
    pub fn seamed_round(
        &self,
        from: impl Into<Side>,
        to: impl Into<Side>,
        round: u32,
    ) -> Result<Vec<Flat>, PatternError> {
        let (start, end) = (from.into(), to.into());
        if round <= 1 {
            return Ok(vec![self.seamed(start, end)?]);
        }
        let (from, to) = (start.at, end.at);
        self.within(from, to)?;
        let pitch = self.run_ring() / f64::from(round);
        let (middle, deep) = self.on_run(FRAC_PI_2);
        if deep + BESIDE > pitch {
            return Err(PatternError::Short);
        }
        let (near, far) = (self.along(PI), self.along(0.0));
        let rim: Vec<(f64, f64)> = self.rim(0.0, PI).into_iter().map(|t| self.on_run(t)).collect();
        let beside = |mirrored: bool| {
            let y = |y: f64| if mirrored { pitch - y } else { y };
            let mut points = vec![(-from, y(0.0))];
            points.extend(rim.iter().rev().map(|&(x, v)| (x, y(v))));
            points.extend([(to, y(0.0)), (to, y(pitch)), (-from, y(pitch))]);
            let tick = if mirrored { -TICK } else { TICK };
            let marks = vec![
                between(MarkKind::Edge, (-from, y(0.0)), (near, y(0.0)), "seam")?,
                between(MarkKind::Edge, (far, y(0.0)), (to, y(0.0)), "seam")?,
                between(MarkKind::Edge, (-from, y(pitch)), (to, y(pitch)), "seam")?,
                between(
                    MarkKind::Edge,
                    (-from, y(0.0)),
                    (-from, y(pitch)),
                    self.edge_of(start, PI),
                )?,
                between(MarkKind::Edge, (to, y(0.0)), (to, y(pitch)), self.edge_of(end, 0.0))?,
                between(MarkKind::Match, (middle, y(deep)), (middle, y(deep) + tick), "side")?,
                between(MarkKind::Size, (middle, y(0.0)), (middle, y(deep)), "half the hole")?,
            ];
            marked(&points, marks)
        };
        let mut flats = vec![beside(false)?, beside(true)?];
        for _ in 2..round {
            flats
                .push(marked(&[(-from, 0.0), (to, 0.0), (to, pitch), (-from, pitch)], Vec::new())?);
        }
        Ok(flats)
    }

    /// The run's cover parted crosswise through the hole, each half in `round` pieces: the obtuse
    /// half's and the acute half's. `turned` has the seams half a piece away from the hole's middle, that of one piece
    /// round opposite the branch.
    ///
    /// # Errors
    /// When the hole reaches beyond the cover.
    pub fn parted_round(
        &self,
        from: impl Into<Side>,
        to: impl Into<Side>,
        round: u32,
        turned: bool,
    ) -> Result<[Vec<Flat>; 2], PatternError> {
        let (start, end) = (from.into(), to.into());
        if round <= 1 {
            let halves =
                if turned { self.parted(start, end)? } else { self.quartered(start, end)? };
            return Ok(halves.map(|half| vec![half]));
        }
        self.halves([start, end], |half, side| self.half_round((half, side), round, turned))
    }

    /// The half that ends there along the run; the hole's end is there at the angle `side` round the branch.
    fn half_round(
        &self,
        (edge_at, side): (Side, f64),
        round: u32,
        turned: bool,
    ) -> Result<Vec<Flat>, PatternError> {
        let end = edge_at.along(side);
        let half = PI * self.run_wrap;
        let pitch = 2.0 * half / f64::from(round);
        let (middle, deep) = self.on_run(FRAC_PI_2);
        // The inner edge from one side of the seam opposite to the other.
        let mut edge = vec![(middle, -half)];
        edge.extend(self.inner_edge(side));
        edge.push((middle, half));
        let shift = if turned { -0.5 } else { 0.0 };
        (0..round)
            .map(|k| {
                let mut low = (f64::from(k) + shift) * pitch;
                if low + pitch / 2.0 > half + 1e-6 {
                    low -= 2.0 * half;
                }
                let high = low + pitch;
                if high > half + 1e-6 {
                    // Across the line opposite the hole: nothing is cut out there.
                    let box_of = [(middle, 0.0), (end, 0.0), (end, pitch), (middle, pitch)];
                    return marked(&box_of, Vec::new());
                }
                let mut points: Vec<(f64, f64)> = vec![(at(&edge, low), low)];
                points.extend(edge.iter().filter(|p| p.1 > low + 1e-6 && p.1 < high - 1e-6));
                points.extend([(at(&edge, high), high), (end, high), (end, low)]);
                let mut marks = vec![
                    between(MarkKind::Edge, (at(&edge, low), low), (end, low), "seam")?,
                    between(MarkKind::Edge, (at(&edge, high), high), (end, high), "seam")?,
                    between(MarkKind::Edge, (end, low), (end, high), self.edge_of(edge_at, side))?,
                ];
                // What is left of the joint with the other half, on both sides of the hole.
                for (from, to) in [(low, high.min(-deep)), (low.max(deep), high)] {
                    if to - from > 1e-6 {
                        marks.push(between(MarkKind::Edge, (middle, from), (middle, to), "joint")?);
                    }
                }
                if low < -1e-6 && high > 1e-6 {
                    let (rim, tick) = (self.along(side), TICK * (end - middle).signum());
                    let word = self.end_word(side);
                    marks.push(between(MarkKind::Match, (rim, 0.0), (rim + tick, 0.0), word)?);
                }
                marked(&points, marks)
            })
            .collect()
    }

    /// The branch's cover up to `top` in `round` pieces.
    ///
    /// # Errors
    /// When the branch ends within the run's cover.
    pub fn sleeve_round(
        &self,
        top: f64,
        seam: BranchSeam,
        round: u32,
    ) -> Result<Vec<Flat>, PatternError> {
        self.up_to(top, ["top, away from the run", "top"], (seam, round))
    }

    /// The lowest course of the branch's cover in `round` pieces, where it is laid in courses, up to the joint `end`
    /// from the run's axis.
    ///
    /// # Errors
    /// When the joint lies within the run's cover.
    pub fn lowest_course(
        &self,
        end: f64,
        seam: BranchSeam,
        round: u32,
    ) -> Result<Vec<Flat>, PatternError> {
        self.up_to(end, ["joint"; 2], (seam, round))
    }

    /// The branch's cover up to `top`; what its edge there is called, in one piece and in several.
    fn up_to(
        &self,
        top: f64,
        [whole, part]: [&'static str; 2],
        (seam, round): (BranchSeam, u32),
    ) -> Result<Vec<Flat>, PatternError> {
        if round <= 1 {
            return Ok(vec![self.sleeve_to((top, whole), seam)?]);
        }
        if top <= self.highest() {
            return Err(PatternError::Short);
        }
        let pitch = 2.0 * PI / f64::from(round);
        // Half a piece from the other layers' seams; an odd number has that opposite.
        let start = match seam {
            BranchSeam::Acute => 0.0,
            BranchSeam::Obtuse if round % 2 == 1 => PI,
            BranchSeam::Obtuse => PI + pitch / 2.0,
        };
        (0..round)
            .map(|k| {
                let (from, to) = (start + pitch * f64::from(k), start + pitch * f64::from(k + 1));
                let place = |t: f64| self.branch_wrap * (t - from);
                let mut points: Vec<(f64, f64)> =
                    self.rim(from, to).into_iter().map(|t| (self.height(t), place(t))).collect();
                points.extend([(top, place(to)), (top, 0.0)]);
                let middle = from + pitch / 2.0;
                let mut marks = vec![between(MarkKind::Edge, (top, 0.0), (top, place(to)), part)?];
                for (t, word) in [(from, "seam"), (middle, "middle"), (to, "seam")] {
                    let (h, y) = (self.height(t), place(t));
                    marks.push(between(MarkKind::Size, (h, y), (top, y), word)?);
                    if t > from && t < to {
                        marks.push(between(MarkKind::Match, (h, y), (h + TICK, y), word)?);
                    } else {
                        marks.push(between(MarkKind::Edge, (h, y), (top, y), word)?);
                    }
                }
                marked(&points, marks)
            })
            .collect()
    }
}

/// Where a chain of points that rises in y is at this height, on the straight line between two.
fn at(chain: &[(f64, f64)], y: f64) -> f64 {
    let pair = chain.windows(2).find(|w| w[0].1 <= y && y <= w[1].1 && w[1].1 > w[0].1);
    match pair {
        Some(&[(x0, y0), (x1, y1)]) => x0 + (x1 - x0) * (y - y0) / (y1 - y0),
        _ => chain.first().map_or(0.0, |p| p.0),
    }
}
