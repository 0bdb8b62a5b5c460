//! Pulls filled with blocks of interlocked long pieces, before anything else is laid.
//!
//! Steps: of all blocks that [`bricks`] lays within the longest pull of the
//! cheapest roll, the one that covers most of its length is taken, as often as its pieces last;
//! again from what is left, until the best covers too little. Blocks become pulls, the longest
//! first on the first roll that has room; all other pieces are then laid into what these pulls
//! leave free, or on pulls of their own ([`sheets`](super::sheets)).

use super::bricks;
use super::first::lengthwise;
use super::meter::Meter;
use super::number::whole;
use super::sheets::{Filled, Room, Sheet, by_cost};
use super::table::{Kit, Spot};
use crate::nest::{Instance, Watch};

/// A block that covers less is left to the search.
const LEAST: f64 = 0.72;

/// Rolls with pulls of blocks, and the pieces that are not on them, in their order; no more blocks
/// once the work is done, or what forbidden regions may take is.
pub fn lay(
    instance: &Instance,
    kit: &Kit,
    rooms: &[Room],
    order: &[usize],
    (work, meter): (u64, &mut Meter<'_>),
    watch: &dyn Watch,
) -> Option<(Vec<Filled>, Vec<usize>)> {
    if watch.stop() {
        return None;
    }
    let product = *by_cost(instance, rooms).first()?;
    let room = rooms[product];
    let fits = |&(_, way): &(usize, super::form::Way)| {
        let form = &kit.pairs.forms[way.form];
        form.width <= room.width && form.length <= room.pull
    };
    let items: Vec<_> = order
        .iter()
        .filter_map(|&piece| Some((piece, lengthwise(kit, piece)?)))
        .filter(fits)
        .collect();
    let mut kinds = bricks::kinds(kit, room.width, &items);
    kinds.retain(|kind| kind.lanes > 1);
    let mut sheets: Vec<Sheet> = Vec::new();
    let mut left = work.saturating_mul(super::strip::PER_STEP);
    while !kinds.is_empty() && !watch.stop() && left > 0 {
        let spent = (&mut left, &mut *meter);
        let block = bricks::block(kit, (room.width, room.pull), &kinds, spent, watch);
        let Some((spots, _)) = block.filter(|&(_, covered)| covered >= LEAST) else { break };
        let of = |piece: usize| spots.iter().filter(|s| s.piece == piece).count();
        let used = kinds.iter().filter(|k| of(k.piece) > 0);
        let Some(times) = used.map(|k| k.count / of(k.piece)).min().filter(|&n| n > 0) else {
            break;
        };
        for kind in &mut kinds {
            kind.count -= of(kind.piece) * times;
        }
        kinds.retain(|kind| kind.count > 0);
        let far = spots.iter().map(|s| s.y + kit.size(s.way.form).1).fold(0.0, f64::max);
        let sheet = Sheet { spots, length: whole(far) };
        sheets.extend(std::iter::repeat_n(sheet, times));
    }
    let available = instance.rolls[product].available.unwrap_or(u64::MAX);
    let rolls = on_rolls(kit, (product, &room), sheets, available);
    let mut laid = vec![0_usize; instance.pieces.len()];
    let spots = || rolls.iter().flat_map(|r| &r.sheets).flat_map(|s: &Sheet| &s.spots);
    spots().for_each(|spot: &Spot| laid[spot.piece] += 1);
    let mut rest = Vec::with_capacity(order.len());
    for &piece in order {
        if laid[piece] > 0 {
            laid[piece] -= 1;
        } else {
            rest.push(piece);
        }
    }
    (!rolls.is_empty()).then_some((rolls, rest))
}

/// The pulls on as few rolls as first fit needs; those beyond what is on hand are left out.
fn on_rolls(
    kit: &Kit,
    (product, room): (usize, &Room),
    mut sheets: Vec<Sheet>,
    available: u64,
) -> Vec<Filled> {
    let gap = kit.pairs.gap;
    sheets.sort_by_key(|sheet| std::cmp::Reverse(sheet.length));
    let mut rolls: Vec<(i64, Filled)> = Vec::new();
    for sheet in sheets.into_iter().filter(|sheet| sheet.length <= room.length) {
        let needed = sheet.length + gap;
        let more = u64::try_from(rolls.len()).is_ok_and(|count| count < available);
        match rolls.iter_mut().find(|(used, _)| used + sheet.length <= room.length) {
            Some((used, filled)) => {
                *used += needed;
                filled.sheets.push(sheet);
            }
            None if more => {
                rolls.push((needed, Filled { roll: product, sheets: vec![sheet] }));
            }
            None => {}
        }
    }
    rolls.into_iter().map(|(_, filled)| filled).collect()
}
