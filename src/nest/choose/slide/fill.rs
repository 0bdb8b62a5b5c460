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
//!    Where pieces may be stacked, two may lie behind each other ([`super::behind`]).
//! 4. Take the filling that wastes least; end where the budget is used up.
//!
//! The idea of filling one container as well as can be before the next is that of the minimum bin
//! slack (Gupta and Ho, Production Planning and Control 10, 1999).

use super::across::{Across, Behind, Closer, Way};
use super::search::count;
use super::shop::real;
use crate::nest::straight::lots::Lots;

/// Steps of the search for one filling.
const STEPS: usize = 1000;

/// A filling is good enough where so little of the pull is wasted.
const ENOUGH: f64 = 0.001;

/// Pieces beside which an open row tries to lie without loss.
const BESIDE: usize = 4;

/// Open rows count so much of their size where the next piece is looked for: they fit anywhere, so they
/// are kept for the last.
const LATE: f64 = 0.15;

/// Sizes are taken up to so much larger by lot, and a filling's cost so much dearer.
const SHAKEN: [f64; 2] = [0.25, 0.15];

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
    pub fn window(&self) -> (i64, i64) {
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
        let along = one.max(two);
        let way =
            Way { atom, across, along, turned: true, width: first, both: true, lost, behind: None };
        (along <= long).then_some(way)
    }

    /// How a course of this width of atom number `at` can lie.
    pub fn ways(&self, at: usize, width: i64, gap: i64) -> impl Iterator<Item = Way> + use<> {
        let (across, along) = (width + gap, self.length + gap);
        let upright = self.upright.then(|| Way::one((at, width), (across, along), (false, along)));
        let turned = self.sideways.then(|| Way::one((at, width), (along, across), (true, across)));
        upright.into_iter().chain(turned)
    }

    /// Adds what is left when a course of this width is taken.
    fn without(self, width: i64, rest: &mut Vec<Self>) {
        let Some(open) = self.open else { return };
        let piece = |width: i64| Self { width, parts: 1, open: None, ..self };
        rest.extend((1..self.parts).map(|_| piece(width)));
        let (total, courses) = (open.total - width, open.courses - 1);
        if courses > 1 {
            rest.push(Self { width: total, open: Some(Open { total, courses, ..open }), ..self });
        } else {
            rest.extend((0..self.parts).map(|_| piece(total)));
        }
    }
}

/// A piece in a pull.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    pub source: Source,
    /// How wide its course is.
    pub width: i64,
    pub turned: bool,
    /// Whether it lies behind the piece before it, in its lane.
    pub behind: bool,
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
    /// Whether a piece may lie behind another in its lane.
    pub stacks: bool,
}

/// A piece to take from an atom.
#[derive(Clone, Copy, Debug)]
struct Taken {
    atom: usize,
    /// How wide its course is.
    width: i64,
    turned: bool,
    /// With it is taken what is then left of its row.
    both: bool,
    /// The lane it lies in, and whether behind another piece.
    lane: usize,
    behind: bool,
}

impl Taken {
    /// The pieces of a way.
    fn of(way: Way, lane: usize) -> impl Iterator<Item = Self> {
        let Way { atom, width, turned, both, behind, .. } = way;
        let front = Self { atom, width, turned, both, lane, behind: false };
        let back = behind.map(|Behind { atom, turned, width }| Self {
            atom,
            width,
            turned,
            both: false,
            lane,
            behind: true,
        });
        [Some(front), back].into_iter().flatten()
    }
}

/// How a pull is filled: its cost, the index of its width, how its first piece lies, and the others, by
/// their place among the atoms with the first piece taken.
struct Filling {
    cost: f64,
    width: usize,
    first: Option<Way>,
    others: Vec<Taken>,
}

/// Takes pieces from atoms, each of another one; gives them lane by lane.
fn take(atoms: &mut Vec<Atom>, mut pieces: Vec<Taken>) -> Vec<Placed> {
    // From the back, so that the numbers before stay as they are.
    pieces.sort_unstable_by_key(|piece| std::cmp::Reverse(piece.atom));
    let mut placed: Vec<(usize, Placed)> = Vec::with_capacity(pieces.len());
    for Taken { atom, width, turned, both, lane, behind } in pieces {
        let of = atoms.remove(atom);
        of.without(width, atoms);
        placed.push((lane, Placed { source: of.source, width, turned, behind }));
        if both && let Some(Atom { width, source, .. }) = atoms.pop() {
            placed.push((lane, Placed { source, width, turned, behind: false }));
        }
    }
    placed.sort_by_key(|(lane, piece)| (*lane, piece.behind));
    placed.into_iter().map(|(_, piece)| piece).collect()
}

impl Filling {
    /// Takes its pieces from atoms.
    fn taken_from(self, atoms: &mut Vec<Atom>) -> Made {
        let first = self.first.into_iter().flat_map(|way| Taken::of(way, 0));
        let mut pieces = take(atoms, first.collect());
        pieces.extend(take(atoms, self.others));
        Made { width: self.width, pieces }
    }
}

/// Fills pulls.
pub(super) struct Filler<'a> {
    pub rolls: Rolls<'a>,
    pub lots: &'a mut Lots,
    /// How much was looked at.
    pub looks: usize,
    pub room: Room,
}

/// Lists that are used again and again.
#[derive(Default)]
pub(super) struct Room {
    others: Vec<Atom>,
    pub keyed: Vec<(f64, Way)>,
    /// Pieces that may lie in a lane with another, by how far they lie along.
    pub shorter: Vec<Way>,
    ways: Vec<Way>,
    closers: Vec<Closer>,
    used: Vec<bool>,
    chosen: Vec<usize>,
}

