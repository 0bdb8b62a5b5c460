//! Dual feasible functions: ways to weigh sizes so that what fits together still weighs no more
//! than the roll.
//!
//! A function `f` on whole sizes is dual feasible for a capacity `C` when `sum x_i <= C` implies
//! `sum f(x_i) <= f(C)`. For rectangles, `f(width) * g(length)` then weighs no more than
//! `f(W) * g(L)` in any packing at all (Fekete and Schepers, Mathematical Methods of Operations
//! Research 60, 2004, theorem 3), so the weights are prices of a certificate.
//!
//! The functions, each scaled to whole numbers (survey: Clautiaux, Alves and Valério de Carvalho,
//! Annals of Operations Research 179, 2010):
//!
//! * identity: `x`;
//! * threshold `t <= C/2` (Martello and Toth 1990): `C` if `x > C - t`, 0 if `x < t`, else `x`;
//! * multiples `k` (Fekete and Schepers 2001, u^(k)): `k x` if `(k + 1) x / C` is whole, else
//!   `C * floor((k + 1) x / C)`;
//! * steps `t <= C/2` (Carlier, Clautiaux and Moukrim 2007): `2 floor(x / t)` if `2x < C`,
//!   `floor(C / t)` if `2x = C`, `2 (floor(C / t) - floor((C - x) / t))` if `2x > C`.

/// One function for one capacity.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum DualFeasible {
    /// The size itself.
    Identity,
    /// Large sizes count as whole, small ones not at all.
    Threshold(i64),
    /// Sizes rounded to fractions of the capacity.
    Multiples(i64),
    /// Sizes counted in steps.
    Steps(i64),
}

impl DualFeasible {
    /// The weight of a size between 0 and the capacity.
    #[must_use]
    pub fn weigh(self, size: i64, capacity: i64) -> i64 {
        match self {
            Self::Threshold(t) if size > capacity - t => capacity,
            Self::Threshold(t) if size < t => 0,
            Self::Identity | Self::Threshold(_) => size,
            Self::Multiples(k) if ((k + 1) * size) % capacity == 0 => k * size,
            Self::Multiples(k) => ((k + 1) * size / capacity) * capacity,
            Self::Steps(t) if 2 * size < capacity => 2 * (size / t),
            Self::Steps(t) if 2 * size == capacity => capacity / t,
            Self::Steps(t) => 2 * (capacity / t - (capacity - size) / t),
        }
    }

    /// Any of the functions; `below(n)` draws a number below `n`.
    #[cfg(test)]
    pub fn drawn(capacity: i64, below: &mut dyn FnMut(i64) -> i64) -> Self {
        match below(4) {
            1 => Self::Threshold(1 + below((capacity / 2).max(1))),
            2 => Self::Multiples(1 + below(30)),
            3 => Self::Steps(1 + below((capacity / 2).max(1))),
            _ => Self::Identity,
        }
    }

    /// The functions worth trying for these sizes: thresholds and steps at the sizes themselves and
    /// at what they leave of the capacity, at most `many` of each.
    #[must_use]
    pub fn family(sizes: &[i64], capacity: i64, many: usize) -> Vec<Self> {
        let mut marks: Vec<i64> = sizes
            .iter()
            .flat_map(|&size| [size, capacity - size, capacity - size + 1, size + 1])
            .filter(|&mark| mark > 0 && 2 * mark <= capacity)
            .collect();
        marks.push((capacity / 2).max(1));
        marks.sort_unstable();
        marks.dedup();
        let every = marks.len().div_ceil(many.max(1)).max(1);
        let chosen: Vec<i64> = marks.iter().rev().step_by(every).copied().collect();
        let mut family = vec![Self::Identity];
        family.extend(chosen.iter().map(|&t| Self::Threshold(t)));
        family.extend((1..=8).map(Self::Multiples));
        family.extend(chosen.iter().map(|&t| Self::Steps(t)));
        family
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The definition itself, by enumeration: every multiset of sizes that fits the capacity weighs
    /// no more than the capacity.
    #[test]
    fn what_fits_weighs_no_more_than_the_capacity() {
        for capacity in 2..=13_i64 {
            let sizes: Vec<i64> = (1..=capacity).collect();
            for function in DualFeasible::family(&sizes, capacity, 100) {
                let mut most = vec![0_i64; usize::try_from(capacity).unwrap() + 1];
                for room in 1..most.len() {
                    for size in 1..=room {
                        let weight = function.weigh(i64::try_from(size).unwrap(), capacity)
                            + most[room - size];
                        most[room] = most[room].max(weight);
                    }
                }
                let whole = function.weigh(capacity, capacity);
                assert!(most.iter().all(|&m| m <= whole), "{function:?} for {capacity}");
            }
        }
    }
}
