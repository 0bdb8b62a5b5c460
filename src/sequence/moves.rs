//! What is closed and open, and what may be closed next.

use super::bits::Set;
use super::graph::Graph;

/// Customers closed so far, and those that are open or closed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct State<const W: usize> {
    pub(super) closed: Set<W>,
    pub(super) opened: Set<W>,
}

/// What may be closed next.
#[derive(Clone, Copy)]
pub(super) struct Move<const W: usize> {
    /// The first of the customers that it closes.
    pub(super) customer: usize,
    /// Whom it closes.
    pub(super) closes: Set<W>,
    /// Whom it opens, and how many these are.
    opens: Set<W>,
    count: usize,
}

impl<const W: usize> State<W> {
    /// Nothing is begun.
    pub(super) const EMPTY: Self = Self { closed: Set::EMPTY, opened: Set::EMPTY };

    /// How many are open and wait.
    pub(super) fn open(&self) -> usize {
        self.opened.len() - self.closed.len()
    }

    /// With this customer closed, and whoever then has nobody to wait for.
    pub(super) fn after(&self, graph: &Graph<W>, customer: usize) -> Self {
        let opened = self.opened.or(graph.near(customer));
        Self { closed: graph.closed_by(&opened, &self.closed), opened }
    }

    /// The customers of a part that may be closed with at most `limit` open, those first that leave
    /// fewest open. Of two, one opening more than all that the other opens is left out; who open the
    /// same are one move, and nobody else is closed by it.
    pub(super) fn moves(&self, graph: &Graph<W>, part: &Set<W>, limit: usize) -> Vec<Move<W>> {
        let room = (limit + self.closed.len()).saturating_sub(self.opened.len());
        let mut may: Vec<Move<W>> = Vec::with_capacity(64);
        for customer in part.minus(&self.closed).iter() {
            let opens = graph.near(customer).minus(&self.opened);
            let count = opens.len();
            if count <= room {
                may.push(Move { customer, closes: Set::of(customer), opens, count });
            }
        }
        may.sort_unstable_by_key(|step| (step.count, step.customer));
        // Each is kept where none kept before it opens a part of what it opens.
        let mut least = 0;
        for at in 0..may.len() {
            let step = may[at];
            let (before, _) = may.split_at_mut(least);
            match before.iter_mut().find(|other| other.opens.within(&step.opens)) {
                Some(other) if other.count == step.count => other.closes.insert(step.customer),
                Some(_) => {}
                None => {
                    may[least] = step;
                    least += 1;
                }
            }
        }
        may.truncate(least);
        may.sort_unstable_by_key(|step| (step.grows(), step.count, step.customer));
        may
    }

    /// With a move made.
    pub(super) fn with(&self, step: &Move<W>) -> Self {
        Self { closed: self.closed.or(&step.closes), opened: self.opened.or(&step.opens) }
    }
}

impl<const W: usize> Move<W> {
    /// How many more are open after it than before, 0 where it is fewer.
    fn grows(&self) -> usize {
        self.count.saturating_sub(self.closes.len())
    }
}

/// A move that closes as many as it opens, so that nothing is lost by it (see `search`).
pub(super) fn free<const W: usize>(moves: &[Move<W>]) -> Option<&Move<W>> {
    moves.first().filter(|step| step.grows() == 0)
}
