//! Deals the pieces of a few pulls anew, where pulls are limited and their lengths count.
//!
//! Which pieces lie in which pull was settled when they were filled; shortening each pull by itself does not
//! change it. Steps, for two or three pulls by lot:
//!
//! 1. all their pieces as one strip, made short: one pull, if it is no longer than the limit;
//! 2. or their pieces filled into pulls anew in another order, the larger first more or less, and those made
//!    short, if they promise to be shorter.
//!
//! What is shorter stays. Ends after many tries without a gain.

use super::bound;
use super::lot::Lot;
use super::number::{float, index, of_count, of_index};
use super::sheets::{Filled, Room, Sheet, fill};
use super::strip::{Laid, PER_STEP, Strip};
use super::table::{Kit, Spot};
use crate::nest::{Instance, Watch};

/// Work for each piece of the pulls at hand, in evaluated neighbours.
const FOR_A_PIECE: u64 = 250_000;

/// Work for one place looked for while pulls are filled.
const FOR_A_PLACE: u64 = 500 * PER_STEP;

/// Pulls filled anew are made short if they are no longer than this share of those before.
const PROMISING: f64 = 1.15;

/// By how much a piece's area counts otherwise, by lot, when an order is made.
const OTHERWISE: (f64, f64) = (0.5, 1.5);

/// Tries without a gain for each pair of pulls before all is left as it is.
const PATIENCE: usize = 12;

/// Deals pieces of the only roll's pulls; tells by how much all of them are shorter whenever that grows.
pub fn deal(
    (instance, kit, rooms): (&Instance, &Kit, &[Room]),
    rolls: &mut [Filled],
    (seed, work): (u64, u64),
    watch: &dyn Watch,
    told: &(dyn Fn(i64) + Sync),
) {
    let [filled] = rolls else { return };
    let dealer = Dealer { instance, kit, rooms, room: rooms[filled.roll], watch };
    let mut lot = Lot::new(seed, of_index(filled.sheets.len()));
    let (mut saved, mut spent, mut idle) = (0, 0_u64, 0);
    while filled.sheets.len() > 1 && spent < work && !watch.stop() {
        let many = filled.sheets.len();
        if idle > PATIENCE * many * (many - 1) / 2 {
            break;
        }
        let picked = pick(many, &mut lot);
        let before: Vec<Sheet> = picked.iter().map(|&at| filled.sheets[at].clone()).collect();
        let pieces = before.iter().map(|sheet| sheet.spots.len()).sum::<usize>();
        spent = spent.saturating_add(FOR_A_PLACE * of_index(pieces));
        idle += 1;
        let Some((after, used)) = dealer.anew(&before, &mut lot) else { continue };
        spent = spent.saturating_add(used);
        let less = dealer.length(&before) - dealer.length(&after);
        if less > 0 {
            idle = 0;
            saved += less;
            told(saved);
            let mut at = 0..;
            filled.sheets.retain(|_| at.next().is_none_or(|at| !picked.contains(&at)));
            filled.sheets.extend(after);
        }
    }
}

/// Two or three of so many, by lot.
fn pick(many: usize, lot: &mut Lot) -> Vec<usize> {
    let want = (2 + usize::from(lot.below(3) == 0)).min(many);
    let mut picked = Vec::with_capacity(want);
    while picked.len() < want {
        let at = lot.below(many);
        if !picked.contains(&at) {
            picked.push(at);
        }
    }
    picked
}

struct Dealer<'a> {
    instance: &'a Instance,
    kit: &'a Kit,
    rooms: &'a [Room],
    room: Room,
    watch: &'a dyn Watch,
}

impl Dealer<'_> {
    /// What pulls take of the roll.
    fn length(&self, sheets: &[Sheet]) -> i64 {
        sheets.iter().map(|sheet| sheet.length + self.kit.pairs.gap).sum()
    }

    /// Other pulls with the same pieces, and the work they took; nothing where they promise nothing.
    fn anew(&self, sheets: &[Sheet], lot: &mut Lot) -> Option<(Vec<Sheet>, u64)> {
        if lot.below(2) == 0 {
            let (one, used) = self.joined(sheets, lot)?;
            return Some((vec![one], used));
        }
        let mut order: Vec<(f64, usize)> = sheets
            .iter()
            .flat_map(|sheet| &sheet.spots)
            .map(|spot| {
                let area = self.kit.area(spot.way.form);
                (area * lot.between(OTHERWISE.0, OTHERWISE.1), spot.piece)
            })
            .collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let order: Vec<usize> = order.into_iter().map(|(_, piece)| piece).collect();
        let stop = || self.watch.stop();
        let (filled, missing) =
            fill(self.instance, self.kit, self.rooms, &order, Vec::new(), (&stop, false));
        let [filled] = <[Filled; 1]>::try_from(filled).ok()?;
        let promising = float(self.length(sheets)) * PROMISING;
        if missing > 0 || float(self.length(&filled.sheets)) > promising {
            return None;
        }
        let mut used = 0;
        let short = |sheet: Sheet| {
            let laid = Laid { spots: sheet.spots, length: sheet.length };
            let (laid, work) = self.short(laid, lot);
            used += work;
            Sheet { spots: laid.spots, length: laid.length }
        };
        let after = filled.sheets.into_iter().map(short).collect();
        Some((after, used))
    }

    /// All pieces in one pull.
    fn joined(&self, sheets: &[Sheet], lot: &mut Lot) -> Option<(Sheet, u64)> {
        let pieces = sheets.iter().flat_map(|sheet| &sheet.spots).map(|spot| spot.piece);
        if bound::least(self.kit, self.room.width, pieces) > self.room.pull {
            return None;
        }
        let mut spots = Vec::new();
        let mut length = 0;
        for sheet in sheets {
            let behind = |spot: &Spot| Spot { y: spot.y + float(length), ..*spot };
            spots.extend(sheet.spots.iter().map(behind));
            length += sheet.length + self.kit.pairs.gap;
        }
        let length = length - self.kit.pairs.gap;
        let (laid, used) = self.short(Laid { spots, length }, lot);
        let sheet = Sheet { spots: laid.spots, length: laid.length };
        (sheet.length <= self.room.pull).then_some((sheet, used))
    }

    /// Made short, and the work for it.
    fn short(&self, laid: Laid, lot: &mut Lot) -> (Laid, u64) {
        let pieces = laid.spots.iter().map(|spot| spot.piece);
        let least = bound::least(self.kit, self.room.width, pieces);
        let strip = Strip { kit: self.kit, width: self.room.width, least };
        let work = FOR_A_PIECE * of_index(laid.spots.len());
        let seed = index(lot.share() * of_count(1 << 30), 1 << 30);
        (strip.shorten(laid, of_index(seed), work, self.watch, &|_| {}), work)
    }
}
