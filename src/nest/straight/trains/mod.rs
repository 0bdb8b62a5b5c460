//! Trains of curved pieces: several interlocked in one blank.
//!
//! Straight cuts free rectangles, and within one of them a knife follows curves. So a blank may hold
//! more than one curved piece: gores with the seam at throat and heel in turn lie in one another
//! without gap, and petals do head to tail. Such a train is priced like a piece that covers several
//! demands at once.
//!
//! 1. Every curved class gives a kind for each of its turns ([`Kind`]), once for trains across the
//!    roll and once for those along it, with its [`Profile`] seen in the train's direction `u`.
//! 2. Kinds lie with their middles on one line, so how near kind `j` comes behind kind `i` depends on
//!    the two alone; it is worked out when first asked for.
//! 3. At the programme's prices `p` a train is begun by every kind (the leader, which says how long
//!    the blank is); the next is always the kind, no longer than the leader, that is worth most for
//!    the `u` by which it makes the train longer; as often as pieces are left.
//! 4. Every stage of its growth that pays, or nearly, is offered to the pricing programme, which
//!    chooses among trains and single pieces.
//! 5. Its hollows ([`hollows`]) are filled with what is worth most at the prices ([`fill`]); filled it is
//!    offered, too, and so are single pieces with something in their hollows.
//!
//! Worth `sum_i a_i p_i`, size and counts are exact; blanks are rounded up to the model's units. Which
//! trains there are is a choice made here, so no bound may rest on them: bounds for curved pieces are
//! those of their areas.

mod fill;
mod hollows;
mod profile;

use super::effort::Effort;
use super::master::real;
use super::model::{Form, Model};
use super::pattern::{Place, PullCut, Within, count};
use crate::cutting::Turns;
use crate::geometry::Outline;
use crate::units::Angle;
use fill::{Filler, Room};
use hollows::Body;
use profile::Profile;
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// At most so many pieces in a train.
const MOST: usize = 24;
/// Pieces shorter than this share of the leader's length are not taken into its train.
const SHORTEST: f64 = 0.7;
/// A train that is worth less than this share of what its blank costs is not offered.
const PAYS: f64 = 0.97;
/// Nor is one filled that is worth less than this without its filling.
const NEARLY: f64 = 0.85;
/// Blanks of trains that are looked at before it is known whether hollows are worth filling.
const PROBED: usize = 500;
/// Blanks whose hollows are remembered.
const REMEMBERED: usize = 20_000;
/// Sizes of trains that are offered, beside the longest.
const SIZES: [usize; 8] = [2, 3, 4, 5, 6, 8, 11, 15];
/// At most so many trains are offered at once.
const OFFERED: usize = 100;
/// For so many pieces of a train all kinds are looked at, then only those that were among so many best.
const SCANS: usize = 2;
const GOOD: usize = 16;
/// Not worked out yet.
const UNKNOWN: i64 = i64::MIN;

/// A curved class in one of its turns, seen in a train's direction.
#[derive(Clone, Debug)]
struct Kind {
    class: usize,
    quarters: u8,
    /// Its blank, in the train's direction and square to it, nanometres.
    blank: [i64; 2],
    /// The outline's box likewise.
    body: [i64; 2],
    profile: Profile,
    /// As it lies on the roll.
    lies: Body,
}

/// All kinds for one direction.
#[derive(Clone, Debug)]
struct Direction {
    /// Whether trains lie across the roll.
    across: bool,
    kinds: Vec<Kind>,
    /// How far behind kind `i` kind `j` begins, at `i * kinds + j`.
    behind: Vec<Cell<i64>>,
    /// The longest train, in nanometres.
    longest: i64,
}

/// What trains can be made of.
#[derive(Clone, Debug)]
pub(super) struct Trains {
    directions: [Direction; 2],
    unit: [i64; 2],
    gap: i64,
    classes: usize,
    /// What may lie in hollows, and the least size of that.
    fillers: Vec<Filler>,
    least: [i64; 2],
    /// Which of them were found to fit a hollow.
    fitting: RefCell<Vec<bool>>,
    /// Hollows that were looked for before, by direction and kinds with their places.
    rooms: RefCell<BTreeMap<(bool, Places), Rc<Room>>>,
}

