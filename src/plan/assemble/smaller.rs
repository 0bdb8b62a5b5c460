//! A large offcut given back where a smaller one does.
//!
//! All offcuts are free to the engine, so it may cut a large one for little while a small one lies beside it. What lies
//! on an offcut goes to another one that nothing lies on, where that makes what is left worth more: as it lies, or laid
//! anew across the other's width.

use super::regroup::nested;
use super::remainder::{end_worth, kept_worth};
use super::{Layouts, each_alone, far_side, laid};
use crate::nest;
use crate::plan::wanted::{Hand, Roll, Wanted};
use crate::sequence::shop::Stop;
use crate::units::{Area, Length};
use std::collections::BTreeMap;

/// More pieces than these are not laid anew.
const MANY: u64 = 60;
/// So many times pieces are laid anew for one order sheet, each with so much work; curved ones, whose blocks are made
/// anew each time, count for so many.
const TRIES: u32 = 60;
const CURVED: u32 = 6;
/// So many offcuts are looked at in all.
const LOOKS: u64 = 1_000_000;
const WORK: u64 = 2_000;

/// The layouts, each copy by itself, with what is left worth no less.
pub(super) fn moved(wanted: &Wanted, layouts: &Layouts, stop: Stop<'_>) -> Layouts {
    let mut list = each_alone(layouts);
    let mut search = Search { wanted, free: free(wanted, &list), looks: LOOKS, tries: TRIES, stop };
    // What is left is worth more each time, so this ends.
    let mut again = true;
    while again {
        again = false;
        for layout in &mut list {
            again |= search.better(layout);
        }
    }
    list
}

/// How many of each roll nothing lies on; none of what is bought.
fn free(wanted: &Wanted, list: &Layouts) -> Vec<u64> {
    let offcut = |at: usize| {
        let roll = &wanted.rolls[at];
        if is_offcut(roll) { roll.available.unwrap_or(0) } else { 0 }
    };
    let mut free: Vec<u64> = (0..wanted.rolls.len()).map(offcut).collect();
    for layout in list {
        free[layout.roll] = free[layout.roll].saturating_sub(layout.copies);
    }
    free
}

fn is_offcut(roll: &Roll) -> bool {
    roll.shelf && roll.hand != Hand::Whole && roll.length.is_some()
}

struct Search<'a> {
    wanted: &'a Wanted,
    free: Vec<u64>,
    looks: u64,
    tries: u32,
    stop: Stop<'a>,
}

