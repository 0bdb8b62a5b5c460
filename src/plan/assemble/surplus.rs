//! Takes out what was made beyond what is wanted: nobody ordered it, and the blanket is worth
//! more in one piece.
//!
//! A covering programme may make too many of a piece. Steps, layout by layout from the last: of
//! one copy, take out as many surplus placements as there are, those first that empty a pull;
//! do the same to as many copies as the surplus allows at once; go on until none is left. A pull
//! that is emptied goes, one whose longest piece went gets shorter, and the pulls behind move up.
//! A subset of a straight layout is straight with the same cuts, so nothing can go wrong, but for
//! rectangles in the hollows of curved pieces: no cut of theirs is straight, so a curved piece stays
//! where others of its blank do and a rectangle is among them.

use crate::geometry::{Rect, joined};
use crate::nest::{self, Layout, Placement, Pull};
use crate::plan::wanted::Wanted;
use crate::units::Length;
use std::collections::BTreeMap;

/// The layouts without surplus placements and without empty rolls.
pub(super) fn taken_out(wanted: &Wanted, layouts: &[Layout]) -> Vec<Layout> {
    let mut surplus = surplus_of(wanted, layouts);
    let mut kept = Vec::new();
    for layout in layouts.iter().rev() {
        let mut rest = layout.clone();
        while rest.copies > 0 {
            let chosen = choose(wanted, &rest, &surplus);
            let Some(times) = times(&chosen.counts, &surplus) else { break };
            let times = times.min(rest.copies);
            for (piece, count) in &chosen.counts {
                if let Some(left) = surplus.get_mut(piece) {
                    *left -= count * times;
                }
            }
            let mut lighter = without(wanted, &rest, &chosen.placements);
            lighter.copies = times;
            if !lighter.pulls.is_empty() {
                kept.push(lighter);
            }
            rest.copies -= times;
        }
        if rest.copies > 0 && !rest.pulls.is_empty() {
            kept.push(rest);
        }
    }
    kept.reverse();
    kept
}

/// How many of each piece there are too many; pieces without surplus are left out.
fn surplus_of(wanted: &Wanted, layouts: &[Layout]) -> BTreeMap<usize, u64> {
    let made = nest::made(layouts, wanted.pieces.len());
    let over = |(i, made): (usize, u64)| {
        made.checked_sub(wanted.pieces[i].quantity).filter(|n| *n > 0).map(|n| (i, n))
    };
    made.into_iter().enumerate().filter_map(over).collect()
}

/// Placements to take out of one copy: by pull and index, and how many of each piece.
struct Chosen {
    placements: Vec<(usize, usize)>,
    counts: BTreeMap<usize, u64>,
}

fn choose(wanted: &Wanted, layout: &Layout, surplus: &BTreeMap<usize, u64>) -> Chosen {
    let mut chosen = Chosen { placements: Vec::new(), counts: BTreeMap::new() };
    let mut left = surplus.clone();
    let take = |pull: usize, index: usize, chosen: &mut Chosen, left: &mut BTreeMap<_, u64>| {
        let piece = layout.pulls[pull].placements[index].piece;
        let Some(n) = left.get_mut(&piece).filter(|n| **n > 0) else { return };
        *n -= 1;
        *chosen.counts.entry(piece).or_insert(0) += 1;
        chosen.placements.push((pull, index));
    };
    let mut partly = Vec::new();
    for (number, pull) in layout.pulls.iter().enumerate().rev() {
        if covers(&left, pull) {
            for index in 0..pull.placements.len() {
                take(number, index, &mut chosen, &mut left);
            }
        } else {
            partly.push(number);
        }
    }
    for number in partly {
        // The furthest first: they are what makes the pull long.
        let pull = &layout.pulls[number];
        let mut order: Vec<usize> = (0..pull.placements.len()).collect();
        order.sort_by_key(|&i| std::cmp::Reverse(pull.placements[i].y));
        let holds = holding(wanted, pull);
        for index in order.into_iter().filter(|&index| !holds[index]) {
            take(number, index, &mut chosen, &mut left);
        }
    }
    chosen.placements.sort_unstable();
    chosen
}

/// By placement: whether it is a curved piece that shares its blank with a rectangle.
fn holding(wanted: &Wanted, pull: &Pull) -> Vec<bool> {
    let curved = |index: usize| wanted.pieces[pull.placements[index].piece].outline.is_some();
    let mut holds = vec![false; pull.placements.len()];
    if !(0..holds.len()).any(curved) {
        return holds;
    }
    let blank = |place: &Placement| super::cuts::Blank::placed(wanted, place).rect;
    let blanks: Vec<Rect> = pull.placements.iter().map(blank).collect();
    for group in joined(&blanks) {
        if !group.members.iter().all(|&index| curved(index)) {
            for index in group.members {
                holds[index] = curved(index);
            }
        }
    }
    holds
}

/// Whether all of a pull's pieces are surplus.
fn covers(left: &BTreeMap<usize, u64>, pull: &Pull) -> bool {
    let mut need: BTreeMap<usize, u64> = BTreeMap::new();
    for place in &pull.placements {
        *need.entry(place.piece).or_insert(0) += 1;
    }
    need.iter().all(|(piece, count)| left.get(piece).is_some_and(|n| n >= count))
}

/// How often the choice can be made; `None` where nothing was chosen.
fn times(counts: &BTreeMap<usize, u64>, surplus: &BTreeMap<usize, u64>) -> Option<u64> {
    counts.iter().map(|(piece, n)| surplus.get(piece).map_or(0, |s| s / n)).min().filter(|t| *t > 0)
}

/// One copy without the placements given (sorted); later pulls move up.
fn without(wanted: &Wanted, layout: &Layout, out: &[(usize, usize)]) -> Layout {
    let mut pulls: Vec<Pull> = Vec::new();
    let mut moved = Length::ZERO;
    for (number, pull) in layout.pulls.iter().enumerate() {
        let stays = |i: usize| out.binary_search(&(number, i)).is_err();
        let mut placements = pull.placements.clone();
        let mut index = 0;
        placements.retain(|_| {
            index += 1;
            stays(index - 1)
        });
        let next = layout.pulls.get(number + 1).map(|p| p.y);
        if placements.is_empty() {
            moved += next.map_or(Length::ZERO, |y| y - pull.y);
            continue;
        }
        let lost = if placements.len() == pull.placements.len() {
            Length::ZERO
        } else {
            reach(wanted, &pull.placements) - reach(wanted, &placements)
        };
        for place in &mut placements {
            place.y -= moved;
        }
        pulls.push(Pull { y: pull.y - moved, length: pull.length - lost, placements });
        moved += lost;
    }
    Layout { roll: layout.roll, copies: layout.copies, pulls }
}

/// How far the pieces reach along the roll.
fn reach(wanted: &Wanted, placements: &[Placement]) -> Length {
    let far = |p: &Placement| p.y + super::cuts::Blank::placed(wanted, p).rect.length;
    let far = placements.iter().map(far).max().unwrap_or(Length::ZERO);
    // Curved pieces that interlock lie at odd places; pulls do not end there.
    far.round_up_to(wanted.step())
}
