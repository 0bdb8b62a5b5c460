//! Zero without a sign.

/// The value, or zero where it is less. `f64::max` of zeros of either sign is one or the other as the compiler likes, and
/// `total_cmp` tells them apart: builds would search in different orders.
pub(crate) fn positive(value: f64) -> f64 {
    if value > 0.0 { value } else { 0.0 }
}
