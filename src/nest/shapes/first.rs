//! The first layout of a strip: the shortest of several constructions.
//!
//! Steps: one piece after the other, the largest first ([`super::filling`]); and, where there
//! are long pieces, those in [`lanes`], in several orders and numbers of lanes: the
//! best of them are taken apart where they overlap ([`mod@super::separate`]), with more and
//! more room along the strip until that succeeds; the other pieces are filled in. Brickwork
//! ([`bricks`]) needs no taking apart; its last pieces are tried elsewhere, too.

use super::bricks;
use super::filling::Filling;
use super::form::Way;
use super::lanes::{self, Lanes};
use super::lot::Lot;
use super::number::{float, index, of_count, of_index, whole};
use super::separate::{Patience, separate};
use super::strip::{Laid, Strip};
use super::table::{Kit, Spot, Table};
use crate::nest::Watch;
use rayon::prelude::*;

/// Longer against its width than this, a piece may go into lanes.
const LONG: f64 = 2.5;
/// Above this many pieces, filling one after the other is left to the lanes.
const MANY: usize = 300;

/// How many layouts in brickwork are kept.
const WALLS: usize = 4;
/// How many lane layouts are taken apart.
const TRIED: usize = 2;
/// Shares of their length by which they are stretched for it.
const STRETCH: [f64; 4] = [0.0, 0.06, 0.1, 0.16];
/// Work on one of them, in evaluated neighbours.
const WORK: u64 = 100_000_000;
/// Filling may take so much in any case, in the same measure.
const LEAST: u64 = 20_000_000;

/// The shortest first layout found for pieces in their order, on a strip of this width.
pub fn shortest(
    strip: &Strip<'_>,
    order: &[usize],
    (seed, work): (u64, u64),
    watch: &dyn Watch,
) -> Option<Laid> {
    let kit = strip.kit;
    let (long, others): (Vec<usize>, Vec<usize>) =
        order.iter().partition(|&&piece| lengthwise(kit, piece).is_some());
    let items: Vec<(usize, Way)> =
        long.iter().filter_map(|&piece| Some((piece, lengthwise(kit, piece)?))).collect();
    let mut all = brickwork(strip, &items, &others, (seed, work), watch);
    let shortest = all.iter().map(|laid| laid.length).min().map_or(f64::INFINITY, float);
    let mut tight: Vec<(f64, f64, Vec<Spot>)> = Vec::new();
    for lanes in choices(kit, strip.width, &items) {
        for items in lanes::orders(kit, items.clone()) {
            if watch.stop() {
                break;
            }
            let (spots, over) = lanes::lay(kit, strip.width, &items, lanes);
            // What reaches over the edge needs room elsewhere: its share of the sheet's width.
            let far = kit.far(&spots);
            let mean = far / of_count(items.len().max(1)) * of_count(lanes.count);
            tight.push((far + over / float(strip.width) * mean, over, spots));
        }
    }
    // Lanes that promise less than brickwork are not taken apart.
    tight.retain(|t| t.0 < shortest);
    tight.sort_by(|a, b| a.0.total_cmp(&b.0));
    // The shortest that needs no taking apart is held in any case.
    let loose = tight.iter().position(|t| t.1 <= 0.0).filter(|&k| k >= TRIED);
    let held = loose.map(|k| tight.swap_remove(k));
    tight.truncate(TRIED);
    tight.extend(held);
    let attempts: Vec<Option<Laid>> = tight
        .into_par_iter()
        .enumerate()
        .map(|(number, (_, _, spots))| {
            let mut lot = Lot::new(seed, u64::MAX - of_index(number));
            let laid = loosen(strip, &spots, WORK.min(work / 8), &mut lot, watch)?;
            fill_up(strip, laid.spots, &others, work, watch)
        })
        .collect();
    all.extend(attempts.into_iter().flatten());
    if order.len() <= MANY || all.is_empty() {
        all.extend(fill_up(strip, Vec::new(), order, work, watch));
    }
    all.into_iter().min_by_key(|laid| laid.length)
}

