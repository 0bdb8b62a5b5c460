//! What divides several whole numbers.

/// The greatest common divisor, without a sign; of nothing and a number that number.
#[must_use]
pub const fn gcd(a: i64, b: i64) -> i64 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}