/// Kinds with where they begin.
type Places = Vec<(usize, i64)>;

/// A train as it has grown.
struct Grown<'d> {
    direction: &'d Direction,
    kinds: Places,
    train: Train,
    /// What its pieces are worth, and what its blank costs.
    worth: i64,
    cost: f64,
}

impl Grown<'_> {
    fn pays(&self) -> f64 {
        real_of(self.worth) / self.cost
    }
}

/// One train.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Train {
    /// Its pieces, by class.
    pub members: Vec<(usize, Within)>,
    /// Its blank across and along, gap included, in units.
    pub size: [usize; 2],
    /// How many of each class.
    pub counts: Vec<(usize, u64)>,
}

/// Trains with everything that a pricing programme needs to treat them like classes: numbers from
/// the model's classes on are trains.
pub(super) struct Offered {
    /// The trains.
    pub trains: Vec<Train>,
    /// Their forms.
    pub forms: Vec<Form>,
    /// Prices of classes, then of trains.
    pub prices: Vec<i64>,
    /// What is left of classes, then how often each train could be cut from that.
    pub left: Vec<u64>,
}

/// A train that grows: kinds with where they begin.
#[derive(Default)]
struct Growing {
    kinds: Places,
    end: i64,
    worth: i64,
    used: Vec<(usize, u64)>,
}

impl Trains {
    /// For a model; without kinds where nothing is curved.
    pub fn new(model: &Model) -> Self {
        let width = model.rolls.iter().map(|roll| roll.width).max().unwrap_or(0);
        let nm = |size: usize, unit: i64| {
            i64::try_from(size).unwrap_or(i64::MAX).saturating_mul(unit) - model.gap
        };
        let (width, pull) = (nm(width, model.unit[0]), nm(model.pull, model.unit[1]));
        let direction = |across: bool| {
            let (longest, widest) = if across { (width, pull) } else { (pull, width) };
            let mut kinds: Vec<Kind> = Vec::new();
            for (number, class) in model.classes.iter().enumerate() {
                if let Some((outline, turns)) = &class.curved {
                    let forms = model.forms.iter().filter(|form| form.class == number);
                    let blank = |quarters: u8| {
                        let form = forms.clone().find(|f| f.turned == (quarters % 2 == 1))?;
                        let size = [nm(form.width, model.unit[0]), nm(form.length, model.unit[1])];
                        Some(if across { size } else { [size[1], size[0]] })
                    };
                    kinds.extend(turned(number, (outline, turns), across, &blank));
                }
            }
            kinds.retain(|kind| kind.blank[0] <= longest && kind.blank[1] <= widest);
            let behind = vec![Cell::new(UNKNOWN); kinds.len() * kinds.len()];
            Direction { across, kinds, behind, longest }
        };
        let directions = [direction(true), direction(false)];
        let fillers = fill::fillers(model);
        Self {
            directions,
            unit: model.unit,
            gap: model.gap,
            classes: model.classes.len(),
            least: fill::least(&fillers),
            fitting: RefCell::new(vec![false; fillers.len()]),
            fillers,
            rooms: RefCell::default(),
        }
    }