impl Filler<'_> {
    /// Lays all atoms in pulls whose waste costs no more than `budget` in all; `None` where it did not
    /// come to that.
    pub fn rebuild(&mut self, mut atoms: Vec<Atom>, mut budget: f64) -> Option<Vec<Made>> {
        let mut made = Vec::new();
        let kind = self.lots.below(3);
        let noise = SHAKEN[0] * self.lots.unit();
        while !atoms.is_empty() {
            let seed = self.hardest(&atoms, kind, noise)?;
            let filling = self.fill(&atoms, seed, budget)?;
            budget -= filling.cost;
            if budget < 0.0 {
                return None;
            }
            made.push(filling.taken_from(&mut atoms));
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
    fn fill(&mut self, atoms: &[Atom], seed: usize, budget: f64) -> Option<Filling> {
        let shake = SHAKEN[1] * self.lots.unit() * self.lots.unit();
        // A pull without waste may leave what fits nowhere: now and then a worse one is taken.
        let greed = match self.lots.below(8) {
            0 => 2.0 * self.lots.unit() * budget,
            1 => 0.5 * self.lots.unit() * budget,
            _ => 0.0,
        };
        let rolls = self.rolls;
        let mut best: Option<(f64, Filling)> = None;
        let mut others = std::mem::take(&mut self.room.others);
        for (long, way) in self.starts(atoms, seed) {
            if long > rolls.pull {
                continue;
            }
            // The rest of an open row may lie in the same pull.
            others.clear();
            others.extend_from_slice(atoms);
            if let Some(way) = way {
                take(&mut others, Taken::of(way, 0).collect());
            }
            let lost = way.map_or(0.0, |way| way.lost);
            let must = way.is_none().then_some(seed);
            for (q, &(width, rate)) in rolls.widths.iter().enumerate() {
                let left = width - way.map_or(0, |way| way.across);
                // What the roll costs beyond the cheapest blanket.
                let dearer = (rate - rolls.worth * real(width)) * real(long);
                if left < 0 || dearer > budget {
                    continue;
                }
                let most = (budget - dearer) / rolls.worth - lost;
                if most < 0.0 {
                    continue;
                }
                let found = self.across(&others, must, (long, left), most);
                let Some((waste, pieces)) = found else { continue };
                let cost = dearer + rolls.worth * (waste + lost);
                // Fillings as good as each other are taken by lot.
                let lot = (1e-4 * rate * real(long) + greed) * self.lots.unit();
                let score = cost * (1.0 + shake * self.lots.unit()) + lot;
                if best.as_ref().is_none_or(|(old, _)| score < *old) {
                    best = Some((score, Filling { cost, width: q, first: way, others: pieces }));
                }
            }
        }
        self.room.others = others;
        best.map(|(_, filling)| filling)
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
            if self.rolls.stacks {
                self.with_one_behind(atoms, seed, &mut starts);
            }
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
        self.ways(atoms, must, (long, left), most);
        let room = &mut self.room;
        room.used.clear();
        room.used.resize(atoms.len(), false);
        room.chosen.clear();
        let mut search = Across {
            ways: &room.ways,
            closers: &room.closers,
            long,
            gap: self.rolls.gap,
            used: &mut room.used,
            must,
            chosen: &mut room.chosen,
            best: most + 1.0,
            found: None,
            steps: STEPS,
            enough: ENOUGH * real(left) * real(long),
        };
        search.go(0, left, 0.0);
        self.looks += STEPS - search.steps + room.ways.len();
        let waste = search.best;
        let (chosen, closed) = search.found?;
        let chosen = (1..).zip(&chosen);
        let chosen = chosen.flat_map(|(lane, &at)| Taken::of(room.ways[at], lane));
        let mut pieces: Vec<Taken> = chosen.collect();
        let closer = |(atom, width)| {
            let lane = pieces.len() + 1;
            Taken { atom, width, turned: false, both: false, lane, behind: false }
        };
        let closer = closed.map(closer);
        pieces.extend(closer);
        Some((waste, pieces))
    }

    /// How the others can lie in a pull of this length, widest first by and large, and what can close
    /// it.
    fn ways(&mut self, atoms: &[Atom], must: Option<usize>, (long, left): (i64, i64), most: f64) {
        let gap = self.rolls.gap;
        let noise = self.lots.unit();
        let Room { keyed, closers, .. } = &mut self.room;
        keyed.clear();
        closers.clear();
        for (at, atom) in atoms.iter().enumerate() {
            let mut offer = |width: i64, turned: bool, lots: &mut Lots| {
                let sides = (width + gap, atom.length + gap);
                let (across, along) = if turned { (sides.1, sides.0) } else { sides };
                let fits = across <= left && along <= long;
                let way = Way::one((at, width), (across, along), (turned, long));
                if fits && way.lost <= most {
                    let key = real(across) * (1.0 - noise * lots.unit());
                    keyed.push((key, way));
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
                                keyed.push((key, way));
                            }
                        }
                    }
                }
            }
        }
        if self.rolls.stacks {
            self.lanes(atoms, must, (long, left), (most, noise));
        }
        let Room { keyed, ways, .. } = &mut self.room;
        keyed.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.atom.cmp(&b.1.atom)));
        ways.clear();
        ways.extend(keyed.iter().map(|way| way.1));
    }
}
