//! A memory of sets, for states from which the rest was shown impossible.

use super::bits::Set;

/// Places at first, and the most; powers of two. A place is as large as a set, up to 64 bytes.
const FEWEST: usize = 1 << 10;
const MOST: usize = 1 << 22;
/// Places looked at for a set.
const REACH: usize = 8;

/// Remembers sets; forgets some of the largest where it is full, since little was searched for those.
pub(super) struct Dead<const W: usize> {
    /// Open addressing; the empty set is an empty place.
    places: Vec<Set<W>>,
    held: usize,
}

impl<const W: usize> Dead<W> {
    pub(super) fn new() -> Self {
        Self { places: vec![Set::EMPTY; FEWEST], held: 0 }
    }

    pub(super) fn has(&self, set: &Set<W>) -> bool {
        !set.is_empty() && self.near(set).any(|at| self.places[at] == *set)
    }

    pub(super) fn put(&mut self, set: Set<W>) {
        if self.held * 2 > self.places.len() && self.places.len() < MOST {
            let larger = vec![Set::EMPTY; self.places.len() * 4];
            self.held = 0;
            for old in std::mem::replace(&mut self.places, larger) {
                self.place(old);
            }
        }
        self.place(set);
    }

    fn place(&mut self, set: Set<W>) {
        if set.is_empty() || self.has(&set) {
            return;
        }
        let free = self.near(&set).find(|&at| self.places[at].is_empty());
        self.held += usize::from(free.is_some());
        let largest = || self.near(&set).max_by_key(|&at| self.places[at].len());
        if let Some(at) = free.or_else(largest) {
            self.places[at] = set;
        }
    }

    fn near(&self, set: &Set<W>) -> impl Iterator<Item = usize> + use<W> {
        let mask = self.places.len() - 1;
        let first = usize::try_from(set.mixed() >> 24).unwrap_or(0);
        (0..REACH).map(move |step| (first + step) & mask)
    }
}
