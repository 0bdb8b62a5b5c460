//! Numbers drawn by lot: the same seed gives the same numbers on every machine.
//!
//! Steele, Lea and Flood's splitmix (OOPSLA 2014): a counter, well stirred.

/// A drawer of lots.
#[derive(Clone, Debug)]
pub struct Lot(u64);

impl Lot {
    /// From a seed and the number of the try.
    pub fn new(seed: u64, number: u64) -> Self {
        let mut lot = Self(seed.wrapping_mul(0xD6E8_FEB8_6659_FD93).wrapping_add(number));
        lot.0 = lot.next();
        lot
    }

    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number from 0 up to, but without, 1.
    #[expect(clippy::cast_precision_loss, reason = "53 bits fit")]
    pub fn share(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// A number between two others.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// A whole number from 0 up to, but without, `end`; 0 when `end` is 0.
    pub fn below(&mut self, end: usize) -> usize {
        let wide = u128::from(self.next()) * end as u128;
        usize::try_from(wide >> 64).unwrap_or(0)
    }

    /// Puts a list into an order by lot.
    pub fn shuffle<T>(&mut self, list: &mut [T]) {
        for i in (1..list.len()).rev() {
            list.swap(i, self.below(i + 1));
        }
    }
}
