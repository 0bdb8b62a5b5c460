//! Exact search: can every customer be closed with at most `limit` open at a time?
//!
//! A state is the set S of closed customers; N(S) is open or closed. Closing q opens
//! N(q) \ N(S) and costs |N(S + q)| - |S|, which must not pass `limit`; whoever has all
//! neighbours open is closed with it. Let f(X) = |N(X)| - |X|, which is submodular.
//!
//! * **Commitment** (Chu and Stuckey's definite moves, CP 2009, made general; Kobayashi, Komuro and
//!   Tamaki, "Search space reduction through commitments in pathwidth computation", SEA 2014). Let
//!   T be reachable from S within the limit, and f(T) least among all sets between S and T. Then any
//!   plan from S still fits with T first, since f(X + T) <= f(X) + f(T) - f(X & T) <= f(X) for every
//!   X that holds S. So where T is dead, S is dead, whatever else S might do. f(T) is least between
//!   just where the customers opened from S to T can be matched, each with a neighbour of its own
//!   among those closed from S to T (Hall); so a customer closed with as many others that open
//!   the same as there are opened is closed without branching.
//! * **Old moves** (Chu and Stuckey). Where closing q from S is dead, q stays dead after other
//!   moves, as long as these could have been made after q.
//! * Of two customers, one opening a subset of what the other opens is tried alone.
//! * States from which the rest was shown impossible are remembered.
//! * When no more are left than may be open, all is done.

use super::bits::Set;
use super::dead::Dead;
use super::graph::Graph;
use super::moves::{Move, State, free};

/// How the search ended.
pub(super) enum Outcome {
    /// Customers in the order in which they are closed.
    Found(Vec<usize>),
    /// No order keeps the limit.
    Impossible,
    /// Out of work, or stopped.
    GaveUp,
}

/// How much may be looked at, and who says when to stop.
pub(super) struct Effort<'a> {
    /// States left to look at.
    pub(super) left: u64,
    /// Asked now and then.
    pub(super) stop: &'a dyn Fn() -> bool,
}

impl Effort<'_> {
    /// Takes one state to look at; false where none is left or it is time to stop.
    pub(super) fn take(&mut self) -> bool {
        if self.left == 0 || (self.left.is_multiple_of(1024) && (self.stop)()) {
            return false;
        }
        self.left -= 1;
        true
    }

    pub(super) fn spent(&self) -> bool {
        self.left == 0 || (self.stop)()
    }

    /// Does something with at most so much of what is left.
    pub(super) fn share<T>(&mut self, most: u64, of: impl FnOnce(&mut Effort<'_>) -> T) -> T {
        let given = most.min(self.left);
        let mut share = Effort { left: given, stop: self.stop };
        let done = of(&mut share);
        self.left -= given - share.left;
        done
    }
}

struct Search<'a, 'e, const W: usize> {
    graph: &'a Graph<W>,
    part: &'a Set<W>,
    limit: usize,
    dead: &'a mut Dead<W>,
    effort: &'a mut Effort<'e>,
    /// The states from which the search has branched, and the customers closed on the way.
    path: Vec<State<W>>,
    closing: Vec<usize>,
}

/// How it went from a state.
enum End {
    Found,
    /// The state is dead, and so are those on the path from this depth on.
    Dead(usize),
    GaveUp,
}

/// Searches for an order that never has more than `limit` customers of `part` open. `dead` must
/// be new, or have served this graph and limit before.
pub(super) fn close_all<const W: usize>(
    graph: &Graph<W>,
    part: &Set<W>,
    limit: usize,
    dead: &mut Dead<W>,
    effort: &mut Effort<'_>,
) -> Outcome {
    let (path, closing) = (Vec::new(), Vec::new());
    let mut search = Search { graph, part, limit, dead, effort, path, closing };
    match search.from(State::EMPTY, Set::EMPTY) {
        End::Found => Outcome::Found(graph.closing(part, &search.closing)),
        End::Dead(_) => Outcome::Impossible,
        End::GaveUp => Outcome::GaveUp,
    }
}

impl<const W: usize> Search<'_, '_, W> {
    /// Closes all from here, if that can be; `old` are customers whose closing is known to be dead.
    fn from(&mut self, mut state: State<W>, mut old: Set<W>) -> End {
        let depth = self.path.len();
        let played = self.closing.len();
        let end = loop {
            if self.part.len() - state.closed.len() <= self.limit {
                return End::Found;
            }
            if !old.and(&state.closed).is_empty() {
                break End::Dead(depth);
            }
            let moves = state.moves(self.graph, self.part, self.limit);
            let Some(step) = free(&moves) else {
                break self.branch(&state, old, &moves);
            };
            (state, old) = self.play(&state, &old, step);
        };
        let End::Dead(least) = end else { return end };
        self.closing.truncate(played);
        self.path.truncate(depth);
        self.dead.put(state.closed);
        End::Dead(least.min(self.committed(&state)))
    }

