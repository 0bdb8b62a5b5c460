//! What is left: offcuts lie free, the roll's end is what is behind the last pull, and all areas
//! add up to the last square nanometre.

use super::rolls::{Made, Placed};
use super::{Failures, Rule, clear};
use crate::plan::wanted;
use crate::plan::{Areas, Offcut, Plan, Roll, Wanted};
use crate::units::{Area, Length};
use std::collections::BTreeMap;

pub(super) fn check(plan: &Plan, wanted: &[Wanted], made: &Made, failures: &mut Failures) {
    let mut sums: Vec<Option<Areas>> = vec![Some(Areas::default()); wanted.len()];
    for roll in &plan.rolls {
        let Some(sheet) = wanted.get(roll.nest) else { continue };
        offcuts(roll, sheet, failures);
        let add = |sum: Areas| added(sum, roll, sheet);
        sums[roll.nest] = sums[roll.nest].and_then(add);
    }
    for (number, sheet) in wanted.iter().enumerate() {
        let (Some(nest), Some(made)) = (plan.nests.get(number), made.get(number)) else { continue };
        let sum = sums[number].and_then(|sum| with_pieces(sum, sheet, made));
        failures.unless(sum == Some(nest.areas), Rule::Areas, || {
            format!("The areas of {} are not those of its rolls and pieces.", sheet.nest())
        });
        let a = nest.areas;
        let parts =
            [a.pieces, a.surplus, a.square_cuts, a.edge_trims, a.between, a.roll_ends, a.kept];
        let total = parts.iter().try_fold(0_i128, |sum, part| sum.checked_add(part.nm2()));
        failures.unless(total == Some(a.rolls.nm2()), Rule::Areas, || {
            format!("The areas of {} do not add up to its rolls.", sheet.nest())
        });
    }
}

fn far_end(roll: &Roll) -> Length {
    roll.pulls.iter().map(|p| p.y + p.length).max().unwrap_or(Length::ZERO)
}

fn times(area: Area, copies: u64) -> Option<Area> {
    area.nm2().checked_mul(i128::from(copies)).map(Area::from_nm2)
}

fn plus(a: Area, b: Area) -> Option<Area> {
    a.nm2().checked_add(b.nm2()).map(Area::from_nm2)
}

/// Adds a roll's areas, all but the pieces'; `between` still holds the pieces.
fn added(sum: Areas, roll: &Roll, sheet: &Wanted) -> Option<Areas> {
    let copies = roll.copies;
    let far = far_end(roll);
    let across = |length: Length| Area::of_rectangle(roll.width, length);
    let whole = across(roll.length.unwrap_or(far));
    let front = roll.square_cut(sheet.cutting.square_cut);
    let square = across(front);
    let trims = Area::of_rectangle(sheet.cutting.edge_trim + sheet.cutting.edge_trim, far - front);
    let area = |o: &Offcut| Area::of_rectangle(o.width, o.length);
    let keeps = |keep: bool| roll.offcuts.iter().filter(move |o| o.keep == keep);
    let kept: Area = keeps(true).map(area).sum();
    let scrap_end: Area = keeps(false).map(area).sum();
    let inside = whole - square - trims - kept - scrap_end;
    Some(Areas {
        rolls: plus(sum.rolls, times(whole, copies)?)?,
        square_cuts: plus(sum.square_cuts, times(square, copies)?)?,
        edge_trims: plus(sum.edge_trims, times(trims, copies)?)?,
        kept: plus(sum.kept, times(kept, copies)?)?,
        roll_ends: plus(sum.roll_ends, times(scrap_end, copies)?)?,
        between: plus(sum.between, times(inside, copies)?)?,
        ..sum
    })
}

/// Takes the pieces, wanted and surplus, out of what is between.
fn with_pieces(sum: Areas, sheet: &Wanted, made: &[u128]) -> Option<Areas> {
    let (mut pieces, mut surplus) = (0_i128, 0_i128);
    for (piece, made) in sheet.pieces.iter().zip(made) {
        let area = piece.area().nm2();
        let made = i128::try_from(*made).ok()?;
        let wanted = made.min(i128::from(piece.quantity));
        pieces = pieces.checked_add(area.checked_mul(wanted)?)?;
        surplus = surplus.checked_add(area.checked_mul(made - wanted)?)?;
    }
    let between = sum.between.nm2().checked_sub(pieces)?.checked_sub(surplus)?;
    Some(Areas {
        pieces: Area::from_nm2(pieces),
        surplus: Area::from_nm2(surplus),
        between: Area::from_nm2(between),
        ..sum
    })
}

