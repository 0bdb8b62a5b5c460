//! Sharing a whole number out in proportion to weights, without remainder.

/// Shares `total` out in proportion to the weights (none negative): each gets its share rounded down,
/// and what is left goes, one by one, to the largest remainders, the first of equals first. Without
/// any weight all count alike. The shares add up to `total`.
///
/// Largest remainders, as votes are turned into seats (Hamilton's method).
#[must_use]
pub fn spread(total: i128, weights: &[i128]) -> Vec<i128> {
    if weights.is_empty() {
        return Vec::new();
    }
    if total < 0 {
        return spread(-total, weights).into_iter().map(|share| -share).collect();
    }
    let mut weights: Vec<i128> = weights.iter().map(|w| (*w).max(0)).collect();
    let mut sum: i128 = weights.iter().sum();
    if sum == 0 {
        weights.fill(1);
        sum = i128::try_from(weights.len()).unwrap_or(1);
    }
    // Keeps the products inside 128 bits; shares then follow weights to some 18 digits.
    let most = i128::MAX / total.max(1);
    let step = sum / most + 1;
    if step > 1 {
        for weight in &mut weights {
            *weight /= step;
        }
        sum = weights.iter().sum::<i128>().max(1);
    }
    let mut shares: Vec<i128> = weights.iter().map(|w| total * w / sum).collect();
    let mut order: Vec<usize> = (0..weights.len()).collect();
    order.sort_by_key(|&at| (std::cmp::Reverse(total * weights[at] % sum), at));
    let left = total - shares.iter().sum::<i128>();
    let left = usize::try_from(left).unwrap_or(0);
    for &at in order.iter().cycle().take(left) {
        shares[at] += 1;
    }
    shares
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_largest_remainders_get_what_is_left() {
        // By hand: 10 over 1, 1, 1 is 3.33 each; the first takes the one that is left.
        assert_eq!(spread(10, &[1, 1, 1]), [4, 3, 3]);
        // 7 over 5, 3, 1: 3.89, 2.33, 0.78; remainders .89 and .78 get one each.
        assert_eq!(spread(7, &[5, 3, 1]), [4, 2, 1]);
        assert_eq!(spread(-7, &[5, 3, 1]), [-4, -2, -1]);
        assert_eq!(spread(3, &[0, 0]), [2, 1]);
        assert!(spread(5, &[]).is_empty());
    }

    proptest::proptest! {
        #[test]
        fn shares_add_up_and_follow_the_weights(
            total in -1_000_000_000_000_i128..1_000_000_000_000,
            weights in proptest::collection::vec(0_i128..1_000_000_000_000_000_000_000, 1..40),
        ) {
            let shares = spread(total, &weights);
            proptest::prop_assert_eq!(shares.iter().sum::<i128>(), total);
            let sum: i128 = weights.iter().sum();
            for (share, weight) in shares.iter().zip(&weights).filter(|_| sum > 0) {
                // Within one of the exact share: |share * sum - total * weight| <= sum.
                proptest::prop_assert!((share * sum - total * weight).abs() <= sum);
            }
        }
    }
}
