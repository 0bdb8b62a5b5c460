//! A lower bound that anyone can check from the instance alone.
//!
//! Every piece `i` gets a whole price `p_i`, and for every roll `k` a number `z_k` says that no
//! layout of it in the stated cutting style holds pieces worth more than `z_k` (for a roll without
//! end: more than `z_k` for each `per` nanometres of pulls, each with its gap). Then any answer with
//! `R_k` rolls has
//!
//! ```text
//!   sum_k z_k R_k  >=  sum_i d_i p_i,     R_k <= u_k,
//! ```
//!
//! and the least of `sum_k c_k R_k` under these two lines is a lower bound. It is a knapsack with
//! fractions: rolls are taken by increasing `c_k / z_k` until the right-hand side is covered. With
//! prices from the linear programme's dual this is Farley's bound (Operations Research 38, 1990)
//! for several stock sizes. All in 128-bit integers.

use crate::cutting::Objective;
use crate::nest::Instance;
use serde::{Deserialize, Serialize};

/// Prices and what a roll can hold at most: enough to check a bound.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Certificate {
    /// A price for each piece of the instance, in order; never negative.
    pub prices: Vec<i64>,
    /// For each roll of the instance, the most that one layout of it is worth.
    pub most: Vec<Most>,
    /// What the prices are made of, where they hold for every packing.
    pub scales: Option<Scales>,
}

/// Weights of sizes, from which anyone can see that a certificate holds for every packing.
///
/// A piece of size `w` by `l` is priced at no more than `across(w) * along(l)`, however it may lie. A
/// line across a roll meets pieces whose widths fit the roll, and these weigh `F` at most; one along
/// it meets pieces whose lengths fit, and these weigh `G` at most (both are knapsacks in one
/// dimension). Then no packing of the roll is worth more than `F * G`: with sizes replaced by such
/// weights there is still a packing, into `F` by `G` (conservative scales: Fekete and Schepers,
/// Mathematical Methods of Operations Research 60, 2004, theorem 3).
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Scales {
    /// By size across, increasing.
    pub across: Vec<Weight>,
    /// By size along, increasing.
    pub along: Vec<Weight>,
}

/// What a size weighs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub struct Weight {
    /// The size in nanometres, gap included.
    pub size: i64,
    /// Its weight, in the product's unit of this direction.
    pub weight: i64,
}

impl Scales {
    /// From sizes across and along, each with its weight; a size has one weight.
    #[must_use]
    pub fn new(sizes: impl Iterator<Item = [Weight; 2]>) -> Self {
        let (mut across, mut along): (Vec<Weight>, Vec<Weight>) =
            sizes.map(|[across, along]| (across, along)).unzip();
        for weights in [&mut across, &mut along] {
            weights.sort_unstable();
            weights.dedup();
        }
        Self { across, along }
    }
}

/// The most that a roll's layouts are worth.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Most {
    /// The worth.
    pub worth: i64,
    /// For each so many nanometres of a roll without end; 0 where it is for a whole roll.
    pub per: i64,
}

impl Certificate {
    /// Prices and worths that are not made of scales.
    #[must_use]
    pub const fn new(prices: Vec<i64>, most: Vec<Most>) -> Self {
        Self { prices, most, scales: None }
    }

    /// The lower bound that follows, in the objective's unit. `None` if the rolls on hand cannot
    /// hold the pieces at all.
    #[must_use]
    pub fn bound(&self, instance: &Instance) -> Option<i64> {
        let worth: i128 = instance
            .pieces
            .iter()
            .zip(&self.prices)
            .map(|(piece, &price)| i128::from(piece.quantity) * i128::from(price))
            .sum();
        if worth <= 0 {
            return Some(0);
        }
        if instance.objective == Objective::Length {
            let most = self.most.first()?;
            let pulls = ceil(worth * i128::from(most.per), i128::from(most.worth));
            let front = i128::from(instance.cutting.square_cut.nm() - instance.cutting.gap.nm());
            return i64::try_from(pulls + front).ok();
        }
        let cost = |k: usize| i128::from(instance.rolls[k].cost(instance.objective));
        let mut order: Vec<usize> =
            (0..instance.rolls.len()).filter(|&k| self.most[k].worth > 0).collect();
        order.sort_by(|&a, &b| {
            let left = cost(a) * i128::from(self.most[b].worth);
            let right = cost(b) * i128::from(self.most[a].worth);
            left.cmp(&right).then(a.cmp(&b))
        });
        let mut left = worth;
        let mut spent = 0_i128;
        for k in order {
            let most = i128::from(self.most[k].worth);
            let whole = instance.rolls[k].available.map(|n| i128::from(n) * most);
            if whole.is_none_or(|all| all >= left) {
                return i64::try_from(round_up(instance, spent, left * cost(k), most)).ok();
            }
            left -= whole.unwrap_or(0);
            spent += cost(k) * i128::from(instance.rolls[k].available.unwrap_or(0));
        }
        None
    }
}

