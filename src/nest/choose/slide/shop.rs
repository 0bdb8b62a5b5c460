//! Pulls, lanes and the pieces in them, with a way back.

use super::super::material::Material;
use crate::nest::straight::{Laid, LaidPull};
use crate::units::Length;

/// A piece: sizes with their gap, in nanometres.
#[derive(Clone, Copy, Debug)]
pub(super) struct Item {
    pub material: usize,
    pub width: i64,
    pub length: i64,
    pub upright: bool,
    pub sideways: bool,
    /// The pull it lies in.
    pub home: Option<usize>,
    /// Thing and row.
    pub of: Option<[usize; 2]>,
}

impl Item {
    /// The ways in which it may lie: across, along, turned.
    pub fn forms(&self) -> impl Iterator<Item = (i64, i64, bool)> {
        let square = self.width == self.length;
        let upright = self.upright || square;
        let sideways = self.sideways && !square;
        let first = upright.then_some((self.width, self.length, !self.upright));
        first.into_iter().chain(sideways.then_some((self.length, self.width, true)))
    }

    pub fn area(&self) -> f64 {
        real(self.width) * real(self.length)
    }
}

/// Pieces one behind the other.
#[derive(Clone, Debug)]
pub(super) struct Lane {
    pub wide: i64,
    pub long: i64,
    /// Items, and whether each lies turned.
    pub items: Vec<(usize, bool)>,
}

/// A pull.
#[derive(Clone, Debug)]
pub(super) struct Pull {
    pub material: usize,
    /// Index of the width.
    pub width: usize,
    pub used: i64,
    pub long: i64,
    /// The area of what lies in it.
    pub held: f64,
    pub lanes: Vec<Lane>,
}

/// One material's cutting.
#[derive(Clone, Debug)]
pub(super) struct Bench {
    /// Usable widths with their gap, and what a nanometre of length costs on each.
    pub widths: Vec<(i64, f64)>,
    /// The longest pull with its gap.
    pub pull: i64,
    pub gap: i64,
    pub stacks: bool,
    /// The narrowest that any piece can lie.
    pub narrow: i64,
}

impl Bench {
    pub fn new(material: &Material, stacks: bool) -> Self {
        let nm =
            |units: usize| i64::try_from(units).unwrap_or(i64::MAX).saturating_mul(material.unit);
        let widths = material.widths.iter().map(|w| (nm(w.width), w.rate / real(material.unit)));
        Self {
            widths: widths.collect(),
            pull: nm(material.pull),
            gap: material.gap,
            stacks,
            narrow: i64::MAX,
        }
    }

    /// What a square nanometre costs on the roll that is cheapest for its width.
    pub fn worth(&self) -> f64 {
        self.widths.iter().map(|w| w.1 / real(w.0)).fold(f64::INFINITY, f64::min)
    }
}

/// All pulls.
#[derive(Clone, Debug)]
pub(super) struct Shop {
    pub benches: Vec<Bench>,
    pub items: Vec<Item>,
    pub pulls: Vec<Pull>,
    /// Pulls as they were when they were first touched.
    journal: Vec<(usize, Pull)>,
    touched: Vec<bool>,
    /// How many items there were, those that nobody needs any more, and which of these were used.
    before: usize,
    spare: Vec<usize>,
    used: Vec<usize>,
    /// Pulls that may be empty.
    idle: Vec<usize>,
    /// By material: pulls with room; and where each pull stands in that list.
    pub open: Vec<Vec<usize>>,
    at: Vec<usize>,
}

/// Not in the list of open pulls.
const CLOSED: usize = usize::MAX;

impl Shop {
    pub fn new(benches: Vec<Bench>) -> Self {
        let open = vec![Vec::new(); benches.len()];
        Self {
            benches,
            items: Vec::new(),
            pulls: Vec::new(),
            journal: Vec::new(),
            touched: Vec::new(),
            before: 0,
            spare: Vec::new(),
            used: Vec::new(),
            idle: Vec::new(),
            open,
            at: Vec::new(),
        }
    }

