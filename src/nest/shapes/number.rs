//! Between whole nanometres and the search's floating point.
//!
//! The search works in `f64` nanometres: whole ones are exact there (they stay below 2^53), and
//! nothing it finds counts before [`exact`](super::exact) has confirmed it in whole numbers.

/// Whole nanometres as floating point; exact.
#[expect(clippy::cast_precision_loss, reason = "lengths stay below 2^53 nm; see Length::LIMIT")]
#[inline]
pub fn float(nm: i64) -> f64 {
    nm as f64
}

/// A count as floating point.
#[expect(clippy::cast_precision_loss, reason = "counts stay below 2^53")]
#[inline]
pub fn of_count(count: usize) -> f64 {
    count as f64
}

/// A count or an index as a number of 64 bits.
pub fn of_index(index: usize) -> u64 {
    u64::try_from(index).unwrap_or(u64::MAX)
}

/// The nearest whole nanometre.
#[expect(clippy::cast_possible_truncation, reason = "lengths stay below 2^53 nm")]
pub fn whole(nm: f64) -> i64 {
    nm.round() as i64
}

/// The next whole nanometre away from zero, less a thousandth for noise.
#[expect(clippy::cast_possible_truncation, reason = "lengths stay below 2^53 nm")]
pub fn outward(nm: f64) -> i64 {
    let size = (nm.abs() - 1e-3).ceil().max(0.0);
    (size.copysign(nm)) as i64
}

/// A floating-point number as an index, at most `last`.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a cast saturates")]
#[inline]
pub fn index(value: f64, last: usize) -> usize {
    (value as usize).min(last)
}
