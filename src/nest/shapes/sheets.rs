//! Rolls being filled: which pulls each has, and what lies on them.

use super::fill;
use super::meter::Meter;
use super::number::{float, whole};
use super::table::{Kit, Spot};
use crate::nest::Instance;
use crate::units::Length;

/// A pull being filled.
#[derive(Clone, Debug, Default)]
pub struct Sheet {
    /// What lies on it.
    pub spots: Vec<Spot>,
    /// How long it is so far, in nanometres.
    pub length: i64,
}

/// A roll being filled.
#[derive(Clone, Debug)]
pub struct Filled {
    /// Index into the instance's rolls.
    pub roll: usize,
    /// Its pulls.
    pub sheets: Vec<Sheet>,
}

/// What a roll offers.
#[derive(Clone, Copy, Debug)]
pub struct Room {
    /// Width between the trimmed edges.
    pub width: i64,
    /// Length after the square cut.
    pub length: i64,
    /// The longest pull.
    pub pull: i64,
}

/// Longer than any layout: 900 km, in nanometres.
const ENDLESS: i64 = 900_000_000_000_000;

impl Room {
    /// For each roll of the instance.
    pub fn all(instance: &Instance) -> Vec<Self> {
        let cutting = &instance.cutting;
        let limit = cutting.pull_limit.map_or(ENDLESS, Length::nm);
        let room = |roll: &crate::nest::Roll| {
            let length = roll.length.map_or(ENDLESS, |l| (l - cutting.square_cut).nm());
            let width = (roll.width - cutting.edge_trim * 2).nm();
            Self { width, length, pull: limit.min(length) }
        };
        instance.rolls.iter().map(room).collect()
    }

    /// Whether a piece can lie on it at all.
    pub fn takes(&self, kit: &Kit, piece: usize) -> bool {
        kit.ways[piece].iter().any(|way| {
            let form = &kit.pairs.forms[way.form];
            form.width <= self.width && form.length <= self.pull
        })
    }
}

impl Filled {
    /// How long a pull may grow.
    pub fn limit(&self, room: &Room, sheet: usize, gap: i64) -> i64 {
        let others: i64 = (0..self.sheets.len())
            .filter(|&k| k != sheet)
            .map(|k| self.sheets[k].length + gap)
            .sum();
        room.pull.min(room.length - others)
    }
}

/// Lays pieces on rolls one after the other, each where it lengthens a pull least; opens pulls
/// and rolls as needed, and goes on from what lies on `rolls`;
/// gives up when it is to stop, has met more pairs of forms than the meter allows, or a piece finds no room,
/// if that is allowed. Says how many found no room on the rolls on hand: some, where it gave up.
pub fn fill(
    instance: &Instance,
    kit: &Kit,
    rooms: &[Room],
    order: &[usize],
    mut rolls: Vec<Filled>,
    (stop, give_up): (&dyn Fn() -> bool, bool),
    meter: &mut Meter<'_>,
) -> (Vec<Filled>, u64) {
    let gap = instance.cutting.gap.nm();
    let products = by_cost(instance, rooms);
    let mut left: Vec<u64> =
        instance.rolls.iter().map(|r| r.available.unwrap_or(u64::MAX)).collect();
    for filled in &rolls {
        left[filled.roll] = left[filled.roll].saturating_sub(1);
    }
    // For each piece, pulls (roll and number) that had no room for it: they will not have any.
    let mut full: Vec<Vec<(usize, usize)>> = vec![Vec::new(); instance.pieces.len()];
    let mut missing = 0;
    for &piece in order {
        if give_up && (stop() || meter.over()) {
            return (rolls, u64::MAX);
        }
        let mut best: Option<(i64, usize, usize, Spot)> = None;
        for (r, filled) in rolls.iter().enumerate() {
            let room = &rooms[filled.roll];
            for s in 0..=filled.sheets.len() {
                let stopped = stop() || meter.over();
                if full[piece].contains(&(r, s)) || (stopped && best.is_some()) {
                    continue;
                }
                let limit = filled.limit(room, s, gap);
                let empty = Sheet::default();
                let sheet = filled.sheets.get(s).unwrap_or(&empty);
                let size = [float(room.width), float(limit)];
                let how = if stopped { fill::behind } else { fill::place };
                if !stopped {
                    meter.place(kit, piece, &sheet.spots);
                }
                let found = how(kit, size, &sheet.spots, piece)
                    .filter(|spot| spot.y + kit.size(spot.way.form).1 <= size[1]);
                let Some(spot) = found else {
                    if s < filled.sheets.len() {
                        full[piece].push((r, s));
                    }
                    continue;
                };
                let far = whole(spot.y + kit.size(spot.way.form).1);
                let longer = (far - sheet.length).max(0);
                if best.as_ref().is_none_or(|b| longer < b.0) {
                    best = Some((longer, r, s, spot));
                }
            }
            if best.as_ref().is_some_and(|b| b.0 == 0) {
                break;
            }
        }
        let target = best.map(|(_, r, s, spot)| (r, s, spot)).or_else(|| {
            let k = *products.iter().find(|&&k| left[k] > 0 && rooms[k].takes(kit, piece))?;
            left[k] -= 1;
            rolls.push(Filled { roll: k, sheets: Vec::new() });
            let size = [float(rooms[k].width), float(rooms[k].pull)];
            fill::place(kit, size, &[], piece).map(|spot| (rolls.len() - 1, 0, spot))
        });
        let Some((r, s, spot)) = target else {
            missing += 1;
            if give_up {
                break;
            }
            continue;
        };
        if s == rolls[r].sheets.len() {
            rolls[r].sheets.push(Sheet::default());
        }
        let sheet = &mut rolls[r].sheets[s];
        sheet.length = sheet.length.max(whole(spot.y + kit.size(spot.way.form).1));
        sheet.spots.push(spot);
    }
    (rolls, missing)
}

/// The rolls on offer, the cheapest for its usable area first; where rolls are counted, the
/// largest.
pub fn by_cost(instance: &Instance, rooms: &[Room]) -> Vec<usize> {
    let area = |k: usize| i128::from(rooms[k].width.max(0)) * i128::from(rooms[k].length.max(0));
    let cost = |k: usize| i128::from(instance.rolls[k].cost(instance.objective));
    let ratio = |k: usize| {
        let (cost, area) = (cost(k), area(k));
        // Price for a square metre in micros; whole, so the order is exact enough and total.
        cost.saturating_mul(1_000_000_000_000_000_000_000_000) / area.max(1)
    };
    let mut order: Vec<usize> = (0..rooms.len()).filter(|&k| area(k) > 0).collect();
    order.sort_by_key(|&k| (ratio(k), k));
    order
}
