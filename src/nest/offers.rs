//! Other offers than the one that was made: fewer products, or no limits.
//!
//! Engines price a length of roll before they know whether the rest of that roll is of use, and fill
//! limited rolls as they come. So where several products can be bought, an answer from fewer of them may be
//! cheaper than what was found from all; and where limited rolls would not do, an answer without
//! limits may keep them all the same. Bounds are those of what was asked.

use super::watch::{Hushed, Share};
use super::{Instance, NestError, Nesting, Options, Roll, Status, Watch, solve};
use crate::cutting::Objective;
use crate::units::Money;

/// More products than this are not left out one by one.
const MOST: usize = 6;

/// One part in so many of the work goes into each other offer.
const SHARE: u64 = 8;

/// As [`solve()`]; where the least price is asked for and several products can be bought, also with each of
/// them alone and with each left out.
///
/// # Errors
/// As [`solve()`].
pub fn solve_offers(
    instance: &Instance,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    let bought = |roll: &Roll| roll.price > Money::ZERO && roll.available != Some(0);
    let products: Vec<usize> =
        (0..instance.rolls.len()).filter(|&k| bought(&instance.rolls[k])).collect();
    if instance.objective != Objective::Price || !(2..=MOST).contains(&products.len()) {
        return solve(instance, options, watch);
    }
    let alone = products.iter().map(|&one| vec![one]);
    let without = products
        .iter()
        .map(|&one| products.iter().copied().filter(|&other| other != one).collect::<Vec<usize>>());
    let mut offers: Vec<Vec<usize>> = alone.chain(without).collect();
    offers.sort_unstable();
    offers.dedup();
    let mut to_come = offers.len() as u64;
    let best = solve(instance, options, &Share::of(watch, SHARE, SHARE + to_come));
    let mut best = best.map(|best| best.within(watch));
    for offer in offers {
        if best.as_ref().is_ok_and(|best| best.status != Status::Feasible) || watch.stop() {
            break;
        }
        let stays = |k: &usize| !products.contains(k) || offer.contains(k);
        let kept: Vec<usize> = (0..instance.rolls.len()).filter(stays).collect();
        let options = Options { work: options.work / SHARE, ..*options };
        let time = Share::of(watch, 1, to_come);
        to_come -= 1;
        let fewer = |fewer: &Instance| solve(fewer, &options, &Hushed(&time));
        let Ok(found) = on_these(instance, &kept, fewer) else { continue };
        best = Ok(match best {
            Ok(best) if found.value >= best.value => best,
            Ok(best) => best.replaced_by(found),
            // What fewer products bound, more of them may beat.
            Err(_) => Nesting { bound: 0, certificate: None, status: Status::Feasible, ..found },
        });
    }
    best.map(|best| best.within(watch))
}

/// An answer to the instance by `solve` from these of its rolls alone.
fn on_these(
    instance: &Instance,
    kept: &[usize],
    solve: impl FnOnce(&Instance) -> Result<Nesting, NestError>,
) -> Result<Nesting, NestError> {
    let rolls = kept.iter().map(|&k| instance.rolls[k].clone()).collect();
    let mut found = solve(&Instance { rolls, ..instance.clone() })?;
    for layout in &mut found.layouts {
        layout.roll = kept[layout.roll];
    }
    Ok(found)
}

/// One part in so many of the work is kept for rolls that cost nothing, where they have room for all.
const FREE: u64 = 4;

/// The rolls that cost nothing, by price, where these have room enough by area; and the work that is kept for them.
pub(super) fn free_rolls(instance: &Instance, options: &Options) -> Option<(Vec<usize>, u64)> {
    let rolls = &instance.rolls;
    let free = |&k: &usize| rolls[k].price <= Money::ZERO && rolls[k].available != Some(0);
    let kept: Vec<usize> = (0..rolls.len()).filter(free).collect();
    if instance.objective != Objective::Price || kept.is_empty() {
        return None;
    }
    let room = |&k: &usize| {
        let each = rolls[k].area().nm2();
        rolls[k].available.map_or(i128::MAX, |n| each.saturating_mul(i128::from(n)))
    };
    let enough = kept.iter().map(room).fold(0, i128::saturating_add) >= instance.wanted_nm2();
    enough.then_some((kept, options.work / FREE))
}

/// An answer from these rolls alone, which cost nothing: no other costs less. Prices of a programme in which they do are all
/// nothing, and lead nowhere, so here each counts one.
pub(super) fn free_alone(
    instance: &Instance,
    kept: &[usize],
    solve: impl FnOnce(&Instance) -> Result<Nesting, NestError>,
) -> Option<Nesting> {
    let counted = Instance { objective: Objective::Rolls, ..instance.clone() };
    let found = on_these(&counted, kept, solve).ok()?;
    let answer = Nesting::known(instance, found.layouts);
    Some(Nesting { status: Status::of(answer.value, 0, false), ..answer })
}

