//! Gores of an elbow, and an elbow in one piece.
//!
//! Symbols (mm): `R` bend radius, `r` mid-surface radius, `r_k` wrap radius, `phi` angle round the
//! pipe (0 at the heel), `half` angle of a mitre, `a = R tan(half)`, `b = r tan(half)`.
//!
//! * Half-width of a gore at `phi`: `w = a + b cos(phi)`, laid at `y = r_k phi`. The piece between
//!   two mitres is a lens where its seam lies at the throat, an hour-glass where it lies at the
//!   heel; its area is `4 pi r_k a` either way.
//! * A lens and an hour-glass of the same layer lie in one another at pitch `2a` without gap: both
//!   edges there are `a + b cos`. Here the wave is tabulated once in whole nanometres with
//!   `cos(pi - phi) = -cos(phi)` kept exactly, so that mating edges share every corner.
//! * Where `r >= R` the width vanishes beyond `phi0 = acos(-R/r)`. Gores then end in a point there;
//!   a square end is cut back along the plane `Theta/2` in which the two pipes' covers meet:
//!   `w = (R + r cos(phi)) tan(Theta/2) < 0`.
//! * One piece: the gores stay joined along the heel (where all are widest) over a bridge; darts
//!   open from there to the throat, where the seam lies. What the darts waste is `r / (R + r)`. On
//!   small pipe the bridge is narrower than the rule, so that no dart is 2 mm wide where it begins.
//! * A wave in `n` straight edges is off by at most `b (2 pi / n)^2 / 8`, so
//!   `n >= 2 pi sqrt(b / (8 e))` for a chord error `e`.
//!
//! Source: derived; the textbook's round elbow (`BCcampus`, Pattern Development) uses the same wave.
//! Waves are rounded to the nearest nanometre (both mating edges alike), lengths round the pipe
//! and constant parts upward.

use super::bend::{Bend, Edge, Gore};
use super::flat::{Flat, PatternError, near, up};
use super::mark::{Mark, MarkKind, TICK};
use super::wrap::Layer;
use crate::geometry::Point;
use crate::units::Length;
use std::f64::consts::PI;

/// How wide a dart may be where it begins, mm; our choice.
const OPEN: f64 = 2.0;

/// Where a gore's seam lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SeamAt {
    /// Inside of the bend.
    Throat,
    /// Outside of the bend.
    Heel,
    /// Half a piece away from both, where a ring has an even number of pieces.
    Between,
}

/// One layer of one bend.
#[derive(Clone, Debug)]
pub struct BendLayer {
    bend: Bend,
    /// Mid-surface radius, mm.
    r: f64,
    /// Half the stretch-out.
    half: Length,
    /// Number of straight edges round the pipe, a multiple of 4.
    edges: usize,
    /// Number of pieces a ring is cut into.
    sectors: usize,
    /// Where the throat's width vanishes: the angle, radians, and its place on the flat piece.
    vanish: Option<(f64, Length)>,
}

/// A place along a gore's centreline with the widths to both sides.
#[derive(Clone, Copy, Debug)]
struct Node {
    y: Length,
    first: Length,
    second: Length,
}

/// `b cos(2 pi j / n)` for `j` in `0..n`, `n` a multiple of 4, exactly antisymmetric.
struct Wave {
    mean: Length,
    quarter: Vec<Length>,
}

impl Wave {
    fn new(mean: f64, swing: f64, edges: usize) -> Result<Self, PatternError> {
        let quarter = edges / 4;
        let value = |j: usize| {
            if j == quarter { Ok(Length::ZERO) } else { near(swing * libm::cos(angle(j, edges))) }
        };
        let quarter = (0..=quarter).map(value).collect::<Result<_, _>>()?;
        Ok(Self { mean: up(mean)?, quarter })
    }

    fn at(&self, j: usize) -> Length {
        let q = self.quarter.len() - 1;
        let j = j % (4 * q);
        let j = if j > 2 * q { 4 * q - j } else { j };
        self.mean + if j <= q { self.quarter[j] } else { -self.quarter[2 * q - j] }
    }
}

