//! What shows of a piece through a window, drawn on a sheet: outline, marks, words, and the lines
//! along which sheets are joined.

use super::cell::Cell;
use super::footer::FOOTER;
use super::tile::{Grid, MARGIN, Window};
use super::{Anchor, Line, Sheet, Stroke, Template, Text};
use crate::geometry::Point;
use crate::pattern::MarkKind;
use crate::units::{Angle, Length};

/// A sheet being drawn.
pub(super) struct Drawn<'a> {
    /// What shows of the piece.
    pub window: Window,
    /// Where it is drawn.
    pub sheet: &'a mut Sheet,
}

impl Drawn<'_> {
    /// A point of the piece on the paper.
    fn place(&self, p: Point) -> Point {
        let Window { left, bottom, .. } = self.window;
        Point::new(p.x - left + MARGIN, p.y - bottom + MARGIN + FOOTER)
    }

    fn shows(&self, p: Point) -> bool {
        let w = self.window;
        p.x >= w.left && p.x <= w.left + w.width && p.y >= w.bottom && p.y <= w.bottom + w.height
    }

    /// Adds what shows of a chain of lines.
    fn chain(&mut self, line: Line, points: &[Point]) {
        let mut open: Vec<Point> = Vec::new();
        for pair in points.windows(2) {
            let Some((from, to)) = self.window.clip(pair[0], pair[1]) else {
                self.close(line, &mut open);
                continue;
            };
            if open.last() != Some(&self.place(from)) {
                self.close(line, &mut open);
                open.push(self.place(from));
            }
            open.push(self.place(to));
            if to != pair[1] {
                self.close(line, &mut open);
            }
        }
        self.close(line, &mut open);
    }

    fn close(&mut self, line: Line, open: &mut Vec<Point>) {
        if open.len() > 1 {
            self.sheet.strokes.push(Stroke { line, points: std::mem::take(open) });
        }
        open.clear();
    }

    fn text(&mut self, at: Point, (anchor, turn): (Anchor, Angle), size: Length, words: &str) {
        if self.shows(at) {
            let (at, words) = (self.place(at), words.to_owned());
            self.sheet.texts.push(Text { at, anchor, turn, size, words });
        }
    }

    /// The piece with its marks.
    pub(super) fn piece(&mut self, template: &Template) {
        let corners = template.outline.corners();
        let mut ring = corners.to_vec();
        ring.extend(corners.first());
        self.chain(Line::Cut, &ring);
        let small = Length::from_mm(4);
        for mark in &template.marks {
            match mark.kind {
                MarkKind::Match => {
                    self.chain(Line::Mark, &[mark.from, mark.to]);
                    let (at, anchor) = beside(mark.from, mark.to);
                    self.text(at, (anchor, Angle::ZERO), small, &mark.word);
                }
                MarkKind::Edge => self.edge(mark.from, mark.to, &mark.word, template),
                MarkKind::Size | MarkKind::Note => {}
            }
        }
        let (width, length) = template.outline.size();
        // Above the middle, where a mark at the middle leaves it room; else where the piece is.
        let big = Length::from_mm(12).min(Length::from_nm(width.nm() / 4));
        let at = |x: i64, y: i64| {
            Point::new(Length::from_nm(width.nm() / 8 * x), Length::from_nm(length.nm() / 8 * y))
        };
        let places = [at(4, 5), at(4, 3), at(6, 5), at(2, 5), at(6, 3), at(2, 3)];
        if let Some(place) = places.into_iter().find(|&p| inside(corners, p)) {
            self.text(place, (Anchor::Middle, Angle::ZERO), big, &template.piece);
        }
    }

    /// Writes a word along an edge, inside the piece, where the edge is long enough for it.
    fn edge(&mut self, from: Point, to: Point, word: &str, template: &Template) {
        let (dx, dy) = ((to.x - from.x).mm_f64(), (to.y - from.y).mm_f64());
        let long = libm::hypot(dx, dy);
        let size = 4.0_f64;
        let (x0, y0) = (from.x.mm_f64(), from.y.mm_f64());
        let letters: f64 = word.chars().map(|_| 0.55).sum();
        if long < letters * size * 0.7 {
            return;
        }
        // On the side where the piece is; the letters' feet point away from the nearer edge.
        let (nx, ny) = (-dy / long, dx / long);
        let at = |share: f64, off: f64| {
            let mm = |v: f64| Length::from_mm_f64_nearest(v).unwrap_or_default();
            Point::new(mm(x0 + dx * share + nx * off), mm(y0 + dy * share + ny * off))
        };
        let left = inside(template.outline.corners(), at(0.5, 1.5));
        let off = if left { 2.0 } else { -2.0 - size * 0.7 };
        let turn = libm::atan2(dy, dx).to_degrees();
        let turn = Angle::from_microdegrees(microdegrees(turn));
        let height = Length::from_mm_f64_nearest(size).unwrap_or_default();
        // Once on every sheet that shows a good part of it.
        let steps = (long / 180.0).ceil().clamp(1.0, 50.0);
        let mut share = 0.5 / steps;
        while share < 1.0 {
            self.text(at(share, off), (Anchor::Middle, turn), height, word);
            share += 1.0 / steps;
        }
    }

    /// The dashed lines along which sheets are joined, crosses on them, and the neighbours' names.
    pub(super) fn joins(&mut self, grid: &Grid, cell: &Cell) {
        let others = grid.cells.iter().filter(|other| *other != cell);
        let sides = others.filter_map(|other| cell.side(other).map(|(a, b)| (a, b, other.name())));
        let size = Length::from_nm(3_200_000);
        let arm = Length::from_mm(3);
        for (from, to, name) in sides {
            self.chain(Line::Join, &[from, to]);
            let upright = from.x == to.x;
            let middle = Point::new(halfway(from.x, to.x), halfway(from.y, to.y));
            for p in [from, middle, to] {
                let (x, y) = (p.x, p.y);
                self.chain(Line::Fine, &[Point::new(x - arm, y), Point::new(x + arm, y)]);
                self.chain(Line::Fine, &[Point::new(x, y - arm), Point::new(x, y + arm)]);
            }
            let off = Length::from_mm(1);
            let words = format!("join to {name}");
            let quarter = Point::new(halfway(from.x, middle.x), halfway(from.y, middle.y));
            let (at, turn) = if upright {
                (Point::new(quarter.x - off, quarter.y), Angle::QUARTER)
            } else {
                (Point::new(quarter.x, quarter.y + off), Angle::ZERO)
            };
            self.text(at, (Anchor::Middle, turn), size, &words);
        }
    }
}