    /// Some of the pulls alone; items of the others lie nowhere.
    pub fn only(&self, stays: impl Fn(usize) -> bool) -> Self {
        let mut shop = Self { items: self.items.clone(), ..Self::new(self.benches.clone()) };
        for item in &mut shop.items {
            item.home = None;
        }
        for (at, pull) in self.pulls.iter().enumerate() {
            if !stays(at) || pull.lanes.is_empty() {
                continue;
            }
            let new = shop.pulls.len();
            for &(item, _) in pull.lanes.iter().flat_map(|lane| &lane.items) {
                shop.items[item].home = Some(new);
            }
            shop.pulls.push(pull.clone());
            shop.touched.push(false);
            shop.at.push(CLOSED);
            shop.enlist(new);
        }
        shop.before = shop.items.len();
        shop
    }

    /// A further item, which lies nowhere yet.
    pub fn add(&mut self, item: Item) -> usize {
        if let Some(at) = self.spare.pop() {
            self.items[at] = item;
            self.used.push(at);
            return at;
        }
        self.items.push(item);
        self.items.len() - 1
    }

    pub fn roll(&self, pull: &Pull) -> (i64, f64) {
        self.benches[pull.material].widths[pull.width]
    }

    pub fn cost(&self, pull: &Pull) -> f64 {
        self.roll(pull).1 * real(pull.long)
    }

    /// What is open in a pull for more pieces: an area.
    pub fn space(&self, pull: &Pull) -> f64 {
        let bench = &self.benches[pull.material];
        let free = bench.widths[pull.width].0 - pull.used;
        let across = if free >= bench.narrow { real(free) * real(pull.long) } else { 0.0 };
        let stacked = |lane: &Lane| {
            let left = pull.long - lane.long;
            if left >= bench.narrow && lane.wide >= bench.narrow {
                real(left) * real(lane.wide)
            } else {
                0.0
            }
        };
        across + if bench.stacks { pull.lanes.iter().map(stacked).sum::<f64>() } else { 0.0 }
    }

    /// How many pulls hold something.
    pub fn filled(&self) -> usize {
        self.pulls.iter().filter(|pull| !pull.lanes.is_empty()).count()
    }

    fn touch(&mut self, pull: usize) {
        if !self.touched[pull] {
            self.touched[pull] = true;
            self.journal.push((pull, self.pulls[pull].clone()));
        }
    }

    /// A new, empty pull.
    pub fn pull(&mut self, material: usize, width: usize) -> usize {
        let pull = Pull { material, width, used: 0, long: 0, held: 0.0, lanes: Vec::new() };
        // Idle pulls of other materials wait for theirs; those that hold something again are forgotten.
        let due = |of: &Pull| of.material == material || !of.lanes.is_empty();
        while let Some(at) = self.idle.iter().rposition(|&free| due(&self.pulls[free])) {
            let free = self.idle.remove(at);
            if self.pulls[free].lanes.is_empty() {
                self.touch(free);
                self.pulls[free] = pull;
                return free;
            }
        }
        self.pulls.push(pull);
        self.touched.push(true);
        self.at.push(CLOSED);
        let at = self.pulls.len() - 1;
        self.journal.push((at, self.pulls[at].clone()));
        at
    }

    /// Lays an item into a lane, or beside the lanes.
    pub fn put(&mut self, item: usize, pull: usize, lane: Option<usize>, turned: bool) {
        self.touch(pull);
        let of = self.items[item];
        let (across, along) = if turned { (of.length, of.width) } else { (of.width, of.length) };
        let home = &mut self.pulls[pull];
        home.held += of.area();
        if let Some(lane) = lane {
            let lane = &mut home.lanes[lane];
            lane.long += along;
            lane.items.push((item, turned));
            home.long = home.long.max(lane.long);
        } else {
            home.lanes.push(Lane { wide: across, long: along, items: vec![(item, turned)] });
            home.used += across;
            home.long = home.long.max(along);
        }
        self.items[item].home = Some(pull);
        self.enlist(pull);
    }

    /// Takes an item out.
    pub fn take(&mut self, item: usize) {
        let Some(pull) = self.items[item].home.take() else { return };
        self.touch(pull);
        let items = &self.items;
        let home = &mut self.pulls[pull];
        for lane in &mut home.lanes {
            if let Some(at) = lane.items.iter().position(|&(i, _)| i == item) {
                lane.items.remove(at);
                let size = |&(i, turned): &(usize, bool)| {
                    let of = &items[i];
                    if turned { (of.length, of.width) } else { (of.width, of.length) }
                };
                lane.wide = lane.items.iter().map(|i| size(i).0).max().unwrap_or(0);
                lane.long = lane.items.iter().map(|i| size(i).1).sum();
            }
        }
        home.lanes.retain(|lane| !lane.items.is_empty());
        let left = home.lanes.iter().flat_map(|lane| &lane.items);
        home.held = left.map(|i| items[i.0].area()).sum();
        home.used = home.lanes.iter().map(|lane| lane.wide).sum();
        home.long = home.lanes.iter().map(|lane| lane.long).max().unwrap_or(0);
        self.enlist(pull);
    }

