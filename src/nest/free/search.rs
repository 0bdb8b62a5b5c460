//! Looks for an order that lays everything into given rooms.
//!
//! State: an order. Value: the area it leaves over, to be 0. Move: two entries change places, or
//! one goes elsewhere, or is turned or cut from its sheet the other way. A move that does not make the value worse by more than a threshold is
//! kept; the threshold falls to zero over a cycle (threshold accepting, Dueck and Scheuer, Journal
//! of Computational Physics 90, 1990). The next cycle is longer and starts from the best order of
//! the last, somewhat shaken.

use super::effort::LOOKS_PER_PIECE;
use super::lot::Lot;
use super::packer::{Entry, Packer, Rule};
use super::task::{Room, Task};

/// One search that can be continued at any time; it depends on nothing but its own lots.
#[derive(Debug)]
pub struct Chain<'a> {
    /// Lays the orders; after a success it holds the layout.
    pub packer: Packer<'a>,
    lot: Lot,
    rooms: Vec<Room>,
    order: Vec<Entry>,
    value: i128,
    best: Vec<Entry>,
    best_value: i128,
    slack: i128,
    /// Fits looked at so far, and what each move costs besides.
    pub spent: u64,
    /// The same in this cycle, and how many it may look at.
    used: u64,
    cycle: u64,
}

impl<'a> Chain<'a> {
    /// A search with a rule and lots of its own; `cycle` is the first cycle's number of looks.
    pub fn new(task: &'a Task, rule: Rule, lot: Lot, cycle: u64) -> Self {
        Self {
            packer: Packer::new(task, rule),
            lot,
            rooms: Vec::new(),
            order: Vec::new(),
            value: 0,
            best: Vec::new(),
            best_value: 0,
            slack: 0,
            spent: 0,
            used: 0,
            cycle,
        }
    }

    /// Sets what is to be filled, and from which order to go on: `None` keeps its own.
    pub fn aim(&mut self, rooms: Vec<Room>, order: Option<&[Entry]>) {
        self.rooms = rooms;
        match order {
            Some(order) => self.order = order.to_vec(),
            None => self.order.clone_from(&self.best),
        }
        self.begin();
    }

    /// What it is to fill.
    pub fn rooms(&self) -> &[Room] {
        &self.rooms
    }

    /// The best order of this cycle, and the area it leaves over.
    pub fn best(&self) -> (&[Entry], i128) {
        (&self.best, self.best_value)
    }

    /// Starts a cycle from the order at hand.
    fn begin(&mut self) {
        let before = self.packer.looks;
        self.packer.pack(&self.order, &self.rooms, &|| true);
        self.spent += self.packer.looks - before + LOOKS_PER_PIECE;
        self.value = self.packer.left;
        self.best.clone_from(&self.order);
        self.best_value = self.value;
        self.slack = self.value / 8;
        self.used = 0;
    }

    /// Starts the next cycle.
    fn turn_over(&mut self) {
        self.cycle += self.cycle / 2;
        self.order.clone_from(&self.best);
        for _ in 0..=self.order.len() / 10 {
            let (from, to) = (self.lot.below(self.order.len()), self.lot.below(self.order.len()));
            self.order.swap(from, to);
        }
        self.begin();
    }

    /// Goes on for so many looks, or until nothing is left over (then `true`; the packer holds the
    /// layout) or `go_on` says no.
    pub fn run(&mut self, looks: u64, go_on: &(dyn Fn() -> bool + Sync)) -> bool {
        let end = self.spent.saturating_add(looks);
        while self.best_value > 0 && self.spent < end && go_on() {
            if self.used >= self.cycle {
                self.turn_over();
            }
            let begin = self.packer.looks;
            self.step(go_on);
            let used = self.packer.looks - begin + LOOKS_PER_PIECE;
            self.used += used;
            self.spent += used;
        }
        self.best_value == 0 && self.packer.pack(&self.best, &self.rooms, &|| true)
    }

    /// One move, kept or taken back.
    fn step(&mut self, go_on: &dyn Fn() -> bool) {
        let change = self.change();
        change.make(&mut self.order);
        self.packer.pack(&self.order, &self.rooms, go_on);
        let rest = self.cycle.saturating_sub(self.used);
        let threshold = self.slack * i128::from(rest) / i128::from(self.cycle.max(1));
        if self.packer.left <= self.value + threshold {
            self.value = self.packer.left;
            if self.value < self.best_value {
                self.best_value = self.value;
                self.best.clone_from(&self.order);
            }
        } else {
            change.undo(&mut self.order);
        }
    }

    /// A move by lot that changes something, if a few draws find one.
    fn change(&mut self) -> Change {
        let many = self.order.len();
        for _ in 0..20 {
            let (from, to) = (self.lot.below(many), self.lot.below(many));
            let (Some(one), Some(other)) = (self.order.get(from), self.order.get(to)) else {
                break;
            };
            if self.packer.task.edges && self.lot.once_in(4) {
                return Change::Cut { at: from };
            }
            let shapes = self.packer.shapes(one.kind);
            if shapes > 1 && self.lot.once_in(4) {
                let new = self.lot.below(shapes + 1);
                return Change::Turn {
                    at: from,
                    old: one.only,
                    new: (new < shapes).then_some(new),
                };
            }
            if one.kind != other.kind {
                let exchange = !self.lot.once_in(3);
                return if exchange { Change::Swap(from, to) } else { Change::Shift(from, to) };
            }
        }
        Change::Swap(0, 0)
    }
}

/// A change of an order.
#[derive(Clone, Copy, Debug)]
enum Change {
    /// Two entries change places.
    Swap(usize, usize),
    /// An entry goes elsewhere.
    Shift(usize, usize),
    /// An entry's choice of turns changes.
    Turn { at: usize, old: Option<usize>, new: Option<usize> },
    /// An entry's first cut runs the other way.
    Cut { at: usize },
}

impl Change {
    fn make(self, order: &mut [Entry]) {
        match self {
            Self::Swap(from, to) => order.swap(from, to),
            Self::Shift(from, to) => shift(order, from, to),
            Self::Turn { at, new, .. } => order[at].only = new,
            Self::Cut { at } => order[at].first = order[at].first.other(),
        }
    }

    fn undo(self, order: &mut [Entry]) {
        match self {
            Self::Swap(from, to) => order.swap(from, to),
            Self::Shift(from, to) => shift(order, to, from),
            Self::Turn { at, old, .. } => order[at].only = old,
            Self::Cut { at } => order[at].first = order[at].first.other(),
        }
    }
}

/// Takes an entry out and puts it in elsewhere.
fn shift(order: &mut [Entry], from: usize, to: usize) {
    if from < to {
        order[from..=to].rotate_left(1);
    } else {
        order[to..=from].rotate_right(1);
    }
}