    /// The trains that pay at these prices, `rate` being what a square unit of roll costs.
    pub fn offer(
        &self,
        (prices, left): (&[i64], &[u64]),
        rate: f64,
        effort: &Effort<'_>,
    ) -> Offered {
        let known = self.rooms.borrow().len();
        let fills = !self.fillers.is_empty() && (known <= PROBED || self.worthwhile());
        let singles = if fills { self.singles((prices, left), rate) } else { Vec::new() };
        for single in &singles {
            self.room(single);
        }
        let worthwhile = fills && self.worthwhile();
        let least = if worthwhile { NEARLY } else { PAYS };
        let mut found: Vec<Grown<'_>> = Vec::new();
        let mut seen: BTreeSet<(_, Vec<(usize, u64)>)> = BTreeSet::new();
        for direction in &self.directions {
            for leader in 0..direction.kinds.len() {
                let class = direction.kinds[leader].class;
                if prices[class] <= 0 || left[class] == 0 {
                    continue;
                }
                if effort.over() {
                    break;
                }
                let grown = self.grow(direction, leader, (prices, left), (rate, least), effort);
                for grown in grown {
                    if seen.insert((grown.train.size, grown.train.counts.clone())) {
                        found.push(grown);
                    }
                }
            }
        }
        // A stable sort: what pays alike stays in the order of its leaders.
        found.sort_by(|a, b| b.pays().total_cmp(&a.pays()));
        let mut trains: Vec<Train> = Vec::new();
        let likely = || found.iter().take(2 * OFFERED);
        if worthwhile {
            let orders =
                [false, true].map(|single| fill::orders(&self.fillers, (prices, left), single));
            for grown in likely().chain(&singles) {
                if effort.over() {
                    break;
                }
                let order = &orders[usize::from(grown.kinds.len() == 1)];
                let filled = self.filled(grown, order, (prices, left), effort);
                let filled = filled.filter(|f| seen.insert((f.size, f.counts.clone())));
                trains.extend(filled);
            }
        } else if fills {
            likely().for_each(|grown| drop(self.room(grown)));
        }
        let bare = found.into_iter().filter(|grown| grown.pays() > PAYS);
        trains.extend(bare.take(OFFERED).map(|grown| grown.train));
        self.offered(trains, (prices, left))
    }

    /// Trains with their forms, prices and limits behind those of the classes.
    fn offered(&self, trains: Vec<Train>, (prices, left): (&[i64], &[u64])) -> Offered {
        let (mut prices, mut left) = (prices.to_vec(), left.to_vec());
        let mut forms = Vec::with_capacity(trains.len());
        for (number, train) in trains.iter().enumerate() {
            let [width, length] = train.size;
            forms.push(Form { length, width, class: self.classes + number, turned: false });
            let worth = |&(class, n): &(usize, u64)| {
                prices[class].saturating_mul(i64::try_from(n).unwrap_or(i64::MAX))
            };
            prices.push(train.counts.iter().map(worth).sum());
            left.push(train.counts.iter().map(|&(class, n)| left[class] / n).min().unwrap_or(0));
        }
        Offered { trains, forms, prices, left }
    }

