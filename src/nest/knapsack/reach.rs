//! Which lengths can be filled exactly: sets of whole numbers as rows of bits.

use super::{Kind, fitting};

/// A set of sums between 0 and a capacity.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Sums {
    words: Vec<u64>,
    capacity: usize,
}

impl Sums {
    /// Only the empty sum; nothing if the capacity does not fit this machine's memory.
    #[must_use]
    pub fn new(capacity: i64) -> Option<Self> {
        let capacity = usize::try_from(capacity).ok()?;
        let mut words = vec![0; capacity / 64 + 1];
        words[0] = 1;
        Some(Self { words, capacity })
    }

    /// Adds what can be reached with this kind of piece as well.
    pub fn add(&mut self, kind: &Kind) {
        let Ok(capacity) = i64::try_from(self.capacity) else { return };
        let Ok(size) = usize::try_from(kind.size) else { return };
        let mut left = fitting(kind, capacity);
        // Packages of 1, 2, 4, ... pieces and the rest reach every count up to the limit.
        let mut package = 1_u64;
        while left > 0 {
            let take = package.min(left);
            let Ok(count) = usize::try_from(take) else { return };
            self.shift(size * count);
            left -= take;
            package *= 2;
        }
    }

    /// Whether this sum can be reached.
    #[must_use]
    pub fn has(&self, sum: i64) -> bool {
        usize::try_from(sum)
            .is_ok_and(|sum| sum <= self.capacity && self.words[sum / 64] >> (sum % 64) & 1 == 1)
    }

    /// The largest reachable sum that is not above `limit`.
    #[must_use]
    pub fn below(&self, limit: i64) -> i64 {
        let Ok(limit) = usize::try_from(limit) else { return 0 };
        let limit = limit.min(self.capacity);
        let mut word = limit / 64;
        let mut bits = self.words[word] & (u64::MAX >> (63 - limit % 64));
        while bits == 0 && word > 0 {
            word -= 1;
            bits = self.words[word];
        }
        let top = word * 64 + 63usize.saturating_sub(bits.leading_zeros() as usize);
        i64::try_from(top).unwrap_or(0)
    }

    fn shift(&mut self, by: usize) {
        let (whole, part) = (by / 64, by % 64);
        for index in (whole..self.words.len()).rev() {
            let mut bits = self.words[index - whole] << part;
            if part > 0 && index > whole {
                bits |= self.words[index - whole - 1] >> (64 - part);
            }
            self.words[index] |= bits;
        }
        let spare = self.capacity % 64;
        if let Some(last) = self.words.last_mut() {
            *last &= u64::MAX >> (63 - spare);
        }
    }
}