    /// Tries the moves one after another.
    fn branch(&mut self, state: &State<W>, mut old: Set<W>, moves: &[Move<W>]) -> End {
        let depth = self.path.len();
        if self.dead.has(&state.closed) {
            return End::Dead(depth);
        }
        if !self.effort.take() {
            return End::GaveUp;
        }
        self.path.push(*state);
        for step in moves {
            if !old.and(&step.closes).is_empty() {
                continue;
            }
            let played = self.closing.len();
            let (next, still_old) = self.play(state, &old, step);
            match self.from(next, still_old) {
                End::Dead(least) if least > depth => {}
                end => return end,
            }
            self.closing.truncate(played);
            old.insert(step.customer);
        }
        End::Dead(depth)
    }

    /// Closes a customer; the old moves that stay old are those after which it could have been closed.
    fn play(&mut self, state: &State<W>, old: &Set<W>, step: &Move<W>) -> (State<W>, Set<W>) {
        self.closing.push(step.customer);
        let next = state.with(step);
        let room = self.limit + state.closed.len() + 1;
        let mut still = Set::EMPTY;
        for before in old.iter() {
            if next.opened.or(self.graph.near(before)).len() <= room {
                still.insert(before);
            }
        }
        (next, still)
    }

    /// The least depth on the path whose state is committed to this one.
    fn committed(&self, state: &State<W>) -> usize {
        let mut matching = Matching { graph: self.graph, of: Vec::new(), matched: Set::EMPTY };
        let mut least = self.path.len();
        for (depth, from) in self.path.iter().enumerate().rev() {
            if from.open() < state.open() {
                break;
            }
            let closed = state.closed.minus(&from.closed);
            if matching.covers(&state.opened.minus(&from.opened), &closed) {
                least = depth;
            }
        }
        least
    }
}

/// Customers opened, each matched with a neighbour closed (augmenting paths).
struct Matching<'a, const W: usize> {
    graph: &'a Graph<W>,
    /// For each customer closed, the one opened that it is matched with.
    of: Vec<Option<usize>>,
    matched: Set<W>,
}

impl<const W: usize> Matching<'_, W> {
    /// Whether all that are opened can be matched; both sets hold what they held before.
    fn covers(&mut self, opened: &Set<W>, closed: &Set<W>) -> bool {
        self.of.resize(64 * W, None);
        for customer in opened.minus(&self.matched).iter() {
            let mut seen = Set::EMPTY;
            if self.augment(customer, closed, &mut seen) {
                self.matched.insert(customer);
            }
        }
        opened.within(&self.matched)
    }

    fn augment(&mut self, customer: usize, closed: &Set<W>, seen: &mut Set<W>) -> bool {
        for with in self.graph.near(customer).and(closed).iter() {
            if seen.has(with) {
                continue;
            }
            seen.insert(with);
            if self.of[with].is_none_or(|other| self.augment(other, closed, seen)) {
                self.of[with] = Some(customer);
                return true;
            }
        }
        false
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sequence::minor;

    /// Whether an order within the limit exists, by going through all sets of closed customers: the
    /// oracle knows neither moves nor commitments.
    fn oracle(near: &[Set<1>], limit: usize) -> bool {
        let n = near.len();
        let mut reached = vec![false; 1 << n];
        reached[0] = true;
        for closed in 0..1_usize << n {
            if !reached[closed] {
                continue;
            }
            for next in (0..n).filter(|c| closed >> c & 1 == 0) {
                let then = closed | 1 << next;
                let open = (0..n).filter(|c| then >> c & 1 == 1);
                let open = open.fold(Set::EMPTY, |set, c| set.or(&near[c])).len();
                reached[then] |= open <= limit + closed.count_ones() as usize;
            }
        }
        reached[(1 << n) - 1]
    }

    #[test]
    fn the_search_agrees_with_all_sets_gone_through() {
        let mut lot = 54_321_u64;
        for density in [15, 25, 40, 60] {
            for _ in 0..12 {
                let mut near: Vec<Set<1>> = (0..11).map(Set::of).collect();
                for (a, b) in (0..11).flat_map(|a| (0..a).map(move |b| (a, b))) {
                    lot = lot * 48_271 % 2_147_483_647;
                    if lot % 100 < density {
                        near[a].insert(b);
                        near[b].insert(a);
                    }
                }
                let graph = Graph::new(near.clone());
                let part = (0..11).fold(Set::EMPTY, |set: Set<1>, c| set.or(&Set::of(c)));
                for limit in 1..=11 {
                    let can = oracle(&near, limit);
                    let mut effort = Effort { left: u64::MAX, stop: &|| false };
                    let mut dead = Dead::new();
                    match close_all(&graph, &part, limit, &mut dead, &mut effort) {
                        Outcome::Found(order) => assert!(graph.most_open(&order) <= limit && can),
                        Outcome::Impossible => assert!(!can, "{near:?}, {limit}"),
                        Outcome::GaveUp => unreachable!("nothing limits it"),
                    }
                    let ruled_out = minor::rules_out(&graph, &part, limit, 500, &mut effort);
                    assert!(!(ruled_out && can), "{near:?}, {limit}");
                }
            }
        }
    }
}
