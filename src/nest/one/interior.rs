//! Prices from which few patterns are left.
//!
//! The pool of [`super::pool`] holds every pattern whose reduced cost is within the gap. Where the
//! gap is nearly nothing, that depends on which of the many optimal prices are used: at a corner of
//! the optimal face many patterns cost nothing by chance, inside the face only those that must.
//!
//! 1. Enumerate with the prices so far, up to a number of patterns. If that was all, and no fewer than
//!    some rounds before, done.
//! 2. Else let `r` hold each kind as often as those patterns do, and solve the programme again for
//!    `d - eps r`: among the (nearly) optimal prices it finds those under which these patterns cost
//!    most. Every other time `d` is moved by lot instead, as the patterns seen are the first ones
//!    only.
//! 3. The mean of all prices so far is inside the face. Each is first divided by the most that a
//!    pattern is worth at it, so the mean is good wherever all are. From 1.
//!
//! The idea of a price inside the optimal face: Rousseau, Gendreau and Feillet, Operations Research
//! Letters 35 (2007), there to stabilise; here to fix.

use super::core::Core;
use super::effort::Effort;
use super::lots::Lots;
use super::master::{Aim, Bound, Generated, Master, float};
use super::pool::{Pool, Wanted};

/// Prices are over this denominator.
const RESOLUTION: i64 = 1 << 40;
/// Patterns looked at while prices are being improved, and at the end.
const SAMPLE: usize = 30_000;
/// Patterns in a pool at most.
const MOST_PATTERNS: usize = 300_000;
/// Rounds without fewer patterns after which the pool is taken, and a pool that is taken at once.
const STALE: u32 = 4;
const FEW: usize = 100;
/// How far the demand is moved, in pieces.
const NUDGE: f64 = 1e-3;

/// Every pattern that a packing into `target` bins can have, if they are few enough.
///
/// `master` must stand at the whole demand, with waste limited to what such a packing leaves or not
/// at all, and `linear` must be its solution.
pub(super) fn gather(
    master: &mut Master<'_>,
    linear: &Bound,
    target: i64,
    rounds: u32,
    lots: &mut Lots,
    effort: &Effort<'_>,
) -> Option<Pool> {
    let core = master.core();
    let mut sums = vec![0_i128; core.sizes.len()];
    let mut count = 0;
    add(&mut sums, &mut count, linear)?;
    let mut best: Option<Pool> = None;
    let mut stale = 0;
    for round in 0..rounds {
        let last = round + 1 == rounds;
        let prices = mean(&sums, count);
        let most = if last && best.is_none() { MOST_PATTERNS } else { SAMPLE };
        let (pool, complete) = within(master, &prices, target, most, effort)?;
        if complete {
            let fewer = best.as_ref().is_none_or(|best: &Pool| pool.len() < best.len());
            stale = if fewer { 0 } else { stale + 1 };
            if fewer {
                best = Some(pool.clone());
            }
            if stale >= STALE || best.as_ref().is_some_and(|best| best.len() < FEW) {
                return best;
            }
        } else if last || effort.over() {
            return best;
        }
        if round % 2 == 0 {
            let held = held(core, best.as_ref().unwrap_or(&pool));
            master.nudge(&mut |kind| -NUDGE * held[kind]);
        } else {
            master.nudge(&mut |_| NUDGE * (2.0 * lots.next() - 1.0));
        }
        match master.generate(Aim::End, effort) {
            Generated::Solved(linear) => add(&mut sums, &mut count, &linear)?,
            _ => return best,
        }
    }
    best
}

/// Adds prices, as shares of the most that a pattern is worth.
fn add(sums: &mut [i128], count: &mut i128, linear: &Bound) -> Option<()> {
    let most = i128::from(*linear.most.first()?).max(1);
    for (sum, &price) in sums.iter_mut().zip(&linear.prices) {
        *sum += i128::from(price) * i128::from(RESOLUTION) / most;
    }
    *count += 1;
    Some(())
}

fn mean(sums: &[i128], count: i128) -> Vec<i64> {
    sums.iter().map(|&sum| i64::try_from(sum / count).unwrap_or(0)).collect()
}

/// The patterns within the gap of these prices, and whether they are all.
fn within(
    master: &Master<'_>,
    prices: &[i64],
    target: i64,
    most: usize,
    effort: &Effort<'_>,
) -> Option<(Pool, bool)> {
    let core = master.core();
    let bin = core.bins.first()?;
    let gain: i128 = core
        .demand
        .iter()
        .zip(prices)
        .map(|(&count, &price)| i128::from(count) * i128::from(price))
        .sum();
    let gap = i128::from(target) * i128::from(RESOLUTION) - gain;
    let spare = i128::from(target) * i128::from(bin.size) - i128::from(core.total());
    let wanted = Wanted {
        sizes: &core.sizes,
        demand: &core.demand,
        capacity: bin.size,
        waste: i64::try_from(spare).ok()?.min(bin.size),
        prices,
        least: RESOLUTION - i64::try_from(gap).ok()?,
    };
    master.rules().enumerate(&wanted, most, usize::MAX, effort)
}

/// How often the patterns hold each kind, as shares of the kind held most.
fn held(core: &Core, pool: &Pool) -> Vec<f64> {
    let mut counts = vec![0_u64; core.sizes.len()];
    for index in 0..pool.len() {
        for &(kind, count) in pool.pattern(index) {
            counts[kind as usize] += u64::from(count);
        }
    }
    let most = counts.iter().max().copied().unwrap_or(1).max(1);
    counts.iter().map(|&count| float(count) / float(most)).collect()
}
