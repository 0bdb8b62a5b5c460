//! The search for the filling of one pull that wastes least: ways of lying across, wide ones first, gone
//! through for so many steps.

use super::shop::real;

/// One way in which an atom can lie in a pull; sizes with their gap but for the course's width.
#[derive(Clone, Copy, Debug)]
pub(super) struct Way {
    pub atom: usize,
    pub across: i64,
    pub along: i64,
    pub turned: bool,
    pub width: i64,
    /// Both courses that are left of an open row lie beside each other; `across` counts both.
    pub both: bool,
    /// The area that is wasted behind it.
    pub lost: f64,
    /// What lies behind it in its lane, no wider across; `across` and `along` are the lane's.
    pub behind: Option<Behind>,
}

/// The second piece of a lane.
#[derive(Clone, Copy, Debug)]
pub(super) struct Behind {
    pub atom: usize,
    pub turned: bool,
    pub width: i64,
}

impl Way {
    /// Of one piece, across and along as given, in a pull of this length.
    pub fn one(
        (atom, width): (usize, i64),
        (across, along): (i64, i64),
        (turned, long): (bool, i64),
    ) -> Self {
        let lost = real(long - along) * real(across);
        Self { atom, across, along, turned, width, both: false, lost, behind: None }
    }

    /// This one and another behind it, the wider one first, in a pull of this length.
    pub fn lane(self, other: Self, long: i64) -> Self {
        let (front, back) = if self.across >= other.across { (self, other) } else { (other, self) };
        let held = [front, back].map(|way| real(way.across) * real(way.along)).iter().sum::<f64>();
        let behind = Some(Behind { atom: back.atom, turned: back.turned, width: back.width });
        let along = front.along + back.along;
        Self { along, lost: real(front.across) * real(long) - held, behind, ..front }
    }
}

/// An open row that may close a pull; how long it lies along counts the gap in.
#[derive(Clone, Copy, Debug)]
pub(super) struct Closer {
    pub atom: usize,
    pub low: i64,
    pub high: i64,
    pub step: i64,
    pub along: i64,
}

/// Ways that were chosen, and which atom closes the pull with a course of which width.
pub(super) type Choice = (Vec<usize>, Option<(usize, i64)>);

/// The search for the filling of one pull that wastes least.
pub(super) struct Across<'a> {
    pub ways: &'a [Way],
    pub closers: &'a [Closer],
    pub long: i64,
    pub gap: i64,
    /// Atoms that lie in the pull.
    pub used: &'a mut Vec<bool>,
    /// The atom that must close it.
    pub must: Option<usize>,
    pub chosen: &'a mut Vec<usize>,
    /// The least waste so far.
    pub best: f64,
    pub found: Option<Choice>,
    pub steps: usize,
    pub enough: f64,
}

impl Across<'_> {
    const fn over(&self) -> bool {
        self.steps == 0 || (self.found.is_some() && self.best <= self.enough)
    }

    /// Goes through all ways from one on where so much is left across and so much is wasted.
    pub fn go(&mut self, from: usize, left: i64, waste: f64) {
        if self.over() {
            return;
        }
        self.steps -= 1;
        self.close(left, waste);
        for at in from..self.ways.len() {
            let way = self.ways[at];
            let behind = way.behind.map_or(way.atom, |behind| behind.atom);
            if way.across > left || self.used[way.atom] || self.used[behind] {
                continue;
            }
            let waste = waste + way.lost;
            if waste >= self.best {
                continue;
            }
            self.used[way.atom] = true;
            self.used[behind] = true;
            self.chosen.push(at);
            self.go(at + 1, left - way.across, waste);
            self.chosen.pop();
            self.used[way.atom] = false;
            self.used[behind] = false;
            if self.over() {
                return;
            }
        }
    }

    /// Leaves what is left free, or closes it with a course.
    fn close(&mut self, left: i64, waste: f64) {
        if self.must.is_none() {
            self.offer(waste + real(left) * real(self.long), None);
        }
        for at in 0..self.closers.len() {
            let closer = self.closers[at];
            if self.used[closer.atom] || self.must.is_some_and(|must| must != closer.atom) {
                continue;
            }
            let width = (left - self.gap).min(closer.high);
            let width = width - width.rem_euclid(closer.step);
            if width < closer.low {
                continue;
            }
            let across = width + self.gap;
            let short = real(self.long - closer.along) * real(across);
            let beside = real(left - across) * real(self.long);
            self.offer(waste + short + beside, Some((closer.atom, width)));
        }
    }

    fn offer(&mut self, waste: f64, closed: Option<(usize, i64)>) {
        if waste < self.best {
            self.best = waste;
            self.found = Some((self.chosen.clone(), closed));
        }
    }
}
