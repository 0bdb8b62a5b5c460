//! Rows that cuts and branches add to the programme over a pool.

use super::master::float;

/// Which patterns a row counts, and how often.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Extra {
    /// Half the pieces of three kinds, rounded down: a subset-row cut. Jepsen, Petersen, Spoorendonk
    /// and Pisinger, Operations Research 56 (2008).
    Half([usize; 3]),
    /// Whether both kinds are held (twice, if they are the same).
    Pair(usize, usize),
    /// Whether it is this pattern of the pool.
    Pattern(usize),
}

impl Extra {
    /// The row's coefficient for a pattern.
    pub fn coefficient(&self, index: usize, pattern: &[(u32, u32)]) -> u64 {
        let count = |kind: usize| {
            u32::try_from(kind)
                .ok()
                .and_then(|kind| pattern.binary_search_by_key(&kind, |entry| entry.0).ok())
                .map_or(0, |at| u64::from(pattern[at].1))
        };
        match self {
            Self::Half(kinds) => kinds.iter().map(|&kind| count(kind)).sum::<u64>() / 2,
            Self::Pair(one, other) if one == other => u64::from(count(*one) >= 2),
            Self::Pair(one, other) => u64::from(count(*one) > 0 && count(*other) > 0),
            Self::Pattern(wanted) => u64::from(*wanted == index),
        }
    }
}

/// Subset-row cuts that the weights break, worst first.
///
/// For kinds `i < j < k`: `sum floor((a_i + a_j + a_k) / 2) x <= floor((d_i + d_j + d_k) / 2)`.
/// Only kinds that share fractional patterns are tried: `j` and `k` both beside `i`.
pub(super) fn separate(
    demand: &[u64],
    fractional: &[(f64, Vec<(u32, u32)>)],
    most: usize,
) -> Vec<[usize; 3]> {
    let kinds = demand.len();
    let mut beside: Vec<Vec<usize>> = vec![Vec::new(); kinds];
    let mut holding: Vec<Vec<usize>> = vec![Vec::new(); kinds];
    for (index, (_, pattern)) in fractional.iter().enumerate() {
        for &(one, _) in pattern {
            holding[one as usize].push(index);
            for &(other, _) in pattern {
                if other > one {
                    beside[one as usize].push(other as usize);
                    beside[other as usize].push(one as usize);
                }
            }
        }
    }
    for list in &mut beside {
        list.sort_unstable();
        list.dedup();
    }
    let mut found: Vec<(f64, [usize; 3])> = Vec::new();
    let mut sums = vec![0_u64; fractional.len()];
    for middle in 0..kinds {
        for (at, &one) in beside[middle].iter().enumerate() {
            for &other in &beside[middle][at + 1..] {
                // Each triple once: from its smallest kind that is beside both others.
                if one < middle && beside[one].binary_search(&other).is_ok() {
                    continue;
                }
                let mut triple = [one, middle, other];
                triple.sort_unstable();
                let limit = (demand[one] + demand[middle] + demand[other]) / 2;
                let mut activity = 0.0;
                for &kind in &triple {
                    for &index in &holding[kind] {
                        let pattern = &fractional[index].1;
                        let name = u32::try_from(kind).unwrap_or(u32::MAX);
                        if let Ok(at) = pattern.binary_search_by_key(&name, |entry| entry.0) {
                            let before = sums[index] / 2;
                            sums[index] += u64::from(pattern[at].1);
                            activity += fractional[index].0 * float(sums[index] / 2 - before);
                        }
                    }
                }
                for &kind in &triple {
                    for &index in &holding[kind] {
                        sums[index] = 0;
                    }
                }
                let excess = activity - float(limit);
                if excess > 0.02 {
                    found.push((excess, triple));
                }
            }
        }
    }
    found.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.1.cmp(&other.1)));
    found.dedup_by(|one, other| one.1 == other.1);
    // Cuts that differ: no kind in too many of them.
    let mut used = vec![0_u32; kinds];
    let mut chosen = Vec::new();
    for (_, triple) in found {
        if chosen.len() >= most {
            break;
        }
        if triple.iter().all(|&kind| used[kind] < 5) {
            for &kind in &triple {
                used[kind] += 1;
            }
            chosen.push(triple);
        }
    }
    chosen
}
