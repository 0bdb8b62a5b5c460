//! Rolls filled kit by kit: like the engine's answer in number, but with few kits on each.
//!
//! The engine lays like pieces of all kits together and does not care whose they are, so its mixed
//! pulls serve many kits and its rolls yield a little of everything. Steps, on the rolls of the
//! product of which a nest has most:
//!
//! 1. Kits stand in a row, by release and name, and are divided into windows with about as many of the
//!    pieces that come from mixed pulls in each. For every window these pieces are nested again on a roll
//!    without end, as short as little work finds. Pulls of one piece stay, and so do those in which
//!    curved pieces interlock: they would take more work than that.
//! 2. All pulls are put in an order by kits ([`shop::by_kits`]).
//! 3. Rolls are filled in that order. What room is left on a roll is filled exactly, or as nearly as
//!    can be, with some of the pulls that follow (sums that can be reached); the last roll has the rest.
//!
//! Nothing is given where that takes more rolls than before. Fewer rolls, other products and
//! offcuts are never needed, so the bound stands as it is; whether the blanket left over and the kits
//! open are better is for the caller to weigh.

use super::cuts::Blank;
use super::order::{Single, job};
use super::{Layouts, exchange, merge, order, remainder, surplus};
use crate::cutting::{Objective, Style};
use crate::geometry::Rect;
use crate::nest::{self, News, Options, Watch};
use crate::plan::wanted::{Roll, Wanted};
use crate::rules;
use crate::sequence::shop::{self, Stop};
use crate::units::{Length, Money};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

/// Steps of the engine's for all windows together; our choice, a fifth of a second.
const WORK: u64 = 200_000;
/// Pulls that may fill the rest of a roll: so many, so many alike, of so many that follow.
const LOOK: usize = 48;
const ALIKE: usize = 4;
const FAR: usize = 400;
/// Sums looked at when a roll is filled up.
const SUMS: usize = 20_000;

/// What one nest gives to be grouped.
struct Pool {
    nest: usize,
    /// Index of the product into the order sheet's rolls.
    product: usize,
    /// How many rolls of it there are.
    rolls: usize,
    /// Their pulls.
    pulls: Vec<nest::Pull>,
    /// All other rolls.
    others: Layouts,
}

/// Layouts with rolls filled kit by kit, small pieces nested in so many windows of kits, or left in
/// the pulls they are in where there is none; `None` where it cannot be done on as many rolls.
pub(super) fn regrouped(
    sheets: &[&Wanted],
    layouts: &[Layouts],
    (rules, stop): (&rules::Sequence, Stop<'_>),
    windows: usize,
) -> Option<Vec<Layouts>> {
    let mut pools: Vec<Pool> =
        (0..sheets.len()).filter_map(|nest| pool(sheets[nest], nest, &layouts[nest])).collect();
    if pools.is_empty() {
        return None;
    }
    if windows > 0 {
        again(sheets, &mut pools, windows, stop)?;
    }
    let mut singles: Vec<Single> = Vec::new();
    let mut firsts = Vec::with_capacity(pools.len());
    let mut pulls = 0;
    for pool in &pools {
        let layout = nest::Layout { roll: pool.product, copies: 1, pulls: pool.pulls.clone() };
        singles.push(Single { nest: pool.nest, layout, fixed: false });
        firsts.push(pulls);
        pulls += pool.pulls.len();
    }
    // Pieces on other rolls are cut too, whenever that may be.
    for pool in &pools {
        for layout in &pool.others {
            for _ in 0..layout.copies {
                let layout = nest::Layout { copies: 1, ..layout.clone() };
                singles.push(Single { nest: pool.nest, layout, fixed: true });
            }
        }
    }
    let order = shop::by_kits(&job(sheets, &singles, rules).0, stop);
    let mut all = layouts.to_vec();
    for (pool, first) in pools.iter().zip(firsts) {
        let own = order.iter().filter_map(|pull| pull.checked_sub(first));
        let own: Vec<usize> = own.filter(|&pull| pull < pool.pulls.len()).collect();
        let sheet = sheets[pool.nest];
        let room = sheet.rolls[pool.product].length? - sheet.cutting.square_cut;
        let filled = filled(&pool.pulls, own, room + sheet.cutting.gap, sheet.cutting.gap);
        if filled.len() > pool.rolls {
            return None;
        }
        let mut list = pool.others.clone();
        list.extend(filled.iter().map(|pulls| nest::Layout {
            roll: pool.product,
            copies: 1,
            pulls: super::laid(&sheet.cutting, pulls.iter().map(|&pull| &pool.pulls[pull])),
        }));
        // Where pulls gather on bought rolls, one that is there already may be left empty.
        let on_shelf = exchange::exchanged(sheet, &list);
        list = exchange::exchanged(sheet, &remainder::gathered(sheet, &on_shelf));
        merge(&mut list);
        all[pool.nest] = list;
    }
    Some(all)
}

/// The rolls of the product of which there are most, if they can be filled anew.
fn pool(sheet: &Wanted, nest: usize, layouts: &Layouts) -> Option<Pool> {
    if sheet.cutting.style != Style::Straight {
        return None;
    }
    let free = |layout: &nest::Layout| {
        let spaced = layout.pulls.len() == 1
            || order::spacing(&sheet.cutting, &layout.pulls) == Some(sheet.cutting.gap);
        let first = layout.pulls.first().map(|pull| pull.y);
        spaced
            && first == Some(sheet.cutting.square_cut)
            && sheet.rolls[layout.roll].length.is_some()
    };
    let mut count: BTreeMap<usize, u64> = BTreeMap::new();
    for layout in layouts.iter().filter(|layout| free(layout)) {
        *count.entry(layout.roll).or_default() += layout.copies;
    }
    let (&product, &rolls) = count.iter().max_by_key(|&(roll, count)| (*count, *roll))?;
    let (mine, others): (Layouts, Layouts) =
        layouts.iter().cloned().partition(|layout| layout.roll == product && free(layout));
    let copied = |layout: nest::Layout| (0..layout.copies).flat_map(move |_| layout.pulls.clone());
    let pulls = mine.into_iter().flat_map(copied).collect();
    let rolls = usize::try_from(rolls).ok()?;
    (rolls > 1).then_some(Pool { nest, product, rolls, pulls, others })
}

/// A kit by its release and its item.
type Kit<'a> = (u32, &'a str);

