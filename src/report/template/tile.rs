//! A template on sheets of paper.
//!
//! Symbols: paper `P` by `Q` less the margin `m` on every side and a footer at the bottom leaves a
//! window `u` by `v`; neighbouring windows share a strip of width `o` (the overlap), so sheets
//! follow each other at `u - o` and `v - o`. The line in the middle of the shared strip is drawn
//! dashed on both: one sheet is cut there and laid on the other, line on line, crosses on crosses.
//! The piece starts half an overlap inside the first window. Of the paper upright and lying the one
//! that needs fewer sheets is taken, upright where both need as many.

use super::footer::{self, FOOTER};
use super::{Anchor, Line, Sheet, Stroke, Template, Text};
use crate::geometry::Point;
use crate::pattern::MarkKind;
use crate::units::{Angle, Length};

/// Paper to print on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    A4,
    /// 297 by 420 mm (ISO 216).
    A3,
    /// One sheet as large as the piece: for plotters.
    Whole,
}

/// Left free on every side, because printers do not print up to the edge; common practice, no
/// source.
pub const MARGIN: Length = Length::from_mm(8);
/// The strip that neighbouring sheets share.
pub const OVERLAP: Length = Length::from_mm(12);

/// A window on the piece, in the piece's coordinates.
#[derive(Clone, Copy, Debug)]
struct Window {
    left: Length,
    bottom: Length,
    width: Length,
    height: Length,
}

/// How a piece is divided.
pub(super) struct Grid {
    /// Paper size.
    pub width: Length,
    /// Paper size.
    pub height: Length,
    /// Sheets side by side.
    pub columns: usize,
    /// Sheets above each other.
    pub rows: usize,
}

impl Grid {
    fn of(paper: Paper, (width, length): (Length, Length)) -> Self {
        let (short, long) = match paper {
            Paper::A4 => (Length::from_mm(210), Length::from_mm(297)),
            Paper::A3 => (Length::from_mm(297), Length::from_mm(420)),
            Paper::Whole => {
                // Wide enough for the footer, and a millimetre for rounding.
                let least = Length::from_mm(170);
                let round = Length::from_mm(1);
                let across = (width + OVERLAP).max(least) + MARGIN * 2 + round;
                let along = length + OVERLAP + MARGIN * 2 + FOOTER + round;
                let (width, height) = (across.round_up_to(round), along.round_up_to(round));
                return Self { width, height, columns: 1, rows: 1 };
            }
        };
        let on = |width_of: Length, height_of: Length| {
            let (u, v) = window(width_of, height_of);
            let (columns, rows) = (count(width, u - OVERLAP), count(length, v - OVERLAP));
            Self { width: width_of, height: height_of, columns, rows }
        };
        let (upright, lying) = (on(short, long), on(long, short));
        if lying.columns * lying.rows < upright.columns * upright.rows { lying } else { upright }
    }

    /// The name of a sheet: column letter and row number, from the upper left.
    pub fn name(&self, column: usize, row: usize) -> String {
        format!("{}{}", letters(column), self.rows - row)
    }

    fn window(&self, column: usize, row: usize) -> Window {
        let (width, height) = window(self.width, self.height);
        let half = Length::from_nm(OVERLAP.nm() / 2);
        let at = |i: usize, step: Length| step * i64::try_from(i).unwrap_or(0) - half;
        let (left, bottom) = (at(column, width - OVERLAP), at(row, height - OVERLAP));
        Window { left, bottom, width, height }
    }
}

/// The window that paper leaves.
fn window(width: Length, height: Length) -> (Length, Length) {
    (width - MARGIN * 2, height - MARGIN * 2 - FOOTER)
}

/// How many steps cover a size.
fn count(size: Length, step: Length) -> usize {
    usize::try_from(size.round_up_to(step).nm() / step.nm().max(1)).unwrap_or(1).max(1)
}

/// `A` to `Z`, `AA` and on.
fn letters(mut index: usize) -> String {
    let mut text = String::new();
    loop {
        let letter = u8::try_from(index % 26).unwrap_or(0);
        text.insert(0, char::from(b'A' + letter));
        match (index / 26).checked_sub(1) {
            Some(next) => index = next,
            None => return text,
        }
    }
}

impl Template {
    /// The sheets of paper the piece needs, row by row from the upper left.
    #[must_use]
    pub fn sheets(&self, paper: Paper) -> Vec<Sheet> {
        let grid = Grid::of(paper, self.outline.size());
        let mut sheets = Vec::with_capacity(grid.columns * grid.rows);
        for row in (0..grid.rows).rev() {
            for column in 0..grid.columns {
                sheets.push(self.sheet(&grid, column, row));
            }
        }
        sheets
    }

    fn sheet(&self, grid: &Grid, column: usize, row: usize) -> Sheet {
        let only = grid.columns * grid.rows == 1;
        let mut sheet = Sheet {
            piece: self.piece.clone(),
            tile: if only { String::new() } else { grid.name(column, row) },
            width: grid.width,
            height: grid.height,
            strokes: Vec::new(),
            texts: Vec::new(),
        };
        let window = grid.window(column, row);
        let mut drawn = Drawn { window, sheet: &mut sheet };
        drawn.piece(self);
        if !only {
            drawn.joins(grid, column, row);
        }
        footer::write(&mut sheet, self, grid, column, row);
        sheet
    }
}

/// A sheet being drawn.
struct Drawn<'a> {
    window: Window,
    sheet: &'a mut Sheet,
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

    fn piece(&mut self, template: &Template) {
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
    fn joins(&mut self, grid: &Grid, column: usize, row: usize) {
        let Window { left, bottom, width, height } = self.window;
        let half = Length::from_nm(OVERLAP.nm() / 2);
        let (right, top) = (left + width, bottom + height);
        let mut sides: Vec<(Point, Point, String)> = Vec::new();
        let (low, high) = (bottom + half, top - half);
        let (near, far) = (left + half, right - half);
        if column > 0 {
            sides.push((Point::new(near, low), Point::new(near, high), grid.name(column - 1, row)));
        }
        if column + 1 < grid.columns {
            sides.push((Point::new(far, low), Point::new(far, high), grid.name(column + 1, row)));
        }
        if row > 0 {
            sides.push((Point::new(near, low), Point::new(far, low), grid.name(column, row - 1)));
        }
        if row + 1 < grid.rows {
            sides.push((Point::new(near, high), Point::new(far, high), grid.name(column, row + 1)));
        }
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
