//! Makes a strip shorter than a first layout is.
//!
//! Steps (Gardeyn, Vanden Berghe and Wauters, arXiv 2509.13329, section 7). *Explore*: cut the
//! strip by a share, push what lies beyond a line by lot back by that much, take the overlaps
//! apart ([`separate`](super::separate)); if that fails, remember the state, take one of the
//! better ones remembered, exchange two large pieces and try again; the share is twice as large after
//! each success and shrinks with failures, until the least has failed and a large one follows. *Compress*:
//! from the best layout, cut by ever smaller shares. Whatever comes of taking apart, all pieces are moved
//! at once ([`compact`]), which makes a loose layout short and parts small overlaps. Both by turns, each
//! turn longer than the last. Where there is work for it, eight searches set out with different lots, and
//! after each turn the better half goes on; what is left at last is searched on from twice, side by side.
//! Whatever the number of threads, the answer depends on seed and work alone.

use super::compact::compact;
use super::lot::Lot;
use super::number::{float, index, of_count, of_index};
use super::repair::repair;
use super::separate::{Patience, separate};
use super::settle::settle;
use super::table::{Kit, Spot, Table};
use crate::nest::Watch;
use crate::nest::watch::{Share, left};
use rayon::prelude::*;

/// A layout without overlap, in whole nanometres (kept as floating point, which holds them).
#[derive(Clone, Debug)]
pub struct Laid {
    /// Where the pieces lie.
    pub spots: Vec<Spot>,
    /// The far side of the last piece.
    pub length: i64,
}

/// A strip and its pieces' kit.
#[derive(Clone, Copy, Debug)]
pub struct Strip<'a> {
    /// What the pieces share.
    pub kit: &'a Kit,
    /// Its width.
    pub width: i64,
    /// No layout is shorter.
    pub least: i64,
}

/// The share of the work that explores.
const EXPLORING: f64 = 0.9;
/// Searches that set out from the first layout; two where there is less work than [`ENOUGH`].
const STARTS: usize = 8;
/// So many first turns are enough work for all of them.
const ENOUGH: u64 = 16;
/// Work of the first turn of one search, in evaluated neighbours.
const FIRST_TURN: u64 = 60_000_000;
/// Neighbours evaluated in one of the engine's steps, about a microsecond.
pub const PER_STEP: u64 = 60;
/// By how much exploring cuts at first; twice that much after each success, and half of it where it
/// fails too often.
const CUT: f64 = 0.005;
/// The greatest cut and the least.
const CUTS_BETWEEN: (f64, f64) = (0.08, 0.001);
/// What is cut once the least cut fails: squeezing the best layout a little leaves next to no overlap, so
/// nothing else is kept, though no layout like it may be shorter.
const LEAP: f64 = 0.02;
/// Failures at one cut before another is tried: above [`CUT`], from there down, and at the least cut; once
/// leapt, as many at each as at the least.
const FAILURES: [usize; 3] = [1, 3, 6];
/// With more pieces on a sheet the first layout stands: what each does to each takes 16 bytes a pair, and a search takes
/// several times the time that its work counts.
const MOST: usize = 1_500;
/// Room in which whole nanometres find their places, in nanometres.
const ROUNDED: f64 = 100.0;
/// By how much compressing cuts, first and last.
const CUTS: (f64, f64) = (0.001, 0.000_02);