impl Search<'_> {
    /// Moves what lies on an offcut to the one that leaves most; whether there was one.
    fn better(&mut self, layout: &mut nest::Layout) -> bool {
        let (own, wanted) = (layout.roll, self.wanted);
        if !is_offcut(&wanted.rolls[own]) {
            return false;
        }
        let whole = |at: usize| {
            let roll = &wanted.rolls[at];
            end_worth(roll, roll.nominal().unwrap_or_default())
        };
        let now = self.left(own, layout.far_end()) - whole(own);
        let mut best: Option<(i128, nest::Layout)> = None;
        for to in 0..self.free.len() {
            if to == own || self.free[to] == 0 {
                continue;
            }
            let Some(left) = self.looks.checked_sub(1).filter(|_| !(self.stop)()) else { break };
            self.looks = left;
            // However little were drawn off it.
            let most = best.as_ref().map_or(now, |best| best.0);
            let pieces = self.area(layout).nm2() / i128::from(wanted.rolls[to].width.nm().max(1));
            let pieces = Length::from_nm(i64::try_from(pieces).unwrap_or(i64::MAX));
            if self.left(to, wanted.cutting.square_cut + pieces) - whole(to) <= most {
                continue;
            }
            let moved = self.as_it_lies(layout, to).or_else(|| self.anew(layout, to));
            let Some(moved) = moved else { continue };
            let worth = self.left(to, moved.far_end()) - whole(to);
            if worth > most {
                best = Some((worth, moved));
            }
        }
        let Some((_, moved)) = best else { return false };
        self.free[own] += 1;
        self.free[moved.roll] -= 1;
        *layout = moved;
        true
    }

    /// What the end behind `far` is worth.
    fn left(&self, roll: usize, far: Length) -> i128 {
        let roll = &self.wanted.rolls[roll];
        let rest = roll.length.unwrap_or_default() - far;
        if rest.is_positive() { kept_worth(self.wanted, roll, rest) } else { 0 }
    }

    fn area(&self, layout: &nest::Layout) -> Area {
        let places = layout.pulls.iter().flat_map(|pull| &pull.placements);
        places.map(|place| self.wanted.pieces[place.piece].area()).sum()
    }

    /// The same pulls, where another offcut holds them.
    fn as_it_lies(&self, layout: &nest::Layout, to: usize) -> Option<nest::Layout> {
        let roll = &self.wanted.rolls[to];
        let width = roll.width - self.wanted.cutting.edge_trim;
        let fits =
            layout.far_end() <= roll.length? && far_side(self.wanted, &layout.pulls) <= width;
        fits.then(|| nest::Layout { roll: to, ..layout.clone() })
    }

    /// The same pieces laid by the least length, where another offcut holds them so.
    fn anew(&mut self, layout: &nest::Layout, to: usize) -> Option<nest::Layout> {
        let wanted = self.wanted;
        let mut pieces: BTreeMap<usize, u64> = BTreeMap::new();
        for place in layout.pulls.iter().flat_map(|pull| &pull.placements) {
            *pieces.entry(place.piece).or_default() += 1;
        }
        if pieces.values().sum::<u64>() > MANY {
            return None;
        }
        let curved = pieces.keys().any(|&piece| wanted.pieces[piece].outline.is_some());
        self.tries = self.tries.checked_sub(if curved { CURVED } else { 1 })?;
        let pulls = nested(wanted, to, &pieces, (WORK, self.stop))?;
        let pulls = laid(&wanted.cutting, pulls.iter());
        let laid = nest::Layout { roll: to, copies: 1, pulls };
        (laid.far_end() <= wanted.rolls[to].length?).then_some(laid)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::wanted::sample;
    use crate::units::Angle;

    fn sheet(rolls: &[(i64, i64, bool)], piece: (i64, i64), quantity: u64) -> Wanted {
        let roll = |(at, &(width, length, shelf)): (usize, &(i64, i64, bool))| Roll {
            available: Some(1),
            shelf,
            ..sample::roll(&at.to_string(), (width, length))
        };
        let rolls = rolls.iter().enumerate().map(roll).collect();
        sample::sheet(rolls, vec![sample::piece("A1", piece, quantity)])
    }

    /// Pieces beside one another in one pull.
    fn row(wanted: &Wanted, roll: usize) -> nest::Layout {
        let piece = &wanted.pieces[0];
        let place = |k: u64| nest::Placement {
            piece: 0,
            x: piece.width * i64::try_from(k).unwrap(),
            y: Length::ZERO,
            turn: Angle::ZERO,
        };
        let placements = (0..piece.quantity).map(place).collect();
        let pulls = vec![nest::Pull { y: Length::ZERO, length: piece.length, placements }];
        nest::Layout { roll, copies: 1, pulls }
    }

    fn rolls(wanted: &Wanted, roll: usize) -> Vec<usize> {
        let moved = moved(wanted, &vec![row(wanted, roll)], &|| false);
        assert!(
            moved
                .iter()
                .all(|layout| layout.far_end() <= wanted.rolls[layout.roll].length.unwrap())
        );
        moved.iter().map(|layout| layout.roll).collect()
    }

    /// By hand: 900 x 950 mm from an offcut of 5 m leaves 4,050 mm of it and one of 1 m whole; from that of 1 m, 50 mm and
    /// 5 m whole.
    #[test]
    fn the_smallest_offcut_that_holds_it_is_cut() {
        let shelf = [(1000, 5000, true), (1000, 3000, true), (1000, 1000, true), (1000, 900, true)];
        assert_eq!(rolls(&sheet(&shelf, (900, 950), 1), 0), [2]);
        assert_eq!(rolls(&sheet(&shelf, (900, 950), 1), 2), [2]);
        // No roll is bought for it, and what is bought stays.
        let bought = [(1000, 5000, false), (1000, 1000, true)];
        assert_eq!(rolls(&sheet(&bought, (900, 950), 1), 0), [0]);
        let bought = [(1000, 5000, true), (1000, 1000, false)];
        assert_eq!(rolls(&sheet(&bought, (900, 950), 1), 0), [0]);
    }

    /// By hand: two pieces of 400 x 900 mm side by side in 5 m of 1000 mm; a strip of 450 x 1900 mm holds them behind one
    /// another, one of 450 x 1700 does not.
    #[test]
    fn pieces_are_laid_anew_on_a_narrower_offcut() {
        let pieces = |long| sheet(&[(1000, 5000, true), (450, long, true)], (400, 900), 2);
        assert_eq!(rolls(&pieces(1900), 0), [1]);
        assert_eq!(rolls(&pieces(1700), 0), [0]);
    }
}
