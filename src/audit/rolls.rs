//! Every roll is one on offer; its pulls lie on it and on the table; its pieces lie in the pulls.

use super::polygon::Corner;
use super::{Failures, Rule, clear, replay, straight};
use crate::cutting::Style;
use crate::plan::wanted;
use crate::plan::{Offcut, Placement, Plan, Pull, Roll, Wanted};
use crate::units::{Angle, Length};
use rayon::prelude::*;
use std::collections::BTreeMap;

/// A piece where it lies, in nanometres.
#[derive(Clone, Debug)]
pub(super) struct Placed<'a> {
    pub(super) code: &'a str,
    pub(super) left: i64,
    pub(super) right: i64,
    pub(super) near: i64,
    pub(super) far: i64,
    pub(super) outline: Option<Vec<Corner>>,
}

/// How often every piece of every nest is made.
pub(super) type Made = Vec<Vec<u128>>;

/// Names to indices of one order sheet.
struct Index<'a> {
    rolls: BTreeMap<&'a str, usize>,
    pieces: BTreeMap<&'a str, usize>,
}

pub(super) fn check(plan: &Plan, wanted: &[Wanted], failures: &mut Failures) -> Made {
    let mut made: Made = wanted.iter().map(|s| vec![0; s.pieces.len()]).collect();
    let mut used: Vec<Vec<u128>> = wanted.iter().map(|s| vec![0; s.rolls.len()]).collect();
    let index: Vec<Index> = wanted.iter().map(index).collect();
    let one = |(number, roll): (usize, &Roll)| entry(number, roll, wanted, &index);
    let found: Vec<Found> = plan.rolls.par_iter().enumerate().map(one).collect();
    for (roll, found) in plan.rolls.iter().zip(found) {
        if let Some(product) = found.product {
            used[roll.nest][product] += u128::from(roll.copies);
        }
        for piece in found.placed {
            made[roll.nest][piece] += u128::from(roll.copies);
        }
        failures.append(found.failures);
    }
    for (sheet, (made, used)) in wanted.iter().zip(made.iter().zip(&used)) {
        enough(sheet, made, failures);
        available(sheet, used, failures);
    }
    made
}

/// What one entry comes to: its product, the pieces on one copy of it, and what is wrong.
#[derive(Default)]
struct Found {
    product: Option<usize>,
    placed: Vec<usize>,
    failures: Failures,
}

fn entry(number: usize, roll: &Roll, wanted: &[Wanted], index: &[Index<'_>]) -> Found {
    let mut found = Found::default();
    let Some(sheet) = wanted.get(roll.nest) else {
        found.failures.add(Rule::Lists, format!("Roll entry {number} belongs to no nest."));
        return found;
    };
    let index = &index[roll.nest];
    let Some(&product) = index.rolls.get(roll.roll.as_str()) else {
        found.failures.add(Rule::Product, format!("Roll `{}` is not on offer.", roll.roll));
        return found;
    };
    found.product = Some(product);
    same_product(roll, &sheet.rolls[product], &mut found.failures);
    pulls(roll, (sheet, product), &mut found.failures);
    pieces(roll, sheet, index, &mut found);
    found
}

fn index(sheet: &Wanted) -> Index<'_> {
    let numbered = |(i, name): (usize, _)| (name, i);
    Index {
        rolls: sheet.rolls.iter().map(|r| r.id.as_str()).enumerate().map(numbered).collect(),
        pieces: sheet.pieces.iter().map(|p| p.code.as_str()).enumerate().map(numbered).collect(),
    }
}