    /// Single pieces as trains of one.
    fn singles(&self, (prices, left): (&[i64], &[u64]), rate: f64) -> Vec<Grown<'_>> {
        let direction = &self.directions[0];
        let useful = |&k: &usize| {
            let class = direction.kinds[k].class;
            prices[class] > 0 && left[class] > 0
        };
        let single = |k: usize| {
            let mut growing = Growing::default();
            growing.add(direction, k, 0, prices);
            self.grown(direction, &growing, rate)
        };
        (0..direction.kinds.len()).filter(useful).map(single).collect()
    }

    /// A train with its hollows filled, if that pays.
    fn filled(
        &self,
        grown: &Grown<'_>,
        orders: &[Vec<usize>; 2],
        (prices, left): (&[i64], &[u64]),
        effort: &Effort<'_>,
    ) -> Option<Train> {
        let room = self.room(grown);
        effort.spend(1_000 * grown.kinds.len());
        if room.hollows.is_empty() {
            return None;
        }
        let counts = &grown.train.counts;
        let used = |class: usize| counts.iter().find(|(c, _)| *c == class).map_or(0, |(_, n)| *n);
        let frame = (self.gap, self.least);
        let choice = (self.fillers.as_slice(), orders);
        let (laid, tried) = fill::fill(&room, choice, (prices, left), &used, frame);
        effort.spend(10 * tried);
        let worth =
            laid.iter().map(|(class, _)| prices[*class]).fold(grown.worth, i64::saturating_add);
        if laid.is_empty() || real_of(worth) <= PAYS * grown.cost {
            return None;
        }
        let mut train = grown.train.clone();
        let length = train.members.first().map_or(0, |(_, within)| within.length);
        let laid = laid.into_iter().map(|(class, within)| (class, Within { length, ..within }));
        train.members.extend(laid);
        train.counts = count(train.members.iter().map(|(class, _)| *class));
        Some(train)
    }

    /// The same with hollows left empty.
    pub fn bare(mut self) -> Self {
        self.fillers.clear();
        self
    }

    /// Whether enough of the job was found to fit hollows.
    pub fn worthwhile(&self) -> bool {
        fill::worthwhile(&self.fillers, &self.fitting.borrow())
    }

    /// The hollows of a train into which something goes.
    fn room(&self, grown: &Grown<'_>) -> Rc<Room> {
        let key = (grown.direction.across, grown.kinds.clone());
        if let Some(known) = self.rooms.borrow().get(&key) {
            return Rc::clone(known);
        }
        let members = grown.kinds.iter().zip(&grown.train.members);
        let bodies: Vec<(&Body, [i64; 2])> = members
            .map(|(&(k, _), (_, within))| (&grown.direction.kinds[k].lies, [within.x, within.y]))
            .collect();
        let nm =
            |d: usize| i64::try_from(grown.train.size[d]).unwrap_or(0) * self.unit[d] - self.gap;
        let mut found = hollows::hollows(&bodies, [nm(0), nm(1)], (self.gap, self.least));
        let single = bodies.len() == 1;
        let mut fitting = self.fitting.borrow_mut();
        found.retain(|hollow| {
            let mut some = false;
            for (filler, fits) in self.fillers.iter().zip(fitting.iter_mut()) {
                if filler.fits(hollow, single) {
                    (*fits, some) = (true, true);
                }
            }
            some
        });
        let around =
            |(body, [x, y]): &(&Body, [i64; 2])| [*x, *y, x + body.size[0], y + body.size[1]];
        let boxes: Vec<[i64; 4]> = bodies.iter().map(around).collect();
        let room = Rc::new(Room::new(found, &boxes));
        let mut rooms = self.rooms.borrow_mut();
        if rooms.len() >= REMEMBERED {
            rooms.clear();
        }
        rooms.insert(key, Rc::clone(&room));
        room
    }

    /// A train begun by this leader: the sizes that pay, or the best of those that do nearly.
    fn grow<'d>(
        &self,
        direction: &'d Direction,
        leader: usize,
        (prices, left): (&[i64], &[u64]),
        (rate, least_paid): (f64, f64),
        effort: &Effort<'_>,
    ) -> Vec<Grown<'d>> {
        let first = &direction.kinds[leader];
        let least = whole(real_of(first.body[1]) * SHORTEST);
        let mut candidates: Vec<usize> = (0..direction.kinds.len())
            .filter(|&k| {
                let kind = &direction.kinds[k];
                let class = kind.class;
                let long = kind.body[1] >= least && kind.body[1] <= first.body[1];
                long && kind.blank[1] <= first.blank[1] && prices[class] > 0 && left[class] > 0
            })
            .collect();
        let mut growing = Growing::default();
        growing.add(direction, leader, 0, prices);
        let mut found: Vec<Grown<'d>> = Vec::new();
        let mut good: BTreeSet<usize> = BTreeSet::new();
        while growing.kinds.len() < MOST {
            effort.spend(20 * candidates.len() * growing.kinds.len().min(3));
            let mut ranked: Vec<(f64, usize, i64)> = Vec::with_capacity(candidates.len());
            for &k in &candidates {
                let kind = &direction.kinds[k];
                if growing.used(kind.class) >= left[kind.class] {
                    continue;
                }
                let at = growing.place(direction, k, self.gap);
                if at + kind.blank[0] > direction.longest {
                    continue;
                }
                let longer = (at + kind.blank[0] - growing.end).max(1);
                ranked.push((real_of(prices[kind.class]) / real_of(longer), k, at));
            }
            // The first kind of those that are worth the same.
            let order = |a: &(f64, usize, i64), b: &(f64, usize, i64)| {
                b.0.total_cmp(&a.0).then(a.1.cmp(&b.1))
            };
            let best = ranked.iter().copied().min_by(order);
            // What goes well with the first pieces goes well in all the train.
            if growing.kinds.len() <= SCANS {
                ranked.sort_by(order);
                good.extend(ranked.iter().take(GOOD).map(|one| one.1));
            }
            if growing.kinds.len() == SCANS {
                candidates = good.iter().copied().collect();
            }
            let last = best.is_none();
            if let Some((_, k, at)) = best {
                growing.add(direction, k, at, prices);
            }
            let many = growing.kinds.len();
            let size = many > 1 && (last || SIZES.contains(&many) || many == MOST);
            if size && growing.worth_of(self.cost(direction, &growing, rate)) > least_paid {
                found.push(self.grown(direction, &growing, rate));
            }
            if last {
                break;
            }
        }
        // The one that pays best, and the longest of the others that pay.
        let best = (0..found.len()).max_by(|&a, &b| found[a].pays().total_cmp(&found[b].pays()));
        let Some(best) = best else { return found };
        let best = found.remove(best);
        let longest = found.into_iter().rfind(|grown| grown.pays() > PAYS);
        [Some(best), longest].into_iter().flatten().collect()
    }

    /// What the blank of a train costs.
    fn cost(&self, direction: &Direction, growing: &Growing, rate: f64) -> f64 {
        let square = real_of(self.unit[0]) * real_of(self.unit[1]);
        let long = growing.kinds.first().map_or(0, |&(k, _)| direction.kinds[k].blank[1]);
        rate * real_of(long + self.gap) / square * real_of(growing.end + self.gap)
    }

    /// The train as it stands, with what it is worth.
    fn grown<'d>(&self, direction: &'d Direction, growing: &Growing, rate: f64) -> Grown<'d> {
        Grown {
            direction,
            kinds: growing.kinds.clone(),
            train: self.finish(direction, growing),
            worth: growing.worth,
            cost: self.cost(direction, growing, rate),
        }
    }

    /// The train as it stands.
    fn finish(&self, direction: &Direction, growing: &Growing) -> Train {
        let middle = growing.kinds.iter().map(|&(k, _)| direction.kinds[k].middle()).max();
        let middle = middle.unwrap_or(0);
        let (mut members, mut far) = (Vec::with_capacity(growing.kinds.len()), 0);
        for &(k, u) in &growing.kinds {
            let kind = &direction.kinds[k];
            let v = middle - kind.middle();
            far = far.max(v + kind.blank[1]);
            let (x, y) = if direction.across { (u, v) } else { (v, u) };
            members.push((kind.class, Within { x, y, quarters: kind.quarters, length: 0 }));
        }
        let (width, length) =
            if direction.across { (growing.end, far) } else { (far, growing.end) };
        let units = |size: i64, unit: i64| {
            let up = (size + self.gap).div_euclid(unit)
                + i64::from((size + self.gap).rem_euclid(unit) != 0);
            usize::try_from(up).unwrap_or(0)
        };
        let size = [units(width, self.unit[0]), units(length, self.unit[1])];
        let rounded = i64::try_from(size[1]).unwrap_or(0) * self.unit[1] - self.gap;
        for (_, within) in &mut members {
            within.length = rounded;
        }
        let mut counts = growing.used.clone();
        counts.sort_unstable();
        Train { members, size, counts }
    }

    /// A pull with its trains' pieces in place of the trains, and without those that exceed what is
    /// left.
    pub fn unfold(&self, model: &Model, trains: &[Train], pull: PullCut, left: &[u64]) -> PullCut {
        if pull.places.iter().all(|place| place.class < self.classes) {
            return pull;
        }
        let PullCut { length, width, places } = pull;
        let mut all = Vec::with_capacity(places.len() * 2);
        for place in places {
            let Some(train) = place.class.checked_sub(self.classes) else {
                all.push(place);
                continue;
            };
            all.extend(trains[train].members.iter().map(|&(class, within)| Place {
                class,
                turned: within.quarters % 2 == 1,
                within: Some(within),
                ..place
            }));
        }
        PullCut { length, width, places: all }.proper(left, model)
    }
}

