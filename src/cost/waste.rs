//! Where the blanket goes, in area and money, and how much of what is lost could be saved.
//!
//! All that a thickness's rolls hold beyond the pieces wanted is told apart twice, each time without
//! remainder: by where it lies, and by why it is there. The reasons follow the plan's value `v`, its
//! bound `b` and the linear programme's value `l`, each as a part of the area bought:
//!
//! * whoever cuts it: `l` less the pieces, which no layout of this cutting style avoids, and what is
//!   left of offcuts that were used up;
//! * whole rolls: `b - l`, because half a roll cannot be bought;
//! * avoidable at most: `v - b`, which a better plan might save; nothing where the plan is proven;
//! * kept of what was on hand: offcuts and rolls that were there already, cut and worth keeping again. No
//!   shape asks for them.

use super::around;
use super::share::NestShare;
use super::spread::spread;
use crate::plan::{Areas, Piece, Plan, Roll};
use crate::units::{Area, Length, Money};
use std::collections::BTreeMap;

/// A part of the area, and of what its rolls cost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Part {
    /// What it is.
    pub what: &'static str,
    /// How much.
    pub area: Area,
    /// What it cost.
    pub money: Money,
}

/// Where one thickness's blanket goes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NestWaste {
    /// The thickness.
    pub thickness: Option<Length>,
    /// All rolls cut, offcuts from the shelf among them.
    pub rolls: Area,
    /// What the rolls cut cost.
    pub money: Money,
    /// By where it lies; adds up to `rolls` and `money`.
    pub parts: Vec<Part>,
    /// What is no piece that was wanted, by why it is there.
    pub reasons: Vec<Part>,
}

/// The names of the parts, in their order: the first is no waste, the last may be used again.
pub const PARTS: [&str; 8] = [
    "pieces wanted",
    "pieces beyond what was wanted",
    "between pieces",
    "scrap around curved pieces",
    "square cuts",
    "edge trims",
    "roll ends too small to keep",
    "offcuts kept",
];

/// The names of the reasons, in their order.
pub const REASONS: [&str; 4] = [
    "unavoidable: the shapes",
    "unavoidable: whole rolls",
    "avoidable at most",
    "kept of what was on hand",
];

/// Where a nest's blanket goes; `bought` is what the rolls of each product that is bought for it cost. What is cut from
/// the shelf or from what is on hand costs nothing here, so each part costs what it takes of the rolls that are paid for.
#[must_use]
pub fn of_nest(
    plan: &Plan,
    at: usize,
    share: &NestShare,
    bought: &[(&str, Money)],
) -> Option<NestWaste> {
    let nest = plan.nests.get(at)?;
    let areas = &nest.areas;
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|piece| (piece.piece.as_str(), piece)).collect();
    let rolls = || plan.rolls.iter().filter(|roll| roll.nest == at);
    let scrap = |roll: &Roll| around::scrap(roll, nest.style, &pieces) * i128::from(roll.copies);
    let curved: Area = rolls().map(scrap).sum();
    let sizes = [
        areas.pieces,
        areas.surplus,
        areas.between - curved,
        curved,
        areas.square_cuts,
        areas.edge_trims,
        areas.roll_ends,
        areas.kept,
    ];
    let money = bought.iter().map(|(_, money)| *money).sum();
    let pulled: i128 = rolls().map(long).sum();
    let mut cents = [0; PARTS.len()];
    for (product, money) in bought {
        let mut weights = [0; PARTS.len()];
        for roll in rolls().filter(|roll| roll.roll == *product) {
            let parts = parts_of(roll, (areas, pulled), &pieces, scrap(roll));
            weights.iter_mut().zip(parts).for_each(|(sum, area)| *sum += area.nm2());
        }
        let shares = spread(i128::from(money.whole_cents()), &weights);
        cents.iter_mut().zip(shares).for_each(|(sum, share)| *sum += share);
    }
    let part = |((what, area), cents): ((&'static str, Area), i128)| Part {
        what,
        area,
        money: from_cents(cents),
    };
    let parts: Vec<Part> = PARTS.into_iter().zip(sizes).zip(cents).map(part).collect();
    let lost: Money = parts.iter().skip(1).map(|part| part.money).sum();
    let reasons = reasons(nest.areas.rolls - nest.areas.pieces, plan, at, share);
    let weights: Vec<i128> = reasons.iter().map(|area| area.nm2()).collect();
    let cents = spread(i128::from(lost.whole_cents()), &weights);
    let reasons = REASONS.into_iter().zip(reasons).zip(cents).map(part);
    // What was on hand is a reason only where there was any.
    let reasons = reasons.enumerate().filter(|(at, part)| *at < 3 || part.area > Area::ZERO);
    let reasons = reasons.map(|(_, part)| part).collect();
    Some(NestWaste { thickness: nest.thickness, rolls: areas.rolls, money, parts, reasons })
}

