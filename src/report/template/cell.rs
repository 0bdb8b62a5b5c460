//! The cells of a piece, each the part of it that one sheet of paper answers for.
//!
//! The outline is cut along the sides of strips, and each strip across into cells. A half-plane
//! clips a closed chain to a closed chain (Sutherland and Hodgman 1974); where the chain is not
//! convex, its parts hang together by edges along the cut, which have no area.

use super::tile::{Window, letters};
use crate::geometry::{Outline, Point};
use crate::units::Length;
use std::cmp::Reverse;

/// One cell.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cell {
    /// Which strip from the left, from 0.
    pub column: usize,
    /// Which cell of its strip from the top, from 0.
    pub row: usize,
    /// Lower left corner.
    pub low: Point,
    /// Upper right corner.
    pub high: Point,
    /// Box of the piece's part in it.
    part: (Point, Point),
    breadth: Length,
}

impl Cell {
    fn of(
        chain: &[Point],
        (column, row): (usize, usize),
        (low, high): (Point, Point),
    ) -> Option<Self> {
        let next = chain.iter().cycle().skip(1);
        let twice: i128 = chain.iter().zip(next).map(|(&a, &b)| low.cross(a, b)).sum();
        let part = (
            Point::new(least(chain, |p| p.x)?, least(chain, |p| p.y)?),
            Point::new(most(chain, |p| p.x)?, most(chain, |p| p.y)?),
        );
        let longest = (part.1.x - part.0.x).max(part.1.y - part.0.y);
        let breadth = twice.abs() / 2 / i128::from(longest.nm()).max(1);
        let breadth = i64::try_from(breadth).map_or(Length::LIMIT, Length::from_nm);
        (twice != 0).then_some(Self { column, row, low, high, part, breadth })
    }

    /// How broad the piece is in it in the mean: its area there over the longer side of its box.
    pub fn breadth(&self) -> Length {
        self.breadth
    }

    /// Its name: the strip's letter and its number from the top.
    pub fn name(&self) -> String {
        format!("{}{}", letters(self.column), self.row + 1)
    }

    /// A window of this size with the cell in its middle.
    pub fn window(&self, (width, height): (Length, Length)) -> Window {
        let half = |room: Length, low: Length, high: Length| {
            low - Length::from_nm((room - (high - low)).nm() / 2)
        };
        let left = half(width, self.low.x, self.high.x);
        let bottom = half(height, self.low.y, self.high.y);
        Window { left, bottom, width, height }
    }

    /// The side it shares with another, from its lower or left end, if there is one.
    pub fn side(&self, other: &Self) -> Option<(Point, Point)> {
        let between = |low: Point, high: Point| {
            let positive = high.x > low.x || high.y > low.y;
            (high.x >= low.x && high.y >= low.y && positive).then_some((low, high))
        };
        between(
            Point::new(self.low.x.max(other.low.x), self.low.y.max(other.low.y)),
            Point::new(self.high.x.min(other.high.x), self.high.y.min(other.high.y)),
        )
    }
}

/// How good cells are, the larger the better: few sheets, a sliver counting as four more; then how
/// much the leanest holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Merit(Reverse<usize>, Length);

impl Merit {
    /// Of these cells.
    pub fn of(cells: &[Cell]) -> Self {
        let leanest = cells.iter().map(Cell::breadth).min().unwrap_or(Length::ZERO);
        let slivers = cells.iter().filter(|cell| cell.breadth < LEAST).count();
        Self(Reverse(cells.len() + 4 * slivers), leanest)
    }

    /// Whether one of them holds a mere sliver.
    pub fn sliver(self) -> bool {
        self.1 < LEAST
    }
}

/// Less of a piece than this, in the mean, is a sliver: a strip that narrow is hard to cut and to
/// lay straight. Our choice.
const LEAST: Length = Length::from_mm(20);

/// Where cells lie along a line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Lie {
    /// The first one's beginning.
    pub first: Length,
    /// A cell's size.
    pub cell: Length,
    /// How many.
    pub count: i64,
}

/// Steps of a cell's size between the least that covers a line and the most there is room for.
const STEPS: i64 = 2;