/// The angle of the `j`-th of `n` edges round the pipe, radians.
#[expect(clippy::cast_precision_loss, reason = "edge counts are small")]
fn angle(j: usize, n: usize) -> f64 {
    2.0 * PI * j as f64 / n as f64
}

/// `whole * part / of`, rounded to nearest.
fn share(whole: Length, part: usize, of: usize) -> Length {
    let (part, of) = (part as i128, (of as i128).max(1));
    let nm = (i128::from(whole.nm()) * part * 2 + of) / (2 * of);
    Length::from_nm(i64::try_from(nm).unwrap_or(i64::MAX))
}

impl BendLayer {
    /// Prepares a layer whose rings are cut into `sectors` pieces.
    ///
    /// # Errors
    /// When a dimension is out of range.
    pub fn new(
        bend: Bend,
        layer: &Layer,
        sectors: u32,
        chord_error: Length,
    ) -> Result<Self, PatternError> {
        let r = layer.mid_radius();
        let half = up(layer.stretch_out() / 2.0)?;
        let sectors = usize::try_from(sectors.max(1)).map_err(|_| PatternError::Range)?;
        let vanish = if r >= bend.radius {
            let phi = libm::acos(-bend.radius / r);
            Some((phi, near(half.mm_f64() * phi / PI)?))
        } else {
            None
        };
        let steepest = if vanish.is_some() { bend.angle / 2.0 } else { bend.unit() / 2.0 };
        let swing = r * libm::tan(steepest);
        if !(swing.is_finite() && (0.0..1e9).contains(&swing)) {
            return Err(PatternError::Range);
        }
        let edges = edges_for(swing, chord_error.mm_f64()).next_multiple_of(4 * sectors);
        Ok(Self { bend, r, half, edges, sectors, vanish })
    }

    /// The stretch-out of the ring.
    #[must_use]
    pub fn stretch_out(&self) -> Length {
        self.half * 2
    }

    /// Whether the throat's width vanishes.
    #[must_use]
    pub const fn vanishes(&self) -> bool {
        self.vanish.is_some()
    }

    /// The pieces of one gore, in order round the pipe; each is longer by `lap` where it laps over the next, or
    /// the ring over itself. Where the throat's width vanishes a seam lies there, and nothing laps.
    ///
    /// # Errors
    /// When the developed shape is not simple.
    pub fn gore(&self, gore: &Gore, seam: SeamAt, lap: Length) -> Result<Vec<Flat>, PatternError> {
        let nodes = self.nodes(gore, seam)?;
        let mut flats = Vec::with_capacity(self.sectors);
        for sector in 0..self.sectors {
            let from = self.place(self.edges * sector / self.sectors);
            let to = self.place(self.edges * (sector + 1) / self.sectors);
            let mut part: Vec<Node> =
                nodes.iter().filter(|n| from <= n.y && n.y <= to).copied().collect();
            if let (true, Some(&last)) = (lap.is_positive(), part.last())
                && last.y == to
            {
                part.extend(lapped(&nodes, last, lap));
            }
            if part.len() > 1 {
                let marks = self.marks(gore, &part, seam);
                flats.push(Flat::marked(outline(gore, &part), marks)?);
            }
        }
        Ok(flats)
    }

    /// All gores in one piece, joined along the heel over `bridge`; the seam lies at the throat,
    /// where one side is longer by `lap` if it laps over the other.
    ///
    /// # Errors
    /// When the developed shape is not simple.
    pub fn one_piece(
        &self,
        gores: &[Gore],
        bridge: Length,
        lap: Length,
    ) -> Result<Flat, PatternError> {
        let tip = self.tip(bridge);
        let upper = self.comb(gores, tip, lap)?;
        let lower = self.comb(gores, tip, Length::ZERO)?;
        let down = |p: Point| Point::new(p.x, -p.y);
        let mut marks = Vec::new();
        let tops = upper.tops.iter().copied();
        for (a, b) in tops.chain(lower.tops.iter().map(|&(a, b)| (down(a), down(b)))) {
            marks.push(Mark::new(MarkKind::Edge, a, b, "seam"));
        }
        if let Some(&(a, b)) = lower.tops.get(lower.tops.len() / 2) {
            marks.push(Mark::new(MarkKind::Size, down(a), down(b), "at the throat"));
        }
        if let [from, .., to] = lower.heel.as_slice() {
            let on = |x: Length| Point::new(x, Length::ZERO);
            marks.push(Mark::new(MarkKind::Size, on(*from), on(*to), "along the heel"));
            if let [_, dart, .., _] = lower.heel.as_slice() {
                let (a, b) = (Point::new(*dart, -tip), Point::new(*dart, tip));
                marks.push(Mark::new(MarkKind::Size, a, b, "between the darts"));
            }
        }
        let lower = lower.points.into_iter().rev().map(down);
        Flat::marked(upper.points.into_iter().chain(lower).collect(), marks)
    }

