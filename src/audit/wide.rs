//! Products beyond 128 bits, for comparing distances exactly.

/// `a * b` as high and low halves.
fn product(a: u128, b: u128) -> (u128, u128) {
    const MASK: u128 = u64::MAX as u128;
    let (a1, a0, b1, b0) = (a >> 64, a & MASK, b >> 64, b & MASK);
    let low = a0 * b0;
    let middle = a1 * b0 + (low >> 64);
    let other = a0 * b1 + (middle & MASK);
    let high = a1 * b1 + (middle >> 64) + (other >> 64);
    (high, (other << 64) | (low & MASK))
}

/// Whether `a * b < c * d`.
pub(super) fn less(a: u128, b: u128, c: u128, d: u128) -> bool {
    product(a, b) < product(c, d)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn products_beyond_128_bits() {
        // (2^127)^2 = 2^254 and (2^128 - 1)^2 = 2^256 - 2^129 + 1, by hand.
        assert_eq!(product(1 << 127, 1 << 127), (1 << 126, 0));
        assert_eq!(product(u128::MAX, u128::MAX), (u128::MAX - 1, 1));
        assert!(less(u128::MAX, u128::MAX - 1, u128::MAX, u128::MAX));
        assert!(!less(6, 7, 7, 6));
    }
}