/// The best of what cells lying so give over a line of this size, cells of at most `most`: of as few as will do, or
/// one more where these leave a sliver. The largest and evenly shifted come first, so that they stay
/// where nothing is better; with `first_fit` the first without a sliver is taken.
pub(super) fn best<T>(
    size: Length,
    most: Length,
    first_fit: bool,
    of: impl Fn(Lie) -> (Merit, T),
) -> (Merit, T) {
    let fewest = (size.round_up_to(most).nm() / most.nm().max(1)).max(1);
    let mut best = of(Lie { first: Length::ZERO, cell: size.min(most), count: fewest });
    if fewest == 1 {
        return best;
    }
    for count in [fewest, fewest + 1] {
        let least = Length::from_nm(size.nm() / count + 1).min(most);
        for (shrunk, shift) in (0..=STEPS).flat_map(|s| [2, 1, 3, 0, 4].map(|shift| (s, shift))) {
            if first_fit && !best.0.sliver() {
                return best;
            }
            let cell = most - Length::from_nm((most - least).nm() / STEPS * shrunk);
            let first = -Length::from_nm((cell * count - size).nm() / 4 * shift);
            let next = of(Lie { first, cell, count });
            if next.0 > best.0 {
                best = next;
            }
        }
        if !best.0.sliver() {
            break;
        }
    }
    best
}

/// The cells with a part of the piece: strips that lie so, each in cells no higher than `highest`.
pub(super) fn cells(outline: &Outline, across: Lie, highest: Length) -> Vec<Cell> {
    let mut cells = Vec::new();
    for (column, number) in (0..across.count).enumerate() {
        let left = across.first + across.cell * number;
        let right = left + across.cell;
        let strip = keep(outline.corners(), |p| p.x - left);
        let strip = keep(&strip, |p| right - p.x);
        let Some((from, to)) = least(&strip, |p| p.y).zip(most(&strip, |p| p.y)) else { continue };
        let (_, divided) = best(to - from, highest, true, |lie| {
            let divided = divide(&strip, column, (left, right), (from, to), lie);
            (Merit::of(&divided), divided)
        });
        cells.extend(divided);
    }
    cells
}

/// A strip in cells, from the top.
fn divide(
    strip: &[Point],
    column: usize,
    (left, right): (Length, Length),
    (from, to): (Length, Length),
    lie: Lie,
) -> Vec<Cell> {
    let mut cells = Vec::new();
    for number in (0..lie.count).rev() {
        let low = from + lie.first + lie.cell * number;
        let high = (low + lie.cell).min(to);
        let low = low.max(from);
        let chain = keep(strip, |p| p.y - low);
        let chain = keep(&chain, |p| high - p.y);
        let corners = (Point::new(left, low), Point::new(right, high));
        cells.extend(Cell::of(&chain, (column, cells.len()), corners));
    }
    cells
}

/// The cells that need a sheet of their own: those whose part does not show whole on another sheet,
/// which then stays.
pub(super) fn needed(cells: Vec<Cell>, room: (Length, Length)) -> Vec<Cell> {
    let mut kept = vec![true; cells.len()];
    let mut held = vec![false; cells.len()];
    let mut order: Vec<usize> = (0..cells.len()).collect();
    order.sort_by_key(|&at| cells[at].breadth);
    for at in order {
        let (low, high) = cells[at].part;
        let shows = |window: Window| {
            let right = window.left + window.width;
            let top = window.bottom + window.height;
            window.left <= low.x && high.x <= right && window.bottom <= low.y && high.y <= top
        };
        let beside = |&other: &usize| {
            other != at
                && kept[other]
                && cells[at].side(&cells[other]).is_some()
                && shows(cells[other].window(room))
        };
        if let Some(other) = (0..cells.len()).find(beside).filter(|_| !held[at]) {
            kept[at] = false;
            held[other] = true;
        }
    }
    cells.into_iter().zip(kept).filter_map(|(cell, kept)| kept.then_some(cell)).collect()
}

fn least(chain: &[Point], of: impl Fn(&Point) -> Length) -> Option<Length> {
    chain.iter().map(of).min()
}

fn most(chain: &[Point], of: impl Fn(&Point) -> Length) -> Option<Length> {
    chain.iter().map(of).max()
}

/// The part of a closed chain where a linear measure is not negative.
fn keep(chain: &[Point], measure: impl Fn(Point) -> Length) -> Vec<Point> {
    let mut kept = Vec::with_capacity(chain.len() + 4);
    for (&a, &b) in chain.iter().zip(chain.iter().cycle().skip(1)) {
        let (da, db) = (measure(a).nm(), measure(b).nm());
        if da >= 0 {
            kept.push(a);
        }
        if (da < 0) != (db < 0) {
            kept.push(between(a, b, da, da - db));
        }
    }
    kept
}

/// The point `share / whole` of the way from `a` to `b`.
fn between(a: Point, b: Point, share: i64, whole: i64) -> Point {
    let along = |p: Length, q: Length| {
        let step = i128::from((q - p).nm()) * i128::from(share) / i128::from(whole);
        Length::from_nm(p.nm() + i64::try_from(step).unwrap_or(0))
    };
    Point::new(along(a.x, b.x), along(a.y, b.y))
}
