//! From an order to a layout: the best-fitting piece into the lowest place.
//!
//! 1. The lowest stretch of the contour, the leftmost of several, is filled first.
//! 2. Of the pieces that fit, the one with the best [fit](super::fit) is laid; the order decides
//!    between equals.
//! 3. Where none fits, the place is given up as far as its lower wall.
//! 4. Where the contour is level a pull may end, so the pull's limit counts from there; a level
//!    contour on which nothing fits ends the room, and the next one begins.
//!
//! Best fit: Burke, Kendall and Whitwell 2004; the order as what a search improves: Wei, Oon, Zhu
//! and Lim, European Journal of Operational Research 215, 2011. What is left over when all rooms
//! are full is the measure of how wrong the order is, which is finer than a length.

use super::edges::{FirstCut, Sheet};
use super::effort::LOOKS_PER_PIECE;
use super::fit::{Fit, Niche};
use super::skyline::{End, Skyline};
use super::task::{Room, Shape, Task};

/// So many of a kind, one after the other.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Entry {
    /// Index into the task's kinds.
    pub kind: u32,
    /// How many.
    pub count: u32,
    /// Which of the kind's shapes alone is allowed; `None` is any.
    pub only: Option<usize>,
    /// Which cut parts the piece from its sheet first; only where cuts run edge to edge.
    pub first: FirstCut,
}

impl Entry {
    /// So many of a kind, however they lie, cut across first.
    pub fn new(kind: u32, count: u32) -> Self {
        Self { kind, count, only: None, first: FirstCut::Across }
    }
}

/// Where a piece lies.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Spot {
    /// Index into the task's kinds.
    pub kind: u32,
    /// How it lies.
    pub shape: Shape,
    /// Which of the rooms it lies in.
    pub room: u32,
    /// Its left edge.
    pub x: i64,
    /// Its near edge.
    pub y: i64,
}

impl Spot {
    /// The area it takes, gap included.
    pub fn area(&self) -> i128 {
        i128::from(self.shape.w) * i128::from(self.shape.h)
    }
}

/// How the order and the fit decide together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Rule {
    /// The best fit of all; the order decides between equals.
    Fit,
    /// The best fit of the first so many in the order that fit at all.
    First(usize),
}

/// Lays orders into rooms, again and again, in the same memory.
#[derive(Debug)]
pub struct Packer<'a> {
    pub(super) task: &'a Task,
    pub(super) rule: Rule,
    skyline: Skyline,
    pub(super) sheets: Vec<Sheet>,
    /// For each entry, how many are not yet laid; shifted by one, since 0 is the list's head.
    count: Vec<u32>,
    /// The next entry with pieces left, by the same index; 0 ends the list.
    pub(super) next: Vec<usize>,
    /// Smallest size across of any shape.
    pub(super) narrowest: i64,
    /// Smallest size along of any shape.
    pub(super) shortest: i64,
    /// What was laid.
    pub spots: Vec<Spot>,
    /// The area not laid.
    pub left: i128,
    /// How far along the last room used the pieces reach.
    pub far: i64,
    /// Fits looked at since the packer was made.
    pub looks: u64,
}

impl<'a> Packer<'a> {
    /// A packer for a task.
    pub fn new(task: &'a Task, rule: Rule) -> Self {
        let shapes = || task.kinds.iter().flat_map(|k| &k.shapes);
        Self {
            task,
            rule,
            skyline: Skyline::default(),
            sheets: Vec::new(),
            count: Vec::new(),
            next: Vec::new(),
            narrowest: shapes().map(|s| s.w).min().unwrap_or(0),
            shortest: shapes().map(|s| s.h).min().unwrap_or(0),
            spots: Vec::new(),
            left: 0,
            far: 0,
            looks: 0,
        }
    }

    /// Lays as much of the order as the rooms take; `true` when all is laid. `go_on` is asked
    /// every few hundred pieces; once it says no the rest is left out.
    pub fn pack(&mut self, order: &[Entry], rooms: &[Room], go_on: &dyn Fn() -> bool) -> bool {
        self.take(order);
        for (number, &room) in (0u32..).zip(rooms) {
            if self.next[0] == 0 {
                break;
            }
            if self.task.edges {
                self.cut(order, number, room, go_on);
            } else {
                self.fill(order, number, room, go_on);
            }
        }
        self.left == 0
    }