/// Layouts of the long pieces in brickwork, the others filled in; also with the pieces that reach
/// farthest taken out and filled in like others.
fn brickwork(
    strip: &Strip<'_>,
    items: &[(usize, Way)],
    others: &[usize],
    (seed, work): (u64, u64),
    watch: &dyn Watch,
) -> Vec<Laid> {
    let kit = strip.kit;
    let kinds = bricks::kinds(kit, strip.width, items);
    if kinds.is_empty() || kinds.iter().any(|kind| kind.lanes == 0) {
        return Vec::new();
    }
    let walls = bricks::search(kit, strip.width, &kinds, WALLS, (seed, WORK.min(work / 4)), watch);
    let most = kinds.iter().map(|kind| kind.lanes).max().unwrap_or(1);
    let mut tries: Vec<(usize, usize)> = (0..walls.len()).map(|wall| (wall, 0)).collect();
    tries.extend((1..=most).map(|out| (0, out)));
    let laid = tries.into_par_iter().filter_map(|(wall, out)| {
        let mut spots = walls[wall].clone();
        let end = |s: &Spot| s.y + kit.size(s.way.form).1;
        spots.sort_by(|a, b| end(a).total_cmp(&end(b)));
        let taken = spots.split_off(spots.len().saturating_sub(out));
        let rest: Vec<usize> =
            taken.iter().map(|s| s.piece).chain(others.iter().copied()).collect();
        fill_up(strip, spots, &rest, work, watch)
    });
    laid.collect()
}

/// Takes a layout apart with as little stretching as possible.
fn loosen(
    strip: &Strip<'_>,
    spots: &[Spot],
    work: u64,
    lot: &mut Lot,
    watch: &dyn Watch,
) -> Option<Laid> {
    let far = strip.kit.far(spots);
    STRETCH.iter().find_map(|share| {
        let stretched = spots.iter().map(|s| Spot { y: s.y * (1.0 + share), ..*s }).collect();
        let sheet = [float(strip.width), (far * (1.0 + share)).ceil()];
        let mut table = Table::new(strip.kit, sheet, stretched);
        let patience = Patience { rounds: if *share > 0.0 { 60 } else { 0 }, tries: 1, work };
        let apart = separate(&mut table, patience, lot, watch);
        apart.then(|| strip.laid(&table.spots, sheet[1])).flatten()
    })
}

/// The way in which a piece is longest along the strip, where it is long.
pub fn lengthwise(kit: &Kit, piece: usize) -> Option<Way> {
    let ratio = |way: &Way| {
        let (w, l) = kit.size(way.form);
        l / w
    };
    let best = kit.ways[piece].iter().max_by(|a, b| ratio(a).total_cmp(&ratio(b)))?;
    (ratio(best) >= LONG).then_some(*best)
}

/// Numbers of lanes, from what bounding boxes allow to what areas allow, each with no shift and
/// with half the length of the longest and the shortest piece.
fn choices(kit: &Kit, width: i64, items: &[(usize, Way)]) -> Vec<Lanes> {
    let lengths = || items.iter().map(|i| kit.pairs.forms[i.1.form].length);
    let (Some(longest), Some(shortest)) = (lengths().max(), lengths().min()) else {
        return Vec::new();
    };
    let mean: f64 =
        items.iter().map(|i| kit.area(i.1.form)).sum::<f64>() / lengths().map(float).sum::<f64>();
    let widest = items.iter().map(|i| kit.pairs.forms[i.1.form].width).max().unwrap_or(1);
    let few = usize::try_from(width / widest.max(1)).unwrap_or(1).max(1);
    let many = index(float(width) / mean, 1000).max(few);
    let mut aheads = vec![longest / 2, shortest / 2, 0];
    aheads.dedup();
    (few..=many)
        .rev()
        .take(8)
        .flat_map(|count| aheads.iter().map(move |&ahead| Lanes { count, ahead }))
        .collect()
}

/// Fills pieces in; once stopped or out of work, row by row behind everything else.
fn fill_up(
    strip: &Strip<'_>,
    spots: Vec<Spot>,
    rest: &[usize],
    work: u64,
    watch: &dyn Watch,
) -> Option<Laid> {
    let mut filling = Filling::new(strip.kit, strip.width, spots, rest.len());
    for &piece in rest {
        if watch.stop() || filling.spent > work.max(LEAST) {
            filling.behind(piece)?;
        } else {
            filling.place(piece)?;
        }
    }
    let spots = filling.done();
    let length = whole(strip.kit.far(&spots));
    Some(Laid { spots, length })
}
