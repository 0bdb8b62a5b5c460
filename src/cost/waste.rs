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
use crate::rules::Table;
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
/// `table` says what is cut off fronts and edges.
#[must_use]
pub fn of_nest(
    plan: &Plan,
    at: usize,
    share: &NestShare,
    (bought, table): (&[(&str, Money)], &Table),
) -> Option<NestWaste> {
    let nest = plan.nests.get(at)?;
    let areas = &nest.areas;
    let pieces: BTreeMap<&str, &Piece> =
        plan.pieces.iter().map(|piece| (piece.piece.as_str(), piece)).collect();
    let rolls = || plan.rolls.iter().filter(|roll| roll.nest == at);
    let scrap = |roll: &Roll| around::scrap(roll, nest.style, &pieces);
    let curved = rolls().map(|roll| scrap(roll) * i128::from(roll.copies)).sum();
    let sizes = parts(areas, curved);
    let money = bought.iter().map(|(_, money)| *money).sum();
    let mut cents = [0; PARTS.len()];
    for (product, money) in bought {
        let mut weights = [0; PARTS.len()];
        for roll in rolls().filter(|roll| roll.roll == *product) {
            let placed = roll.pulls.iter().flat_map(|pull| &pull.placements);
            let placed = placed.filter_map(|place| pieces.get(place.piece.as_str()));
            let placed = placed.map(|piece| piece.area()).sum();
            let mut own = roll.areas(placed, table.square_cut, table.edge_trim);
            // Pieces that nobody wanted are in every roll as they are in all.
            own.surplus = part_of(placed, areas.surplus, areas.pieces + areas.surplus);
            own.pieces = placed - own.surplus;
            for (sum, area) in weights.iter_mut().zip(parts(&own, scrap(roll))) {
                *sum += area.nm2() * i128::from(roll.copies);
            }
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

/// The parts in the order of their names, of which so much lies around curved pieces.
fn parts(areas: &Areas, curved: Area) -> [Area; PARTS.len()] {
    [
        areas.pieces,
        areas.surplus,
        areas.between - curved,
        curved,
        areas.square_cuts,
        areas.edge_trims,
        areas.roll_ends,
        areas.kept,
    ]
}

/// As large a part of an area as `of` is of `all`, counted in thousandths of a square millimetre so that products fit.
fn part_of(area: Area, of: Area, all: Area) -> Area {
    let [area, of, all] = [area, of, all].map(|area| area.nm2() / 1_000_000_000);
    Area::from_nm2(area * of / all.max(1) * 1_000_000_000)
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cost::lift::Basis;
    use crate::cost::share::{Over, PARTS};
    use crate::cutting::Objective;
    use crate::units::Decimal;

    fn m2(area: i128) -> Area {
        Area::from_nm2(area * 1_000_000_000_000_000_000)
    }

    /// Four rolls of 75 square metres, of which the programme needs two and a half.
    fn share() -> NestShare {
        NestShare {
            objective: Objective::Rolls,
            items: [("P-1".to_owned(), PARTS * 5 / 2)].into(),
            pieces: Vec::new(),
            shelf: 0,
            value: PARTS * 4,
            bought: m2(300),
            over: Over::All,
            basis: Basis::Prices,
        }
    }

    /// By hand: one roll in four is above the bound, 75; a roll and a half is above what the programme needs, 112.5, of
    /// which 37.5 are not told already; the rest of 150 is what the shapes ask for.
    #[test]
    fn what_a_better_plan_might_save_is_not_told_as_whole_rolls_too() {
        let mut plan = crate::plan::sample::plan(1, 1);
        let rolls = |n: i64| Decimal::from_millionths(n * 1_000_000);
        (plan.nests[1].value, plan.nests[1].bound) = (rolls(4), rolls(3));
        let half = Area::from_nm2(m2(75).nm2() / 2);
        assert_eq!(reasons(m2(150), &plan, 1, &share()), [half, half, m2(75), Area::ZERO]);
    }

    #[test]
    fn what_is_kept_of_like_rolls_on_hand_is_kept_of_each() {
        let mut plan = crate::plan::sample::plan(1, 1);
        let nest = &mut plan.nests[1];
        nest.bound = nest.value;
        let roll = plan.rolls.iter_mut().find(|roll| roll.nest == 1).unwrap();
        (roll.shelf, roll.copies) = (true, 2);
        let kept = roll.kept() * 2;
        assert!(kept > Area::ZERO);
        let none = NestShare { value: 0, items: BTreeMap::new(), ..share() };
        let waste = kept + m2(10);
        assert_eq!(reasons(waste, &plan, 1, &none), [m2(10), Area::ZERO, Area::ZERO, kept]);
    }
}
