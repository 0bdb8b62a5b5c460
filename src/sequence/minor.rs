//! Lower bounds by contraction.
//!
//! The least number of open stacks is the customer graph's path-width plus one (Yanasse 1997,
//! Linhares and Yanasse 2002), which is not less than its tree-width plus one. Neither grows when an
//! edge is contracted, and tree-width is at least the least degree. So contract again and
//! again a customer of least degree with the neighbour that shares fewest neighbours with it
//! (Bodlaender and Koster, "Treewidth computations II", 2011: least-c), and keep the greatest
//! least degree seen. Where that is not enough, [`improved`] joins neighbours as well, and
//! [`rules_out`] searches for an order of a graph contracted as far as it seems to bear: the states
//! to go through become fewer by orders (relaxations of this kind are in Chu and Stuckey, CP 2009).

use super::beam;
use super::bits::Set;
use super::dead::Dead;
use super::graph::Graph;
use super::search::{self, Effort, Outcome};

/// Customers contracted at once while that goes well.
const BATCH: usize = 16;

/// A graph while it is contracted.
#[derive(Clone)]
struct Minor<const W: usize> {
    /// Open neighbourhoods.
    near: Vec<Set<W>>,
    left: Set<W>,
}

impl<const W: usize> Minor<W> {
    fn of(graph: &Graph<W>, part: &Set<W>) -> Self {
        let mut near = vec![Set::EMPTY; part.iter().last().map_or(0, |last| last + 1)];
        for c in part.iter() {
            near[c] = *graph.near(c);
            near[c].remove(c);
        }
        Self { near, left: *part }
    }

    /// The customer of least degree among those left but for some.
    fn least(&self, but: &Set<W>) -> Option<usize> {
        self.left.minus(but).iter().min_by_key(|&c| (self.near[c].len(), c))
    }

    /// Contracts a customer with the neighbour that shares fewest neighbours with it; whether it
    /// had one.
    fn contract(&mut self, customer: usize) -> bool {
        let own = self.near[customer];
        let Some(into) = own.iter().min_by_key(|&c| (self.near[c].and(&own).len(), c)) else {
            return false;
        };
        for c in own.iter() {
            self.near[c].remove(customer);
            if c != into {
                self.near[c].insert(into);
                self.near[into].insert(c);
            }
        }
        self.near[customer] = Set::EMPTY;
        self.left.remove(customer);
        true
    }

    /// Makes neighbours of all that have more than `k` neighbours in common, until nobody has.
    fn join(&mut self, k: usize) {
        let near = &mut self.near;
        let mut joined = true;
        while joined {
            joined = false;
            for a in self.left.iter() {
                // Whoever has few neighbours shares few.
                if near[a].len() <= k {
                    continue;
                }
                for b in self.left.minus(&near[a]).iter().filter(|&b| b > a) {
                    if near[b].len() > k && near[a].and(&near[b]).len() > k {
                        near[a].insert(b);
                        near[b].insert(a);
                        joined = true;
                    }
                }
            }
        }
    }

    fn graph(&self) -> Graph<W> {
        let mut near = self.near.clone();
        for c in self.left.iter() {
            near[c].insert(c);
        }
        Graph::new(near)
    }

    /// Whether an order within the limit is there, as far as this effort tells.
    fn try_out(&self, limit: usize, effort: &mut Effort<'_>) -> Outcome {
        let graph = self.graph();
        let width = width(effort.left, self.left.len());
        match beam::close_all(&graph, &self.left, limit, width, effort) {
            Outcome::GaveUp => {
                search::close_all(&graph, &self.left, limit, &mut Dead::new(), effort)
            }
            known => known,
        }
    }
}

/// How wide a beam may be so that it takes a fourth of an effort.
pub(super) fn width(effort: u64, customers: usize) -> usize {
    usize::try_from(effort).unwrap_or(usize::MAX) / (4 * customers.max(1)) + 1
}

