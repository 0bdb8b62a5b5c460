//! Quantiles of simulated figures.

/// The parts of all cases for which figures are given, per cent.
pub const PARTS: [u8; 3] = [50, 80, 90];

/// The smallest figure that at least this part, per cent, of the sorted figures does not exceed (the inverse
/// of the empirical distribution); `None` where there are none.
#[must_use]
pub fn quantile<T: Copy>(sorted: &[T], part: u8) -> Option<T> {
    let rank = (usize::from(part) * sorted.len()).div_ceil(100).max(1);
    sorted.get(rank - 1).copied()
}

/// The quantiles at [`PARTS`] of figures in any order.
#[must_use]
pub fn at_parts(figures: &[f64]) -> [f64; 3] {
    let mut sorted = figures.to_vec();
    sorted.sort_by(f64::total_cmp);
    PARTS.map(|part| quantile(&sorted, part).unwrap_or(0.0))
}

/// The part of the figures that do not exceed a limit.
#[must_use]
#[expect(clippy::cast_precision_loss, reason = "a ratio of counts")]
pub fn within(figures: &[f64], limit: f64) -> f64 {
    let inside = figures.iter().filter(|figure| **figure <= limit).count();
    if figures.is_empty() { 0.0 } else { inside as f64 / figures.len() as f64 }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_are_figures_that_occur() {
        // By hand, from the definition.
        let ten: Vec<u64> = (1..=10).collect();
        assert_eq!(quantile(&ten, 50), Some(5));
        assert_eq!(quantile(&ten, 80), Some(8));
        assert_eq!(quantile(&ten, 81), Some(9));
        assert_eq!(quantile(&ten, 90), Some(9));
        assert_eq!((quantile(&ten, 0), quantile(&ten, 100)), (Some(1), Some(10)));
        assert_eq!(quantile::<u64>(&[], 50), None);
        assert!((within(&[1.0, 2.0, 3.0, 4.0], 3.0) - 0.75).abs() < 1e-12);
    }
}
