//! How small a block can be that holds just these pieces, in straight cuts.
//!
//! A block's size counts the gap behind each of its pieces. Of each set of pieces all sizes are kept of
//! which none is smaller both ways, with how the block parts:
//!
//! ```text
//!   stack(s)  = pieces of s one behind another
//!   pull2(s)  = pieces of s side by side
//!   pull3(s)  = stacks of parts of s side by side
//!   block(s)  = blocks of two parts of s, side by side or one behind the other
//! ```

use super::states::States;

/// How a piece may lie: its size with the gap, and whether that is turned by a quarter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Lie {
    pub across: i64,
    pub along: i64,
    pub turned: bool,
}

/// How a block parts; parts are a set of pieces and a point of its front.
#[derive(Clone, Copy, Debug)]
pub(super) enum How {
    /// Into a piece of a class, lying so.
    Piece { class: usize, lie: usize },
    /// Side by side.
    Across { one: Part, other: Part },
    /// One behind the other.
    Along { one: Part, other: Part },
}

/// A set of pieces and a point of its front; of stacks or of blocks.
#[derive(Clone, Copy, Debug)]
pub(super) struct Part {
    pub state: usize,
    pub point: usize,
    pub stack: bool,
}

/// A block.
#[derive(Clone, Copy, Debug)]
pub(super) struct Point {
    pub across: i64,
    pub along: i64,
    pub how: How,
}

/// By set of pieces, the sizes of which none is smaller both ways.
pub(super) type Fronts = Vec<Vec<Point>>;

/// Sizes of blocks.
pub(super) struct Blocks {
    pub stacks: Fronts,
    pub pulls: Fronts,
}

/// What blocks are made of.
pub(super) struct Matter<'a> {
    pub states: &'a States,
    /// By class.
    pub lies: &'a [Vec<Lie>],
    /// No block is larger.
    pub most: [i64; 2],
}

impl Matter<'_> {
    /// The blocks for so many stages (any number, if `None`); nothing where they take more than `left`
    /// operations.
    pub fn blocks(&self, stages: Option<u8>, left: &mut u64) -> Option<Blocks> {
        let none = || vec![Vec::new(); self.states.count()];
        match stages {
            Some(2) => Some(Blocks { stacks: none(), pulls: self.row(false, left)? }),
            Some(_) => {
                let stacks = self.row(true, left)?;
                let pulls = self.joined(&stacks, left)?;
                Some(Blocks { stacks, pulls })
            }
            None => Some(Blocks { stacks: none(), pulls: self.any(left)? }),
        }
    }

    /// Single pieces.
    fn singles(&self, state: usize, class: usize) -> Vec<Point> {
        if state != self.states.one(class) {
            return Vec::new();
        }
        let point = |(at, lie): (usize, &Lie)| Point {
            across: lie.across,
            along: lie.along,
            how: How::Piece { class, lie: at },
        };
        let fits = |point: &Point| point.across <= self.most[0] && point.along <= self.most[1];
        self.lies[class].iter().enumerate().map(point).filter(fits).collect()
    }

    /// Pieces one behind another (a stack), or side by side.
    fn row(&self, stack: bool, left: &mut u64) -> Option<Fronts> {
        let mut fronts: Fronts = vec![Vec::new(); self.states.count()];
        for state in 1..self.states.count() {
            let class = self.states.top(state)?;
            let one = self.states.one(class);
            let mut points = self.singles(state, class);
            if state != one {
                let pair = [(one, stack), (state - one, stack)];
                let across = if stack { ALONG } else { ACROSS };
                self.join(&mut points, (&fronts, &fronts), pair, across, left)?;
            }
            prune(&mut points);
            fronts[state] = points;
        }
        Some(fronts)
    }

    /// Stacks side by side.
    fn joined(&self, stacks: &Fronts, left: &mut u64) -> Option<Fronts> {
        let mut fronts: Fronts = vec![Vec::new(); self.states.count()];
        for state in 1..self.states.count() {
            let mut points: Vec<Point> = stacks[state].clone();
            for part in self.states.parts(state) {
                if part != state {
                    let pair = [(part, true), (state - part, false)];
                    self.join(&mut points, (stacks, &fronts), pair, ACROSS, left)?;
                }
            }
            prune(&mut points);
            fronts[state] = points;
        }
        Some(fronts)
    }

    /// Blocks of two blocks.
    fn any(&self, left: &mut u64) -> Option<Fronts> {
        let mut fronts: Fronts = vec![Vec::new(); self.states.count()];
        for state in 1..self.states.count() {
            let mut points = self.singles(state, self.states.top(state)?);
            for part in self.states.parts(state) {
                if part != state {
                    let pair = [(part, false), (state - part, false)];
                    self.join(&mut points, (&fronts, &fronts), pair, ACROSS, left)?;
                    self.join(&mut points, (&fronts, &fronts), pair, ALONG, left)?;
                }
            }
            prune(&mut points);
            fronts[state] = points;
        }
        Some(fronts)
    }

    /// Adds all blocks of two sets' blocks. A set of which the mark is true has its points among the
    /// stacks. Nothing where there are more than `left`.
    fn join(
        &self,
        points: &mut Vec<Point>,
        (ones, others): (&Fronts, &Fronts),
        [one, other]: [(usize, bool); 2],
        across: bool,
        left: &mut u64,
    ) -> Option<()> {
        let made = ones[one.0].len() * others[other.0].len();
        *left = left.checked_sub(u64::try_from(made + 1).ok()?)?;
        for (i, a) in ones[one.0].iter().enumerate() {
            for (j, b) in others[other.0].iter().enumerate() {
                let one = Part { state: one.0, point: i, stack: one.1 };
                let other = Part { state: other.0, point: j, stack: other.1 };
                let point = if across {
                    let how = How::Across { one, other };
                    Point { across: a.across + b.across, along: a.along.max(b.along), how }
                } else {
                    let how = How::Along { one, other };
                    Point { across: a.across.max(b.across), along: a.along + b.along, how }
                };
                if point.across <= self.most[0] && point.along <= self.most[1] {
                    points.push(point);
                }
            }
        }
        if points.len() > MANY {
            prune(points);
        }
        Some(())
    }
}

/// So many points at most are kept before those that are of no use go.
const MANY: usize = 4_096;

/// Whether blocks lie side by side, or one behind the other.
const ACROSS: bool = true;
/// One behind the other.
const ALONG: bool = false;

/// Leaves the points of which none is smaller both ways, narrowest first.
fn prune(points: &mut Vec<Point>) {
    points.sort_by_key(|point| (point.across, point.along));
    let mut shortest = i64::MAX;
    points.retain(|point| {
        let stays = point.along < shortest;
        shortest = shortest.min(point.along);
        stays
    });
}