impl Kind {
    /// Where its middle lies, square to the train.
    const fn middle(&self) -> i64 {
        self.body[1] / 2
    }
}

impl Direction {
    /// How far behind the beginning of kind `i` kind `j` begins.
    fn behind(&self, i: usize, j: usize, gap: i64) -> i64 {
        let cell = &self.behind[i * self.kinds.len() + j];
        if cell.get() == UNKNOWN {
            let (a, b) = (&self.kinds[i], &self.kinds[j]);
            let apart = a.profile.apart(&b.profile, a.middle() - b.middle(), gap);
            // Where pieces do not lie in one another a straight cut parts their blanks.
            let apart = apart.filter(|&apart| apart < a.body[0] + gap);
            cell.set(apart.unwrap_or(a.blank[0] + gap));
        }
        cell.get()
    }
}

impl Growing {
    /// What its pieces are worth for what its blank costs.
    fn worth_of(&self, cost: f64) -> f64 {
        real_of(self.worth) / cost
    }

    fn used(&self, class: usize) -> u64 {
        self.used.iter().find(|(c, _)| *c == class).map_or(0, |(_, n)| *n)
    }

    /// The first place behind all pieces so far.
    fn place(&self, direction: &Direction, k: usize, gap: i64) -> i64 {
        let mut at = 0;
        for &(i, u) in self.kinds.iter().rev() {
            if u + direction.kinds[i].body[0] + gap > at {
                at = at.max(u + direction.behind(i, k, gap));
            }
        }
        at
    }