    /// In how many ways a kind may lie.
    pub fn shapes(&self, kind: u32) -> usize {
        self.task.kinds[kind as usize].shapes.len()
    }

    fn take(&mut self, order: &[Entry]) {
        self.count.clear();
        self.count.push(0);
        self.count.extend(order.iter().map(|e| e.count));
        self.next.clear();
        self.next.extend(1..=order.len());
        self.next.push(0);
        self.spots.clear();
        self.far = 0;
        self.left = order
            .iter()
            .map(|e| self.task.kinds[e.kind as usize].area() * i128::from(e.count))
            .sum();
    }

    fn fill(&mut self, order: &[Entry], number: u32, room: Room, go_on: &dyn Fn() -> bool) {
        self.skyline.reset(room.width);
        self.far = 0;
        let mut start = 0;
        while self.next[0] != 0 {
            let i = self.skyline.lowest();
            let place = self.skyline.stretches()[i];
            let level = self.skyline.stretches().len() == 1;
            if level {
                start = place.y;
            }
            let roof = room.length.min(start.saturating_add(self.task.pull));
            let (left, right) = self.skyline.walls(i, roof);
            let niche = Niche { w: place.w, left, right, roof: roof - place.y };
            let Some((before, shape, end)) = self.best(order, &niche) else {
                if level {
                    return;
                }
                self.skyline.give_up(i);
                continue;
            };
            let kind = self.draw(order, before).kind;
            let x = self.skyline.lay(i, shape.w, shape.h, end);
            self.lay(Spot { kind, shape, room: number, x, y: place.y });
            if self.spots.len().is_multiple_of(256) && !go_on() {
                return;
            }
        }
    }

    /// Takes a piece of the entry that comes after `before` in the list.
    pub(super) fn draw(&mut self, order: &[Entry], before: usize) -> Entry {
        let entry = self.next[before];
        self.count[entry] -= 1;
        if self.count[entry] == 0 {
            self.next[before] = self.next[entry];
        }
        self.looks += LOOKS_PER_PIECE;
        order[entry - 1]
    }

    /// Lays a piece.
    pub(super) fn lay(&mut self, spot: Spot) {
        self.left -= spot.area();
        self.far = self.far.max(spot.y + spot.shape.h);
        self.spots.push(spot);
    }

    /// The best piece for a niche: the entry before it in the list, its shape, and which wall it
    /// is pushed to.
    fn best(&mut self, order: &[Entry], niche: &Niche) -> Option<(usize, Shape, End)> {
        if niche.w < self.narrowest {
            return None;
        }
        let fit = |shape: Shape| {
            let fits = shape.w <= niche.w && shape.h <= niche.roof;
            fits.then(|| niche.fit(shape))
        };
        self.best_of(order, Fit::PERFECT, fit)
    }

    /// The best piece as far as the rule looks: the entry before it in the list, its shape, and what
    /// belongs to its fit. `fit` says how well a shape fits, if it does; the first of the best counts,
    /// and nothing is looked for beyond a perfect one.
    pub(super) fn best_of<F: Copy + PartialOrd, T>(
        &mut self,
        order: &[Entry],
        perfect: F,
        fit: impl Fn(Shape) -> Option<(F, T)>,
    ) -> Option<(usize, Shape, T)> {
        let mut best: Option<(F, (usize, Shape, T))> = None;
        let mut before = 0;
        let mut entry = self.next[0];
        let mut choices = match self.rule {
            Rule::Fit => usize::MAX,
            Rule::First(many) => many,
        };
        while entry != 0 {
            let mut fits = false;
            let Entry { kind, only, .. } = order[entry - 1];
            for (number, &shape) in self.task.kinds[kind as usize].shapes.iter().enumerate() {
                self.looks += 1;
                if only.is_some_and(|only| only != number) {
                    continue;
                }
                let Some((score, with)) = fit(shape) else { continue };
                fits = true;
                if best.as_ref().is_none_or(|(least, _)| score > *least) {
                    let done = score == perfect;
                    best = Some((score, (before, shape, with)));
                    if done {
                        return best.map(|(_, found)| found);
                    }
                }
            }
            choices -= usize::from(fits);
            if choices == 0 {
                break;
            }
            before = entry;
            entry = self.next[entry];
        }
        best.map(|(_, found)| found)
    }
}
