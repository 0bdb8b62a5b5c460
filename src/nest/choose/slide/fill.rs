//! Pulls for a few pieces anew, one after another, each filled as well as can be.
//!
//! Pieces are rigid or *open*: what is left of a row that is not parted yet, from which a pull may
//! take a course as wide as suits it. The budget is the blanket that may be wasted in all.
//!
//! 1. Take the piece that is hard to place: a large one, sizes shaken by lot.
//! 2. Its pull is as long as it is, one way or the other; an open row turned also tries lengths at
//!    which others lie beside it without loss.
//! 3. Fill the pull across by going through the others, wide ones first, for so many steps. What
//!    stays free across is closed by a course of an open row whose window allows it.
//! 4. Take the filling that wastes least; end where the budget is used up.
//!
//! The idea of filling one container as well as can be before the next is that of the minimum bin
//! slack (Gupta and Ho, Production Planning and Control 10, 1999).

use super::across::{Across, Closer, Way};
use super::search::count;
use super::shop::real;
use crate::nest::straight::lots::Lots;

/// Steps of the search for one filling.
const STEPS: usize = 1000;

/// A filling is good enough where so little of the pull is wasted.
const ENOUGH: f64 = 0.001;

/// Pieces beside which an open row tries to lie without loss.
const BESIDE: usize = 4;

/// Open rows count so much of their size where the next piece is looked for.
const LATE: f64 = 0.6;

/// What is left of a row: a length to cover with so many courses, at least two.
#[derive(Clone, Copy, Debug)]
pub(super) struct Open {
    pub total: i64,
    pub courses: i64,
    pub least: i64,
    pub most: i64,
    pub step: i64,
}

impl Open {
    /// The narrowest and the widest course that leaves enough for the others, and not too much.
    fn window(&self) -> (i64, i64) {
        let others = self.courses - 1;
        let low = self.least.max(self.total - others * self.most);
        (low, self.most.min(self.total - others * self.least))
    }
}

/// What a piece is: one that stands, or a new one of a row.
#[derive(Clone, Copy, Debug)]
pub(super) enum Source {
    /// An item.
    Item(usize),
    /// A piece of the row with this number among those that are parted anew.
    Slot(usize),
}

/// A piece, or what is left of a row; sizes without gap.
#[derive(Clone, Copy, Debug)]
pub(super) struct Atom {
    pub source: Source,
    /// Across as it lies upright; of an open row all that is left.
    pub width: i64,
    pub length: i64,
    pub upright: bool,
    pub sideways: bool,
    /// Like pieces of each course; 1 where nothing is open.
    pub parts: u64,
    pub open: Option<Open>,
}

impl Atom {
    /// The widest that it can be.
    fn widest(&self) -> i64 {
        self.open.map_or(self.width, |open| open.window().1)
    }

    /// Atom number `atom`'s last two courses turned beside each other in a pull of this length, the first
    /// so wide.
    fn both(&self, (atom, first): (usize, i64), gap: i64, long: i64) -> Option<Way> {
        let open = self.open.filter(|open| open.courses == 2 && self.parts == 1)?;
        let (one, two) = (first + gap, open.total - first + gap);
        let across = 2 * (self.length + gap);
        let lost = real(2 * long - one - two) * real(self.length + gap);
        let way =
            Way { atom, across, along: one.max(two), turned: true, width: first, both: true, lost };
        (way.along <= long).then_some(way)
    }

    /// What is left when a course of this width is taken.
    fn without(self, width: i64) -> Vec<Self> {
        let Some(open) = self.open else { return Vec::new() };
        let piece = |width: i64| Self { width, parts: 1, open: None, ..self };
        let mut rest: Vec<Self> = (1..self.parts).map(|_| piece(width)).collect();
        let (total, courses) = (open.total - width, open.courses - 1);
        if courses > 1 {
            rest.push(Self { width: total, open: Some(Open { total, courses, ..open }), ..self });
        } else {
            rest.extend((0..self.parts).map(|_| piece(total)));
        }
        rest
    }
}

/// A piece in a pull.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    pub source: Source,
    /// How wide its course is.
    pub width: i64,
    pub turned: bool,
}

/// A pull.
#[derive(Clone, Debug)]
pub(super) struct Made {
    /// Index of the width.
    pub width: usize,
    pub pieces: Vec<Placed>,
}

/// The rolls.
#[derive(Clone, Copy, Debug)]
pub(super) struct Rolls<'a> {
    /// Usable widths with their gap, and what a nanometre of length costs on each.
    pub widths: &'a [(i64, f64)],
    pub pull: i64,
    pub gap: i64,
    /// What a square nanometre costs at least.
    pub worth: f64,
}

/// An atom, the width of its course, whether it lies turned, and whether with it what is then left of
/// its row.
type Taken = (usize, i64, bool, bool);

/// A pull that was filled.
struct Filled {
    cost: f64,
    width: usize,
    /// Pieces that lie in it, and what is left.
    pieces: Vec<Placed>,
    left: Vec<Atom>,
}