    fn add(&mut self, direction: &Direction, k: usize, at: i64, prices: &[i64]) {
        let kind = &direction.kinds[k];
        self.kinds.push((k, at));
        self.end = self.end.max(at + kind.blank[0]);
        self.worth = self.worth.saturating_add(prices[kind.class]);
        match self.used.iter_mut().find(|(c, _)| *c == kind.class) {
            Some((_, n)) => *n += 1,
            None => self.used.push((kind.class, 1)),
        }
    }
}

/// The kinds of a class, one for each of its turns that looks different.
fn turned(
    class: usize,
    (outline, turns): (&Outline, &Turns),
    across: bool,
    blank: &dyn Fn(u8) -> Option<[i64; 2]>,
) -> Vec<Kind> {
    let mut seen: Vec<Outline> = Vec::new();
    let mut kinds = Vec::new();
    for quarters in 0..4 {
        if !turns.allow(Angle::from_degrees(90 * i64::from(quarters))) {
            continue;
        }
        let lies = outline.quarter_turned(quarters);
        let Some(blank) = blank(quarters) else { continue };
        if seen.iter().any(|other| same(other, &lies)) {
            continue;
        }
        let corner = |p: &crate::geometry::Point| {
            if across { (p.x.nm(), p.y.nm()) } else { (p.y.nm(), p.x.nm()) }
        };
        let corners: Vec<(i64, i64)> = lies.corners().iter().map(corner).collect();
        let (width, length) = lies.size();
        let body = if across { [width.nm(), length.nm()] } else { [length.nm(), width.nm()] };
        let (profile, lies_so) = (Profile::of(&corners), Body::of(&lies));
        kinds.push(Kind { class, quarters, blank, body, profile, lies: lies_so });
        seen.push(lies);
    }
    kinds
}

/// Whether two outlines have the same corners, whichever comes first.
fn same(a: &Outline, b: &Outline) -> bool {
    let (a, b) = (a.corners(), b.corners());
    let first = a.first().and_then(|first| b.iter().position(|corner| corner == first));
    first.is_some_and(|at| a.len() == b.len() && a.iter().eq(b[at..].iter().chain(&b[..at])))
}

fn real_of(nm: i64) -> f64 {
    real(u64::try_from(nm).unwrap_or(0))
}

#[expect(clippy::cast_possible_truncation, reason = "a share of a length")]
fn whole(value: f64) -> i64 {
    value as i64
}
