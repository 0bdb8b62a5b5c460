//! Small sets of customers as words of bits.

/// A set over `0..64 * W`.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Set<const W: usize>([u64; W]);

impl<const W: usize> Set<W> {
    pub(super) const EMPTY: Self = Self([0; W]);

    pub(super) const fn of(i: usize) -> Self {
        let mut set = Self::EMPTY;
        set.insert(i);
        set
    }

    pub(super) const fn insert(&mut self, i: usize) {
        self.0[i / 64] |= 1 << (i % 64);
    }

    pub(super) const fn remove(&mut self, i: usize) {
        self.0[i / 64] &= !(1 << (i % 64));
    }

    pub(super) const fn has(&self, i: usize) -> bool {
        self.0[i / 64] >> (i % 64) & 1 == 1
    }

    pub(super) fn len(&self) -> usize {
        self.0.iter().map(|w| w.count_ones() as usize).sum()
    }

    pub(super) fn is_empty(&self) -> bool {
        self.0.iter().all(|w| *w == 0)
    }

    pub(super) fn or(&self, other: &Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] | other.0[i]))
    }

    pub(super) fn and(&self, other: &Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] & other.0[i]))
    }

    pub(super) fn minus(&self, other: &Self) -> Self {
        Self(std::array::from_fn(|i| self.0[i] & !other.0[i]))
    }

    pub(super) fn within(&self, other: &Self) -> bool {
        self.0.iter().zip(&other.0).all(|(a, b)| a & !b == 0)
    }

    /// The members in increasing order.
    pub(super) fn iter(&self) -> impl Iterator<Item = usize> + use<W> {
        let words = self.0;
        (0..W).flat_map(move |at| {
            let mut word = words[at];
            std::iter::from_fn(move || {
                (word != 0).then(|| {
                    let bit = word.trailing_zeros() as usize;
                    word &= word - 1;
                    at * 64 + bit
                })
            })
        })
    }

    /// A well-mixed number of the set, for a table of sets (Fibonacci hashing, Knuth vol. 3, 6.4).
    pub(super) fn mixed(&self) -> u64 {
        self.0.iter().fold(0, |hash: u64, word| {
            let hash = (hash ^ word).wrapping_mul(0x9e37_79b9_7f4a_7c15);
            hash ^ (hash >> 29)
        })
    }
}
