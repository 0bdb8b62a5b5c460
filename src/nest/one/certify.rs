//! Whole prices for all items of a problem, from which anyone can compute the bound again.
//!
//! The linear programme gives prices for the items that were left after the reductions. The others
//! are lifted: with `f(c)` the most that the items priced so far are worth in a length `c`, and `M`
//! the most in a bin, an item of size `s` may be priced at `min over a of (M - f(C - a s)) / a`
//! without any set becoming worth more than `M`. Prices of the items' lengths are tried as well.
//! Lifting: Balas, Mathematical Programming 8 (1975).

use super::core::divisor;
use super::problem::{Answer, Problem};

/// Work up to which a certificate is made: kinds times length.
const MOST_CELLS: i64 = 400_000_000;

/// The price of one of each item, and for each bin the most that a set of items is worth that fits
/// it. Nothing where that would take too long to compute.
#[must_use]
pub fn certify(problem: &Problem, answer: &Answer) -> Option<(Vec<i64>, Vec<i64>)> {
    let common = problem.items.iter().filter(|item| item.1 > 0).map(|item| item.0).fold(0, divisor);
    let bins: Vec<i64> = problem.bins.iter().map(|bin| bin.size / common.max(1)).collect();
    let longest = bins.iter().copied().max()?;
    let mut total = 0_i128;
    for &(size, count) in &problem.items {
        total += i128::from(size / common.max(1)) * i128::from(count);
    }
    let by_length = || {
        let prices: Vec<i64> = problem.items.iter().map(|item| item.0 / common.max(1)).collect();
        Some((prices, bins.clone()))
    };
    // The area alone suffices where bins are alike.
    if let [bin] = problem.bins.as_slice() {
        let whole = i128::from(bins[0]);
        let least = total.div_euclid(whole) + i128::from(total.rem_euclid(whole) != 0);
        if least * i128::from(bin.cost) >= i128::from(answer.bound) {
            return by_length();
        }
    }
    let Some(linear) = &answer.certificate else { return by_length() };
    let kinds = i64::try_from(problem.items.len()).ok()?;
    if longest.checked_mul(kinds)? > MOST_CELLS {
        return None;
    }
    let mut worth = vec![0_i64; usize::try_from(longest).ok()? + 1];
    let mut prices = vec![0; problem.items.len()];
    let mut rest = Vec::new();
    for (item, &(size, count)) in problem.items.iter().enumerate() {
        if linear.prices[item] > 0 {
            prices[item] = linear.prices[item];
            extend(&mut worth, usize::try_from(size / common).ok()?, count, prices[item]);
        } else if count > 0 {
            rest.push((size / common, count, item));
        }
    }
    if let &[length] = bins.as_slice() {
        let most = (*worth.last()?).max(linear.denominator);
        rest.sort_by(|one, other| other.0.cmp(&one.0).then(one.2.cmp(&other.2)));
        for (size, count, item) in rest {
            let fits = u64::try_from(length / size).unwrap_or(0).min(count);
            let mut price = i64::MAX;
            for taken in 1..=i64::try_from(fits).ok()? {
                let left = usize::try_from(length - taken * size).ok()?;
                price = price.min((most - worth[left]) / taken);
            }
            if price > 0 && price < i64::MAX {
                prices[item] = price;
                extend(&mut worth, usize::try_from(size).ok()?, count, price);
            }
        }
    }
    let most = bins.iter().map(|&bin| usize::try_from(bin).ok().map(|bin| worth[bin]));
    Some((prices, most.collect::<Option<Vec<i64>>>()?))
}

/// `worth[c]` is the most in a length `c`; adds `count` pieces of a size and price.
fn extend(worth: &mut [i64], size: usize, count: u64, price: i64) {
    let mut left = count.min((worth.len() / size) as u64);
    let mut package = 1;
    while left > 0 {
        let take = package.min(left);
        let (Ok(step), Ok(many)) = (usize::try_from(take), i64::try_from(take)) else { return };
        let shift = step * size;
        for c in (shift..worth.len()).rev() {
            worth[c] = worth[c].max(worth[c - shift] + price * many);
        }
        left -= take;
        package *= 2;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::one::problem::{Bin, Certificate};
    use crate::nest::{Basis, Status};

    /// By hand: no two of 6 and 5 fit into 10 together, so what costs nothing may cost as much as a bin.
    #[test]
    fn what_costs_nothing_may_cost_what_a_bin_has_left() {
        let bin = Bin { size: 10, cost: 1, available: None };
        let problem = Problem { bins: vec![bin], items: vec![(6, 4), (5, 1)] };
        let linear = Certificate {
            prices: vec![10, 0],
            rents: vec![0],
            denominator: 10,
            most: vec![10],
            bound: 4,
        };
        let answer = Answer {
            patterns: Vec::new(),
            value: 5,
            bound: 4,
            basis: Basis::LinearProgramme,
            status: Status::Feasible,
            certificate: Some(linear),
        };
        assert_eq!(certify(&problem, &answer), Some((vec![10, 10], vec![10])));
    }
}
