//! Trains of curved pieces: several interlocked in one blank.
//!
//! Straight cuts free rectangles, and within one of them a knife follows curves. So a blank may hold
//! more than one curved piece: gores with the seam at throat and heel in turn lie in one another
//! without gap, and petals do head to tail. Such a train is priced like a piece that covers several
//! demands at once.
//!
//! 1. Every curved class gives a kind for each of its turns ([`kinds`]), once for trains across the
//!    roll and once for those along it, with its [`profile`] seen in the train's direction `u`.
//! 2. Kinds lie with their middles on one line, so how near kind `j` comes behind kind `i` depends on
//!    the two alone; it is worked out when first asked for.
//! 3. At the programme's prices `p` a train is begun by every kind (the leader, which says how long
//!    the blank is) and grows ([`grow`]): the next is always the kind, no longer than the leader, that is
//!    worth most for the `u` by which it makes the train longer; as often as pieces are left.
//! 4. Every stage of its growth that pays, or nearly, is offered to the pricing programme, which
//!    chooses among trains and single pieces.
//! 5. Its hollows ([`hollows`]) are filled with what is worth most at the prices ([`fill`]); filled it is
//!    offered, too, and so are single pieces with something in their hollows.
//!
//! Worth `sum_i a_i p_i`, size and counts are exact; blanks are rounded up to the model's units. Which
//! trains there are is a choice made here, so no bound may rest on them: bounds for curved pieces are
//! those of their areas.

mod fill;
mod grow;
mod hollows;
mod kinds;
mod profile;

use super::effort::Effort;
use super::master::real;
use super::model::{Form, Model};
use super::pattern::{Place, PullCut, Within, count};
use fill::{Filler, Room};
use grow::{Growing, Grown};
use hollows::Body;
use kinds::Direction;
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;

/// A train that is worth less than this share of what its blank costs is not offered.
const PAYS: f64 = 0.97;
/// Nor is one filled that is worth less than this without its filling.
const NEARLY: f64 = 0.85;
/// Blanks of trains that are looked at before it is known whether hollows are worth filling.
const PROBED: usize = 500;
/// Blanks whose hollows are remembered.
const REMEMBERED: usize = 20_000;
/// At most so many trains are offered at once.
const OFFERED: usize = 100;

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

impl Trains {
    /// For a model; without kinds where nothing is curved.
    pub fn new(model: &Model) -> Self {
        let directions = [Direction::new(model, true), Direction::new(model, false)];
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
            .map(|(&(k, _), (_, within))| (&grown.direction.shapes[k].lies, [within.x, within.y]))
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

fn real_of(nm: i64) -> f64 {
    real(u64::try_from(nm).unwrap_or(0))
}
