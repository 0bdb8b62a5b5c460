//! Numbers that look drawn by lot, the same ones for the same seed (`SplitMix64`; Steele, Lea and
//! Flood, OOPSLA 2014).

/// A source of such numbers.
#[derive(Clone, Debug)]
pub(super) struct Lots(u64);

impl Lots {
    /// Starts from a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number in [0, 1).
    pub fn next(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        let high = u32::try_from((z ^ (z >> 31)) >> 32).unwrap_or(0);
        f64::from(high) / (f64::from(u32::MAX) + 1.0)
    }
}
