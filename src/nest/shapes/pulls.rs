//! Makes the pulls of filled rolls shorter.
//!
//! Each pull is a strip of its own ([`Strip::shorten`]). All are searched in rounds, each with work for its
//! pieces, twice as much from round to round, so that none is left out where a clock ends the search. Pulls
//! that are alike are searched once.

use super::number::{float, of_index, whole};
use super::sheets::{Filled, Room, Sheet};
use super::strip::{Laid, Strip};
use super::table::{Kit, Spot};
use crate::nest::Watch;
use rayon::prelude::*;
use std::sync::atomic::{AtomicI64, Ordering};

/// Work of the first round for a piece, in evaluated neighbours.
const FIRST: u64 = 1_000_000;

/// Shortens pulls side by side; tells by how much all of them are shorter whenever that grows.
pub fn shorten(
    kit: &Kit,
    rooms: &[Room],
    rolls: &mut [Filled],
    (seed, work): (u64, u64),
    watch: &dyn Watch,
    told: &(dyn Fn(i64) + Sync),
) {
    let mut kinds: Vec<(i64, Sheet, i64)> = Vec::new();
    for filled in rolls.iter() {
        let width = rooms[filled.roll].width;
        for sheet in &filled.sheets {
            match kinds.iter_mut().find(|kind| kind.0 == width && kind.1.spots == sheet.spots) {
                Some(kind) => kind.2 += 1,
                None => kinds.push((width, sheet.clone(), 1)),
            }
        }
    }
    let all: u64 = kinds.iter().map(|kind| of_index(kind.1.spots.len())).sum();
    let mut shortest: Vec<Sheet> = kinds.iter().map(|kind| kind.1.clone()).collect();
    let saved = AtomicI64::new(0);
    let (mut round, mut spent, mut each) = (0, 0_u64, FIRST);
    while all > 0 && spent < work && !watch.stop() {
        each = each.min((work - spent).div_ceil(all));
        shortest = shortest
            .into_par_iter()
            .zip(&kinds)
            .map(|(sheet, (width, _, copies))| {
                let strip = Strip { kit, width: *width, least: least(kit, *width, &sheet.spots) };
                let share = each.saturating_mul(of_index(sheet.spots.len()));
                let before = sheet.length;
                let first = Laid { spots: sheet.spots, length: before };
                let laid = strip.shorten(first, seed.wrapping_add(round), share, watch, &|_| {});
                let less = (before - laid.length) * copies;
                if less > 0 {
                    told(saved.fetch_add(less, Ordering::Relaxed) + less);
                }
                Sheet { spots: laid.spots, length: laid.length }
            })
            .collect();
        spent = spent.saturating_add(each.saturating_mul(all));
        each = each.saturating_mul(2);
        round += 1;
    }
    for filled in rolls {
        let width = rooms[filled.roll].width;
        for sheet in &mut filled.sheets {
            let kind = kinds.iter().position(|k| k.0 == width && k.1.spots == sheet.spots);
            if let Some(kind) = kind {
                *sheet = shortest[kind].clone();
            }
        }
    }
}

/// No layout of these pieces is shorter: by area, and by the longest piece as it lies shortest.
fn least(kit: &Kit, width: i64, spots: &[Spot]) -> i64 {
    let area: f64 = spots.iter().map(|spot| kit.area(spot.way.form)).sum();
    let shortest = |spot: &Spot| {
        let forms = kit.ways[spot.piece].iter().map(|way| &kit.pairs.forms[way.form]);
        forms.filter(|form| form.width <= width).map(|form| form.length).min()
    };
    let longest = spots.iter().filter_map(shortest).max().unwrap_or(0);
    whole((area / float(width)).floor()).max(longest)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::Quiet;
    use crate::nest::shapes::form::{Form, Way};
    use crate::nest::shapes::pairs::Pairs;
    use crate::units::Angle;

    #[test]
    fn like_pulls_are_shortened_alike_and_never_below_what_their_pieces_need() {
        // By hand: on a width of 60 two right triangles of 60 by 60 make a square, so four of them need 120;
        // they lie one behind another at first.
        let low = Form::new(vec![(0, 0), (60_000, 0), (0, 60_000)]);
        let high = Form::new(vec![(60_000, 0), (60_000, 60_000), (0, 60_000)]);
        let way = |form| Way { form, turn: Angle::from_degrees(0) };
        let kit = Kit::new(Pairs::new(vec![low, high], 0), vec![vec![way(0)], vec![way(1)]]);
        let room = Room { width: 60_000, length: 1_000_000, pull: 240_000 };
        let spots: Vec<Spot> = [0, 1, 0, 1]
            .iter()
            .zip([0, 60_000, 120_000, 180_000])
            .map(|(&piece, y)| Spot { piece, way: way(piece), x: 0.0, y: float(y) })
            .collect();
        let sheet = Sheet { spots, length: 240_000 };
        let mut rolls = vec![Filled { roll: 0, sheets: vec![sheet.clone(), sheet] }];
        let most = AtomicI64::new(0);
        let told = |saved: i64| {
            assert!(most.fetch_max(saved, Ordering::Relaxed) < saved);
        };
        shorten(&kit, &[room], &mut rolls, (1, 4_000_000), &Quiet, &told);
        let [one, two] = rolls[0].sheets.as_slice() else { panic!("two pulls") };
        assert_eq!((one.length, two.length), (120_000, 120_000));
        assert_eq!(one.spots, two.spots);
        assert_eq!(most.into_inner(), 240_000);
    }
}
