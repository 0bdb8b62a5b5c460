//! The shortest strip of few pieces cut edge to edge, exactly: every block that wastes little enough.
//!
//! A block is a piece, or two blocks side by side or one beyond the other. Whatever is cut edge to edge
//! is such a block. On a length `l` at most `A = W l - (area of all pieces)` may be wasted, so
//!
//! 1. all blocks are built, from single pieces up, that waste no more than `A`: inside, where the
//!    two parts differ in size, and beside, where no sum of sizes fills the width or length that is
//!    left ([`Reach`]; the stretches right and left of a block and those before and beyond it share
//!    nothing);
//! 2. of blocks of the same pieces only those are kept that no other is both as narrow and as short
//!    as: it could lie in the other's place;
//! 3. where no block holds all pieces, no strip of length `l` does. Then `l` grows.
//!
//! Pieces so wide that none fits beside them ([`Lone`]) part every strip in two wherever they lie, so
//! they go to its end, and blocks are built of the others alone: any subset of them can be piled up
//! without waste, which makes too many blocks.
//!
//! Wang, Operations Research 31, 1983, with a waste that grows step by step; the beside part after
//! Oliveira and Ferreira, EJOR 44, 1990. What is ruled out is a bound for any number of stages, and
//! the first block that holds everything is the shortest strip.

use super::packer::Spot;
use super::task::{Shape, Task};
use crate::nest::bound::Reach;
use std::collections::BTreeMap;

/// Joins looked at in about a microsecond.
const JOINS_PER_STEP: u64 = 100;

/// More blocks than this are not kept.
const MOST_BLOCKS: usize = 400_000;

/// How a block is made.
#[derive(Clone, Copy, Debug)]
enum Made {
    /// One piece of a kind.
    Piece(u32, Shape),
    /// Two blocks, the second to the right of the first.
    Beside(usize, usize),
    /// Two blocks, the second beyond the first.
    Beyond(usize, usize),
}

/// Pieces cut from one rectangle.
#[derive(Clone, Copy, Debug)]
struct Block {
    /// How many of each kind, packed by [`Counts`].
    counts: u128,
    w: i64,
    h: i64,
    /// Area inside on which nothing lies.
    waste: i64,
    made: Made,
}

/// What a search over lengths came to.
#[derive(Clone, Debug, Default)]
pub(super) struct Joined {
    /// No strip is shorter than this.
    pub least: i64,
    /// The shortest strip found, if one was.
    pub spots: Option<Vec<Spot>>,
    /// Steps spent.
    pub spent: u64,
}

/// Counts of all kinds in one number. Each kind has enough bits for its demand, and one above them
/// that tells when a sum exceeds it once `bias` is added.
struct Counts {
    shift: Vec<u32>,
    bias: u128,
    above: u128,
    full: u128,
}

impl Counts {
    /// `None` where the kinds are too many.
    fn new(task: &Task) -> Option<Self> {
        let mut counts = Self { shift: Vec::new(), bias: 0, above: 0, full: 0 };
        let mut at = 0;
        for kind in &task.kinds {
            let bits = u32::BITS - kind.demand.leading_zeros();
            if at + bits + 1 > u128::BITS {
                return None;
            }
            let demand = u128::from(kind.demand);
            counts.shift.push(at);
            counts.bias |= ((1 << bits) - 1 - demand) << at;
            counts.above |= 1 << (at + bits);
            counts.full |= demand << at;
            at += bits + 1;
        }
        Some(counts)
    }

    /// The sum, if it exceeds no demand.
    fn sum(&self, a: u128, b: u128) -> Option<u128> {
        ((a + b + self.bias) & self.above == 0).then_some(a + b)
    }
}

/// Looks for the shortest strip from `bound` on, for at most so many steps. A strip of `known` length
/// exists already.
pub(super) fn shortest(
    task: &Task,
    width: i64,
    (bound, known): (i64, i64),
    steps: u64,
    go_on: &dyn Fn() -> bool,
) -> Joined {
    if task.pull < known {
        return Joined { least: bound, ..Joined::default() };
    }
    let (lone, task) = Lone::part(task, width);
    if task.pieces() == 0 {
        return Joined { least: lone.length, spots: Some(lone.spots(0)), spent: 0 };
    }
    let bounds = (bound - lone.length, known - lone.length);
    let mut joined = shortest_beside(&task, width, bounds, steps, go_on);
    joined.least += lone.length;
    if let Some(spots) = &mut joined.spots {
        let far = spots.iter().map(|spot| spot.y + spot.shape.h).max().unwrap_or(0);
        spots.extend(lone.spots(far));
    }
    joined
}