/// The most sums of prices that are looked at for [`round_up`], in steps of their common divisor.
const SUMS: i128 = 100_000;

/// `spent + over / under`, rounded up to a value that whole rolls can have: the least sum of
/// prices, each taken any number of times, that is not below it (a subset-sum table in steps of
/// the prices' greatest common divisor); a multiple of that divisor where the table would be long.
fn round_up(instance: &Instance, spent: i128, over: i128, under: i128) -> i128 {
    let value = spent + ceil(over, under);
    if instance.objective != Objective::Price {
        return value;
    }
    let prices = || instance.rolls.iter().map(|roll| i128::from(roll.price.micros()));
    let step = prices().fold(0, gcd);
    if step <= 1 {
        return value;
    }
    let steps = ceil(value, step);
    let dearest = prices().max().unwrap_or(0) / step;
    least_sum(&prices().map(|price| price / step).collect::<Vec<_>>(), steps, steps + dearest)
        .unwrap_or(steps)
        * step
}

/// The least sum of prices, each taken any number of times, from `least` to `most`.
fn least_sum(prices: &[i128], least: i128, most: i128) -> Option<i128> {
    let size = usize::try_from(most).ok().filter(|_| most <= SUMS)?;
    let mut reached = vec![false; size + 1];
    reached[0] = true;
    for price in prices.iter().filter_map(|&p| usize::try_from(p).ok()).filter(|&p| p > 0) {
        for sum in price..=size {
            reached[sum] |= reached[sum - price];
        }
    }
    (least..=most).find(|&sum| usize::try_from(sum).is_ok_and(|at| reached[at]))
}

fn ceil(over: i128, under: i128) -> i128 {
    if under <= 0 { 0 } else { over.div_euclid(under) + i128::from(over.rem_euclid(under) != 0) }
}

fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::{Certificate, Most, least_sum};
    use crate::nest::Instance;
    use crate::nest::sample;

    /// Two products at these prices, of the first so many to be had, and so many pieces.
    fn instance(prices: [i64; 2], available: &str, pieces: u64) -> Instance {
        let [a, b] = prices;
        let text = format!(
            r#"{{ "name": "two", "objective": "price", "cutting": {{ "style": "straight" }},
            "rolls": [ {{ "id": "A", "width": 10, "length": 10, "price": {a}, "available": {available} }},
                       {{ "id": "B", "width": 10, "length": 10, "price": {b} }} ],
            "pieces": [ {{ "id": "p", "width": 1, "length": 1, "quantity": {pieces} }} ] }}"#
        );
        sample::instance(&text)
    }

    /// By hand: one piece fills a roll, and the cheaper costs 27. Of fifteen ten fill the only one for 40, and five half of
    /// one for 80.
    #[test]
    fn a_bound_is_a_sum_of_prices_of_rolls_that_are_there() {
        let bound = |instance: &Instance, worth: i64| {
            let most = vec![Most { worth, per: 0 }; 2];
            Certificate::new(vec![1], most).bound(instance).map(|micros| micros / 1_000_000)
        };
        assert_eq!(bound(&instance([40, 27], "null", 1), 1), Some(27));
        assert_eq!(bound(&instance([40, 80], "1", 15), 10), Some(80));
    }

    #[test]
    fn sums_of_whole_prices_are_found() {
        // By hand: with prices 40 and 27 the sums from 68 on are 80, 81, ...; 54 and 67 lie below.
        assert_eq!(least_sum(&[40, 27], 68, 108), Some(80));
        assert_eq!(least_sum(&[40, 27], 67, 108), Some(67));
        assert_eq!(least_sum(&[40, 27, 0], 0, 40), Some(0));
        assert_eq!(least_sum(&[7], 15, 22), Some(21));
        assert_eq!(least_sum(&[7], 1_000_000, 1_000_007), None);
    }
}
