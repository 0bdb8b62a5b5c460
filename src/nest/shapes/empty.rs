//! Saves a roll by finding room for its pieces on the others.
//!
//! Steps: take the roll with the least on it; put each of its pieces, the largest first, on a
//! pull with enough free area (or a new one), wherever a lot says, and take the overlaps apart
//! ([`separate`](super::separate)) within the length that the pull may grow to; if all of them
//! find room, the roll is not needed. Where one cannot be emptied so, two rolls of one pull each whose pieces
//! one could hold by area are searched for on a strip until it is short enough ([`strip`](mod@super::strip)). Again until
//! neither succeeds, a few times over with other lots.

use super::first;
use super::lot::Lot;
use super::meter::Meter;
use super::number::{float, whole};
use super::repair::repair;
use super::separate::{Patience, separate};
use super::sheets::{Filled, Room, Sheet};
use super::strip::Strip;
use super::table::{Kit, Spot, Table};
use crate::nest::Watch;

/// Work on one piece and pull, in evaluated neighbours.
const ONE: u64 = 20_000_000;
/// How often a roll may fail to be emptied.
const FAILURES: u32 = 4;
/// So many pairs of rolls are joined at most, the emptiest first, each with this part of the work.
const PAIRS: usize = 3;
const OF_PAIR: u64 = 8;

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
    let (mut spent, mut failures) = (0, 0);
    while filled.len() > 1 {
        let least = (0..filled.len()).min_by(|&a, &b| {
            area(kit, &filled[a]).total_cmp(&area(kit, &filled[b])).then(b.cmp(&a))
        });
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
        if all {
            *filled = others;
        } else {
            let means = (&mut spent, &mut *meter);
            let joined = failures == 0 && joined(kit, rooms, filled, (seed, work), watch, means);
            failures += u32::from(!joined);
            if failures == FAILURES || spent >= work || watch.stop() {
                return;
            }
            if !joined {
                continue;
            }
        }
        told(filled);
    }
}

/// The area of a roll's pieces.
fn area(kit: &Kit, filled: &Filled) -> f64 {
    kit.area_of(filled.sheets.iter().flat_map(|sheet| &sheet.spots))
}

/// Whether a pull of this size may hold pieces of so much area: sums of what fills it exactly may be a little off.
fn holds(size: [f64; 2], area: f64) -> bool {
    area <= size[0] * size[1] * (1.0 + 1e-9)
}

/// Puts the pieces of two rolls of one pull each on one of them, if a strip of them is found short enough.
fn joined(
    kit: &Kit,
    rooms: &[Room],
    filled: &mut Vec<Filled>,
    (seed, work): (u64, u64),
    watch: &dyn Watch,
    (spent, meter): (&mut u64, &mut Meter<'_>),
) -> bool {
    let single: Vec<usize> = (0..filled.len()).filter(|&r| filled[r].sheets.len() == 1).collect();
    // Which roll is kept, which goes, and how much they hold together.
    let mut pairs: Vec<(usize, usize, f64)> = Vec::new();
    for &keep in &single {
        for &goes in single.iter().filter(|&&goes| goes != keep) {
            let room = &rooms[filled[keep].roll];
            let both = area(kit, &filled[keep]) + area(kit, &filled[goes]);
            let like = filled[keep].roll == filled[goes].roll && goes < keep;
            if !like
                && both <= float(room.width) * float(filled[keep].limit(room, 0, kit.pairs.gap))
            {
                pairs.push((keep, goes, both));
            }
        }
    }
    pairs.sort_by(|a, b| a.2.total_cmp(&b.2));
    for (keep, goes, _) in pairs.into_iter().take(PAIRS) {
        let room = &rooms[filled[keep].roll];
        let limit = filled[keep].limit(room, 0, kit.pairs.gap);
        let spots = [keep, goes].into_iter().flat_map(|r| &filled[r].sheets[0].spots);
        let mut order: Vec<usize> = spots.map(|spot| spot.piece).collect();
        kit.largest_first(&mut order);
        let part = work / OF_PAIR;
        if *spent >= work || watch.stop() || !meter.search(kit, order.iter().copied()) {
            return false;
        }
        *spent = spent.saturating_add(part);
        let strip = Strip { kit, width: room.width, least: limit };
        let Some(first) = first::shortest(&strip, &order, (seed, part), watch) else { continue };
        let laid = strip.shorten(first, seed, part, watch, &|_| {});
        if laid.length <= limit {
            filled[keep].sheets = vec![Sheet { spots: laid.spots, length: laid.length }];
            filled.remove(goes);
            return true;
        }
    }
    false
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
    let lies = kit.area_of(&sheet.spots);
    let (w, l) = kit.size(spot.way.form);
    let fits = w <= size[0] && l <= size[1];
    if !fits || !holds(size, lies + kit.area(spot.way.form)) {
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

#[cfg(test)]
mod tests {
    use crate::nest::sample::instance;
    use crate::nest::{Options, Quiet, solve};

    /// Four pieces that fill a roll exactly: pieces put on one by one, each somewhere, fail with this seed; as a
    /// strip they are soon found short enough.
    #[test]
    fn two_rolls_are_joined_where_one_just_holds_all() {
        let text = r#"{"name":"rolls","objective":"rolls","rolls":[{"id":"A","width":300,"length":400}],"pieces":[
            {"id":"p0","width":100,"length":100,"quantity":2,"turns":[0]},
            {"id":"p1","width":200,"length":200,"quantity":1,"turns":[0]},
            {"id":"p2","outline":[[100,0],[100,100],[0,100],[0,200],[300,200],[300,0],[200,0],[200,-100],[100,-100]],
             "quantity":1,"turns":[0,90,180,270]}],"cutting":{"style":"free"}}"#;
        let found = |work: u64| {
            let options = Options { seed: 1, work };
            let nesting = solve(&instance(text), &options, &Quiet).unwrap();
            nesting.layouts.iter().map(|layout| layout.copies).sum::<u64>()
        };
        assert_eq!([found(100_000), found(300_000)], [1, 1]);
    }
}