/// As [`shortest`], where no piece lies alone across.
fn shortest_beside(
    task: &Task,
    width: i64,
    (bound, known): (i64, i64),
    steps: u64,
    go_on: &dyn Fn() -> bool,
) -> Joined {
    let mut joined = Joined { least: bound, ..Joined::default() };
    let Some(counts) = Counts::new(task) else { return joined };
    let area = task.area();
    let (mut known, mut step) = (known, 1);
    while joined.least < known && joined.spent < steps && go_on() {
        let length = (joined.least + step - 1).min(known - 1);
        let Ok(spare) = i64::try_from(i128::from(width) * i128::from(length) - area) else { break };
        if spare < 0 {
            joined.least = length + 1;
            continue;
        }
        let mut level = Level::new(task, &counts, (width, length), spare);
        let left = (steps - joined.spent).saturating_mul(JOINS_PER_STEP);
        let end = level.build(left, go_on);
        joined.spent += level.looked / JOINS_PER_STEP + 1;
        match end {
            End::All(block) => {
                known = level.blocks[block].h;
                joined.spots = Some(level.spots(block));
                step = (step / 2).max(1);
            }
            End::None => {
                joined.least = length + 1;
                if level.looked < left / 64 {
                    step *= 2;
                }
            }
            End::Cut if step == 1 => break,
            End::Cut => step = 1,
        }
    }
    joined
}

/// Pieces beside which none fits, however it lies.
struct Lone {
    /// Each piece's kind and the shape in which it takes least length.
    pieces: Vec<(u32, Shape)>,
    /// Their length in all.
    length: i64,
}

impl Lone {
    /// These pieces, and the task without them.
    fn part(task: &Task, width: i64) -> (Self, Task) {
        let mut others = task.clone();
        let mut lone = Self { pieces: Vec::new(), length: 0 };
        let narrowest = |kind: usize| {
            let beside = task
                .kinds
                .iter()
                .enumerate()
                .filter(move |&(k, other)| other.demand > u32::from(k == kind));
            beside.flat_map(|(_, other)| other.shapes.iter().map(|shape| shape.w)).min()
        };
        for (number, (index, kind)) in (0..).zip(task.kinds.iter().enumerate()) {
            let room = narrowest(index).map_or(0, |narrowest| width - narrowest + 1);
            let lies = kind.shapes.iter().filter(|shape| shape.w <= width);
            let Some(&shape) = lies.min_by_key(|shape| shape.h) else { continue };
            if kind.shapes.iter().all(|shape| shape.w >= room) {
                lone.pieces.extend((0..kind.demand).map(|_| (number, shape)));
                lone.length += shape.h * i64::from(kind.demand);
                others.kinds[index].demand = 0;
            }
        }
        (lone, others)
    }

    /// Where they lie, one beyond the other from `y` on.
    fn spots(&self, mut y: i64) -> Vec<Spot> {
        let mut lay = |&(kind, shape): &(u32, Shape)| {
            let spot = Spot { kind, shape, room: 0, x: 0, y };
            y += shape.h;
            spot
        };
        self.pieces.iter().map(&mut lay).collect()
    }
}

/// How building ended.
enum End {
    /// A block holds all pieces.
    All(usize),
    /// None does.
    None,
    /// There are too many.
    Cut,
}

/// All blocks for one length.
struct Level<'a> {
    task: &'a Task,
    counts: &'a Counts,
    room: Shape,
    spare: i64,
    across: Reach,
    along: Reach,
    blocks: Vec<Block>,
    /// Sizes of the blocks with the same counts.
    sizes: BTreeMap<u128, Vec<(i64, i64)>>,
    /// Blocks that were joined with those before them and themselves, by size across and by size along.
    by_width: BTreeMap<i64, Vec<usize>>,
    by_length: BTreeMap<i64, Vec<usize>>,
    looked: u64,
}

impl<'a> Level<'a> {
    fn new(task: &'a Task, counts: &'a Counts, (w, h): (i64, i64), spare: i64) -> Self {
        let sizes = |side: fn(&Shape) -> i64| -> Vec<(i64, u64)> {
            let of = |kind: &super::task::Kind| {
                let demand = u64::from(kind.demand);
                kind.shapes.iter().map(move |s| (side(s), demand)).collect::<Vec<_>>()
            };
            task.kinds.iter().flat_map(of).collect()
        };
        Self {
            task,
            counts,
            room: Shape { w, h },
            spare,
            across: Reach::new(&sizes(|s| s.w), w),
            along: Reach::new(&sizes(|s| s.h), h),
            blocks: Vec::new(),
            sizes: BTreeMap::new(),
            by_width: BTreeMap::new(),
            by_length: BTreeMap::new(),
            looked: 0,
        }
    }

