//! Saves a roll by finding room for its pieces on the others.
//!
//! Steps: take the roll with the least on it; put each of its pieces, the largest first, on a
//! pull with enough free area (or a new one), wherever a lot says, and take the overlaps apart
//! ([`separate`](super::separate)) within the length that the pull may grow to; if all of them
//! find room, the roll is not needed. Again until one cannot be emptied.

use super::lot::Lot;
use super::meter::Meter;
use super::number::{float, whole};
use super::repair::repair;
use super::separate::{Patience, separate};
use super::sheets::{Filled, Room, Sheet};
use super::table::{Kit, Spot, Table};
use crate::nest::Watch;

/// Work on one piece and pull, in evaluated neighbours.
const ONE: u64 = 20_000_000;

/// Empties rolls while that succeeds and the work lasts; tells after each.
pub fn rolls(
    kit: &Kit,
    rooms: &[Room],
    filled: &mut Vec<Filled>,
    (seed, work): (u64, u64),
    watch: &dyn Watch,
    meter: &mut Meter<'_>,
    told: &dyn Fn(&[Filled]),
) {
    let mut lot = Lot::new(seed, 0);
    let mut spent = 0;
    loop {
        let area = |f: &Filled| -> f64 {
            f.sheets.iter().flat_map(|s| &s.spots).map(|s| kit.area(s.way.form)).sum()
        };
        let least = (0..filled.len())
            .min_by(|&a, &b| area(&filled[a]).total_cmp(&area(&filled[b])).then(b.cmp(&a)));
        let Some(least) = least else { return };
        let mut others = filled.clone();
        let mut pieces: Vec<Spot> =
            others.remove(least).sheets.into_iter().flat_map(|s| s.spots).collect();
        pieces.sort_by(|a, b| kit.area(b.way.form).total_cmp(&kit.area(a.way.form)));
        let mut moved = pieces.into_iter();
        let all = moved.all(|spot| {
            (0..others.len()).any(|r| {
                let room = &rooms[others[r].roll];
                (0..=others[r].sheets.len()).any(|s| {
                    let spent = (&mut spent, &mut *meter);
                    *spent.0 < work
                        && !watch.stop()
                        && insert(kit, room, &mut others[r], s, spot, &mut lot, watch, spent)
                })
            })
        });
        if !all || others.is_empty() {
            return;
        }
        *filled = others;
        told(filled);
    }
}

/// Finds room for a piece on a pull. The pull is as before if there is none.
#[expect(clippy::too_many_arguments, reason = "the search's means and one place")]
fn insert(
    kit: &Kit,
    room: &Room,
    filled: &mut Filled,
    number: usize,
    spot: Spot,
    lot: &mut Lot,
    watch: &dyn Watch,
    (spent, meter): (&mut u64, &mut Meter<'_>),
) -> bool {
    let limit = filled.limit(room, number, kit.pairs.gap);
    let empty = Sheet::default();
    let sheet = filled.sheets.get(number).unwrap_or(&empty);
    let size = [float(room.width), float(limit)];
    let lies: f64 = sheet.spots.iter().map(|s| kit.area(s.way.form)).sum();
    let (w, l) = kit.size(spot.way.form);
    let fits = w <= size[0] && l <= size[1];
    if !fits || lies + kit.area(spot.way.form) > size[0] * size[1] {
        return false;
    }
    let pieces = sheet.spots.iter().map(|spot| spot.piece).chain([spot.piece]);
    if !meter.search(kit, pieces) {
        return false;
    }
    let mut spots = sheet.spots.clone();
    let (x, y) = (lot.between(0.0, size[0] - w), lot.between(0.0, size[1] - l));
    // A pull of its own begins with it.
    let (x, y) = if spots.is_empty() { (0.0, 0.0) } else { (x, y) };
    spots.push(Spot { x, y, ..spot });
    let mut table = Table::new(kit, size, spots);
    let apart = separate(&mut table, Patience { rounds: 40, tries: 1, work: ONE }, lot, watch);
    *spent += table.work.max(1000);
    let whole_size = (room.width, limit);
    let Some(places) = apart.then(|| repair(kit, whole_size, &table.spots)).flatten() else {
        return false;
    };
    let spots: Vec<Spot> = table
        .spots
        .iter()
        .zip(places)
        .map(|(s, p)| Spot { x: float(p.0), y: float(p.1), ..*s })
        .collect();
    let far = kit.far(&spots);
    let sheet = Sheet { spots, length: whole(far) };
    match filled.sheets.get_mut(number) {
        Some(old) => *old = sheet,
        None => filled.sheets.push(sheet),
    }
    true
}