impl Filled {
    /// With these pieces taken from `atoms`.
    fn with(mut self, first: Option<Placed>, atoms: &[Atom], mut pieces: Vec<Taken>) -> Self {
        self.pieces.extend(first);
        self.left = atoms.to_vec();
        // From the back, so that the numbers before stay as they are.
        pieces.sort_unstable_by(|a, b| b.cmp(a));
        for piece in pieces {
            let (placed, left) = take(&self.left, piece);
            self.pieces.push(placed);
            self.left = left;
            if piece.3
                && let Some(Atom { width, source, .. }) = self.left.pop()
            {
                self.pieces.push(Placed { source, width, turned: piece.2 });
            }
        }
        self
    }
}

/// Takes a course of this width from an atom; also all that is left, what is left of the atom last.
fn take(atoms: &[Atom], (at, width, turned, _): Taken) -> (Placed, Vec<Atom>) {
    let others = atoms[..at].iter().chain(&atoms[at + 1..]).copied();
    let left = others.chain(atoms[at].without(width)).collect();
    (Placed { source: atoms[at].source, width, turned }, left)
}

/// Fills pulls.
pub(super) struct Filler<'a> {
    pub rolls: Rolls<'a>,
    pub lots: &'a mut Lots,
    /// How much was looked at.
    pub looks: usize,
}

