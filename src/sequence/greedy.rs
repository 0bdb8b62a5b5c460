//! A good order at once: from every first customer, close next whoever opens fewest new stacks.

use super::bits::Set;
use super::graph::Graph;

/// The best of the greedy orders of one connected part.
pub(super) fn best<const W: usize>(graph: &Graph<W>, part: &Set<W>) -> Vec<usize> {
    let orders = part.iter().map(|first| from(graph, part, first));
    orders.min_by_key(|order| graph.most_open(order)).unwrap_or_default()
}

fn from<const W: usize>(graph: &Graph<W>, part: &Set<W>, first: usize) -> Vec<usize> {
    let mut order = Vec::with_capacity(part.len());
    let mut opened = Set::EMPTY;
    let mut closed = Set::EMPTY;
    let mut next = Some(first);
    while let Some(customer) = next {
        opened = opened.or(graph.near(customer));
        let now = graph.closed_by(&opened, &closed);
        order.push(customer);
        order.extend(now.minus(&closed).iter().filter(|&c| c != customer));
        closed = now;
        next = part.minus(&closed).iter().min_by_key(|&c| {
            let fresh = graph.near(c).minus(&opened).len();
            // Among equals prefer one that is open already, then one with few neighbours left.
            (fresh, !opened.has(c), graph.near(c).minus(&closed).len(), c)
        });
    }
    order
}