/// Nests the pieces of mixed pulls again, window by window.
fn again(sheets: &[&Wanted], pools: &mut [Pool], windows: usize, stop: Stop<'_>) -> Option<()> {
    // Kits in a row; for each how many of its pieces come from mixed pulls. The first kits that
    // want a piece get the mixed ones.
    let mut taken: BTreeMap<Kit<'_>, u64> = BTreeMap::new();
    let mut gives: Vec<Vec<(usize, Kit<'_>, u64)>> = Vec::with_capacity(pools.len());
    for pool in pools.iter() {
        let pieces = &sheets[pool.nest].pieces;
        let mut mixed = vec![0_u64; pieces.len()];
        let again = pool.pulls.iter().filter(|pull| is_mixed(sheets[pool.nest], pull));
        for place in again.flat_map(|pull| &pull.placements) {
            mixed[place.piece] += 1;
        }
        let mut list = Vec::new();
        for (piece, of) in pieces.iter().enumerate() {
            let mut uses: Vec<_> = of.uses.iter().collect();
            uses.sort_by_key(|used| (used.release, used.item.as_str()));
            let mut left = mixed[piece];
            for used in uses {
                let here = left.min(used.quantity);
                if here > 0 {
                    let kit = (used.release, used.item.as_str());
                    *taken.entry(kit).or_default() += here;
                    list.push((piece, kit, here));
                    left -= here;
                }
            }
        }
        gives.push(list);
    }
    let total: u64 = taken.values().sum();
    let mut window: BTreeMap<(u32, &str), usize> = BTreeMap::new();
    let mut before = 0_u64;
    for (&kit, &count) in &taken {
        let at = before.saturating_mul(windows as u64) / total.max(1);
        window.insert(kit, usize::try_from(at).unwrap_or(0).min(windows - 1));
        before += count;
    }
    // A window of a pool, its pieces, and the work for it.
    let mut tasks = Vec::with_capacity(pools.len() * windows);
    for (at, list) in gives.into_iter().enumerate() {
        let mut by_window: Vec<BTreeMap<usize, u64>> = vec![BTreeMap::new(); windows];
        for (piece, kit, count) in list {
            if let Some(&number) = window.get(&kit) {
                *by_window[number].entry(piece).or_default() += count;
            }
        }
        for wanted in by_window.into_iter().filter(|wanted| !wanted.is_empty()) {
            let part: u64 = wanted.values().sum();
            tasks.push((at, wanted, (WORK * part / total.max(1)).max(10_000)));
        }
    }
    let one = |(at, wanted, work): &(usize, BTreeMap<usize, u64>, u64)| {
        let pool = &pools[*at];
        nested(sheets[pool.nest], pool.product, wanted, (*work, stop))
    };
    let found: Option<Vec<Vec<nest::Pull>>> = tasks.par_iter().map(one).collect();
    let found = found?;
    for pool in pools.iter_mut() {
        pool.pulls.retain(|pull| !is_mixed(sheets[pool.nest], pull));
    }
    for ((at, _, _), pulls) in tasks.iter().zip(found) {
        pools[*at].pulls.extend(pulls);
    }
    Some(())
}

/// Whether a pull holds several pieces, each in a blank of its own.
fn is_mixed(sheet: &Wanted, pull: &nest::Pull) -> bool {
    let blank = |place: &nest::Placement| Blank::placed(sheet, place).rect;
    let blanks: Vec<Rect> = pull.placements.iter().map(blank).collect();
    let apart = |(at, one): (usize, &Rect)| blanks[..at].iter().all(|other| !one.overlaps(other));
    blanks.len() > 1 && blanks.iter().enumerate().all(apart)
}

/// Ends a nest when somebody wants to stop.
struct Until<'a>(Stop<'a>);

