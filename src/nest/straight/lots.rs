//! Choices by lot, the same on every machine: Vigna's xorshift64* from a seed.

/// A stream of lots.
pub(in crate::nest) struct Lots(u64);

impl Lots {
    /// From a seed.
    pub fn new(seed: u64) -> Self {
        Self((seed ^ 0x9E37_79B9_7F4A_7C15).max(1))
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    /// A number below `n` (0 if `n` is 0).
    pub fn below(&mut self, n: usize) -> usize {
        let high = usize::try_from(self.next() >> 33).unwrap_or(0);
        high.checked_rem(n).unwrap_or(0)
    }

    /// A number below `n`, for tests that draw sizes.
    #[cfg(test)]
    pub fn number(&mut self, n: i64) -> i64 {
        i64::try_from(self.below(usize::try_from(n).unwrap_or(0))).unwrap_or(0)
    }

    /// A number in [0, 1).
    pub fn unit(&mut self) -> f64 {
        let high = u32::try_from(self.next() >> 32).unwrap_or(0);
        f64::from(high) / 4_294_967_296.0
    }
}
