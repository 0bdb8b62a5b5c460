//! Dynamic programme for the bounded knapsack.
//!
//! `f_k(c)`: the greatest value of a set of the first `k` packages that is exactly `c` long (or
//! impossible). A kind with limit `b` is split into packages of 1, 2, 4, ... pieces, so sets stay
//! within their limits. One bit for each (package, length) remembers whether the package was taken.
//! Gilmore and Gomory, Operations Research 14 (1966), section 1, for the recursion.

use super::{Counts, Kind, fitting};

/// Marks a length that cannot be reached.
const NONE: i64 = i64::MIN / 4;

/// The table of one knapsack.
#[derive(Clone, Debug)]
pub struct Table {
    /// (kind, pieces in it).
    packages: Vec<(usize, u64)>,
    sizes: Vec<i64>,
    values: Vec<i64>,
    taken: Vec<u64>,
    words: usize,
}

impl Table {
    /// How many cells the table would have; for deciding whether it pays.
    #[must_use]
    pub fn cells(kinds: &[Kind], capacity: i64) -> u64 {
        let packages: u64 =
            kinds.iter().map(|kind| u64::from(64 - fitting(kind, capacity).leading_zeros())).sum();
        packages.saturating_mul(u64::try_from(capacity).unwrap_or(u64::MAX))
    }

    /// Fills the table; nothing if the capacity does not fit this machine's memory.
    #[must_use]
    pub fn new(kinds: &[Kind], capacity: i64, exact: bool) -> Option<Self> {
        let length = usize::try_from(capacity).ok()? + 1;
        let mut packages = Vec::new();
        let mut sizes = Vec::new();
        let mut gains = Vec::new();
        for (index, kind) in kinds.iter().enumerate() {
            if kind.price <= 0 && !exact {
                continue;
            }
            let mut left = fitting(kind, capacity);
            let mut package = 1_u64;
            while left > 0 {
                let take = package.min(left);
                let count = i64::try_from(take).ok()?;
                packages.push((index, take));
                sizes.push(kind.size * count);
                gains.push(kind.price * count);
                left -= take;
                package *= 2;
            }
        }
        let words = length.div_ceil(64);
        let mut table = Self {
            taken: vec![0; words * packages.len()],
            packages,
            sizes,
            values: vec![NONE; length],
            words,
        };
        table.values[0] = 0;
        let mut before = table.values.clone();
        let mut filled = 0;
        for (index, &gain) in gains.iter().enumerate() {
            let size = usize::try_from(table.sizes[index]).ok()?;
            filled = (filled + size).min(length - 1);
            before[..=filled].copy_from_slice(&table.values[..=filled]);
            let bits = &mut table.taken[index * words..(index + 1) * words];
            for c in size..=filled {
                let with = before[c - size] + gain;
                if with > table.values[c] {
                    table.values[c] = with;
                    bits[c / 64] |= 1 << (c % 64);
                }
            }
        }
        Some(table)
    }

    /// The best value of a set at least `least` long, and its length.
    #[must_use]
    pub fn best(&self, least: i64) -> Option<(i64, i64)> {
        let from = usize::try_from(least.max(0)).ok()?;
        let mut best: Option<(i64, usize)> = None;
        for (length, &value) in self.values.iter().enumerate().skip(from) {
            if value > NONE / 2 && best.is_none_or(|(most, _)| value > most) {
                best = Some((value, length));
            }
        }
        best.and_then(|(value, length)| Some((value, i64::try_from(length).ok()?)))
    }

    /// A set of that length with the table's value.
    #[must_use]
    pub fn counts(&self, length: i64) -> Counts {
        let mut counts: Counts = Vec::new();
        let mut left = length;
        for index in (0..self.packages.len()).rev() {
            let Ok(at) = usize::try_from(left) else { break };
            if self.taken[index * self.words + at / 64] >> (at % 64) & 1 == 1 {
                let (kind, count) = self.packages[index];
                match counts.last_mut() {
                    Some(last) if last.0 == kind => last.1 += count,
                    _ => counts.push((kind, count)),
                }
                left -= self.sizes[index];
            }
        }
        counts.reverse();
        counts
    }
}