impl Watch for Until<'_> {
    fn stop(&self) -> bool {
        (self.0)()
    }

    fn news(&self, _: &News<'_>) {}
}

/// Nests so many of these pieces on a roll without end.
fn nested(
    sheet: &Wanted,
    product: usize,
    wanted: &BTreeMap<usize, u64>,
    (work, stop): (u64, Stop<'_>),
) -> Option<Vec<nest::Pull>> {
    let roll = Roll {
        length: None,
        price: Money::ZERO,
        available: None,
        shelf: false,
        ..sheet.rolls[product].clone()
    };
    let names: Vec<usize> = wanted.keys().copied().collect();
    let pieces = wanted.iter().map(|(&piece, &quantity)| crate::plan::wanted::Piece {
        quantity,
        ..sheet.pieces[piece].clone()
    });
    let part = Wanted {
        rolls: vec![roll],
        pieces: pieces.collect(),
        objective: Objective::Length,
        ..sheet.clone()
    };
    let options = Options { work, ..Options::default() };
    let answer = nest::solve(&part.instance(), &options, &Until(stop)).ok()?;
    let layouts = surplus::taken_out(&part, &answer.layouts);
    let copied = |layout: nest::Layout| (0..layout.copies).flat_map(move |_| layout.pulls.clone());
    let mut pulls: Vec<nest::Pull> = layouts.into_iter().flat_map(copied).collect();
    pulls.retain(|pull| !pull.placements.is_empty());
    for place in pulls.iter_mut().flat_map(|pull| &mut pull.placements) {
        place.piece = names[place.piece];
    }
    Some(pulls)
}

/// Pulls on rolls with this room, each pull with a gap behind it, in this order as far as may be.
fn filled(
    pulls: &[nest::Pull],
    mut order: Vec<usize>,
    room: Length,
    gap: Length,
) -> Vec<Vec<usize>> {
    let size = |pull: usize| (pulls[pull].length + gap).nm();
    // Some pulls' worth is left to be filled up exactly.
    let reserve = 2 * order.iter().map(|&pull| size(pull)).max().unwrap_or(0);
    let mut rolls = Vec::new();
    while !order.is_empty() {
        let mut left = room.nm();
        let plain = order.iter().take_while(|&&pull| {
            let fits = left - size(pull) >= reserve;
            left -= if fits { size(pull) } else { 0 };
            fits
        });
        let plain = plain.count();
        // Few of each size, so that many sums can be reached.
        let mut seen: BTreeMap<i64, usize> = BTreeMap::new();
        let next: Vec<usize> = (plain..order.len())
            .take(FAR)
            .filter(|&at| {
                let count = seen.entry(size(order[at])).or_default();
                *count += 1;
                *count <= ALIKE
            })
            .take(LOOK)
            .collect();
        let sizes: Vec<i64> = next.iter().map(|&at| size(order[at])).collect();
        let more: BTreeSet<usize> =
            best_sum(&sizes, left).into_iter().map(|chosen| next[chosen]).collect();
        let mut roll = Vec::with_capacity(plain + more.len());
        let mut rest = Vec::with_capacity(order.len());
        for (at, pull) in order.into_iter().enumerate() {
            if at < plain || more.contains(&at) { roll.push(pull) } else { rest.push(pull) }
        }
        if roll.is_empty() {
            // A pull longer than the room would go on for ever; the caller has too many rolls then.
            roll = std::mem::take(&mut rest);
        }
        rolls.push(roll);
        order = rest;
    }
    rolls
}

/// Which of these sizes make the largest sum within the room, the first ones where there is a choice.
fn best_sum(sizes: &[i64], room: i64) -> Vec<usize> {
    // Each sum that can be reached, with the last size that reached it first.
    let mut reached: BTreeMap<i64, Option<usize>> = BTreeMap::from([(0, None)]);
    for (at, &size) in sizes.iter().enumerate() {
        if reached.len() > SUMS || reached.contains_key(&room) {
            break;
        }
        let new: Vec<i64> = reached
            .keys()
            .map(|sum| sum + size)
            .take_while(|&sum| sum <= room)
            .filter(|sum| !reached.contains_key(sum))
            .collect();
        reached.extend(new.into_iter().map(|sum| (sum, Some(at))));
    }
    let mut chosen = Vec::new();
    let mut sum = reached.last_key_value().map_or(0, |(&sum, _)| sum);
    while let Some(&Some(at)) = reached.get(&sum) {
        chosen.push(at);
        sum -= sizes[at];
    }
    chosen
}