/// Where a roll's first pull begins, and its last one ends.
fn ends(roll: &Roll) -> [Length; 2] {
    let far = roll.pulls.last().map(|pull| pull.y + pull.length);
    [roll.pulls.first().map(|pull| pull.y), far].map(Option::unwrap_or_default)
}

/// How long the pulls of a roll are, those of all its copies together.
fn long(roll: &Roll) -> i128 {
    let [front, far] = ends(roll);
    i128::from((far - front).nm()) * i128::from(roll.copies)
}

/// The parts of a roll in the order of their names, all its copies together: those of a nest of these areas, with so much
/// length in all pulls of the nest. Pieces that nobody wanted are in every roll as they are in all.
fn parts_of(
    roll: &Roll,
    (areas, pulled): (&Areas, i128),
    pieces: &BTreeMap<&str, &Piece>,
    curved: Area,
) -> [Area; PARTS.len()] {
    let [front, far] = ends(roll);
    let all = |length: Length| Area::of_rectangle(roll.width, length) * i128::from(roll.copies);
    let part = |area: Area, of: i128, under: i128| match under {
        ..=0 => Area::ZERO,
        // Parts as thousandths of a square millimetre, so that products fit.
        _ => Area::from_nm2(area.nm2() / 1_000_000_000 * of / under * 1_000_000_000),
    };
    let trims = part(areas.edge_trims, long(roll), pulled);
    let placed = roll.pulls.iter().flat_map(|pull| &pull.placements);
    let placed = placed.filter_map(|place| pieces.get(place.piece.as_str()));
    let placed = placed.map(|piece| piece.area()).sum::<Area>() * i128::from(roll.copies);
    let made = (areas.pieces + areas.surplus).nm2() / 1_000_000_000;
    let surplus = part(placed, areas.surplus.nm2() / 1_000_000_000, made);
    let kept = roll.kept() * i128::from(roll.copies);
    let keeps_end = roll.offcuts.iter().any(|offcut| offcut.keep && offcut.y == far);
    let end = roll.length.filter(|_| !keeps_end).map_or(Area::ZERO, |length| all(length - far));
    let whole = all(roll.length.unwrap_or(far));
    let between = whole - placed - curved - all(front) - trims - end - kept;
    [placed - surplus, surplus, between, curved, all(front), trims, end, kept]
}

/// Money from hundredths that are known to fit.
pub(super) fn from_cents(cents: i128) -> Money {
    Money::from_cents(i64::try_from(cents).unwrap_or(i64::MAX / 10_000))
}

/// The waste by its reasons; the four add up to it.
fn reasons(waste: Area, plan: &Plan, at: usize, share: &NestShare) -> [Area; 4] {
    let none = Area::ZERO;
    let Some(nest) = plan.nests.get(at) else { return [waste, none, none, none] };
    let (value, bound) = (nest.value.millionths(), nest.bound.millionths());
    let whole = share.bought.nm2() / 1_000_000;
    let of = |part: i128, under: i128| if under <= 0 { 0 } else { whole * part / under };
    let avoidable = of(i128::from(value - bound), i128::from(value)) * 1_000_000;
    let avoidable = avoidable.clamp(0, waste.nm2().max(0));
    // The plan's value and the share's are the same amount in other units.
    let rounding = of(share.rounding() / 1000, share.value / 1000) * 1_000_000;
    let rolls = (rounding - avoidable).clamp(0, waste.nm2().max(0) - avoidable);
    let other = waste - Area::from_nm2(avoidable + rolls);
    let on_hand = plan.rolls.iter().filter(|roll| roll.nest == at && roll.shelf);
    let kept: Area = on_hand.map(|roll| roll.kept() * i128::from(roll.copies)).sum();
    let kept = kept.min(other);
    [other - kept, Area::from_nm2(rolls), Area::from_nm2(avoidable), kept]
}
