//! Good orders soon: a beam.
//!
//! States are gone through by the number of customers closed. Of those with the same number only so
//! many are kept as the beam is wide, those with fewest open. Moves are those of the exact search.

use super::bits::Set;
use super::graph::Graph;
use super::moves::{State, free};
use super::search::{Effort, Outcome};

/// A state, the number of the state before it among those kept, and who was closed from there.
type Candidate<const W: usize> = (State<W>, usize, usize);

/// Looks for an order that never has more than `limit` customers of `part` open.
/// [`Outcome::Impossible`] where the beam never was too narrow, so that all was looked at.
pub(super) fn close_all<const W: usize>(
    graph: &Graph<W>,
    part: &Set<W>,
    limit: usize,
    width: usize,
    effort: &mut Effort<'_>,
) -> Outcome {
    let size = part.len();
    let mut kept: Vec<(usize, usize)> = Vec::new();
    let mut layers: Vec<Vec<Candidate<W>>> = vec![Vec::new(); size + 1];
    layers[0].push((State::EMPTY, usize::MAX, usize::MAX));
    let mut narrow = false;
    for closed in 0..=size {
        for (state, before, customer) in
            best(std::mem::take(&mut layers[closed]), width, &mut narrow)
        {
            let own = kept.len();
            kept.push((before, customer));
            if size - closed <= limit {
                return Outcome::Found(graph.closing(part, &way(&kept, own)));
            }
            if !effort.take() {
                return Outcome::GaveUp;
            }
            let moves = state.moves(graph, part, limit);
            let tried = if free(&moves).is_some() { 1 } else { moves.len() };
            for step in &moves[..tried] {
                let next = state.with(step);
                layers[next.closed.len()].push((next, own, step.customer));
            }
        }
    }
    if narrow { Outcome::GaveUp } else { Outcome::Impossible }
}

/// The best of a layer, every state once.
fn best<const W: usize>(
    mut layer: Vec<Candidate<W>>,
    width: usize,
    narrow: &mut bool,
) -> Vec<Candidate<W>> {
    layer.sort_unstable_by_key(|&(state, before, _)| (state.opened.len(), state.closed, before));
    layer.dedup_by_key(|(state, ..)| state.closed);
    *narrow |= layer.len() > width;
    layer.truncate(width);
    layer
}

/// The customers closed on the way to a kept state.
fn way(kept: &[(usize, usize)], mut at: usize) -> Vec<usize> {
    let mut closing = Vec::new();
    while let Some(&(before, customer)) = kept.get(at).filter(|k| k.0 != usize::MAX) {
        closing.push(customer);
        at = before;
    }
    closing.reverse();
    closing
}
