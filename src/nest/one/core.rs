//! The problem inside: distinct sizes in falling order, everything divided by what it has in common.

use super::problem::{Bin, Problem, Refusal};
use crate::nest::knapsack::Counts;

/// Pieces that a bin may hold at most.
const MOST_PIECES: i64 = 1_000_000;

/// Distinct sizes, falling, with their demand, and the bins on offer.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Core {
    pub bins: Vec<Bin>,
    pub sizes: Vec<i64>,
    pub demand: Vec<u64>,
}

/// A packed bin and how many there are like it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Packed {
    pub bin: usize,
    pub counts: Counts,
    pub copies: u64,
}

impl Core {
    /// Groups equal items and divides by the common divisor. Gives the size's index for each item.
    pub fn new(problem: &Problem) -> Result<(Self, Vec<Option<usize>>), Refusal> {
        let longest = problem.bins.iter().map(|bin| bin.size).max().unwrap_or(0);
        let bad_bin = |bin: &Bin| bin.size < 1 || bin.cost < 0;
        if problem.bins.iter().any(bad_bin) || problem.items.iter().any(|item| item.0 < 1) {
            return Err(Refusal::OutOfRange);
        }
        let wanted = |item: &&(i64, u64)| item.1 > 0;
        let mut sizes: Vec<i64> = problem.items.iter().filter(wanted).map(|item| item.0).collect();
        sizes.sort_unstable_by(|one, other| other.cmp(one));
        sizes.dedup();
        let place = |size: i64| sizes.binary_search_by(|other| size.cmp(other)).ok();
        let mut demand = vec![0_u64; sizes.len()];
        let mut groups = Vec::with_capacity(problem.items.len());
        let mut total = 0_i128;
        for (item, &(size, quantity)) in problem.items.iter().enumerate() {
            let group = if quantity > 0 { place(size) } else { None };
            if let Some(group) = group {
                if size > longest {
                    return Err(Refusal::TooLong { item });
                }
                demand[group] = demand[group].checked_add(quantity).ok_or(Refusal::OutOfRange)?;
                total += i128::from(size) * i128::from(quantity);
            }
            groups.push(group);
        }
        // Every sum below stays within 64 bits: bins times cost, and lengths times quantities.
        let dearest = problem.bins.iter().map(|bin| bin.cost).max().unwrap_or(0);
        let count: u64 = demand.iter().fold(0, |sum, &one| sum.saturating_add(one));
        if total > i128::from(i64::MAX / 4)
            || i128::from(count) * i128::from(dearest.max(1)) > i128::from(i64::MAX / 4)
            || count > u64::from(u32::MAX) * 1024
            || sizes.last().is_some_and(|&least| longest / least > MOST_PIECES)
        {
            return Err(Refusal::OutOfRange);
        }
        let common = sizes.iter().fold(0, |common, &size| divisor(common, size)).max(1);
        for size in &mut sizes {
            *size /= common;
        }
        let divided = |bin: &Bin| Bin { size: bin.size / common, ..*bin };
        let bins = problem.bins.iter().map(divided).collect();
        Ok((Self { bins, sizes, demand }, groups))
    }

    /// The length of a set of items.
    pub fn filled(&self, counts: &[(usize, u64)]) -> i64 {
        counts.iter().map(|&(kind, count)| self.sizes[kind] * whole(count)).sum()
    }

    /// The length of all items.
    pub fn total(&self) -> i64 {
        length(&self.sizes, &self.demand)
    }
}

/// The length of `quantities` of `sizes`.
pub(super) fn length(sizes: &[i64], quantities: &[u64]) -> i64 {
    sizes.iter().zip(quantities).map(|(&size, &count)| size * whole(count)).sum()
}

/// A count as a signed number (counts here are far below the limit).
pub(super) fn whole(count: u64) -> i64 {
    i64::try_from(count).unwrap_or(i64::MAX)
}

/// `ceil(over / under)` for `under > 0`.
pub(super) fn ceil_div(over: i128, under: i128) -> i64 {
    let quotient = over.div_euclid(under) + i128::from(over.rem_euclid(under) != 0);
    i64::try_from(quotient).unwrap_or(if over < 0 { i64::MIN } else { i64::MAX })
}

/// The greatest common divisor.
pub(super) fn divisor(a: i64, b: i64) -> i64 {
    if b == 0 { a } else { divisor(b, a % b) }
}