impl Filler<'_> {
    /// Lays all atoms in pulls whose waste costs no more than `budget` in all; `None` where it did not
    /// come to that.
    pub fn rebuild(&mut self, mut atoms: Vec<Atom>, mut budget: f64) -> Option<Vec<Made>> {
        let mut made = Vec::new();
        let kind = self.lots.below(3);
        let noise = 0.5 * self.lots.unit();
        while !atoms.is_empty() {
            let seed = self.hardest(&atoms, kind, noise)?;
            let filled = self.fill(&atoms, seed, budget)?;
            budget -= filled.cost;
            if budget < 0.0 {
                return None;
            }
            atoms = filled.left;
            made.push(Made { width: filled.width, pieces: filled.pieces });
        }
        Some(made)
    }

    /// The atom that is largest in one sense or another.
    fn hardest(&mut self, atoms: &[Atom], kind: usize, noise: f64) -> Option<usize> {
        let mut hardest: Option<(f64, usize)> = None;
        for (at, atom) in atoms.iter().enumerate() {
            let width = atom.widest();
            let size = match kind {
                0 => real(width) * real(atom.length),
                1 => real(width.max(atom.length)),
                _ => real(atom.length),
            };
            let late = if atom.open.is_some() { LATE } else { 1.0 };
            let key = late * size * (1.0 + noise * self.lots.unit());
            if hardest.is_none_or(|(old, _)| key > old) {
                hardest = Some((key, at));
            }
        }
        hardest.map(|(_, at)| at)
    }

    /// The best pull that holds `seed` and wastes no more than `budget`.
    fn fill(&mut self, atoms: &[Atom], seed: usize, budget: f64) -> Option<Filled> {
        let shake = 0.6 * self.lots.unit() * self.lots.unit();
        // A pull without waste may leave what fits nowhere: now and then a worse one is taken.
        let greed = match self.lots.below(8) {
            0 => 2.0 * self.lots.unit() * budget,
            1 => 0.5 * self.lots.unit() * budget,
            _ => 0.0,
        };
        let rolls = self.rolls;
        let mut best: Option<(f64, Filled)> = None;
        for (long, way) in self.starts(atoms, seed) {
            if long > rolls.pull {
                continue;
            }
            // The rest of an open row may lie in the same pull.
            let first = way.map(|way| take(atoms, (way.atom, way.width, way.turned, false)));
            let (first, others) =
                first.map_or_else(|| (None, atoms.to_vec()), |(piece, rest)| (Some(piece), rest));
            let must = way.is_none().then_some(seed);
            for (q, &(width, rate)) in rolls.widths.iter().enumerate() {
                let left = width - way.map_or(0, |way| way.across);
                // What the roll costs beyond the cheapest blanket.
                let dearer = (rate - rolls.worth * real(width)) * real(long);
                if left < 0 || dearer > budget {
                    continue;
                }
                let most = (budget - dearer) / rolls.worth;
                let found = self.across(&others, must, (long, left), most);
                let Some((waste, pieces)) = found else { continue };
                let cost = dearer + rolls.worth * waste;
                // Fillings as good as each other are taken by lot.
                let lot = (1e-4 * rate * real(long) + greed) * self.lots.unit();
                let score = cost * (1.0 + shake * self.lots.unit()) + lot;
                if best.as_ref().is_none_or(|(old, _)| score < *old) {
                    let filled = Filled { cost, width: q, pieces: Vec::new(), left: Vec::new() };
                    best = Some((score, filled.with(first, &others, pieces)));
                }
            }
        }
        best.map(|(_, filled)| filled)
    }

    /// Lengths of a pull for an atom, and how it lies there; or that it is to close the pull.
    fn starts(&mut self, atoms: &[Atom], seed: usize) -> Vec<(i64, Option<Way>)> {
        let gap = self.rolls.gap;
        let of = atoms[seed];
        let length = of.length + gap;
        let upright = |width: i64| {
            let across = width + gap;
            (length, Some(Way::one((seed, width), (across, length), (false, length))))
        };
        let turned = |width: i64| {
            let along = width + gap;
            (along, Some(Way::one((seed, width), (length, along), (true, along))))
        };
        let mut starts = Vec::new();
        let Some(open) = of.open else {
            starts.extend(of.upright.then(|| upright(of.width)));
            starts.extend(of.sideways.then(|| turned(of.width)));
            return starts;
        };
        let (low, high) = open.window();
        let fits = |width: i64| width >= low && width <= high && width % open.step == 0;
        // Widths at which the row's next course fills what is left across.
        let beside: Vec<i64> = self.rolls.widths.iter().map(|w| w.0 - length - gap).collect();
        if of.upright {
            starts.extend([upright(high), (length, None)]);
            let beside = beside.iter().copied().filter(|&width| of.sideways && fits(width));
            starts.extend(beside.map(upright));
        }
        if of.sideways {
            // All that is left in like courses.
            let like = open.total / open.courses;
            let mut widths = vec![high, low, like + (-like).rem_euclid(open.step)];
            widths.extend(beside.iter().map(|width| open.total - width));
            for _ in 0..BESIDE {
                let other = &atoms[self.lots.below(atoms.len())];
                for side in [other.widest(), other.length] {
                    widths.extend([side, open.total - side]);
                }
            }
            let room = usize::try_from((high - low) / open.step).unwrap_or(0);
            widths.push(low + open.step * count(self.lots.below(room + 1)));
            widths.retain(|&width| fits(width));
            widths.sort_unstable();
            widths.dedup();
            starts.extend(widths.into_iter().map(turned));
        }
        starts
    }

    /// The filling of a pull that wastes least, and less than `most`: its waste, an area, and the
    /// pieces.
    fn across(
        &mut self,
        atoms: &[Atom],
        must: Option<usize>,
        (long, left): (i64, i64),
        most: f64,
    ) -> Option<(f64, Vec<Taken>)> {
        let (ways, closers) = self.ways(atoms, must, (long, left), most);
        let mut search = Across {
            ways: &ways,
            closers: &closers,
            long,
            gap: self.rolls.gap,
            used: vec![false; atoms.len()],
            must,
            chosen: Vec::new(),
            best: most + 1.0,
            found: None,
            steps: STEPS,
            enough: ENOUGH * real(left) * real(long),
        };
        search.go(0, left, 0.0);
        self.looks += STEPS - search.steps + ways.len();
        let (chosen, closed) = search.found?;
        let chosen = chosen.iter().map(|&at| ways[at]);
        let mut pieces: Vec<Taken> =
            chosen.map(|way| (way.atom, way.width, way.turned, way.both)).collect();
        pieces.extend(closed.map(|(atom, width)| (atom, width, false, false)));
        Some((search.best, pieces))
    }

    /// How the others can lie in a pull of this length, widest first by and large, and what can close
    /// it.
    fn ways(
        &mut self,
        atoms: &[Atom],
        must: Option<usize>,
        (long, left): (i64, i64),
        most: f64,
    ) -> (Vec<Way>, Vec<Closer>) {
        let gap = self.rolls.gap;
        let noise = self.lots.unit();
        let mut ways: Vec<(f64, Way)> = Vec::new();
        let mut closers = Vec::new();
        for (at, atom) in atoms.iter().enumerate() {
            let mut offer = |width: i64, turned: bool, lots: &mut Lots| {
                let sides = (width + gap, atom.length + gap);
                let (across, along) = if turned { (sides.1, sides.0) } else { sides };
                let fits = across <= left && along <= long;
                let way = Way::one((at, width), (across, along), (turned, long));
                if fits && way.lost <= most {
                    let key = real(across) * (1.0 - noise * lots.unit());
                    ways.push((key, way));
                }
            };
            let window = atom.open.map(|open| (open.window(), open.step));
            if let Some(((low, high), step)) = window
                && atom.upright
                && atom.length + gap <= long
            {
                closers.push(Closer { atom: at, low, high, step, along: atom.length + gap });
            }
            if must == Some(at) {
                continue;
            }
            if atom.upright {
                offer(atom.widest(), false, self.lots);
                if let Some(((low, high), _)) = window
                    && low < high
                {
                    offer(low, false, self.lots);
                }
            }
            if atom.sideways {
                match window {
                    None => offer(atom.width, true, self.lots),
                    Some(((low, high), step)) => {
                        let fit = (long - gap).min(high);
                        let fit = fit - fit.rem_euclid(step);
                        if fit >= low {
                            offer(fit, true, self.lots);
                            let fits = |way: &Way| way.across <= left && way.lost <= most;
                            if let Some(way) = atom.both((at, fit), gap, long).filter(fits) {
                                let key = real(way.across) * (1.0 - noise * self.lots.unit());
                                ways.push((key, way));
                            }
                        }
                    }
                }
            }
        }
        ways.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.atom.cmp(&b.1.atom)));
        (ways.into_iter().map(|way| way.1).collect(), closers)
    }
}
