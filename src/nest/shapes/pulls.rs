//! Makes the pulls of filled rolls shorter.
//!
//! Each pull is a strip of its own ([`Strip::shorten`]). All are searched in rounds, each with work for its
//! pieces, twice as much from round to round, so that none is left out where a clock ends the search. Pulls
//! that are alike are searched once; those whose forms would take more than is allowed to work out are left as they are
//! ([`Meter`]).

use super::bound;
use super::meter::Meter;
use super::number::of_index;
use super::sheets::{Filled, Room, Sheet};
use super::strip::{Laid, Strip};
use super::table::Kit;
use crate::nest::Watch;
use crate::nest::watch::{Share, left};
use rayon::prelude::*;
use std::sync::atomic::{AtomicI64, Ordering};

/// Work of the first round for a piece, in evaluated neighbours.
const FIRST: u64 = 1_000_000;
/// With less for a piece pulls stay as they are: moving all pieces of a pull once takes more than that.
const LEAST: u64 = 1_000;

/// Shortens pulls side by side; tells by how much all of them are shorter whenever that grows.
pub fn shorten(
    kit: &Kit,
    rooms: &[Room],
    rolls: &mut [Filled],
    (seed, work): (u64, u64),
    watch: &dyn Watch,
    meter: &mut Meter<'_>,
    told: &(dyn Fn(i64) + Sync),
) {
    // Strips and their copies, what lies on each, and which of them every pull is.
    let mut kinds: Vec<(Strip<'_>, i64)> = Vec::new();
    let mut shortest: Vec<Sheet> = Vec::new();
    let mut of: Vec<usize> = Vec::new();
    for filled in rolls.iter() {
        let width = rooms[filled.roll].width;
        for sheet in &filled.sheets {
            let alike = |k: &usize| kinds[*k].0.width == width && shortest[*k].spots == sheet.spots;
            let kind = (0..kinds.len()).find(alike).unwrap_or(kinds.len());
            if kind == kinds.len() {
                let least = bound::least(kit, width, sheet.spots.iter().map(|spot| spot.piece));
                kinds.push((Strip { kit, width, least }, 0));
                shortest.push(sheet.clone());
            }
            kinds[kind].1 += 1;
            of.push(kind);
        }
    }
    // Pulls whose pieces would take too long to learn about each other stay as they are.
    let searched: Vec<bool> = shortest
        .iter()
        .map(|sheet| meter.search(kit, sheet.spots.iter().map(|spot| spot.piece)))
        .collect();
    let pieces = |(sheet, searched): (&Sheet, &bool)| {
        if *searched { of_index(sheet.spots.len()) } else { 0 }
    };
    let all: u64 = shortest.iter().zip(&searched).map(pieces).sum();
    let saved = AtomicI64::new(0);
    let (mut round, mut spent, mut each) = (0, 0_u64, FIRST);
    let enough = all > 0 && work / all >= LEAST;
    let time = Share::all(watch);
    while enough && !watch.stop() {
        let left = left(&time, work, spent);
        if left == 0 {
            break;
        }
        each = each.min(left.div_ceil(all));
        shortest = shortest
            .into_par_iter()
            .zip(kinds.par_iter().zip(&searched))
            .map(|(sheet, ((strip, copies), searched))| {
                if !searched {
                    return sheet;
                }
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
    for (sheet, kind) in rolls.iter_mut().flat_map(|filled| &mut filled.sheets).zip(of) {
        sheet.clone_from(&shortest[kind]);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::Quiet;
    use crate::nest::shapes::form::{Form, Way};
    use crate::nest::shapes::number::float;
    use crate::nest::shapes::pairs::Pairs;
    use crate::nest::shapes::table::Spot;
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
        let mut meter = Meter::unlimited(&kit.pairs);
        shorten(&kit, &[room], &mut rolls, (1, 4_000_000), &Quiet, &mut meter, &told);
        let [one, two] = rolls[0].sheets.as_slice() else { panic!("two pulls") };
        assert_eq!((one.length, two.length), (120_000, 120_000));
        assert_eq!(one.spots, two.spots);
        assert_eq!(most.into_inner(), 240_000);
    }
}
