//! From the engine's answers to a plan.
//!
//! Steps, nest by nest: pieces that were made beyond what is wanted are taken out again, so that
//! their blanket stays whole ([`surplus`]); rolls go to cheaper ones that hold them ([`exchange`]); pulls change rolls so that what is left is worth most
//! ([`remainder`], [`smaller`]); rolls cut alike become one entry with copies; the pulls of all rolls are formed
//! anew for few kits where that costs no roll ([`regroup`]), put in the order of cutting ([`order`])
//! and laid so; every
//! pull gets its cuts in an order in which they can be made and yields the rectangles that are
//! left ([`cuts`], [`empty`]); what is left behind the last pull is the roll's end; areas are
//! split without remainder ([`areas`]); value and status are restated.

mod areas;
mod cuts;
mod empty;
mod exchange;
mod order;
mod regroup;
mod remainder;
mod smaller;
mod surplus;

use super::wanted::Wanted;
use super::{Certificate, Input, Nest, Offcut, Placement, Plan, Program, Pull, Roll};
use crate::cutting::{Cutting, Objective};
use crate::demand::RunJoints;
use crate::geometry::Rect;
use crate::nest::{self, Nesting, Status};
use crate::rules;
use crate::sequence::shop::Stop;
use crate::units::{Angle, Decimal, Length};
use cuts::{Blank, Drawn};

/// An answer that cannot be made into a plan: a defect of the engine's.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum AssemblyError {
    /// A layout on a roll that is not on the order sheet.
    #[error("the engine's answer for `{0}` names roll {1}, which is not on the order sheet")]
    UnknownRoll(String, usize),
    /// A placement of a piece that is not on the order sheet.
    #[error("the engine's answer for `{0}` names piece {1}, which is not on the order sheet")]
    UnknownPiece(String, usize),
    /// A sum beyond 64 bits.
    #[error("the value of the plan for `{0}` is beyond what can be counted")]
    TooLarge(String),
}

/// A nest's layouts.
type Layouts = Vec<nest::Layout>;

