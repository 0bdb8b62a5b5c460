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
        if self.window.holds(at) {
            let (at, words) = (self.place(at), words.to_owned());
            self.sheet.texts.push(Text { at, anchor, turn, size, words });
        }
    }

    /// The piece with its marks, and of these of its words ([`super::words`]) those that begin in the window.
    pub(super) fn piece(&mut self, template: &Template, words: &[Text]) {
        let corners = template.outline.corners();
        let mut ring = corners.to_vec();
        ring.extend(corners.first());
        self.chain(Line::Cut, &ring);
        for mark in template.marks.iter().filter(|mark| mark.kind == MarkKind::Match) {
            self.chain(Line::Mark, &[mark.from, mark.to]);
        }
        for Text { at, anchor, turn, size, words } in words {
            self.text(*at, (*anchor, *turn), *size, words);
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
    /// Whether a point of the piece shows.
    pub(super) fn holds(&self, p: Point) -> bool {
        p.x >= self.left
            && p.x <= self.left + self.width
            && p.y >= self.bottom
            && p.y <= self.bottom + self.height
    }

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
