//! A lower bound by contraction.
//!
//! The least number of open stacks is the customer graph's path-width plus one (Yanasse 1997,
//! Linhares and Yanasse 2002), which is not less than its tree-width plus one. Tree-width does
//! not grow when an edge is contracted, and is at least the least degree; so contract again and
//! again a customer of least degree with the neighbour that shares fewest neighbours with it
//! (Bodlaender and Koster, "Treewidth computations II", 2011: least-c), and keep the greatest
//! least degree seen. Where that is not enough, [`improved`] joins neighbours as well.

use super::bits::Set;
use super::graph::Graph;

/// No order of this part has fewer stacks open.
pub(super) fn bound<const W: usize>(graph: &Graph<W>, part: &Set<W>) -> usize {
    let mut near = neighbours(graph, part);
    let mut left = *part;
    let mut best = 0;
    while let Some(least) = left.iter().min_by_key(|&c| (near[c].len(), c)) {
        best = best.max(near[least].len());
        if !contract(&mut near, &mut left, least) {
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
    let mut near = neighbours(graph, part);
    let mut left = *part;
    while !stop() {
        join(&mut near, &left, k);
        let Some(least) = left.iter().min_by_key(|&c| (near[c].len(), c)) else { return false };
        if near[least].len() > k {
            return true;
        }
        if !contract(&mut near, &mut left, least) {
            return false;
        }
    }
    false
}

/// Makes neighbours of all that have more than `k` neighbours in common, until nobody has.
fn join<const W: usize>(near: &mut [Set<W>], left: &Set<W>, k: usize) {
    let mut joined = true;
    while joined {
        joined = false;
        for a in left.iter() {
            // Whoever has few neighbours shares few.
            if near[a].len() <= k {
                continue;
            }
            for b in left.minus(&near[a]).iter().filter(|&b| b > a) {
                if near[b].len() > k && near[a].and(&near[b]).len() > k {
                    near[a].insert(b);
                    near[b].insert(a);
                    joined = true;
                }
            }
        }
    }
}

/// Open neighbourhoods.
fn neighbours<const W: usize>(graph: &Graph<W>, part: &Set<W>) -> Vec<Set<W>> {
    let members: Vec<usize> = part.iter().collect();
    let size = members.last().map_or(0, |last| last + 1);
    let mut near: Vec<Set<W>> = (0..size).map(|c| *graph.near(c)).collect();
    for &c in &members {
        near[c].remove(c);
    }
    near
}

/// Contracts a customer with the neighbour that shares fewest neighbours with it; whether it had one.
fn contract<const W: usize>(near: &mut [Set<W>], left: &mut Set<W>, least: usize) -> bool {
    let into = near[least].iter().min_by_key(|&c| (near[c].and(&near[least]).len(), c));
    let Some(into) = into else { return false };
    for c in near[least].iter() {
        near[c].remove(least);
        if c != into {
            near[c].insert(into);
            near[into].insert(c);
        }
    }
    left.remove(least);
    true
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
