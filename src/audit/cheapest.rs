//! The cheapest rolls that hold so much, the last in part (a knapsack with fractions: by cost for what is
//! held), up to what whole rolls can come to. All in 128-bit whole numbers.

use super::wide::less;
use crate::cutting::Objective;
use crate::plan::Wanted;
use crate::plan::wanted::Roll;

/// The most sums of prices that are looked at, in steps of their common divisor.
const SUMS: i128 = 100_000;

/// What a roll costs, the most that it holds, and how many there are.
type Offer = (i128, u128, Option<u64>);

/// What rolls cost at least that hold so much, in millionths of the objective's unit, where one (or a
/// nanometre of one without end) holds at most what `most` says of it by its number. `None` where they
/// cannot hold it at all, or numbers grow too large.
pub(super) fn cheapest(
    sheet: &Wanted,
    taken: i128,
    most: impl Fn(usize, &Roll) -> i128,
) -> Option<i128> {
    if taken == 0 {
        return Some(0);
    }
    let all: Vec<Offer> = sheet
        .rolls
        .iter()
        .enumerate()
        .filter_map(|(at, roll)| {
            Some((cost(sheet, roll), u128::try_from(most(at, roll)).ok()?, roll.available))
        })
        .filter(|(_, most, _)| *most > 0)
        .collect();
    if sheet.objective == Objective::Length {
        let most = all.iter().map(|(_, most, _)| *most).max()?;
        return Some(ceil(taken, i128::try_from(most).ok()?));
    }
    if sheet.rolls.iter().any(|roll| roll.length.is_none()) {
        return None;
    }
    let mut order = all;
    // By cost for what is held: a / m < b / n where a n < b m. Costs stay below 2^63, areas below 2^100.
    let less = |a: &Offer, b: &Offer| less(a.0.unsigned_abs(), b.1, b.0.unsigned_abs(), a.1);
    order.sort_by(|a, b| less(b, a).cmp(&less(a, b)));
    let (mut left, mut spent) = (taken, 0_i128);
    for (cost, most, available) in order {
        let most = i128::try_from(most).ok()?;
        let whole = available.and_then(|n| i128::from(n).checked_mul(most));
        if whole.is_none_or(|whole| whole >= left) {
            // Whole rolls, and a part of one more.
            let (rolls, part) = (left / most, left % most);
            let part = ceil_of(part, cost, most)?;
            return up(sheet, spent.checked_add(rolls.checked_mul(cost)?)?.checked_add(part)?);
        }
        left -= whole.unwrap_or(0);
        spent = spent.checked_add(i128::from(available.unwrap_or(0)).checked_mul(cost)?)?;
    }
    None
}

/// What one roll counts, in millionths.
fn cost(sheet: &Wanted, roll: &Roll) -> i128 {
    match sheet.objective {
        Objective::Rolls if roll.shelf => 0,
        Objective::Rolls => 1_000_000,
        Objective::Price => i128::from(roll.price.micros()),
        Objective::Length => 1,
    }
}

/// A value up to the least that whole rolls can come to.
fn up(sheet: &Wanted, value: i128) -> Option<i128> {
    let costs: Vec<i128> = sheet.rolls.iter().map(|roll| cost(sheet, roll)).collect();
    let step = costs.iter().fold(0, |divisor, cost| gcd(divisor, *cost));
    if step <= 1 {
        return Some(value);
    }
    let least = ceil(value, step);
    let most = least + costs.iter().max()? / step;
    let Some(size) = usize::try_from(most).ok().filter(|_| most <= SUMS) else {
        return Some(least * step);
    };
    let mut reached = vec![false; size + 1];
    reached[0] = true;
    for cost in costs.iter().filter_map(|cost| usize::try_from(cost / step).ok()).filter(|&c| c > 0)
    {
        for sum in cost..=size {
            reached[sum] |= reached[sum - cost];
        }
    }
    let sum = (usize::try_from(least).ok()?..=size).find(|&sum| reached[sum])?;
    i128::try_from(sum).ok().map(|sum| sum * step)
}

/// `part * cost / most`, rounded up.
fn ceil_of(part: i128, cost: i128, most: i128) -> Option<i128> {
    // Both divided alike until the product fits: up for what is over, down for what is under.
    let (mut over, mut under) = (part, most);
    while over.checked_mul(cost).is_none() {
        (over, under) = (over / 2, under / 2 + 1);
    }
    Some(ceil(over.checked_mul(cost)?, under))
}

/// `over / under`, rounded up; `under` is more than nothing.
pub(super) const fn ceil(over: i128, under: i128) -> i128 {
    over.div_euclid(under) + if over.rem_euclid(under) == 0 { 0 } else { 1 }
}

/// The greatest common divisor, without a sign.
const fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}
