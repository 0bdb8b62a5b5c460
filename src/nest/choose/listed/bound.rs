//! What no choice can go below, over all materials together.
//!
//! Give every piece `i` of every material a whole worth `w_i`, and let no layout of a roll `k` hold
//! more than `z_k`. A group's ways hold at least what the least of them holds, so
//!
//! ```text
//!   sum_k z_k R_k  >=  sum_i d_i w_i + sum_g m_g min_a sum_i n_ia w_i,
//! ```
//!
//! a certificate over the rolls of all materials. With the costs of the ways counted, let `z / c` be the
//! most that a roll holds for each unit of what it costs; then by the same argument
//!
//! ```text
//!   z (cost of all rolls and ways)  >=  sum_i d_i w_i c + sum_g m_g min_a (sum_i n_ia w_i c + z k_a).
//! ```
//!
//! Worths are areas, measured for each material against its own best roll, or the prices of the linear
//! programme over two-stage pulls.

use super::{Held, Joint, Listing, Way};
use crate::cutting::Objective;
use crate::nest::Instance;
use crate::nest::bound::{Certificate, Most};
use crate::nest::choose::bound as area;
use crate::nest::choose::generate::{tables, whole_prices};
use crate::nest::choose::master::Master;
use crate::nest::straight::effort::Effort;

/// Worths of pieces and rolls, by material.
struct Worths {
    pieces: Vec<Vec<i64>>,
    most: Vec<Vec<Most>>,
}

/// The bound of one material by area; `None` where the rolls on hand are too few.
pub(super) fn of_instance(instance: &Instance) -> Option<i64> {
    if instance.pieces.is_empty() { Some(0) } else { area::by_area(instance, 0) }
}

/// For each material a bound by area that holds whatever is chosen.
pub(super) fn of_each(listing: &Listing<'_>) -> Vec<i64> {
    let of = |at: usize| {
        let nm2 = |held: &Held| area::takes(listing.piece(held)) * i128::from(held.quantity);
        let own = |way: &Way| -> i128 {
            way.pieces.iter().filter(|held| held.material == at).map(nm2).sum()
        };
        let groups = listing
            .groups
            .iter()
            .map(|group| group.ways.iter().map(own).min().unwrap_or(0) * i128::from(group.count));
        area::by_area(&listing.materials[at], groups.sum()).unwrap_or(0)
    };
    (0..listing.materials.len()).map(of).collect()
}

/// The bound by area over all materials.
pub(super) fn by_area(listing: &Listing<'_>) -> Joint {
    let mut pieces = Vec::with_capacity(listing.materials.len());
    let mut most = Vec::with_capacity(listing.materials.len());
    let densities: Vec<i128> = listing.materials.iter().map(density).collect();
    let densest = densities.iter().copied().max().unwrap_or(1);
    for (instance, density) in listing.materials.iter().zip(densities) {
        let scale = densest * FRACTION / density;
        let scaled = |worth: i64| i128::from(worth) * scale;
        let down = |worth: i64| i64::try_from(scaled(worth) / FRACTION).unwrap_or(i64::MAX);
        let up = |worth: i64| i64::try_from(scaled(worth) / FRACTION + 1).unwrap_or(i64::MAX);
        pieces.push(instance.pieces.iter().map(|p| down(area::area(p))).collect());
        let rolls = area::roll_areas(instance).into_iter();
        most.push(rolls.map(|roll| Most { worth: up(roll.worth), ..roll }).collect());
    }
    joint(listing, &Worths { pieces, most })
}

/// Parts of one in which materials are measured against each other.
const FRACTION: i128 = 1 << 20;

/// The most squares that a material's rolls hold for each unit of what they cost, times a fixed
/// factor; at least one.
fn density(instance: &Instance) -> i128 {
    let rolls = area::roll_areas(instance);
    let of = |(k, most): (usize, &Most)| {
        let cost = cost(instance, k, most);
        (cost > 0).then(|| i128::from(most.worth) * FRACTION / cost)
    };
    rolls.iter().enumerate().filter_map(of).max().unwrap_or(1).max(1)
}

/// What a roll, or so much of one without end as its worth is for, costs in the objective's unit.
fn cost(instance: &Instance, k: usize, most: &Most) -> i128 {
    match instance.objective {
        Objective::Rolls | Objective::Price => {
            i128::from(instance.rolls[k].cost(instance.objective))
        }
        Objective::Length => i128::from(most.per),
    }
}

