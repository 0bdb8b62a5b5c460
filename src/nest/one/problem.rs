//! What is asked and what is answered.

use crate::nest::{Basis, Status};
use serde::{Deserialize, Serialize};

/// Bins of one size.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bin {
    /// Its length, in units of the caller's; at least 1.
    pub size: i64,
    /// What one costs; not negative.
    pub cost: i64,
    /// How many there are; `None` is without limit.
    pub available: Option<u64>,
}

/// Items to be packed into bins along one dimension.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Problem {
    /// The bins on offer.
    pub bins: Vec<Bin>,
    /// Length (at least 1) and quantity of each item.
    pub items: Vec<(i64, u64)>,
}

/// What goes into a bin, and how many bins are packed like it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pattern {
    /// Index into the problem's bins.
    pub bin: usize,
    /// (index into the problem's items, how many), by rising index.
    pub items: Vec<(usize, u64)>,
    /// How many bins are packed like this.
    pub copies: u64,
}

/// A packing with its bound.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Answer {
    /// The packing; every item exactly as often as asked.
    pub patterns: Vec<Pattern>,
    /// What its bins cost.
    pub value: i64,
    /// No packing costs less.
    pub bound: i64,
    /// What the bound rests on.
    pub basis: Basis,
    /// Whether the bound reaches the value, and if not, why.
    pub status: Status,
    /// What another program needs to check the linear bound, where there is one.
    pub certificate: Option<Certificate>,
}

/// Whole prices from which anyone can compute the linear bound again.
///
/// `prices[i]` is the price of one of item `i`, all over `denominator`; `bins[k]` is the rent of one
/// bin of size `k` where its number is limited (0 elsewhere). The prices are good if for every bin
/// size no set of items that fits it is worth more than `denominator * cost + rent`; `most[k]` is
/// what the pricing found as the most (or a number it proved not to be exceeded). Then
/// `bound = ceil((sum quantity * price - sum available * rent) / denominator)`, plus `fixed`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Certificate {
    /// The price of one of each item, over `denominator`.
    pub prices: Vec<i64>,
    /// The rent of one of each bin, over `denominator`.
    pub rents: Vec<i64>,
    /// The common denominator.
    pub denominator: i64,
    /// For each bin, a value that no set of items that fits it exceeds.
    pub most: Vec<i64>,
    /// The bound that follows.
    pub bound: i64,
}

/// Why there is no answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Refusal {
    /// This item fits no bin.
    TooLong {
        /// Index into the problem's items.
        item: usize,
    },
    /// Nothing was found that needs no more bins than there are; `proven` if nothing exists.
    TooFewBins {
        /// Whether it is certain.
        proven: bool,
    },
    /// A length or a cost is out of range.
    OutOfRange,
}