impl Window {
    /// The part of a line that lies in the window, by clipping at its four sides in turn.
    fn clip(&self, from: Point, to: Point) -> Option<(Point, Point)> {
        let sides = [
            (1, self.left, true),
            (-1, self.left + self.width, true),
            (1, self.bottom, false),
            (-1, self.bottom + self.height, false),
        ];
        sides.into_iter().try_fold((from, to), |(a, b), (sign, at, across)| {
            let beyond = |p: Point| {
                let v = if across { p.x - at } else { p.y - at };
                i128::from(v.nm()) * sign
            };
            let (da, db) = (beyond(a), beyond(b));
            let cross = || between(a, b, da, da - db);
            match (da >= 0, db >= 0) {
                (true, true) => Some((a, b)),
                (true, false) => Some((a, cross())),
                (false, true) => Some((cross(), b)),
                (false, false) => None,
            }
        })
    }
}

/// The point `share / whole` of the way from `a` to `b`.
fn between(a: Point, b: Point, share: i128, whole: i128) -> Point {
    let along = |p: Length, q: Length| {
        let step =
            (i128::from(q.nm()) - i128::from(p.nm())) * share / if whole == 0 { 1 } else { whole };
        Length::from_nm(p.nm() + i64::try_from(step).unwrap_or(0))
    };
    Point::new(along(a.x, b.x), along(a.y, b.y))
}

fn halfway(a: Length, b: Length) -> Length {
    Length::from_nm(i64::midpoint(a.nm(), b.nm()))
}

/// Where a tick's word stands: beyond its inner end, on the side it points to.
fn beside(from: Point, to: Point) -> (Point, Anchor) {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let (gap, drop) = (Length::from_mm(1), Length::from_nm(1_400_000));
    if dx.abs() < dy.abs() {
        let off = if dy.is_positive() { gap } else { -gap - Length::from_mm(3) };
        return (Point::new(to.x, to.y + off), Anchor::Middle);
    }
    if dx.is_positive() {
        (Point::new(to.x + gap, to.y - drop), Anchor::Start)
    } else {
        (Point::new(to.x - gap, to.y - drop), Anchor::End)
    }
}

/// Whether a point lies in a polygon: a ray to the right crosses its edges an odd number of times.
fn inside(corners: &[Point], p: Point) -> bool {
    let next = corners.iter().cycle().skip(1);
    corners.iter().zip(next).fold(false, |odd, (&a, &b)| {
        let spans = (a.y > p.y) != (b.y > p.y);
        let crosses = spans && (a.cross(b, p) > 0) == (b.y > a.y);
        odd ^ crosses
    })
}

#[expect(clippy::cast_possible_truncation, reason = "an angle of at most half a turn")]
fn microdegrees(degrees: f64) -> i64 {
    // Never upside down.
    let upright = if degrees > 90.0 {
        degrees - 180.0
    } else if degrees <= -90.0 {
        degrees + 180.0
    } else {
        degrees
    };
    (upright * 1e6).round() as i64
}
