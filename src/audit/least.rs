//! What a nest cannot go below, made anew in whole numbers: by the pieces' area, and where no two pieces lie
//! side by side by their lengths.
//!
//! Steps: what all pieces take; what a roll of each product can hold at most; the cheapest rolls that hold
//! it, the last in part (a knapsack with fractions: by cost for what is held); up to what whole rolls can
//! come to. Bounds that lie higher rest on prices or a search, and are not made anew.

use super::wide::less;
use crate::cutting::Objective;
use crate::plan::Wanted;
use crate::plan::wanted::{Piece, Roll};
use crate::units::{Decimal, Length};

/// The most sums of prices that are looked at, in steps of their common divisor.
const SUMS: i128 = 100_000;

/// What an order sheet cannot go below, in the unit of its objective; `None` where that cannot be counted
/// here, or its rolls cannot hold the pieces.
#[must_use]
pub fn least(sheet: &Wanted) -> Option<Decimal> {
    let by_area = cheapest(sheet, area(sheet)?, |roll| {
        let across = i128::from(usable(sheet, roll).nm());
        across * roll.length.map_or(1, |end| i128::from((end - sheet.cutting.square_cut).nm()))
    });
    let by_length = one_by_one(sheet).then(|| {
        let gap = sheet.cutting.gap;
        let taken = sheet.pieces.iter().map(|piece| {
            let length = sizes(piece).map(|(_, along)| along + gap).min()?;
            Some(i128::from(length.nm()) * i128::from(piece.quantity))
        });
        let taken = taken.sum::<Option<i128>>()?;
        cheapest(sheet, taken, |roll| {
            roll.length.map_or(1, |end| i128::from((end - sheet.cutting.square_cut + gap).nm()))
        })
    });
    let least = by_area.into_iter().chain(by_length.flatten()).max()?;
    i64::try_from(least).ok().map(Decimal::from_millionths)
}

/// What all pieces take, in square nanometres.
fn area(sheet: &Wanted) -> Option<i128> {
    let one = |piece: &Piece| piece.area().nm2().checked_mul(i128::from(piece.quantity));
    sheet.pieces.iter().map(one).try_fold(0, |sum: i128, one| sum.checked_add(one?))
}

/// A roll's width between its trims.
fn usable(sheet: &Wanted, roll: &Roll) -> Length {
    roll.width - sheet.cutting.edge_trim * 2
}

/// How far a piece reaches across and along, as it may be turned.
fn sizes(piece: &Piece) -> impl Iterator<Item = (Length, Length)> {
    let upright = piece.turns.upright().then_some((piece.width, piece.length));
    let sideways = piece.turns.sideways().then_some((piece.length, piece.width));
    upright.into_iter().chain(sideways)
}

/// Whether no two pieces lie side by side on any roll: the two narrowest together are too wide. Outlines
/// may reach into each other's boxes.
fn one_by_one(sheet: &Wanted) -> bool {
    let Some(widest) = sheet.rolls.iter().map(|roll| usable(sheet, roll)).max() else {
        return false;
    };
    let mut narrow: Vec<Length> = Vec::new();
    for piece in &sheet.pieces {
        let Some(across) = sizes(piece).map(|(across, _)| across).min() else { return false };
        let many = usize::from(piece.quantity > 0) + usize::from(piece.quantity > 1);
        narrow.extend(std::iter::repeat_n(across, many));
    }
    narrow.sort_unstable();
    let outlined = sheet.pieces.iter().any(|piece| piece.outline.is_some());
    let two = narrow.first().zip(narrow.get(1));
    !outlined && two.is_some_and(|(a, b)| *a + *b + sheet.cutting.gap > widest)
}

/// What a roll costs, the most that it holds, and how many there are.
type Offer = (i128, u128, Option<u64>);

