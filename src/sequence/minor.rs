//! A lower bound by contraction.
//!
//! The least number of open stacks is the customer graph's path-width plus one (Yanasse 1997,
//! Linhares and Yanasse 2002), which is not less than its tree-width plus one. Tree-width does
//! not grow when an edge is contracted, and is at least the least degree; so contract again and
//! again a customer of least degree with the neighbour that shares fewest neighbours with it
//! (Bodlaender and Koster, "Treewidth computations II", 2011: least-c), and keep the greatest
//! least degree seen.

use super::bits::Set;
use super::graph::Graph;

/// No order of this part has fewer stacks open.
pub(super) fn bound<const W: usize>(graph: &Graph<W>, part: &Set<W>) -> usize {
    let members: Vec<usize> = part.iter().collect();
    let size = members.last().map_or(0, |last| last + 1);
    let mut near: Vec<Set<W>> = (0..size).map(|c| *graph.near(c)).collect();
    for &c in &members {
        near[c].remove(c);
    }
    let mut left = *part;
    let mut best = 0;
    while let Some(least) = left.iter().min_by_key(|&c| (near[c].len(), c)) {
        best = best.max(near[least].len());
        let into = near[least].iter().min_by_key(|&c| (near[c].and(&near[least]).len(), c));
        let Some(into) = into else { break };
        for c in near[least].iter() {
            near[c].remove(least);
            if c != into {
                near[c].insert(into);
                near[into].insert(c);
            }
        }
        left.remove(least);
    }
    best + 1
}
