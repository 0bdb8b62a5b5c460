//! The bounded knapsack: the most valuable set of pieces that fits a length, each piece at most as
//! often as it is wanted.
//!
//! Programme: maximise `sum p_i a_i` under `sum s_i a_i <= capacity`, `0 <= a_i <= limit_i`, whole; and,
//! where waste is limited, `sum s_i a_i >= capacity - waste`. Prices are whole numbers (prices of a
//! linear programme are scaled and rounded by the caller), so that every comparison is exact and
//! what is called the optimum is the optimum.
//!
//! * [`branch`]: depth first in order of price per length, with a limit on nodes; tells of every
//!   set better than a threshold on its way. Best when sets hold few pieces.
//! * [`labels`]: dynamic programme over the states that can still matter, with all patterns better
//!   than a threshold at its end. Best in long bins with few pieces.
//! * [`through`]: for every kind the best set that holds it. Best in short bins.
//! * [`table`]: dynamic programme over whole lengths; always ends, in pieces times capacity.
//! * [`reach`]: which lengths can be filled exactly.

mod branch;
mod labels;
mod reach;
mod table;
#[cfg(test)]
mod tests;
mod through;

pub use branch::{Search, Verdict};
pub use labels::{Labelled, label};
pub use reach::Sums;
pub use table::Table;
pub use through::{best_through, cells as cells_through};

/// A kind of piece, as the knapsack sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Kind {
    /// Its length; at least 1.
    pub size: i64,
    /// How many may be taken; none switches it off.
    pub limit: u64,
    /// What one is worth; not positive switches it off where waste is not limited.
    pub price: i64,
}

/// A set of pieces: (kind, count), by rising kind, counts at least 1.
pub type Counts = Vec<(usize, u64)>;

/// So many more of a kind in a set.
pub(crate) fn add(counts: &mut Counts, kind: usize, many: u64) {
    match counts.binary_search_by_key(&kind, |count| count.0) {
        Ok(at) => counts[at].1 += many,
        Err(at) => counts.insert(at, (kind, many)),
    }
}

/// The most pieces of this kind that fit.
pub(crate) fn fitting(kind: &Kind, capacity: i64) -> u64 {
    if kind.size <= 0 || kind.size > capacity {
        return 0;
    }
    kind.limit.min(u64::try_from(capacity / kind.size).unwrap_or(0))
}
