//! Pricing by scanning the pool, the bound in whole numbers, and what it strikes out.

use super::super::core::{ceil_div, whole};
use super::super::master::float_of;
use super::super::pool;
use super::{Exact, Sense};

/// Prices are over this denominator.
const RESOLUTION: i64 = 1 << 40;
/// Columns added in one pricing.
const COLUMNS: usize = 250;

impl Exact<'_> {
    /// Whole prices; every allowed pattern's worth; the bound; and patterns that price out.
    pub(super) fn scan(&self) -> Scanned {
        let scaled = |price: f64| -> i64 {
            #[expect(clippy::cast_possible_truncation, reason = "prices stay below the penalty")]
            let value = (price * float_of(RESOLUTION)).floor() as i64;
            value
        };
        let solved = self.simplex.prices();
        let prices: Vec<i64> =
            solved[..self.demand.len()].iter().map(|&price| scaled(price)).collect();
        let extra_prices: Vec<i64> = self
            .extras
            .iter()
            .map(|(_, sense, row)| match sense {
                Sense::AtLeast => scaled(solved[*row]).max(0),
                _ => scaled(solved[*row]).min(0),
            })
            .collect();
        let lift: i64 = extra_prices.iter().filter(|&&price| price > 0).sum();
        let mut most = RESOLUTION;
        let mut worths = Vec::new();
        let mut fresh: Vec<(i64, usize)> = Vec::new();
        let active = self.active.last().map_or(&[][..], Vec::as_slice);
        for &index in active {
            let pattern = self.pool.pattern(index);
            let mut worth = pool::worth(pattern, &prices);
            if worth + lift > RESOLUTION {
                for ((extra, ..), &price) in self.extras.iter().zip(&extra_prices) {
                    if price != 0 {
                        worth += price * whole(extra.coefficient(index, pattern));
                    }
                }
                if worth > RESOLUTION + (RESOLUTION >> 28) && self.column_of[index].is_none() {
                    fresh.push((worth, index));
                }
                most = most.max(worth);
            } else {
                worth += lift;
            }
            worths.push(worth);
        }
        self.effort.spend(active.len() as u64 / 60 + 1);
        fresh.sort_unstable_by(|one, other| other.cmp(one));
        // Patterns that differ: no kind in too many of them.
        let mut held = vec![0_u32; self.demand.len()];
        let mut chosen = Vec::new();
        for (_, index) in fresh {
            let pattern = self.pool.pattern(index);
            if chosen.is_empty() || pattern.iter().any(|entry| held[entry.0 as usize] < 4) {
                for entry in pattern {
                    held[entry.0 as usize] += 1;
                }
                chosen.push(index);
                if chosen.len() >= COLUMNS {
                    break;
                }
            }
        }
        let mut gain: i128 = self
            .demand
            .iter()
            .zip(&prices)
            .map(|(&count, &price)| i128::from(count) * i128::from(price))
            .sum();
        for ((_, _, row), &price) in self.extras.iter().zip(&extra_prices) {
            #[expect(clippy::cast_possible_truncation, reason = "right-hand sides are whole")]
            let rhs = self.simplex.rhs(*row).round() as i64;
            gain += i128::from(rhs) * i128::from(price);
        }
        let bound = ceil_div(gain, i128::from(most));
        Scanned { fresh: chosen, bound, gain, most, worths }
    }

    /// Strikes out patterns that cost more than what is left to the target.
    pub(super) fn shrink(&mut self, scanned: &Scanned) {
        let gap = i128::from(self.target) * i128::from(scanned.most) - scanned.gain;
        if let Some(active) = self.active.last_mut() {
            let mut worths = scanned.worths.iter();
            active.retain(|_| {
                worths.next().is_none_or(|&worth| i128::from(scanned.most - worth) <= gap)
            });
        }
    }
}

/// What a scan found.
pub(super) struct Scanned {
    pub fresh: Vec<usize>,
    pub bound: i64,
    pub gain: i128,
    pub most: i64,
    pub worths: Vec<i64>,
}