    /// How far from the heel the darts begin: half the bridge, but no further than where a dart would
    /// be [`OPEN`] wide, since what lies between the darts there is too much on the pipe.
    fn tip(&self, bridge: Length) -> Length {
        let half_bridge = Length::from_nm(bridge.min(self.half).nm() / 2);
        // A dart is 2 b (1 - cos(phi)) wide at the angle phi from the heel.
        let b = self.r * libm::tan(self.bend.unit() / 2.0);
        let cosine = 1.0 - OPEN / (2.0 * b).max(1e-3);
        if cosine <= 0.0 {
            return half_bridge;
        }
        let place = self.half.mm_f64() * libm::acos(cosine) / PI;
        Length::from_mm_f64_nearest(place).map_or(half_bridge, |open| open.min(half_bridge))
    }

    /// How many edges from the throat a ring's first end lies.
    fn start(&self, seam: SeamAt) -> usize {
        match seam {
            _ if self.vanishes() => 0,
            SeamAt::Throat => 0,
            SeamAt::Heel => self.edges / 2,
            SeamAt::Between => self.edges / (2 * self.sectors),
        }
    }

    /// What is marked on a gore: heel, sides and throat, its seams, its square ends.
    fn marks(&self, gore: &Gore, part: &[Node], seam: SeamAt) -> Vec<Mark> {
        let (start, quarter) = (self.start(seam), self.edges / 4);
        let [Some(bottom), Some(top)] = [part.first(), part.last()] else { return Vec::new() };
        let right = |n: &Node| Point::new(n.second, n.y);
        let left = |n: &Node| Point::new(-n.first, n.y);
        let mut marks = Vec::new();
        for end in [bottom, top] {
            if (end.first + end.second).is_positive() {
                marks.push(Mark::new(MarkKind::Edge, left(end), right(end), "seam"));
            }
        }
        for (edge, of) in [(&gore.first, left as fn(&Node) -> Point), (&gore.second, right)] {
            if let Edge::Square(reach) = edge {
                let word = if reach.is_positive() { "end on the pipe" } else { "end at the weld" };
                marks.push(Mark::new(MarkKind::Edge, of(bottom), of(top), word));
            }
        }
        for edge in (0..=self.edges).filter(|edge| (edge + start).is_multiple_of(quarter)) {
            let word = ["throat", "side", "heel", "side"][(edge + start) / quarter % 4];
            let y = self.place(edge);
            let Some(node) = part.iter().find(|n| n.y == y) else { continue };
            let width = node.first + node.second;
            if !width.is_positive() {
                continue;
            }
            marks.push(Mark::new(MarkKind::Size, left(node), right(node), word));
            if y == bottom.y || y == top.y {
                continue;
            }
            let tick = near(TICK).unwrap_or_default().min(Length::from_nm(width.nm() / 3));
            if let Edge::Mitre(_) = gore.first {
                let to = Point::new(tick - node.first, y);
                // Of two unlike mitres nobody sees which is the lesser.
                let word = match (word, gore.is_next_to_end()) {
                    (_, false) => word,
                    ("side", _) => "side, to the end",
                    ("heel", _) => "heel, to the end",
                    _ => "throat, to the end",
                };
                marks.push(Mark::new(MarkKind::Match, left(node), to, word));
            }
            if let Edge::Mitre(_) = gore.second {
                let to = Point::new(node.second - tick, y);
                marks.push(Mark::new(MarkKind::Match, right(node), to, word));
            }
        }
        marks
    }