/// Makes a plan of the engine's answers, one for each order sheet; with the order of cutting over
/// all rolls where the shop's rules for it are given, and a sign that ends the search for a better one.
///
/// # Errors
/// Where an answer does not belong to its order sheet.
pub fn assemble(
    name: &str,
    program: Program,
    inputs: Vec<Input>,
    nested: &[(Wanted, Nesting)],
    joints: Vec<RunJoints>,
    shop: Option<(&rules::Sequence, Stop<'_>)>,
) -> Result<Plan, AssemblyError> {
    let mut plan = Plan::empty(name, program, inputs, joints);
    let mut layouts = Vec::with_capacity(nested.len());
    for (wanted, nesting) in nested {
        check_indices(wanted, nesting)?;
        let mut list = surplus::taken_out(wanted, &nesting.layouts);
        // Copies by themselves take long where there are millions of them.
        if exchange::may_change(wanted) {
            list = exchange::exchanged(wanted, &list);
        }
        merge(&mut list);
        layouts.push(list);
    }
    if let Some(shop) = shop {
        for ((wanted, _), list) in nested.iter().zip(&mut layouts) {
            let gathered = remainder::gathered(wanted, list);
            *list = exchange::exchanged(wanted, &smaller::moved(wanted, &gathered, shop.1));
            merge(list);
        }
        let sheets: Vec<&Wanted> = nested.iter().map(|(wanted, _)| wanted).collect();
        plan.sequence = Some(order::ordered(&sheets, &mut layouts, shop));
    }
    for (index, ((wanted, nesting), layouts)) in nested.iter().zip(&layouts).enumerate() {
        let (nest, rolls) = one_nest(index, wanted, nesting, layouts)?;
        let sum = |a: Decimal, b: Decimal| {
            let sum = a.millionths().checked_add(b.millionths());
            sum.map(Decimal::from_millionths)
                .ok_or_else(|| AssemblyError::TooLarge(wanted.name.clone()))
        };
        plan.value = sum(plan.value, nest.value)?;
        plan.bound = sum(plan.bound, nest.bound)?;
        plan.status = plan.status.max(nest.status);
        plan.nests.push(nest);
        plan.rolls.extend(rolls);
        plan.pieces.extend(wanted.pieces.iter().map(|piece| piece.in_nest(index)));
    }
    Ok(plan)
}

fn one_nest(
    index: usize,
    wanted: &Wanted,
    nesting: &Nesting,
    layouts: &[nest::Layout],
) -> Result<(Nest, Vec<Roll>), AssemblyError> {
    let rolls: Vec<Roll> = layouts.iter().map(|l| roll(index, wanted, l)).collect();
    let too_large = || AssemblyError::TooLarge(wanted.name.clone());
    let value = value(wanted, layouts).ok_or_else(too_large)?;
    let instance = wanted.instance();
    let bound = instance.objective.decimal(nesting.bound);
    let status = if value <= bound { Status::Proven } else { nesting.status };
    let nest = Nest {
        thickness: wanted.thickness,
        objective: wanted.objective,
        style: wanted.cutting.style,
        stages: wanted.cutting.stages,
        status,
        value,
        bound,
        basis: nesting.basis,
        certificate: Certificate::of(wanted, &instance, nesting),
        without_shelf: None,
        areas: areas::split(wanted, layouts, &rolls),
    };
    Ok((nest, rolls))
}

fn check_indices(wanted: &Wanted, nesting: &Nesting) -> Result<(), AssemblyError> {
    for layout in &nesting.layouts {
        if layout.roll >= wanted.rolls.len() {
            return Err(AssemblyError::UnknownRoll(wanted.name.clone(), layout.roll));
        }
        let placements = layout.pulls.iter().flat_map(|p| &p.placements);
        if let Some(p) = placements.into_iter().find(|p| p.piece >= wanted.pieces.len()) {
            return Err(AssemblyError::UnknownPiece(wanted.name.clone(), p.piece));
        }
    }
    Ok(())
}

/// Rolls cut alike become one entry; then by roll product, most copies first, fullest first.
fn merge(layouts: &mut Vec<nest::Layout>) {
    layouts.sort_by_cached_key(|l| (l.roll, l.pulls.iter().map(pull_key).collect::<Vec<_>>()));
    layouts.dedup_by(|later, kept| {
        let same = later.roll == kept.roll && later.pulls == kept.pulls;
        if same {
            kept.copies = kept.copies.saturating_add(later.copies);
        }
        same
    });
    layouts.sort_by_key(|l| (l.roll, std::cmp::Reverse((l.copies, l.far_end()))));
}

/// All that makes pulls alike, in an order of its own.
type PullKey = (Length, Length, Vec<(usize, Length, Length, Angle)>);

fn pull_key(pull: &nest::Pull) -> PullKey {
    let place = |p: &nest::Placement| (p.piece, p.x, p.y, p.turn);
    (pull.y, pull.length, pull.placements.iter().map(place).collect())
}

/// The layouts, each copy by itself.
fn each_alone(layouts: &Layouts) -> Layouts {
    let mut list = Layouts::new();
    for layout in layouts {
        list.extend((0..layout.copies).map(|_| nest::Layout { copies: 1, ..layout.clone() }));
    }
    list
}

/// How far the pieces of pulls reach across the roll.
fn far_side(wanted: &Wanted, pulls: &[nest::Pull]) -> Length {
    let places = pulls.iter().flat_map(|pull| &pull.placements);
    places.map(|place| Blank::placed(wanted, place).rect.right()).max().unwrap_or_default()
}

/// What the layouts come to, in the objective's unit.
fn value(wanted: &Wanted, layouts: &[nest::Layout]) -> Option<Decimal> {
    let mut total: i128 = 0;
    for layout in layouts {
        let roll = &wanted.rolls[layout.roll];
        total += i128::from(layout.copies)
            * match wanted.objective {
                Objective::Rolls => i128::from(!roll.shelf) * 1_000_000,
                Objective::Price => i128::from(roll.price.micros()),
                Objective::Length => i128::from(layout.far_end().nm()),
            };
    }
    i64::try_from(total).ok().map(Decimal::from_millionths)
}

fn roll(nest: usize, wanted: &Wanted, layout: &nest::Layout) -> Roll {
    let product = &wanted.rolls[layout.roll];
    let mut offcuts = Vec::new();
    let squared = product.saved.is_positive();
    let mut front = if squared { Length::ZERO } else { wanted.cutting.square_cut };
    let step = wanted.step();
    let pulls = layout
        .pulls
        .iter()
        .map(|pull| {
            // The order sheet's places count from so far before the roll's front.
            let pull = pull.moved(Length::ZERO - product.saved);
            let blanks: Vec<Blank<'_>> =
                pull.placements.iter().map(|p| Blank::placed(wanted, p)).collect();
            let (x, y, width, length) = (Length::ZERO, pull.y, product.width, pull.length);
            let last = product.nominal() == Some(y + length);
            let drawn = Drawn { pull: Rect { x, y, width, length }, front, last };
            front = y + length;
            let cut = cuts::cut(drawn, (&wanted.cutting, step), wanted.keep, &blanks);
            offcuts.extend(cut.left.iter().map(|rect| offcut(*rect, true)));
            Pull {
                y: pull.y,
                length: pull.length,
                placements: pull.placements.iter().map(|p| placement(wanted, p)).collect(),
                cuts: cut.cuts,
            }
        })
        .collect();
    let far = layout.far_end() - product.saved;
    if let Some(end) = roll_end(product.width, product.nominal(), far) {
        offcuts.push(offcut(end, wanted.keep.worth(end.width, end.length)));
    }
    Roll {
        roll: product.id.clone(),
        nest,
        width: product.width,
        length: product.nominal(),
        price: product.price,
        shelf: product.shelf,
        squared,
        copies: layout.copies,
        pulls,
        offcuts,
    }
}

/// Pulls one behind another from the square cut on.
fn laid<'a>(cutting: &Cutting, pulls: impl Iterator<Item = &'a nest::Pull>) -> Vec<nest::Pull> {
    let mut y = cutting.square_cut;
    pulls
        .map(|pull| {
            let moved = pull.moved(y - pull.y);
            y += pull.length + cutting.gap;
            moved
        })
        .collect()
}

/// What is left behind the last pull, in the roll's full width.
fn roll_end(width: Length, length: Option<Length>, far: Length) -> Option<Rect> {
    let rest = length? - far;
    rest.is_positive().then_some(Rect { x: Length::ZERO, y: far, width, length: rest })
}

fn offcut(rect: Rect, keep: bool) -> Offcut {
    Offcut { x: rect.x, y: rect.y, width: rect.width, length: rect.length, keep }
}

fn placement(wanted: &Wanted, place: &nest::Placement) -> Placement {
    Placement {
        piece: wanted.pieces[place.piece].code.clone(),
        x: place.x,
        y: place.y,
        turn: place.turn,
    }
}