impl Strip<'_> {
    /// A whole layout from places of floating point, if no overlap is left.
    pub fn laid(&self, spots: &[Spot], length: f64) -> Option<Laid> {
        let length = super::number::whole(length);
        let places = repair(self.kit, (self.width, length), spots)?;
        let spots: Vec<Spot> = spots
            .iter()
            .zip(places)
            .map(|(s, p)| Spot { x: float(p.0), y: float(p.1), ..*s })
            .collect();
        let far = self.kit.far(&spots);
        Some(Laid { spots, length: super::number::whole(far) })
    }

    /// Searches for shorter layouts until the work is done; tells each that it finds.
    pub fn shorten(
        &self,
        first: Laid,
        seed: u64,
        work: u64,
        watch: &dyn Watch,
        told: &(dyn Fn(i64) + Sync),
    ) -> Laid {
        if first.spots.len() > MOST {
            return self.settled(first, watch, told);
        }
        let starts = if work / ENOUGH >= FIRST_TURN { STARTS } else { 2 };
        let mut all = vec![first; starts];
        let (mut turn, mut spent, mut size) = (0, 0, FIRST_TURN);
        let time = Share::all(watch);
        while all[0].length > self.least && !watch.stop() {
            let left = left(&time, work, spent);
            if left == 0 {
                break;
            }
            // Work is counted for one of two searches side by side.
            let pairs = of_index(all.len() / 2);
            let most = size.min(left.div_ceil(pairs));
            // Of searches one after another each has the whole turn's time.
            let abreast = all.len() <= rayon::current_num_threads();
            let share = Share::of(&time, if abreast { most * pairs } else { left }, left);
            let run = |(number, laid)| {
                let mut lot = Lot::new(seed, turn * of_index(STARTS) + of_index(number));
                self.turn(laid, most, &mut lot, &share, told)
            };
            all = all.into_par_iter().enumerate().map(run).collect();
            all.sort_by_key(|laid| laid.length);
            all.truncate(all.len() / 2);
            if all.len() == 1 {
                all.push(all[0].clone());
            }
            spent = spent.saturating_add(most.saturating_mul(pairs));
            size = size.saturating_mul(2);
            turn += 1;
        }
        self.settled(all.swap_remove(0), watch, told)
    }

    /// Without the last nanometres between pieces that could touch.
    fn settled(&self, mut laid: Laid, watch: &dyn Watch, told: &(dyn Fn(i64) + Sync)) -> Laid {
        settle(self.kit, &mut laid.spots, watch);
        let length = super::number::whole(self.kit.far(&laid.spots));
        if length < laid.length {
            told(length);
        }
        Laid { length, ..laid }
    }

    fn turn(
        &self,
        mut best: Laid,
        work: u64,
        lot: &mut Lot,
        watch: &dyn Watch,
        told: &(dyn Fn(i64) + Sync),
    ) -> Laid {
        let mut table =
            Table::new(self.kit, [float(self.width), float(best.length)], best.spots.clone());
        let exploring = index(EXPLORING * of_count(usize::try_from(work).unwrap_or(0)), usize::MAX);
        let time = Share::part(watch, EXPLORING);
        self.explore(&mut table, &mut best, exploring as u64, lot, &time, told);
        self.compress(&mut table, &mut best, work, lot, watch, told);
        best
    }

    fn explore(
        &self,
        table: &mut Table<'_>,
        best: &mut Laid,
        work: u64,
        lot: &mut Lot,
        watch: &dyn Watch,
        told: &(dyn Fn(i64) + Sync),
    ) {
        let patience = Patience { rounds: 40, tries: 1, work };
        let mut pool: Vec<(f64, Vec<Spot>)> = Vec::new();
        let (mut share, mut failures, mut leapt) = (CUT, 0_usize, false);
        self.cut(table, share, lot);
        while table.work < work && !watch.stop() && best.length > self.least {
            table.forget();
            let apart = separate(table, patience, lot, watch);
            let apart = apart && self.accept(table, best, told);
            let pressed = self.press(table, best, watch, told);
            if apart || pressed {
                (share, failures, leapt) = ((share * 2.0).min(CUTS_BETWEEN.0), 0, false);
                pool.clear();
                self.cut_again(table, best, share, lot);
                continue;
            }
            failures += 1;
            let least = share <= CUTS_BETWEEN.1;
            let most = if least || leapt { 2 } else { usize::from(share <= CUT) };
            if failures >= FAILURES[most] {
                // A shorter cut, or one that no squeezing makes good: begin from the best again.
                leapt |= least;
                share = if least { LEAP } else { (share / 2.0).max(CUTS_BETWEEN.1) };
                failures = 0;
                pool.clear();
                self.cut_again(table, best, share, lot);
                continue;
            }
            let loss = table.total();
            let at = pool.partition_point(|(l, _)| *l <= loss);
            pool.insert(at, (loss, table.spots.clone()));
            pool.truncate(20);
            // The better, the likelier: the square of a share by lot.
            let share = lot.share();
            let pick = index(share * share * of_count(pool.len()), pool.len() - 1);
            table.restore(&pool[pick].1);
            self.exchange(table, lot);
        }
    }

    fn compress(
        &self,
        table: &mut Table<'_>,
        best: &mut Laid,
        work: u64,
        lot: &mut Lot,
        watch: &dyn Watch,
        told: &(dyn Fn(i64) + Sync),
    ) {
        let start = table.work;
        let all = of_count(usize::try_from(work.saturating_sub(start)).unwrap_or(1)).max(1.0);
        let time = Share::all(watch);
        while table.work < work && !watch.stop() && best.length > self.least {
            let done = of_count(usize::try_from(table.work - start).unwrap_or(0)) / all;
            let done = done.max(time.gone());
            let share = CUTS.0 * (CUTS.1 / CUTS.0).powf(done.min(1.0));
            self.cut_again(table, best, share, lot);
            table.forget();
            let patience = Patience { rounds: 40, tries: 2, work };
            if separate(table, patience, lot, watch) {
                self.accept(table, best, told);
            }
            self.press(table, best, watch, told);
        }
    }

    /// Moves all pieces at once to make the table's layout short; whether it is the shortest then. The
    /// table stays as it is.
    fn press(
        &self,
        table: &mut Table<'_>,
        best: &mut Laid,
        watch: &dyn Watch,
        told: &(dyn Fn(i64) + Sync),
    ) -> bool {
        let pressed = compact(self, &table.spots, &|| watch.stop());
        table.work += pressed.work;
        Self::keep(self.laid(&pressed.spots, pressed.length.ceil() + ROUNDED), best, told)
    }

    fn accept(&self, table: &Table<'_>, best: &mut Laid, told: &(dyn Fn(i64) + Sync)) -> bool {
        Self::keep(self.laid(&table.spots, table.sheet[1]), best, told)
    }

    fn keep(laid: Option<Laid>, best: &mut Laid, told: &(dyn Fn(i64) + Sync)) -> bool {
        match laid {
            Some(laid) if laid.length < best.length => {
                told(laid.length);
                *best = laid;
                true
            }
            _ => false,
        }
    }

    /// The best layout again, on a sheet shortened by a share.
    fn cut_again(&self, table: &mut Table<'_>, best: &Laid, share: f64, lot: &mut Lot) {
        table.restore(&best.spots);
        table.sheet[1] = float(best.length);
        self.cut(table, share, lot);
    }

    /// Shortens the sheet by a share; what lies beyond a line by lot moves back by as much.
    fn cut(&self, table: &mut Table<'_>, share: f64, lot: &mut Lot) {
        let by = (table.sheet[1] * share).ceil().max(1.0);
        let target = (table.sheet[1] - by).max(float(self.least)).floor();
        let by = table.sheet[1] - target;
        let line = lot.between(0.0, table.sheet[1]);
        table.sheet[1] = target;
        for spot in &mut table.spots {
            let l = self.kit.size(spot.way.form).1;
            if spot.y + l / 2.0 > line {
                spot.y -= by;
            }
            spot.y = spot.y.clamp(0.0, (target - l).max(0.0));
        }
        table.measure();
    }

    /// Exchanges two of the larger pieces of different form.
    fn exchange(&self, table: &mut Table<'_>, lot: &mut Lot) {
        let area = |i: usize| self.kit.area(table.spots[i].way.form);
        let mut order: Vec<usize> = (0..table.spots.len()).collect();
        order.sort_by(|&i, &j| area(j).total_cmp(&area(i)).then(i.cmp(&j)));
        let all: f64 = order.iter().map(|&i| area(i)).sum();
        let mut sum = 0.0;
        let large = order.iter().take_while(|&&i| {
            let before = sum;
            sum += area(i);
            before < 0.75 * all
        });
        let large: Vec<usize> = large.copied().collect();
        let i = large[lot.below(large.len())];
        let form = table.spots[i].way.form;
        let others: Vec<usize> =
            large.into_iter().filter(|&j| table.spots[j].way.form != form).collect();
        let Some(&j) = others.get(lot.below(others.len())) else { return };
        let middle = |k: usize| {
            let (w, l) = self.kit.size(table.spots[k].way.form);
            (table.spots[k].x + w / 2.0, table.spots[k].y + l / 2.0)
        };
        let (a, b) = (middle(i), middle(j));
        for (k, to) in [(i, b), (j, a)] {
            let way = table.spots[k].way;
            let (w, l) = self.kit.size(way.form);
            if let Some((x, y)) = table.clamp(way.form, to.0 - w / 2.0, to.1 - l / 2.0) {
                table.place(k, way, x, y);
            }
        }
    }
}