    /// Takes all items of a pull out.
    pub fn empty(&mut self, pull: usize) -> Vec<usize> {
        self.touch(pull);
        let lanes = std::mem::take(&mut self.pulls[pull].lanes);
        (self.pulls[pull].used, self.pulls[pull].long) = (0, 0);
        self.pulls[pull].held = 0.0;
        let items: Vec<usize> =
            lanes.into_iter().flat_map(|lane| lane.items).map(|i| i.0).collect();
        for &item in &items {
            self.items[item].home = None;
        }
        self.enlist(pull);
        items
    }

    fn enlist(&mut self, pull: usize) {
        let of = &self.pulls[pull];
        if of.lanes.is_empty() {
            self.idle.push(pull);
        }
        let material = of.material;
        let open = !of.lanes.is_empty() && self.space(of) > 0.0;
        match (open, self.at[pull]) {
            (true, CLOSED) => {
                self.at[pull] = self.open[material].len();
                self.open[material].push(pull);
            }
            (false, at) if at != CLOSED => {
                self.open[material].swap_remove(at);
                if let Some(&moved) = self.open[material].get(at) {
                    self.at[moved] = at;
                }
                self.at[pull] = CLOSED;
            }
            _ => {}
        }
    }

    /// What touched pulls cost before and now.
    pub fn change(&self) -> f64 {
        self.journal.iter().map(|(at, old)| self.cost(&self.pulls[*at]) - self.cost(old)).sum()
    }

    /// Lets what was done stand.
    pub fn keep(&mut self) {
        for (pull, old) in self.journal.drain(..) {
            self.touched[pull] = false;
            let items = old.lanes.iter().flat_map(|lane| &lane.items).map(|i| i.0);
            self.spare.extend(items.filter(|&item| self.items[item].home.is_none()));
        }
        self.used.clear();
        self.before = self.items.len();
    }

    /// Takes back what was done since it was last let stand.
    pub fn back(&mut self) {
        let journal = std::mem::take(&mut self.journal);
        self.items.truncate(self.before);
        for item in self.used.drain(..) {
            self.items[item].home = None;
            self.spare.push(item);
        }
        for (at, old) in journal {
            self.touched[at] = false;
            for &(item, _) in old.lanes.iter().flat_map(|lane| &lane.items) {
                self.items[item].home = Some(at);
            }
            self.pulls[at] = old;
            self.enlist(at);
        }
    }

    /// The part of a pull that nothing lies on; nothing where it is empty.
    pub fn waste(&self, pull: usize) -> Option<f64> {
        let of = &self.pulls[pull];
        (of.held > 0.0).then(|| 1.0 - of.held / (real(self.roll(of).0) * real(of.long)))
    }

    /// What all pulls cost.
    pub fn total(&self) -> f64 {
        self.pulls.iter().map(|pull| self.cost(pull)).sum()
    }

    /// The pulls of a material as they are laid.
    pub fn laid(&self, material: usize) -> Vec<LaidPull> {
        let gap = self.benches[material].gap;
        let nm = |size: i64| Length::from_nm(size - gap);
        let one = |&(item, turned): &(usize, bool)| Laid {
            width: nm(self.items[item].width),
            length: nm(self.items[item].length),
            turned,
        };
        let lane = |lane: &Lane| lane.items.iter().map(one).collect();
        self.pulls
            .iter()
            .filter(|pull| pull.material == material && !pull.lanes.is_empty())
            .map(|pull| LaidPull {
                width: nm(self.roll(pull).0),
                lanes: pull.lanes.iter().map(lane).collect(),
            })
            .collect()
    }
}

/// As floating point.
#[expect(clippy::cast_precision_loss, reason = "costs are compared in floating point")]
pub(super) fn real(value: i64) -> f64 {
    value as f64
}