/// The bound by the prices of a programme that nothing improves any more; valid for two stages.
pub(super) fn by_programme(
    listing: &Listing<'_>,
    master: &Master<usize>,
    effort: &Effort<'_>,
) -> Option<Joint> {
    if master.materials.iter().any(|material| !material.exact) {
        return None;
    }
    let scaled = whole_prices(&master.prices());
    let tables = tables(master, &master.materials, &scaled, effort);
    let mut pieces = Vec::with_capacity(listing.materials.len());
    let mut most = Vec::with_capacity(listing.materials.len());
    for (at, (instance, table)) in listing.materials.iter().zip(&tables).enumerate() {
        let price = |piece| master.price_of(piece, at, &scaled);
        pieces.push(instance.pieces.iter().map(price).collect::<Option<Vec<_>>>()?);
        let (worth, per) = table.densest();
        let unit = master.materials[at].unit;
        let cut = &instance.cutting;
        let of = |roll: &crate::nest::Roll| {
            let nm = match roll.length {
                Some(length) => (length - cut.square_cut + cut.gap).nm(),
                None => unit.checked_mul(1_000_000)?,
            };
            let units = i128::from(nm.div_euclid(unit));
            let whole = i128::from(worth) * units / i128::try_from(per).ok()? + 1;
            let per = if roll.length.is_none() { nm } else { 0 };
            Some(Most { worth: i64::try_from(whole).ok()?, per })
        };
        most.push(instance.rolls.iter().map(of).collect::<Option<Vec<_>>>()?);
    }
    Some(joint(listing, &Worths { pieces, most }))
}

/// The bounds that follow from worths. Where something cannot be counted, nothing is claimed.
fn joint(listing: &Listing<'_>, worths: &Worths) -> Joint {
    let nests = nests_bound(listing, worths).unwrap_or(0);
    let least = |group: &super::Group| {
        let cost = group.ways.iter().map(|way| way.cost).min().unwrap_or(0);
        i128::from(cost) * i128::from(group.count)
    };
    let costs: i128 = listing.groups.iter().map(least).sum();
    let apart = i64::try_from(i128::from(nests) + costs).unwrap_or(i64::MAX);
    let together = costs_bound(listing, worths).unwrap_or(0);
    Joint { with_costs: apart.max(together), nests }
}

/// What a way holds.
fn worth_of(way: &Way, worths: &Worths) -> i128 {
    let one = |held: &Held| {
        i128::from(worths.pieces[held.material][held.piece]) * i128::from(held.quantity)
    };
    way.pieces.iter().map(one).sum()
}

/// On the nests alone.
fn nests_bound(listing: &Listing<'_>, worths: &Worths) -> Option<i64> {
    let mut all = listing.materials.first()?.clone();
    if all.objective == Objective::Length && listing.materials.len() > 1 {
        return None;
    }
    for instance in &listing.materials[1..] {
        all.rolls.extend(instance.rolls.iter().cloned());
        all.pieces.extend(instance.pieces.iter().cloned());
    }
    let least = |group: &super::Group| {
        let least = group.ways.iter().map(|way| worth_of(way, worths)).min().unwrap_or(0);
        least * i128::from(group.count)
    };
    let groups: i128 = listing.groups.iter().map(least).sum();
    let mut prices = worths.pieces.concat();
    prices.push(i64::try_from(groups).ok()?);
    let certificate = Certificate::new(prices, worths.most.concat());
    certificate.bound(&area::with_groups(&all))
}

/// On nests and costs; `None` where some roll costs nothing, or numbers grow too large.
fn costs_bound(listing: &Listing<'_>, worths: &Worths) -> Option<i64> {
    // The most that is held for each unit of cost.
    let (mut z, mut c) = (0_i128, 1_i128);
    for (instance, most) in listing.materials.iter().zip(&worths.most) {
        for (k, most) in most.iter().enumerate() {
            let cost = cost(instance, k, most);
            if cost <= 0 {
                return None;
            }
            if i128::from(most.worth) * c > z * cost {
                (z, c) = (i128::from(most.worth), cost);
            }
        }
    }
    if z == 0 {
        return None;
    }
    let mut all = 0_i128;
    for (instance, worths) in listing.materials.iter().zip(&worths.pieces) {
        for (piece, &worth) in instance.pieces.iter().zip(worths) {
            all = all.checked_add(i128::from(piece.quantity).checked_mul(i128::from(worth))?)?;
        }
    }
    all = all.checked_mul(c)?;
    for group in listing.groups {
        let with_cost = |way: &Way| {
            let held = worth_of(way, worths).checked_mul(c)?;
            held.checked_add(i128::from(way.cost).checked_mul(z)?)
        };
        let ways = group.ways.iter().map(with_cost).collect::<Option<Vec<_>>>()?;
        let least = ways.into_iter().min()?;
        all = all.checked_add(least.checked_mul(i128::from(group.count))?)?;
    }
    let value = all.div_euclid(z) + i128::from(all.rem_euclid(z) != 0);
    let front = match listing.materials {
        [one] if one.objective == Objective::Length && all > 0 => {
            i128::from(one.cutting.square_cut.nm() - one.cutting.gap.nm())
        }
        _ => 0,
    };
    i64::try_from(value + front).ok()
}