    /// The boundary of half a one-piece elbow, `y > 0`, from the first end to the second: up and
    /// down each gore, down to `tip` between two.
    fn comb(&self, gores: &[Gore], tip: Length, lap: Length) -> Result<Comb, PatternError> {
        let mut comb = Comb::default();
        let mut contact = Length::ZERO;
        for (k, gore) in gores.iter().enumerate() {
            let mut nodes = self.nodes(gore, SeamAt::Throat)?;
            let heel = nodes.iter().find(|n| n.y == Length::ZERO).copied();
            let Some(heel) = heel else { return Err(PatternError::Range) };
            if let Some(&last) = nodes.last()
                && last.y == self.half
                && lap.is_positive()
            {
                nodes.push(Node { y: last.y + lap, ..last });
            }
            let top = nodes.last().map_or(Length::ZERO, |n| n.y);
            let (is_first, is_last) = (k == 0, k + 1 == gores.len());
            if is_first {
                comb.heel.push(-heel.first);
            } else {
                contact += heel.first;
            }
            if let Some(last) = nodes.last().filter(|n| (n.first + n.second).is_positive()) {
                let at = |x: Length| Point::new(contact + x, last.y);
                comb.tops.push((at(-last.first), at(last.second)));
            }
            // An outer edge starts at the heel, an inner one above the bridge, a square one is a
            // single straight line.
            let shown = |outer: bool, edge: &Edge, y: Length| match (outer, edge) {
                (true, Edge::Square(_)) => y == top,
                (true, Edge::Mitre(_)) => y >= Length::ZERO,
                (false, _) => y > tip,
            };
            let rising = nodes.iter().filter(|n| shown(is_first, &gore.first, n.y));
            comb.points.extend(rising.map(|n| Point::new(contact - n.first, n.y)));
            let falling = nodes.iter().rev().filter(|n| shown(is_last, &gore.second, n.y));
            comb.points.extend(falling.map(|n| Point::new(contact + n.second, n.y)));
            contact += heel.second;
            comb.heel.push(contact);
            if !is_last {
                comb.points.push(Point::new(contact, tip));
            }
        }
        Ok(comb)
    }

    /// Where the `i`-th of `edges` corners lies, counted from the ring's first end.
    fn place(&self, i: usize) -> Length {
        let middle = self.edges / 2;
        if i >= middle {
            share(self.half, i - middle, middle)
        } else {
            -share(self.half, middle - i, middle)
        }
    }

    /// The gore's widths all the way round, from seam to seam.
    fn nodes(&self, gore: &Gore, seam: SeamAt) -> Result<Vec<Node>, PatternError> {
        let first = self.widths(&gore.first, &gore.second)?;
        let second = self.widths(&gore.second, &gore.first)?;
        let (middle, start) = (self.edges / 2, self.start(seam));
        let mut nodes = Vec::with_capacity(self.edges + 3);
        for i in 0..=self.edges {
            let from_heel = ((i + start) % self.edges).abs_diff(middle);
            let y = self.place(i);
            if let Some((_, end)) = self.vanish {
                let kink = |y| Node { y, first: first.at_kink(), second: second.at_kink() };
                let before = nodes.last().map(|n: &Node| n.y);
                for y_kink in [-end, end] {
                    let passed = before.is_none_or(|b| b < y_kink) && y_kink <= y;
                    if passed {
                        nodes.push(kink(y_kink));
                    }
                }
                if y.abs() == end {
                    continue;
                }
                if y.abs() > end && !(first.reaches() && second.reaches()) {
                    continue;
                }
            }
            nodes.push(Node { y, first: first.at(from_heel), second: second.at(from_heel) });
        }
        // Beyond the kink of a pointed end nothing is left.
        if let (Some((_, end)), false) = (self.vanish, first.reaches() && second.reaches()) {
            nodes.retain(|n| n.y.abs() <= end);
        }
        Ok(nodes)
    }

