//! Whole choices by taking pulls apart and putting them together again.
//!
//! What is free about a thing is here only this: each of its rows is a sequence of courses that
//! cover a length, and where two courses of a row meet may slide, as long as whoever knows the
//! things says that the sequence stands ([`Things::keeps`]). So a piece can take just the width that
//! fills a pull across, or just the length of the pull it lies in turned, and the course that it
//! meets takes the rest. A programme over listed sizes sees such a pair only where one of the two
//! sizes is known already; here both come into being at once.
//!
//! The straight engine finds pulls for the courses to start from, by length alone, unless good ones are
//! known; then by turns ([`turns`]), in two halves side by side where pulls are many ([`halves`]), ruin
//! and recreate (Schrimpf and others, Journal of Computational Physics 159, 2000) slides
//! courses in them:
//!
//! 1. Take a few pulls apart, wasteful ones and such as share rows with them; pairs of courses that
//!    lose a piece may slide, be joined to one, or one be parted in two, as far as joints are left.
//! 2. Lay all that is free again, largest first, each where it costs least ([`lay`]); what slides
//!    tries the widths that would fill what is open.
//! 3. Keep the outcome unless it is worse by more than a threshold that falls to nothing.
//!
//! Most rounds are of another kind ([`refill`]): more pulls are taken apart, and pulls are filled anew
//! one after another, each as well as can be, by a search that a budget of waste cuts short.
//!
//! Before the first turn, where rows cannot lie turned or there are joints left, rows are also laid one
//! behind another across pulls, as chains that a programme chooses ([`wrapped`]); where that is the better
//! start, the search begins there.
//!
//! Each turn begins with the best of the turn before, and the threshold falls over all turns. Pulls are of
//! two stages, or hold stacks of pieces in lanes where three are allowed.
//!
//! Where all ways are few, [`few()`] goes through them instead.

mod across;
mod behind;
mod few;
mod fill;
mod halves;
mod lay;
mod pair;
mod refill;
mod search;
mod shop;
#[cfg(test)]
mod tests;
mod turns;
mod wrap;
mod wrapped;

pub use few::{Few, few};
pub use turns::slide;
pub use wrapped::least_length;

use super::Size;
use crate::nest::Instance;
use crate::nest::straight::LaidPull;
use crate::units::Length;

/// A row of courses.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Row {
    /// Index of the material.
    pub material: usize,
    /// Length of a piece that is as wide as its course.
    pub length: Length,
    /// Whether pieces may lie with their sides exchanged.
    pub sideways: bool,
    /// Pieces of a course.
    pub parts: u64,
    /// The narrowest course.
    pub least: Length,
    /// The widest course.
    pub most: Length,
    /// The most courses.
    pub courses: usize,
    /// Each piece but those of the last course is so much wider than its course.
    pub lap: Length,
    /// Courses but the last, and all pieces, are multiples of this.
    pub step: Length,
}

impl Row {
    /// How wide the pieces of a course are.
    #[must_use]
    pub fn cut(&self, course: Length, last: bool) -> Length {
        let lap = if last { Length::ZERO } else { self.lap };
        (course + lap).round_up_to(self.step)
    }

    /// The sizes of its pieces, course by course, and how many there are of each.
    pub fn sizes(&self, courses: &[Length]) -> impl Iterator<Item = (Size, u64)> {
        (1..).zip(courses).map(|(number, &course)| {
            let size = Size {
                material: self.material,
                width: self.cut(course, number == courses.len()),
                length: self.length,
                upright: true,
                sideways: self.sideways,
            };
            (size, self.parts)
        })
    }
}

/// Courses, row by row.
pub type Rows = Vec<Vec<Length>>;

/// What is free.
pub trait Things: Sync {
    /// How many there are.
    fn count(&self) -> usize;
    /// The rows of one.
    fn rows(&self, thing: usize) -> Vec<Row>;
    /// Its courses to start from.
    fn first(&self, thing: usize) -> Rows;
    /// How many joints one more course in a row of it makes, and what one costs in the objective's
    /// unit.
    fn joints(&self, thing: usize) -> (i64, f64);
    /// Whether its courses may be these.
    fn keeps(&self, thing: usize, courses: &[Vec<Length>]) -> bool;
}

/// What is to be slid.
pub struct Sliding<'a, T> {
    /// The materials: rolls, cutting, and the pieces that are wanted whatever is chosen.
    pub materials: &'a [Instance],
    /// What is free.
    pub things: &'a T,
    /// The most joints beyond those to start from, over all things.
    pub limit: i64,
    /// The finest step in which pieces may be wide.
    pub step: Length,
}

/// What came out.
#[derive(Clone, Debug)]
pub struct Slid {
    /// Courses by thing.
    pub courses: Vec<Rows>,
    /// By material, pulls that hold all pieces.
    pub pulls: Vec<Vec<LaidPull>>,
    /// By material, pulls for the courses to start from.
    pub first: Vec<Vec<LaidPull>>,
    /// What both cost, in the objective's unit: to start from, and what came out.
    pub cost: [f64; 2],
}
