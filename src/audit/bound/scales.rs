//! Prices that are products of weights: they hold for every packing of rectangles square to the roll.
//!
//! Let sizes across weigh `f` and sizes along weigh `g`, not negative, with `p_i <= f(w) g(l)` for every way in
//! which piece `i` may lie. Let `F` be the most that sizes weigh which fit side by side across a roll, each no
//! more often than pieces have it, and `G` the same along it: two knapsacks. Then no packing of the roll is worth
//! more than `F G` (conservative scales: Fekete and Schepers 2004, theorem 3). Along a roll without end
//! nothing has to fit, and a length holds what the size of the greatest weight for its length does.

use super::knapsack::join;
use super::work::Work;
use super::{Trouble, Why, exceeded};
use crate::audit::cheapest::ceil;
use crate::audit::usable::{usable, with_gap};
use crate::cutting::{Style, Turns};
use crate::plan::{Certificate, Scales, Wanted};
use crate::units::{Length, gcd};
use std::collections::BTreeMap;

/// The most units of a direction that are told apart.
const FINEST: i64 = 400_000;

/// A size that pieces have: its weight, and how many pieces have it.
type Weighed = BTreeMap<i64, (i64, u64)>;

/// That no roll is worth more than is said.
pub(super) fn check(
    (sheet, certificate): (&Wanted, &Certificate),
    scales: &Scales,
    gap: Length,
    work: &mut Work,
) -> Result<(), Trouble> {
    let cutting = &sheet.cutting;
    let rooms: Vec<(i64, Option<i64>)> = sheet
        .rolls
        .iter()
        .map(|roll| {
            let (across, along) = usable(sheet, roll, gap);
            (across.nm(), along.map(Length::nm))
        })
        .collect();
    let limit = cutting.pull_limit.map(|limit| (limit + gap).nm());
    let fits = |&(w, l): &(i64, i64)| {
        let inside = |room: &(i64, Option<i64>)| w <= room.0 && room.1.is_none_or(|long| l <= long);
        rooms.iter().any(inside) && limit.is_none_or(|limit| l <= limit)
    };
    // Weights stand by sizes with the whole gap.
    let more = (cutting.gap - gap).nm();
    let weights = [&scales.across, &scales.along].map(|list| {
        list.iter().map(|(size, weight)| (size.nm(), *weight)).collect::<BTreeMap<i64, i64>>()
    });
    let mut sides: [Weighed; 2] = [Weighed::new(), Weighed::new()];
    let priced = sheet.pieces.iter().zip(&certificate.prices).filter(|(_, price)| **price > 0);
    for (piece, &price) in priced {
        if piece.turns == Turns::Any && cutting.style == Style::Free {
            let what = "has scales, which say nothing of pieces that may lie at any angle";
            return Err(Trouble::False(what.to_owned()));
        }
        let mut seen: [Vec<i64>; 2] = [Vec::new(), Vec::new()];
        let ways = with_gap(piece, gap).map(|(w, l)| (w.nm(), l.nm()));
        for (w, l) in ways.filter(fits) {
            let weight = |side: usize, size: i64| weights[side].get(&(size + more)).copied();
            let both = weight(0, w).zip(weight(1, l));
            let product = both.filter(|(f, g)| *f >= 0 && *g >= 0);
            let product = product.map_or(0, |(f, g)| i128::from(f) * i128::from(g));
            if i128::from(price) > product {
                let code = &piece.code;
                return Err(Trouble::False(format!(
                    "prices piece `{code}` at {price}, more than its scales give, {product}"
                )));
            }
            for (side, size) in [w, l].into_iter().enumerate() {
                if !seen[side].contains(&size) {
                    let weight = weight(side, size).unwrap_or(0);
                    let known = sides[side].entry(size).or_insert((weight, 0));
                    known.1 = known.1.saturating_add(piece.quantity);
                    seen[side].push(size);
                }
            }
        }
    }
    for ((roll, most), &(across, along)) in sheet.rolls.iter().zip(&certificate.most).zip(&rooms) {
        let (f, sure) = heaviest(&sides[0], across, work)?;
        let (worth, sure) = match along {
            Some(along) => {
                let (g, also) = heaviest(&sides[1], along, work)?;
                (f.checked_mul(g), sure && also)
            }
            None => (f.checked_mul(for_length(&sides[1], most.per)), sure),
        };
        let worth = worth.ok_or(Trouble::Unsure(Why::Large))?;
        if worth > i128::from(most.worth) {
            let what = exceeded(&roll.id, most.worth, worth);
            return Err(if sure { Trouble::False(what) } else { Trouble::Unsure(Why::Fine) });
        }
    }
    Ok(())
}

/// The most that sizes weigh which fit a room, and whether that is exact.
fn heaviest(sizes: &Weighed, room: i64, work: &mut Work) -> Result<(i128, bool), Trouble> {
    let room = room.max(0);
    let weighed = || sizes.iter().filter(|(size, (weight, _))| **size <= room && *weight > 0);
    let common = weighed().fold(0, |unit, (&size, _)| gcd(unit, size)).max(1);
    let exact = room / common <= FINEST;
    let unit = if exact { common } else { room / FINEST + 1 };
    // No sum weighs more than the densest size on the whole room.
    let dense = weighed().map(|(&size, &(weight, _))| {
        i128::from(weight) * i128::from(room) / i128::from((size / unit * unit).max(1)) + 1
    });
    if dense.max().unwrap_or(0) > i128::from(i64::MAX / 4) {
        return Err(Trouble::Unsure(Why::Large));
    }
    if weighed().any(|(&size, _)| size < unit) {
        return Err(Trouble::Unsure(Why::Fine));
    }
    let units = |size: i64| usize::try_from(size / unit).unwrap_or(usize::MAX);
    let mut row = vec![0_i64; units(room) + 1];
    for (&size, &(weight, copies)) in weighed() {
        join(&mut row, units(size), weight, copies, work)?;
    }
    Ok((row.last().map_or(0, |&weight| i128::from(weight)), exact))
}

/// The most that sizes weigh one behind another on so much of a roll without end, rounded up.
fn for_length(sizes: &Weighed, per: Option<Length>) -> i128 {
    let per = per.map_or(0, |per| i128::from(per.nm()));
    let one = |(&size, &(weight, _)): (&i64, &(i64, u64))| {
        ceil(i128::from(weight) * per, i128::from(size.max(1)))
    };
    sizes.iter().map(one).max().unwrap_or(0)
}