    /// Builds all blocks, looking at no more than `most` joins.
    fn build(&mut self, most: u64, go_on: &dyn Fn() -> bool) -> End {
        for (number, (kind, &shift)) in (0..).zip(self.task.kinds.iter().zip(&self.counts.shift)) {
            for &shape in kind.shapes.iter().filter(|_| kind.demand > 0) {
                let made = Made::Piece(number, shape);
                let block = Block { counts: 1 << shift, w: shape.w, h: shape.h, waste: 0, made };
                self.keep(block);
            }
        }
        let mut at = 0;
        while at < self.blocks.len() {
            if self.blocks[at].counts == self.counts.full {
                return End::All(at);
            }
            if self.looked > most || self.blocks.len() > MOST_BLOCKS || !go_on() {
                return End::Cut;
            }
            // A block is joined with itself too, where its pieces are wanted twice.
            let block = self.blocks[at];
            self.by_width.entry(block.w).or_default().push(at);
            self.by_length.entry(block.h).or_default().push(at);
            for block in self.joins(at) {
                if self.keep(block) && block.counts == self.counts.full {
                    return End::All(self.blocks.len() - 1);
                }
            }
            at += 1;
        }
        End::None
    }

    /// A block's joins with itself and those before it, as far as the waste inside allows.
    fn joins(&mut self, at: usize) -> Vec<Block> {
        let one = self.blocks[at];
        let mut new = Vec::new();
        let mut looked = 0;
        for (&w, others) in &self.by_width {
            if (w - one.w) * one.h > self.spare - one.waste {
                break;
            }
            looked += others.len() as u64;
            for &other in others {
                let two = self.blocks[other];
                let lost = if w < one.w { (one.w - w) * two.h } else { (w - one.w) * one.h };
                let waste = one.waste + two.waste + lost;
                if waste > self.spare || one.h + two.h > self.room.h {
                    continue;
                }
                let Some(counts) = self.counts.sum(one.counts, two.counts) else { continue };
                let made = Made::Beyond(at, other);
                new.push(Block { counts, w: one.w.max(w), h: one.h + two.h, waste, made });
            }
        }
        for (&h, others) in &self.by_length {
            if (h - one.h) * one.w > self.spare - one.waste {
                break;
            }
            looked += others.len() as u64;
            for &other in others {
                let two = self.blocks[other];
                let lost = if h < one.h { (one.h - h) * two.w } else { (h - one.h) * one.w };
                let waste = one.waste + two.waste + lost;
                if waste > self.spare || one.w + two.w > self.room.w {
                    continue;
                }
                let Some(counts) = self.counts.sum(one.counts, two.counts) else { continue };
                let made = Made::Beside(at, other);
                new.push(Block { counts, w: one.w + two.w, h: one.h.max(h), waste, made });
            }
        }
        self.looked += looked + 100;
        new
    }

    /// Keeps a block unless it wastes too much or another can lie in its place.
    fn keep(&mut self, block: Block) -> bool {
        let (right, beyond) = (self.room.w - block.w, self.room.h - block.h);
        if right < 0 || beyond < 0 {
            return false;
        }
        let right = (right - self.across.at_most(right)) * block.h;
        let beyond = (beyond - self.along.at_most(beyond)) * block.w;
        if block.waste + right + beyond > self.spare {
            return false;
        }
        let sizes = self.sizes.entry(block.counts).or_default();
        if sizes.iter().any(|&(w, h)| w <= block.w && h <= block.h) {
            return false;
        }
        sizes.push((block.w, block.h));
        self.blocks.push(block);
        true
    }

    /// Where the pieces of a block lie.
    fn spots(&self, block: usize) -> Vec<Spot> {
        let mut spots = Vec::new();
        let mut open = vec![(block, 0, 0)];
        while let Some((block, x, y)) = open.pop() {
            match self.blocks[block].made {
                Made::Piece(kind, shape) => spots.push(Spot { kind, shape, room: 0, x, y }),
                Made::Beside(one, two) => {
                    open.extend([(one, x, y), (two, x + self.blocks[one].w, y)]);
                }
                Made::Beyond(one, two) => {
                    open.extend([(one, x, y), (two, x, y + self.blocks[one].h)]);
                }
            }
        }
        spots
    }
}