/// What the largest roll is weighed where rolls are weighed by area, in millionths.
const LARGEST: i64 = 1_000_000_000;

/// The instance with rolls that cost what their area is.
pub(super) fn weighed(instance: &Instance) -> Instance {
    let mut weighed = Instance { objective: Objective::Price, ..instance.clone() };
    let largest = weighed.rolls.iter().map(|roll| roll.area().nm2()).max().unwrap_or(1).max(1);
    for roll in &mut weighed.rolls {
        let share = roll.area().nm2().saturating_mul(i128::from(LARGEST)) / largest;
        roll.price = Money::from_micros(i64::try_from(share).unwrap_or(LARGEST).max(1));
    }
    weighed
}

/// An answer by `solve` where rolls cost what their area is, if they are unlike: limited rolls that cost too little for
/// it are wasted, and then the others do not hold the pieces.
pub(super) fn by_area(
    instance: &Instance,
    solve: impl Fn(&Instance) -> Option<Nesting>,
) -> Option<Nesting> {
    let first = instance.rolls.first()?.area();
    if instance.objective != Objective::Rolls || instance.rolls.iter().all(|r| r.area() == first) {
        return None;
    }
    Some(Nesting::known(instance, solve(&weighed(instance))?.layouts))
}

/// Limits of more rolls than this are not left out.
const LIMITED: usize = 100;

/// An answer by `solve` as if what is bought were there without limit, if it keeps the limits all the same.
pub(super) fn without_limits(
    instance: &Instance,
    solve: impl Fn(&Instance) -> Option<Nesting>,
) -> Option<Nesting> {
    let by_price = instance.objective == Objective::Price;
    let wider = |roll: &Roll| {
        let limited = roll.available.is_some_and(|n| n > 0);
        limited && (!by_price || roll.price > Money::ZERO)
    };
    // Of many offcuts, few alike, an answer without limits keeps hardly ever all.
    if !(1..=LIMITED).contains(&instance.rolls.iter().filter(|roll| wider(roll)).count()) {
        return None;
    }
    let open = |roll: &Roll| {
        let available = if wider(roll) { None } else { roll.available };
        Roll { available, ..roll.clone() }
    };
    let rolls = instance.rolls.iter().map(open).collect();
    let found = solve(&Instance { rolls, ..instance.clone() })?;
    let used = found.used(instance.rolls.len());
    let mut rolls = instance.rolls.iter().zip(used);
    let keeps = rolls.all(|(roll, used)| roll.available.is_none_or(|most| used <= most));
    // With limits the same certificate proves as much or more.
    let proven = found.certificate.as_ref().and_then(|certificate| certificate.bound(instance));
    let bound = proven.unwrap_or(found.bound);
    let status = if found.value <= bound { Status::Proven } else { found.status };
    keeps.then_some(Nesting { bound, status, ..found })
}

#[cfg(test)]
mod tests {
    use super::super::{Quiet, sample};
    use super::*;

    fn instance(free: &str, objective: &str) -> Instance {
        sample::instance(&format!(
            r#"{{ "name": "a", "objective": "{objective}", "cutting": {{ "style": "straight", "stages": 2 }},
                "rolls": [ {{ "id": "B", "width": 1000, "length": 40000, "price": 100 }},
                           {{ "id": "S", "width": 1000, "length": 600, "price": 0, "available": {free} }} ],
                "pieces": [ {{ "id": "p", "width": 500, "length": 300, "quantity": 8 }} ] }}"#
        ))
    }

    /// Two offcuts that cost nothing just hold eight pieces: what is laid on them alone is proven, on rolls that bear the
    /// numbers of the whole offer. One has no room for them, so it is not looked at alone; nor is it where rolls count.
    #[test]
    fn rolls_that_cost_nothing_are_tried_alone_where_they_have_room() {
        let options = Options { seed: 1, work: 100_000 };
        let (kept, work) = free_rolls(&instance("2", "price"), &options).unwrap();
        assert_eq!((kept.as_slice(), work), (&[1][..], 25_000));
        let found = free_alone(&instance("2", "price"), &kept, |one| {
            assert_eq!((one.rolls.len(), one.objective), (1, Objective::Rolls));
            solve(one, &options, &Quiet)
        });
        let found = found.unwrap();
        assert_eq!((found.value, found.bound, found.status), (0, 0, Status::Proven));
        assert_eq!(found.used(2), [0, 2]);
        assert!(free_rolls(&instance("1", "price"), &options).is_none());
        assert!(free_rolls(&instance("2", "rolls"), &options).is_none());
    }
}