fn offcuts(roll: &Roll, sheet: &Wanted, failures: &mut Failures) {
    let name = &roll.roll;
    let far = far_end(roll);
    let (ends, inside): (Vec<&Offcut>, Vec<&Offcut>) =
        roll.offcuts.iter().partition(|o| o.y >= far);
    roll_end(roll, &ends, far, failures);
    for o in &roll.offcuts {
        failures.unless(o.keep == sheet.keep.worth(o.width, o.length), Rule::Offcuts, || {
            format!(
                "The offcut of {} x {} mm on roll `{name}` is kept against the rule, or not kept.",
                o.width, o.length
            )
        });
    }
    let trim = sheet.cutting.edge_trim;
    let taken = taken(roll, sheet, &inside);
    for (o, taken) in inside.into_iter().zip(taken) {
        // Pulls lie one behind another, or another failure tells that they do not.
        let behind = roll.pulls.partition_point(|pull| pull.y <= o.y);
        let home = behind.checked_sub(1).and_then(|at| roll.pulls.get(at));
        let home = home.is_some_and(|pull| o.y + o.length <= pull.y + pull.length);
        let between = o.x >= trim && o.x + o.width <= roll.width - trim;
        failures.unless(o.keep && between && home, Rule::Offcuts, || {
            format!("The offcut at {}, {} mm on roll `{name}` lies in no pull.", o.x, o.y)
        });
        failures.unless(!taken, Rule::Offcuts, || {
            format!("The offcut at {}, {} mm on roll `{name}` is not free.", o.x, o.y)
        });
    }
}

/// For each of some offcuts of a roll, whether a piece's blank or an offcut listed before it reaches into it.
fn taken(roll: &Roll, sheet: &Wanted, offcuts: &[&Offcut]) -> Vec<bool> {
    let mut taken = vec![false; offcuts.len()];
    if offcuts.is_empty() {
        return taken;
    }
    let sizes: BTreeMap<&str, &wanted::Piece> =
        sheet.pieces.iter().map(|p| (p.code.as_str(), p)).collect();
    let at = |x: Length, y: Length, width: Length, length: Length| Placed {
        code: "",
        left: x.nm(),
        near: y.nm(),
        right: (x + width).nm(),
        far: (y + length).nm(),
        outline: None,
    };
    let mut placed: Vec<Placed<'_>> =
        offcuts.iter().map(|o| at(o.x, o.y, o.width, o.length)).collect();
    let places = roll.pulls.iter().flat_map(|pull| &pull.placements);
    placed.extend(places.filter_map(|place| {
        let piece = sizes.get(place.piece.as_str())?;
        let upright = place.turn.quarter_turns().is_none_or(|q| q % 2 == 0);
        let (w, l) =
            if upright { (piece.width, piece.length) } else { (piece.length, piece.width) };
        Some(at(place.x, place.y, w, l))
    }));
    let mut left = offcuts.len();
    clear::each_near_pair(&placed, 0, |one, other| {
        let (first, last) = (one.min(other), one.max(other));
        if let Some(taken) = taken.get_mut(if last < offcuts.len() { last } else { first }) {
            left -= usize::from(!*taken);
            *taken = true;
        }
        left > 0
    });
    taken
}

fn roll_end(roll: &Roll, ends: &[&Offcut], far: Length, failures: &mut Failures) {
    let rest = roll.length.map_or(Length::ZERO, |length| length - far);
    let right = match ends {
        [] => !rest.is_positive(),
        [end] => {
            end.x == Length::ZERO && end.y == far && end.width == roll.width && end.length == rest
        }
        _ => false,
    };
    failures.unless(right, Rule::Offcuts, || {
        format!("The end of roll `{}` behind {far} mm is not listed as it is left.", roll.roll)
    });
}
