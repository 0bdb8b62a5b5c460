//! Numbers drawn by lot: the same seed gives the same numbers on every machine.
//!
//! Marsaglia's 64-bit xorshift (Journal of Statistical Software 8, 2003) with a multiplier
//! (Vigna, ACM Transactions on Mathematical Software 42, 2016); the seed is spread by a
//! splitmix step first, so that neighbouring seeds have nothing in common.

/// A drawer of lots.
#[derive(Clone, Debug)]
pub struct Lot(u64);

impl Lot {
    /// From a seed and the number of the try.
    pub fn new(seed: u64, number: u64) -> Self {
        let mut z = seed
            .wrapping_mul(0x9E37_79B9_7F4A_7C15)
            .wrapping_add(number.wrapping_mul(0xD1B5_4A32_D192_ED03))
            .wrapping_add(0x9E37_79B9_7F4A_7C15);
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        Self((z ^ (z >> 31)) | 1)
    }

    fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    /// A whole number from 0 up to, but without, `end`; 0 when `end` is 0.
    pub fn below(&mut self, end: usize) -> usize {
        let wide = u128::from(self.next()) * end as u128;
        usize::try_from(wide >> 64).unwrap_or(0)
    }

    /// True once in `odds` times.
    pub fn once_in(&mut self, odds: usize) -> bool {
        self.below(odds) == 0
    }
}