fn same_product(roll: &Roll, product: &wanted::Roll, failures: &mut Failures) {
    let same = roll.width == product.width
        && roll.length == product.nominal()
        && roll.price == product.price;
    failures.unless(same, Rule::Product, || {
        format!("Roll `{}` is listed with another size or price than on offer.", roll.roll)
    });
    failures.unless(roll.shelf == product.shelf, Rule::Product, || {
        let [is, told] = if product.shelf {
            ["on the shelf", "bought"]
        } else {
            ["bought", "taken from the shelf"]
        };
        format!("Roll `{}` is {is} and listed as {told}.", roll.roll)
    });
    failures.unless(roll.squared == product.saved.is_positive(), Rule::Product, || {
        let [is, told] = if roll.squared { ["not ", ""] } else { ["", "not "] };
        format!(
            "The front of roll `{}` is {is}square already and listed as {told}square.",
            roll.roll
        )
    });
    failures.unless(roll.copies > 0, Rule::Product, || {
        format!("Roll `{}` is listed with no copies.", roll.roll)
    });
}

fn available(sheet: &Wanted, used: &[u128], failures: &mut Failures) {
    for (product, used) in sheet.rolls.iter().zip(used) {
        let Some(most) = product.available else { continue };
        failures.unless(*used <= u128::from(most), Rule::Availability, || {
            format!("{used} rolls `{}` are used where {most} are available.", product.id)
        });
    }
}

fn enough(sheet: &Wanted, made: &[u128], failures: &mut Failures) {
    for (piece, made) in sheet.pieces.iter().zip(made) {
        failures.unless(*made >= u128::from(piece.quantity), Rule::Quantity, || {
            let code = &piece.code;
            format!("Piece `{code}` is cut {made} times where {} are wanted.", piece.quantity)
        });
    }
}

fn pulls(roll: &Roll, (sheet, product): (&Wanted, usize), failures: &mut Failures) {
    let name = &roll.roll;
    let mut free_from = sheet.cutting.square_cut - sheet.rolls[product].saved;
    failures.unless(!roll.pulls.is_empty(), Rule::Pulls, || {
        format!("Nothing is pulled off roll `{name}`.")
    });
    for pull in &roll.pulls {
        let (y, length) = (pull.y, pull.length);
        failures.unless(y >= free_from, Rule::Pulls, || {
            format!(
                "The pull at {y} mm of roll `{name}` begins before {free_from} mm, where the \
                 square cut or the pull before it ends."
            )
        });
        failures.unless(length.is_positive(), Rule::Pulls, || {
            format!("The pull at {y} mm of roll `{name}` has no length.")
        });
        let on_table = sheet.cutting.pull_limit.is_none_or(|limit| length <= limit);
        failures.unless(on_table, Rule::Pulls, || {
            format!(
                "The pull at {y} mm of roll `{name}` is {length} mm, more than the table takes."
            )
        });
        free_from = y + length;
    }
    failures.unless(roll.length.is_none_or(|end| free_from <= end), Rule::Pulls, || {
        format!("The pulls of roll `{name}` reach to {free_from} mm, beyond its end.")
    });
}

fn pieces(roll: &Roll, sheet: &Wanted, index: &Index<'_>, found: &mut Found) {
    let failures = &mut found.failures;
    let gap = sheet.cutting.gap.nm();
    let mut all = Vec::new();
    let mut front = roll.square_cut(sheet.cutting.square_cut).nm();
    let kept = Kept::of(roll);
    for pull in &roll.pulls {
        let mut placed = Vec::with_capacity(pull.placements.len());
        for place in &pull.placements {
            let Some(&number) = index.pieces.get(place.piece.as_str()) else {
                let sentence = format!("Piece `{}` is placed, but not wanted.", place.piece);
                failures.add(Rule::Quantity, sentence);
                continue;
            };
            found.placed.push(number);
            placed.extend(piece(&sheet.pieces[number], place, failures));
        }
        inside(roll, pull, sheet.cutting.edge_trim, &placed, failures);
        if sheet.cutting.style == Style::Straight {
            let apart = straight::separates(&placed, gap, sheet.cutting.stages);
            failures.unless(apart, Rule::Straight, || {
                let stages = sheet
                    .cutting
                    .stages
                    .map_or_else(String::new, |stages| format!(" in {stages} stages"));
                format!(
                    "Straight cuts do not separate the pieces of the pull at {} mm of roll `{}`\
                     {stages}.",
                    pull.y, roll.roll
                )
            });
        }
        let pieces = placed.len();
        placed.extend(kept.inside(pull));
        let straight = sheet.cutting.style == Style::Straight;
        let trim = sheet.cutting.edge_trim.nm();
        let freed = replay::Freed { placed: &placed, pieces, straight, trim };
        replay::check(roll, pull, front, &freed, failures);
        front = (pull.y + pull.length).nm();
        placed.truncate(pieces);
        all.append(&mut placed);
    }
    clear::check(&roll.roll, &all, gap, failures);
}

