//! The customer graph: who becomes open when a customer is closed.

use super::bits::Set;
use super::moves::State;

/// Closed neighbourhoods: customer `c` and all that share a product with it.
pub(super) struct Graph<const W: usize> {
    near: Vec<Set<W>>,
}

impl<const W: usize> Graph<W> {
    pub(super) const fn new(near: Vec<Set<W>>) -> Self {
        Self { near }
    }

    pub(super) fn near(&self, customer: usize) -> &Set<W> {
        &self.near[customer]
    }

    /// Connected parts among the customers that want something, each by its least member.
    pub(super) fn parts(&self) -> Vec<Set<W>> {
        let mut left = Set::EMPTY;
        for (customer, near) in self.near.iter().enumerate() {
            if !near.is_empty() {
                left.insert(customer);
            }
        }
        let mut parts = Vec::new();
        while let Some(first) = left.iter().next() {
            let mut part = Set::EMPTY;
            let mut reached = self.near[first];
            while !reached.within(&part) {
                let fresh = reached.minus(&part);
                part = part.or(&reached);
                reached = fresh.iter().fold(part, |set, c| set.or(&self.near[c]));
            }
            left = left.minus(&part);
            parts.push(part);
        }
        parts
    }

    /// The most customers open at once when they are closed in this order, each customer that
    /// has nothing left to wait for being closed with it.
    pub(super) fn most_open(&self, order: &[usize]) -> usize {
        let mut state = State::EMPTY;
        let mut most = 0;
        for &customer in order {
            if !state.closed.has(customer) {
                let next = state.after(self, customer);
                most = most.max(next.opened.len() - state.closed.len());
                state = next;
            }
        }
        most
    }

    /// The order in which the customers of a part are closed when these are closed one after another,
    /// and then the rest, each customer that has nothing left to wait for with them.
    pub(super) fn closing(&self, part: &Set<W>, played: &[usize]) -> Vec<usize> {
        let mut order = Vec::with_capacity(part.len());
        let mut state = State::EMPTY;
        for customer in played.iter().copied().chain(part.iter()) {
            if !state.closed.has(customer) {
                let next = state.after(self, customer);
                order.push(customer);
                order.extend(next.closed.minus(&state.closed).iter().filter(|&c| c != customer));
                state = next;
            }
        }
        order
    }

    /// All customers that are closed once these are open.
    pub(super) fn closed_by(&self, opened: &Set<W>, closed: &Set<W>) -> Set<W> {
        let mut all = *closed;
        for customer in opened.minus(closed).iter() {
            if self.near[customer].within(opened) {
                all.insert(customer);
            }
        }
        all
    }
}
