//! A large search in two halves, side by side.
//!
//! Steps: from a pull taken by lot go to those that share things with it, and on, until half of all pulls
//! are reached; a thing belongs to the half that holds more of its pieces, and its pieces in the other
//! half stay as they are there; both halves are searched by themselves, each with half of the work and
//! of the joints that are left; then all that came out is put together. Which half is done sooner
//! changes nothing.

use super::fill::Room;
use super::search::{Search, State};
use super::{Rows, Sliding, Things};
use crate::nest::straight::LaidPull;
use crate::nest::straight::effort::Effort;
use crate::nest::straight::lots::Lots;
use crate::nest::{Options, Watch};

/// Searches of fewer pulls stay whole.
const FEWEST: usize = 120;

impl<'t, T: Things> Search<'t, T> {
    /// Runs with so much work while the threshold falls from one heat to another: in two halves where
    /// pulls are many.
    pub fn turn(
        self,
        task: &Sliding<'t, T>,
        (lots, work, heat): (&mut Lots, u64, [f64; 2]),
        watch: &dyn Watch,
    ) -> Option<Self> {
        let run = |mut search: Self, lots: &mut Lots, work: u64| {
            search.run(lots, &Effort::new(&Options { seed: 0, work }, watch), heat);
            search
        };
        if self.now.shop.filled() < FEWEST {
            return Some(run(self, lots, work));
        }
        let first = self.reached(lots);
        let owned = self.owned(&first);
        let seeds = [lots.below(usize::MAX), lots.below(usize::MAX)];
        let half = |which: bool, seed: usize| {
            let mut lots = Lots::new(u64::try_from(seed).unwrap_or(1));
            run(self.half((&first, &owned), which), &mut lots, work / 2)
        };
        let (one, two) = rayon::join(|| half(true, seeds[0]), || half(false, seeds[1]));
        let extra = one.now.extra + two.now.extra - self.now.extra;
        let courses: Vec<Rows> = (owned.iter().zip(&one.now.courses).zip(&two.now.courses))
            .map(|((&mine, a), b)| if mine { a.clone() } else { b.clone() })
            .collect();
        let laid = |material: usize| -> Vec<LaidPull> {
            let mut pulls = one.now.shop.laid(material);
            pulls.extend(two.now.shop.laid(material));
            pulls
        };
        let pulls: Vec<Vec<LaidPull>> = (0..task.materials.len()).map(laid).collect();
        Self::new(task, (courses, extra), &pulls)
    }

    /// Whether each pull is among the half of them that is reached first.
    fn reached(&self, lots: &mut Lots) -> Vec<bool> {
        let shop = &self.now.shop;
        let things = |pull: usize| {
            let items = shop.pulls[pull].lanes.iter().flat_map(|lane| &lane.items);
            items.filter_map(|item| shop.items[item.0].of).map(|of| of[0])
        };
        let mut holding: Vec<Vec<usize>> = vec![Vec::new(); self.rows.len()];
        for pull in 0..shop.pulls.len() {
            for thing in things(pull) {
                holding[thing].push(pull);
            }
        }
        let mut reached = vec![false; shop.pulls.len()];
        let mut waiting = std::collections::VecDeque::new();
        let mut left = shop.filled() / 2;
        while left > 0 {
            let next = waiting.pop_front().unwrap_or_else(|| lots.below(reached.len()));
            if std::mem::replace(&mut reached[next], true) {
                continue;
            }
            // Pulls that hold nothing go nowhere, whichever half they are counted to.
            left -= usize::from(!shop.pulls[next].lanes.is_empty());
            for thing in things(next) {
                waiting.extend(holding[thing].drain(..).filter(|&pull| !reached[pull]));
            }
        }
        reached
    }

    /// Whether each thing belongs to the first half.
    fn owned(&self, first: &[bool]) -> Vec<bool> {
        let shop = &self.now.shop;
        let mut more = vec![0_i64; self.rows.len()];
        for item in &shop.items {
            if let (Some([thing, _]), Some(home)) = (item.of, item.home) {
                more[thing] += if first[home] { 1 } else { -1 };
            }
        }
        more.into_iter().map(|more| more >= 0).collect()
    }

    /// One of the halves.
    fn half(&self, (first, owned): (&[bool], &[bool]), which: bool) -> Self {
        let mut shop = self.now.shop.only(|pull| first[pull] == which);
        for item in &mut shop.items {
            item.of = item.of.filter(|of| owned[of[0]] == which);
        }
        let extra = self.now.extra;
        let now = State {
            courses: self.now.courses.clone(),
            pieces: self.now.pieces.clone(),
            shop,
            extra,
        };
        let limit = extra + (self.limit - extra).max(0) / 2;
        let (rows, was) = (self.rows.clone(), Vec::new());
        Self { things: self.things, rows, now, was, limit, looks: 0, room: Room::default() }
    }
}
