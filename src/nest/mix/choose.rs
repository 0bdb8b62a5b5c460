//! The cheapest counts of rolls that no certificate rules out: a small programme in whole numbers.
//!
//! ```text
//!   min  sum_k C_k(n_k)
//!   s.t. sum_k z_jk n_k >= b_j     every certificate j
//!        n not among those set aside,   0 <= n_k <= u_k,  n_k whole
//! ```
//!
//! `C_k` is what at least so many cost, with price breaks, minimum orders and freight: any function
//! that does not fall. Steps: go through the counts of all rolls but the last, each only where more
//! would cost more; the last takes what the certificates still ask for. A branch ends where what it
//! has spent, and the least at which the rolls that remain can cover any one certificate in
//! fractions, reach the best found.
//!
//! Spares are all of one roll, the one of which most is taken, so what counts cost together may fall where
//! one more of a cheap roll takes the spares away from a dear one. Then the programme is solved once for each
//! roll `s` that may get them, and the least of these is the least of all:
//!
//! ```text
//!   min  S_s(n_s) + sum_{k != s} C_k(n_k)   s.t.  n_k <= m_k(n_s), and the rows above
//! ```
//!
//! `S_s` is what so many cost with the spares, `m_k` how many of another roll still leave them to `s`; neither
//! falls, so again of counts that cost the same only the greatest matters.

/// What a certificate asks of counts of rolls.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Cut {
    /// What the pieces are worth, less what the shelf can hold.
    pub need: i128,
    /// What one of each roll holds at most.
    pub gives: Vec<i128>,
}

/// A roll's steps of price: so many for so much, both increasing; the first is nothing for nothing.
pub(super) type Steps = Vec<(u64, i64)>;

/// Counts and what they cost.
pub(super) type Priced = (Vec<u64>, i64);

/// Branches looked at before the search is given up.
pub(super) const BRANCHES: u64 = 3_000_000;

/// The roll that gets the spares; its steps are those with them.
#[derive(Clone, Copy)]
pub(super) struct Spared<'s> {
    /// Which.
    pub roll: usize,
    /// The most of another roll beside so many of this one.
    pub most: &'s dyn Fn(u64, usize) -> u64,
}

/// What there is to choose from.
#[derive(Clone, Copy)]
pub(super) struct Offered<'s> {
    /// By roll.
    pub steps: &'s [Steps],
    /// Where spares are bought.
    pub spared: Option<Spared<'s>>,
    /// What counts cost, never less than the sum of the steps with which a roll that may get the spares has
    /// them.
    pub together: &'s dyn Fn(&[u64]) -> i64,
    /// Branches looked at before the search is given up.
    pub branches: u64,
}

/// What was found.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Found {
    /// The cheapest counts; `None` where none cost less than asked.
    pub best: Option<Priced>,
    /// Whether everything was looked at.
    pub complete: bool,
}

struct Search<'s> {
    offered: Offered<'s>,
    cuts: &'s [Cut],
    aside: &'s [Vec<u64>],
    order: Vec<usize>,
    /// By roll, the most beside the count of the one that gets the spares.
    most: Vec<u64>,
    /// By depth and certificate: the least cost for a unit of it with the rolls from there on, as
    /// cost over worth; `None` where they hold nothing.
    rates: Vec<Vec<Option<(i128, i128)>>>,
    counts: Vec<u64>,
    best: Option<Priced>,
    below: i64,
    left: u64,
}

/// The cheapest counts that cost less than `below`; where spares are bought, of those with which the roll
/// asked for gets them.
pub(super) fn cheapest(
    offered: Offered<'_>,
    cuts: &[Cut],
    aside: &[Vec<u64>],
    below: i64,
) -> Found {
    let steps = offered.steps;
    let mut order: Vec<usize> = (0..steps.len()).collect();
    // The roll that limits the others first; then few steps first, so that the widest choice is computed
    // and not searched.
    let limits = |k: usize| offered.spared.is_some_and(|spared| spared.roll == k);
    order.sort_by_key(|&k| (!limits(k), steps[k].len(), k));
    let rate = |k: usize, cut: &Cut| -> Option<(i128, i128)> {
        let each = steps[k].iter().skip(1).map(|&(n, cost)| (i128::from(cost), i128::from(n)));
        let (cost, n) = each.min_by(|a, b| (a.0 * b.1).cmp(&(b.0 * a.1)))?;
        (cut.gives[k] > 0).then(|| (cost, n * cut.gives[k]))
    };
    let rates = (0..=order.len())
        .map(|depth| {
            let rest = &order[depth..];
            let least = |cut: &Cut| {
                let all = rest.iter().filter_map(|&k| rate(k, cut));
                all.min_by(|a, b| times(a.0, b.1).cmp(&times(b.0, a.1)))
            };
            cuts.iter().map(least).collect()
        })
        .collect();
    let counts = vec![0; steps.len()];
    let most = vec![u64::MAX; steps.len()];
    let (best, left) = (None, offered.branches);
    let mut search = Search { offered, cuts, aside, order, most, rates, counts, best, below, left };
    let need: Vec<i128> = cuts.iter().map(|cut| cut.need).collect();
    search.from(0, 0, &need);
    Found { complete: search.left > 0, best: search.best }
}