/// What rolls cost at least that hold so much, where one (or a nanometre of one without end) holds at most
/// `most`.
fn cheapest(sheet: &Wanted, taken: i128, most: impl Fn(&Roll) -> i128) -> Option<i128> {
    if taken == 0 {
        return Some(0);
    }
    let all: Vec<Offer> = sheet
        .rolls
        .iter()
        .filter_map(|roll| {
            Some((cost(sheet, roll), u128::try_from(most(roll)).ok()?, roll.available))
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

const fn ceil(over: i128, under: i128) -> i128 {
    over.div_euclid(under) + if over.rem_euclid(under) == 0 { 0 } else { 1 }
}

const fn gcd(a: i128, b: i128) -> i128 {
    if b == 0 { a.abs() } else { gcd(b, a % b) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::{Cutting, Style, Turns};
    use crate::plan::wanted::Keep;
    use crate::units::Money;

    fn mm(value: i64) -> Length {
        Length::from_mm(value)
    }

    /// Rolls of 1000 by 10,000 mm at these prices, so many to be had; pieces by size and quantity.
    fn sheet(rolls: &[(i64, Option<u64>)], pieces: &[(i64, i64, u64)]) -> Wanted {
        let roll = |(at, &(price, available)): (usize, &(i64, Option<u64>))| Roll {
            id: format!("R{at}"),
            width: mm(1000),
            length: Some(mm(10_000)),
            price: Money::from_units(price),
            available,
            shelf: price == 0,
        };
        let piece = |&(width, length, quantity): &(i64, i64, u64)| Piece {
            code: "p".to_owned(),
            width: mm(width),
            length: mm(length),
            outline: None,
            turns: Turns::none(),
            quantity,
            uses: Vec::new(),
        };
        Wanted {
            name: "test".to_owned(),
            thickness: Some(mm(10)),
            rolls: rolls.iter().enumerate().map(roll).collect(),
            pieces: pieces.iter().map(piece).collect(),
            cutting: Cutting::plain(Style::Straight, Some(2)),
            objective: Objective::Rolls,
            keep: Keep::default(),
            choices: Vec::new(),
        }
    }

    /// By hand: 21 pieces of half a square metre are 10.5 m2, so two rolls of 10 m2; one lies on the shelf.
    /// Pieces of 600 mm do not lie side by side: 21 of 1 m take 21 m, three rolls, though 12.6 m2 are two.
    #[test]
    fn rolls_hold_no_more_than_their_area_and_one_row() {
        let rolls = |rolls: &[_], pieces: &[_]| least(&sheet(rolls, pieces));
        let some = |count: i64| Some(Decimal::from_millionths(count * 1_000_000));
        assert_eq!(rolls(&[(40, None)], &[(500, 1000, 21)]), some(2));
        assert_eq!(rolls(&[(40, None), (0, Some(1))], &[(500, 1000, 21)]), some(1));
        assert_eq!(rolls(&[(40, None)], &[(600, 1000, 21)]), some(3));
        assert_eq!(rolls(&[(40, Some(1))], &[(600, 1000, 21)]), None);
        assert_eq!(rolls(&[(40, None)], &[]), some(0));
    }

    /// By hand: 15 m2 at 40 for 10 m2 are 60, and 60 is no sum of 40 and 54; the least above is 80. Where the
    /// cheaper kind is but one, the rest is of the other: 40 and half of 54.
    #[test]
    fn prices_are_sums_of_whole_rolls() {
        let price = |rolls: &[_]| {
            let sheet = sheet(rolls, &[(500, 1000, 30)]);
            least(&Wanted { objective: Objective::Price, ..sheet })
        };
        let some = |units: i64| Some(Decimal::from_millionths(units * 1_000_000));
        assert_eq!(price(&[(40, None), (54, None)]), some(80));
        assert_eq!(price(&[(40, Some(1)), (54, None)]), some(80));
        assert_eq!(price(&[(40, Some(1)), (66, None)]), some(80));
    }
}