/// The piece where it lies; `None` and a failure where it may not lie so.
fn piece<'a>(
    piece: &'a wanted::Piece,
    place: &Placement,
    failures: &mut Failures,
) -> Option<Placed<'a>> {
    let code = piece.code.as_str();
    let within = (Angle::ZERO..Angle::from_degrees(360)).contains(&place.turn);
    failures.unless(within && piece.turns.allow(place.turn), Rule::Turn, || {
        format!("Piece `{code}` is turned by {} degrees, which it may not be.", place.turn)
    });
    let Some(quarters) = place.turn.quarter_turns() else {
        let sentence = format!("Piece `{code}` is turned by {}, no quarter turn.", place.turn);
        failures.add(Rule::Turn, sentence);
        return None;
    };
    let (width, length) =
        if quarters % 2 == 0 { (piece.width, piece.length) } else { (piece.length, piece.width) };
    let (left, near) = (place.x.nm(), place.y.nm());
    let outline = piece.outline.as_ref().map(|outline| {
        let turned = outline.quarter_turned(quarters);
        turned.corners().iter().map(|c| (c.x.nm() + left, c.y.nm() + near)).collect()
    });
    Some(Placed { code, left, near, right: left + width.nm(), far: near + length.nm(), outline })
}

/// The offcuts of a roll that are kept, by where they begin: each pull looks up its own.
struct Kept<'a>(Vec<&'a Offcut>);

impl<'a> Kept<'a> {
    fn of(roll: &'a Roll) -> Self {
        let mut kept: Vec<&Offcut> = roll.offcuts.iter().filter(|offcut| offcut.keep).collect();
        kept.sort_by_key(|offcut| offcut.y);
        Self(kept)
    }

    /// Those inside a pull, which are cut free like pieces.
    fn inside<'p>(&self, pull: &Pull) -> impl Iterator<Item = Placed<'p>> {
        let end = pull.y + pull.length;
        let first = self.0.partition_point(|offcut| offcut.y < pull.y);
        let begun = self.0[first..].iter().take_while(move |offcut| offcut.y <= end);
        begun.filter(move |offcut| offcut.y + offcut.length <= end).map(|offcut| Placed {
            code: "offcut",
            left: offcut.x.nm(),
            right: (offcut.x + offcut.width).nm(),
            near: offcut.y.nm(),
            far: (offcut.y + offcut.length).nm(),
            outline: None,
        })
    }
}

fn inside(roll: &Roll, pull: &Pull, trim: Length, placed: &[Placed<'_>], failures: &mut Failures) {
    let (left, right) = (trim.nm(), (roll.width - trim).nm());
    let (near, far) = (pull.y.nm(), (pull.y + pull.length).nm());
    for p in placed {
        failures.unless(p.left >= left && p.right <= right, Rule::Inside, || {
            format!(
                "Piece `{}` in the pull at {} mm of roll `{}` reaches over an edge.",
                p.code, pull.y, roll.roll
            )
        });
        failures.unless(p.near >= near && p.far <= far, Rule::Inside, || {
            format!(
                "Piece `{}` reaches out of its pull at {} mm of roll `{}`.",
                p.code, pull.y, roll.roll
            )
        });
    }
}
