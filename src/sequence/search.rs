//! Exact search: can every customer be closed with at most `limit` open at a time?
//!
//! A state is the set S of closed customers; N(S) is open or closed. Closing q opens
//! N(q) \ N(S) and costs |N(S + q)| - |S|, which must not pass `limit`; whoever has all
//! neighbours open is closed with it.
//!
//! * Let f(X) = |N(X)| - |X|, which is submodular. If the customers A closed by q make f least
//!   among all sets between S and S + A, and q fits, then any plan from S still fits with q
//!   played first, since f(T + A) <= f(T) + f(A) - f(T & A) <= f(T) for every T that holds S. So
//!   q may be played without branching. This holds when q opens one customer; when it opens
//!   two, three or four, closes at least as many, and no customer opens fewer on these terms:
//!   then no set between opens fewer and closes more.
//! * Of two customers, one opening a subset of what the other opens is tried alone.
//! * States from which the rest was shown impossible are remembered in a table of fixed size.

use super::bits::Set;
use super::graph::Graph;

/// How the search ended.
pub(super) enum Outcome {
    /// Customers in the order in which they are closed.
    Found(Vec<usize>),
    /// No order keeps the limit.
    Impossible,
    /// Out of work, or stopped.
    GaveUp,
}

/// States remembered at most; two to the power of 20 sets of up to 64 bytes.
const TABLE: usize = 1 << 20;

/// States of one part from which one limit was shown impossible; made once and used for limit
/// after limit, and again where a search for the same limit goes on with more work.
pub(super) struct Dead<const W: usize> {
    states: Vec<Set<W>>,
    of: Option<(Set<W>, usize)>,
}

impl<const W: usize> Dead<W> {
    pub(super) const fn new() -> Self {
        Self { states: Vec::new(), of: None }
    }

    /// Ready for a limit of a part: what is known of another is forgotten.
    fn ready(&mut self, part: &Set<W>, limit: usize) {
        if self.of == Some((*part, limit)) {
            return;
        }
        self.states.clear();
        self.states.resize(TABLE, Set::EMPTY);
        self.of = Some((*part, limit));
    }
}

struct Search<'a, const W: usize> {
    graph: &'a Graph<W>,
    part: Set<W>,
    limit: usize,
    dead: &'a mut Vec<Set<W>>,
    closing: Vec<usize>,
    work: &'a mut u64,
    stop: &'a dyn Fn() -> bool,
}

/// A customer that may be closed next.
struct Move<const W: usize> {
    customer: usize,
    opens: Set<W>,
    count: usize,
}

/// Searches for an order that never has more than `limit` customers of `part` open.
pub(super) fn close_all<const W: usize>(
    graph: &Graph<W>,
    part: &Set<W>,
    limit: usize,
    dead: &mut Dead<W>,
    work: &mut u64,
    stop: &dyn Fn() -> bool,
) -> Outcome {
    dead.ready(part, limit);
    let mut search = Search {
        graph,
        part: *part,
        limit,
        dead: &mut dead.states,
        closing: Vec::new(),
        work,
        stop,
    };
    match search.from(Set::EMPTY, Set::EMPTY) {
        Some(true) => Outcome::Found(search.closing),
        Some(false) => Outcome::Impossible,
        None => Outcome::GaveUp,
    }
}

impl<const W: usize> Search<'_, W> {
    /// Whether all can be closed from here: `None` when the work ran out.
    fn from(&mut self, mut closed: Set<W>, mut opened: Set<W>) -> Option<bool> {
        let start = self.closing.len();
        let moves = loop {
            if closed == self.part {
                return Some(true);
            }
            let moves = self.moves(&closed, &opened);
            match self.free_move(&moves, &closed, &opened) {
                Some(at) => self.play(moves[at].customer, &mut closed, &mut opened),
                None => break moves,
            }
        };
        let slot = usize::try_from(closed.mixed() >> 44).unwrap_or(0) % TABLE;
        if self.dead[slot] == closed && !closed.is_empty() {
            self.closing.truncate(start);
            return Some(false);
        }
        *self.work = self.work.checked_sub(1)?;
        if self.work.is_multiple_of(1024) && (self.stop)() {
            return None;
        }
        let kept = self.closing.len();
        for (at, step) in moves.iter().enumerate() {
            if dominated(&moves, at) {
                continue;
            }
            let (mut then_closed, mut then_opened) = (closed, opened);
            self.play(step.customer, &mut then_closed, &mut then_opened);
            if self.from(then_closed, then_opened)? {
                return Some(true);
            }
            self.closing.truncate(kept);
        }
        self.dead[slot] = closed;
        self.closing.truncate(start);
        Some(false)
    }

    /// Customers whose closing keeps the limit, fewest new stacks first.
    fn moves(&self, closed: &Set<W>, opened: &Set<W>) -> Vec<Move<W>> {
        let room = (self.limit + closed.len()).saturating_sub(opened.len());
        let mut moves: Vec<Move<W>> = self
            .part
            .minus(closed)
            .iter()
            .filter_map(|customer| {
                let opens = self.graph.near(customer).minus(opened);
                let count = opens.len();
                (count <= room).then_some(Move { customer, opens, count })
            })
            .collect();
        moves.sort_by_key(|m| (m.count, m.customer));
        moves
    }

    /// A move that may be played without branching (see the head of this file).
    fn free_move(&self, moves: &[Move<W>], closed: &Set<W>, opened: &Set<W>) -> Option<usize> {
        moves.iter().take_while(|m| m.count <= 4).position(|step| {
            let open = opened.or(&step.opens);
            let closes = self.graph.closed_by(&open, closed).len() - closed.len();
            closes >= step.count
        })
    }

    fn play(&mut self, customer: usize, closed: &mut Set<W>, opened: &mut Set<W>) {
        *opened = opened.or(self.graph.near(customer));
        let now = self.graph.closed_by(opened, closed);
        self.closing.push(customer);
        self.closing.extend(now.minus(closed).iter().filter(|&c| c != customer));
        *closed = now;
    }
}

/// Whether another move opens less, or the same and stands first.
fn dominated<const W: usize>(moves: &[Move<W>], at: usize) -> bool {
    let own = &moves[at];
    moves.iter().enumerate().take_while(|(_, m)| m.count <= own.count).any(|(other, m)| {
        other != at && m.opens.within(&own.opens) && (m.count < own.count || other < at)
    })
}