/// No order of this part has fewer stacks open.
pub(super) fn bound<const W: usize>(graph: &Graph<W>, part: &Set<W>) -> usize {
    let mut minor = Minor::of(graph, part);
    let mut best = 0;
    while let Some(least) = minor.least(&Set::EMPTY) {
        best = best.max(minor.near[least].len());
        if !minor.contract(least) {
            break;
        }
    }
    best + 1
}

/// A bound above `known`, as far as it can be proven by contraction with neighbours joined.
///
/// Suppose the tree-width is at most `k`. Then two customers with more than `k` common neighbours
/// may be made neighbours without making it larger (Bodlaender, 1996), before the first contraction
/// and after every one (Bodlaender and Koster 2011, LBN+). A least degree above `k` is then a
/// contradiction, so `k + 1` is the next to suppose. `stop` is asked between contractions.
pub(super) fn improved<const W: usize>(
    graph: &Graph<W>,
    part: &Set<W>,
    known: usize,
    stop: &dyn Fn() -> bool,
) -> usize {
    let mut bound = known;
    while contradicts(graph, part, bound - 1, stop) {
        bound += 1;
    }
    bound
}

/// Whether a tree-width of at most `k` is contradicted.
fn contradicts<const W: usize>(
    graph: &Graph<W>,
    part: &Set<W>,
    k: usize,
    stop: &dyn Fn() -> bool,
) -> bool {
    let mut minor = Minor::of(graph, part);
    while !stop() {
        minor.join(k);
        let Some(least) = minor.least(&Set::EMPTY) else { return false };
        if minor.near[least].len() > k {
            return true;
        }
        if !minor.contract(least) {
            return false;
        }
    }
    false
}

/// Whether it is shown on a contracted graph that no order keeps the limit; `each` is the effort
/// that decides whether a graph seems to have no such order, so that contracting may go on.
pub(super) fn rules_out<const W: usize>(
    graph: &Graph<W>,
    part: &Set<W>,
    limit: usize,
    each: u64,
    effort: &mut Effort<'_>,
) -> bool {
    let mut minor = Minor::of(graph, part);
    // Customers whose contraction lets an order within the limit be found.
    let mut needed = Set::EMPTY;
    let mut batch = BATCH;
    while !effort.spent() {
        let mut smaller = minor.clone();
        let mut last = None;
        for _ in 0..batch {
            let next = smaller.least(&needed);
            last = next.or(last);
            if !next.is_some_and(|customer| smaller.contract(customer)) {
                break;
            }
        }
        let Some(last) = last else {
            let known = effort.share(8 * each, |effort| minor.try_out(limit, effort));
            return matches!(known, Outcome::Impossible);
        };
        match effort.share(each, |effort| smaller.try_out(limit, effort)) {
            Outcome::Impossible => return true,
            Outcome::GaveUp => minor = smaller,
            Outcome::Found(_) if batch > 1 => batch /= 2,
            Outcome::Found(_) => needed.insert(last),
        }
    }
    false
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sequence::{Instance, solve};

    /// Graphs by lot, each edge a product that two customers want: no bound lies above what the exact
    /// search finds, and neighbours joined give no less than none joined.
    #[test]
    fn no_bound_lies_above_the_optimum() {
        let mut lot = 12_345_u64;
        for density in [20, 35, 50, 70] {
            let mut wants = vec![Vec::new(); 12];
            let mut near = vec![Set::<1>::EMPTY; 12];
            let mut products = 0;
            for a in 0..12 {
                for b in 0..a {
                    lot = lot * 48_271 % 2_147_483_647;
                    if lot % 100 < density {
                        for (one, other) in [(a, b), (b, a)] {
                            wants[one].push(products);
                            near[one].insert(one);
                            near[one].insert(other);
                        }
                        products += 1;
                    }
                }
            }
            let name = String::new();
            let instance = Instance { name, products, wants, published: None };
            let answer = solve(&instance, u64::MAX, &|| false);
            assert_eq!(answer.value, answer.bound);
            let graph = Graph::new(near);
            for part in graph.parts() {
                let plain = bound(&graph, &part);
                let joined = improved(&graph, &part, plain, &|| false);
                assert!(plain <= joined && joined <= answer.value, "{plain} {joined}");
            }
        }
    }
}