/// A product for a comparison; far beyond what costs and worths reach it is only roughly right.
fn times(a: i128, b: i128) -> i128 {
    a.saturating_mul(b)
}

impl Search<'_> {
    fn from(&mut self, depth: usize, spent: i64, need: &[i128]) {
        self.left = self.left.saturating_sub(1);
        if self.left == 0 || spent >= self.below {
            return;
        }
        for (at, &need) in need.iter().enumerate().filter(|(_, need)| **need > 0) {
            let Some((cost, worth)) = self.rates[depth][at] else { return };
            if i128::from(spent) + need.saturating_mul(cost) / worth >= i128::from(self.below) {
                return;
            }
        }
        let Some(&k) = self.order.get(depth) else {
            self.keep();
            return;
        };
        let last = depth + 1 == self.order.len();
        let most = self.most[k];
        for &(step, cost) in &self.offered.steps[k] {
            if spent + cost >= self.below || self.left == 0 {
                break;
            }
            let count = step.min(most);
            if let Some(spared) = self.offered.spared.filter(|spared| spared.roll == k) {
                for &other in &self.order[1..] {
                    self.most[other] = (spared.most)(count, other);
                }
            }
            let after: Vec<i128> = need
                .iter()
                .zip(self.cuts)
                .map(|(need, cut)| need - cut.gives[k] * i128::from(count))
                .collect();
            if !last || after.iter().all(|need| *need <= 0) {
                self.counts[k] = count;
                self.from(depth + 1, spent + cost, &after);
                // More of the last roll only costs more, unless what was found is set aside.
                if last && self.best.as_ref().is_some_and(|best| best.0 == self.counts) {
                    break;
                }
            }
            if step >= most {
                break;
            }
        }
        self.counts[k] = 0;
    }

    fn keep(&mut self) {
        if self.aside.contains(&self.counts) {
            return;
        }
        let cost = (self.offered.together)(&self.counts);
        if cost < self.below {
            self.below = cost;
            self.best = Some((self.counts.clone(), cost));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn plain(price: i64, most: u64) -> Steps {
        (0..=most).map(|n| (n, price * i64::try_from(n).unwrap())).collect()
    }

    /// All counts, one by one.
    fn by_hand(steps: &[Steps], cuts: &[Cut], aside: &[Vec<u64>], below: i64) -> Option<i64> {
        let mut all = vec![(Vec::new(), 0_i64)];
        for steps in steps {
            let longer = |(counts, cost): &Priced| -> Vec<Priced> {
                let with = |&(n, more): &(u64, i64)| ([&counts[..], &[n]].concat(), cost + more);
                steps.iter().map(with).collect()
            };
            all = all.iter().flat_map(longer).collect();
        }
        let holds = |counts: &[u64]| {
            cuts.iter().all(|cut| {
                let sum: i128 =
                    cut.gives.iter().zip(counts).map(|(give, &n)| give * i128::from(n)).sum();
                sum >= cut.need
            })
        };
        let open = all.iter().filter(|(counts, _)| holds(counts) && !aside.contains(counts));
        open.map(|(_, cost)| *cost).filter(|&cost| cost < below).min()
    }

    proptest::proptest! {
        #[test]
        fn nothing_cheaper_was_passed_over(
            prices in proptest::collection::vec((1_i64..30, 1_u64..7), 1..4),
            cuts in proptest::collection::vec((0_i128..60, proptest::collection::vec(0_i128..9, 3)), 0..4),
            drop in 0_usize..3,
        ) {
            let steps: Vec<Steps> = prices.iter().map(|&(price, most)| plain(price, most)).collect();
            let cuts: Vec<Cut> = cuts
                .into_iter()
                .map(|(need, gives)| Cut { need, gives: gives[..steps.len()].to_vec() })
                .collect();
            let sum = |counts: &[u64]| -> i64 {
                prices.iter().zip(counts).map(|((price, _), &n)| price * i64::try_from(n).unwrap()).sum()
            };
            let mut aside = Vec::new();
            for _ in 0..=drop {
                let offered =
                    Offered { steps: &steps, spared: None, together: &sum, branches: BRANCHES };
                let found = cheapest(offered, &cuts, &aside, 10_000);
                proptest::prop_assert!(found.complete);
                let cost = found.best.as_ref().map(|best| best.1);
                proptest::prop_assert_eq!(cost, by_hand(&steps, &cuts, &aside, 10_000));
                aside.extend(found.best.map(|best| best.0));
            }
        }
    }
}