    fn widths(&self, edge: &Edge, opposite: &Edge) -> Result<Widths, PatternError> {
        let wave = |half: f64| {
            let slope = libm::tan(half);
            Wave::new(self.bend.radius * slope, self.r * slope, self.edges)
        };
        Ok(match (edge, opposite, self.vanish) {
            (Edge::Square(reach), ..) => Widths::Square(*reach),
            (Edge::Mitre(half), _, None) => Widths::Mitre(wave(*half)?),
            (Edge::Mitre(half), Edge::Square(reach), Some(_)) if reach.is_positive() => {
                Widths::CutBack { wave: wave(*half)?, back: wave(self.bend.angle / 2.0)? }
            }
            (Edge::Mitre(half), _, Some(_)) => Widths::Pointed(wave(*half)?),
        })
    }
}

/// Half the boundary of an elbow in one piece.
#[derive(Default)]
struct Comb {
    /// Its corners, from the first end to the second.
    points: Vec<Point>,
    /// The gores' ends at the throat.
    tops: Vec<(Point, Point)>,
    /// Where gores begin and end along the heel.
    heel: Vec<Length>,
}

/// The widths from a gore's centreline to one edge.
enum Widths {
    /// The same everywhere.
    Square(Length),
    /// A wave that stays above nothing.
    Mitre(Wave),
    /// A wave that ends where it would fall below nothing.
    Pointed(Wave),
    /// A wave that goes on below nothing along another plane.
    CutBack { wave: Wave, back: Wave },
}

impl Widths {
    fn at(&self, from_heel: usize) -> Length {
        match self {
            Self::Square(reach) => *reach,
            Self::Mitre(wave) => wave.at(from_heel),
            Self::Pointed(wave) => wave.at(from_heel).max(Length::ZERO),
            Self::CutBack { wave, back } => {
                let width = wave.at(from_heel);
                if width.is_positive() { width } else { back.at(from_heel) }
            }
        }
    }

    fn at_kink(&self) -> Length {
        if let Self::Square(reach) = self { *reach } else { Length::ZERO }
    }

    /// Whether the gore goes on beyond the kink.
    fn reaches(&self) -> bool {
        matches!(self, Self::CutBack { .. })
            || matches!(self, Self::Square(reach) if reach.is_positive())
    }
}

/// What a piece that ends at a node laps over of the next one: as wide as that is there, and beyond the ring's own
/// end as wide as at it.
fn lapped(nodes: &[Node], end: Node, lap: Length) -> Vec<Node> {
    let y = end.y + lap;
    let mut over: Vec<Node> = nodes.iter().filter(|n| end.y < n.y && n.y < y).copied().collect();
    let before = over.last().copied().unwrap_or(end);
    let beyond = nodes.iter().find(|n| n.y >= y).map_or(before, |next| {
        let part = |from: Length, to: Length| {
            let (done, of) =
                (i128::from((y - before.y).nm()), i128::from((next.y - before.y).nm()));
            let nm = i128::from((to - from).nm()) * done / of.max(1);
            from + Length::from_nm(i64::try_from(nm).unwrap_or(0))
        };
        let (first, second) = (part(before.first, next.first), part(before.second, next.second));
        Node { y, first, second }
    });
    if (beyond.first + beyond.second).is_positive() {
        over.push(Node { y, ..beyond });
    }
    over
}

/// The corners of a stretch of nodes. A square edge needs its two ends only.
fn outline(gore: &Gore, nodes: &[Node]) -> Vec<Point> {
    let edge_of = |edge: &Edge, i: usize| match edge {
        Edge::Square(_) => i == 0 || i + 1 == nodes.len(),
        Edge::Mitre(_) => true,
    };
    let all = || nodes.iter().enumerate();
    let second =
        all().filter(|(i, _)| edge_of(&gore.second, *i)).map(|(_, n)| Point::new(n.second, n.y));
    let first = all()
        .rev()
        .filter(|(i, _)| edge_of(&gore.first, *i))
        .map(|(_, n)| Point::new(-n.first, n.y));
    second.chain(first).collect()
}

/// How many straight edges a wave of this swing needs all the way round, at least 8.
#[expect(clippy::cast_possible_truncation, reason = "clamped to the range just before")]
#[expect(clippy::cast_sign_loss, reason = "clamped to the range just before")]
pub(super) fn edges_for(swing: f64, chord_error: f64) -> usize {
    let least = 2.0 * PI * libm::sqrt(swing / (8.0 * chord_error.max(1e-3)));
    libm::ceil(least).clamp(8.0, 720.0) as usize
}
