//! Deals the pieces of a few pulls anew, where pulls are limited and their lengths count.
//!
//! Which pieces lie in which pull was settled when they were filled; shortening each pull by itself does not
//! change it. Steps, for two or three pulls by lot:
//!
//! 1. all their pieces as one strip, made short: one pull, if it is no longer than the limit;
//! 2. or their pieces filled into pulls anew in another order, the larger first more or less, and those made
//!    short, if they promise to be shorter;
//! 3. or a few pieces go to the end of another of these pulls, few pieces all to any by lot, and all are made
//!    short.
//!
//! What is shorter stays. Ends after many tries without a gain.

use super::bound;
use super::lot::Lot;
use super::meter::Meter;
use super::number::{float, index, of_count, of_index, whole};
use super::sheets::{Filled, Room, Sheet, fill};
use super::strip::{Laid, PER_STEP, Strip};
use super::table::{Kit, Spot};
use crate::nest::{Instance, Watch};

/// Work for each piece of the pulls at hand, in evaluated neighbours.
const FOR_A_PIECE: u64 = 120_000;

/// Work for one place looked for while pulls are filled.
const FOR_A_PLACE: u64 = 500 * PER_STEP;

/// Pulls filled anew are made short if they are no longer than this share of those before.
const PROMISING: f64 = 1.15;

/// By how much a piece's area counts otherwise, by lot, when an order is made.
const OTHERWISE: (f64, f64) = (0.5, 1.5);

/// Tries without a gain for each pair of pulls before all is left as it is.
const PATIENCE: usize = 40;

/// Pieces that go to another pull at once, at most.
const MOVED: usize = 3;

/// So few pieces all go to any pull by lot.
const FEW: usize = 8;

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
        let Some(after) = dealer.anew(&before, &mut lot, &mut spent) else { continue };
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
    let want = (2 + lot.below(2)).min(many);
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

    /// Other pulls with the same pieces; nothing where they promise nothing, or are too long.
    fn anew(&self, sheets: &[Sheet], lot: &mut Lot, spent: &mut u64) -> Option<Vec<Sheet>> {
        let before = match lot.below(3) {
            0 => vec![self.joined(sheets)?],
            1 => self.filled(sheets, lot)?,
            _ => self.exchanged(sheets, lot)?,
        };
        let mut after = Vec::with_capacity(before.len());
        for sheet in before {
            let work = FOR_A_PIECE * of_index(sheet.spots.len());
            *spent = spent.saturating_add(work);
            let sheet = self.short(sheet, work, lot);
            if sheet.length > self.room.pull {
                return None;
            }
            after.push(sheet);
        }
        Some(after)
    }

    /// Filled anew, the larger first more or less.
    fn filled(&self, sheets: &[Sheet], lot: &mut Lot) -> Option<Vec<Sheet>> {
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
        let mut meter = Meter::unlimited(&self.kit.pairs);
        let (filled, missing) = fill(
            self.instance,
            self.kit,
            self.rooms,
            &order,
            Vec::new(),
            (&stop, false),
            &mut meter,
        );
        let [filled] = <[Filled; 1]>::try_from(filled).ok()?;
        let promising = float(self.length(sheets)) * PROMISING;
        (missing == 0 && float(self.length(&filled.sheets)) <= promising).then_some(filled.sheets)
    }

    /// Pieces moved to other pulls by lot; pulls may then be longer than they may be.
    fn exchanged(&self, sheets: &[Sheet], lot: &mut Lot) -> Option<Vec<Sheet>> {
        let mut sheets = sheets.to_vec();
        if sheets.iter().map(|sheet| sheet.spots.len()).sum::<usize>() <= FEW {
            sheets = self.scattered(&sheets, lot);
        } else {
            self.moved(&mut sheets, lot);
        }
        sheets.retain(|sheet| !sheet.spots.is_empty());
        sheets.iter().all(|sheet| self.least(sheet) <= self.room.pull).then_some(sheets)
    }

    /// A few pieces by lot, each behind those of another pull.
    fn moved(&self, sheets: &mut [Sheet], lot: &mut Lot) {
        for _ in 0..=lot.below(MOVED) {
            let from = lot.below(sheets.len());
            let to = (from + 1 + lot.below(sheets.len() - 1)) % sheets.len();
            if sheets[from].spots.is_empty() {
                continue;
            }
            let at = lot.below(sheets[from].spots.len());
            let spot = sheets[from].spots.remove(at);
            sheets[from].length = whole(self.kit.far(&sheets[from].spots));
            let length = whole(self.kit.size(spot.way.form).1);
            self.behind(&mut sheets[to], &Sheet { spots: vec![Spot { y: 0.0, ..spot }], length });
        }
    }

    /// All pieces one behind the other, each on any of as many pulls or fewer by lot.
    fn scattered(&self, sheets: &[Sheet], lot: &mut Lot) -> Vec<Sheet> {
        let mut dealt = vec![Sheet::default(); 1 + lot.below(sheets.len())];
        for spot in sheets.iter().flat_map(|sheet| &sheet.spots) {
            let length = whole(self.kit.size(spot.way.form).1);
            let to = lot.below(dealt.len());
            let one = Sheet { spots: vec![Spot { y: 0.0, ..*spot }], length };
            self.behind(&mut dealt[to], &one);
        }
        dealt
    }

    /// Lays what is on one pull behind what is on another.
    fn behind(&self, sheet: &mut Sheet, other: &Sheet) {
        let from = if sheet.spots.is_empty() { 0 } else { sheet.length + self.kit.pairs.gap };
        sheet
            .spots
            .extend(other.spots.iter().map(|spot| Spot { y: spot.y + float(from), ..*spot }));
        sheet.length = from + other.length;
    }

    /// What a pull's pieces need at least.
    fn least(&self, sheet: &Sheet) -> i64 {
        let pieces = sheet.spots.iter().map(|spot| spot.piece);
        bound::least(self.kit, self.room.width, pieces)
    }

    /// All pieces in one pull.
    fn joined(&self, sheets: &[Sheet]) -> Option<Sheet> {
        let mut all = Sheet::default();
        for sheet in sheets {
            self.behind(&mut all, sheet);
        }
        (self.least(&all) <= self.room.pull).then_some(all)
    }

    /// Made short with so much work.
    fn short(&self, sheet: Sheet, work: u64, lot: &mut Lot) -> Sheet {
        let strip = Strip { kit: self.kit, width: self.room.width, least: self.least(&sheet) };
        let seed = of_index(index(lot.share() * of_count(1 << 30), 1 << 30));
        let laid = Laid { spots: sheet.spots, length: sheet.length };
        let laid = strip.shorten(laid, seed, work, self.watch, &|_| {});
        Sheet { spots: laid.spots, length: laid.length }
    }
}
