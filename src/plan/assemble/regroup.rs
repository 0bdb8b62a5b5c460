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
//! 4. Where pulls are few, rolls are also filled each with as many of the first pulls as leave the others room on the
//!    rolls that are left, and with others behind them only where they must be or, in another try, wherever they fit
//!    ([`Filling`]).
//!
//! Nothing is given where that takes more rolls than before. Fewer rolls, other products and
//! offcuts are never needed, so the bound stands as it is; whether the blanket left over and the kits
//! open are better is for the caller to weigh.

use super::cuts::Blank;
use super::order::{Single, job};
use super::{Layouts, exchange, merge, order, remainder, surplus};
use crate::cutting::{Cutting, Objective, Style, Turns};
use crate::geometry::Rect;
use crate::nest::{self, News, Options, Watch};
use crate::plan::wanted::{Charges, Piece, Roll, Wanted};
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
/// Steps of the engine's to see whether pulls go on the rolls that are left.
const PACKING: u64 = 5_000;
/// So many pulls at most are also filled otherwise than exactly.
const FEW: usize = 400;

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

/// How rolls are filled in an order of pulls.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Filling {
    /// Exactly, with some of the pulls that follow.
    Exact,
    /// One behind another as far as may be, of few pulls.
    InOrder,
    /// As many of the first as may be, filled up with some that follow, of few pulls.
    FirstOnes,
}

/// Layouts with rolls filled kit by kit, small pieces nested in so many windows of kits, or left in
/// the pulls they are in where there is none; `None` where it cannot be done on as many rolls.
pub(super) fn regrouped(
    sheets: &[&Wanted],
    layouts: &[Layouts],
    (rules, stop): (&rules::Sequence, Stop<'_>),
    (windows, filling): (usize, Filling),
) -> Option<Vec<Layouts>> {
    let mut pools: Vec<Pool> =
        (0..sheets.len()).filter_map(|nest| pool(sheets[nest], nest, &layouts[nest])).collect();
    let many = pools.iter().map(|pool| pool.pulls.len()).sum::<usize>() > FEW;
    if pools.is_empty() || many && filling != Filling::Exact {
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
        let gap = sheet.cutting.gap;
        let sizes: Vec<i64> = pool.pulls.iter().map(|pull| (pull.length + gap).nm()).collect();
        let room = (room + gap).nm();
        let filled = if filling == Filling::Exact {
            Some(filled(&sizes, own, room))
        } else {
            let full = filling == Filling::FirstOnes;
            with_room_left(&sizes, own, (room, pool.rolls), full, stop)
        };
        let filled = filled.filter(|rolls| rolls.len() <= pool.rolls)?;
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
        if stop() {
            return None;
        }
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
pub(super) fn nested(
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
    // Without their uses, which may be thousands, and windows are many.
    let pieces = wanted.iter().map(|(&piece, &quantity)| {
        let Piece { code, width, length, outline, turns, .. } = &sheet.pieces[piece];
        let (code, outline, turns) = (code.clone(), outline.clone(), turns.clone());
        let (width, length, uses) = (*width, *length, Vec::new());
        Piece { code, width, length, outline, turns, quantity, uses }
    });
    let part = Wanted {
        name: String::new(),
        thickness: sheet.thickness,
        rolls: vec![roll],
        pieces: pieces.collect(),
        cutting: sheet.cutting.clone(),
        objective: Objective::Length,
        charges: Charges::Listed,
        keep: sheet.keep,
        choices: Vec::new(),
        begun: BTreeSet::new(),
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

/// Each of so many rolls with this room has as many of the first pulls as leave the others room on the rolls that are
/// left; `full` ones have others behind them in any case, the rest only where they must.
fn with_room_left(
    sizes: &[i64],
    mut order: Vec<usize>,
    (room, rolls): (i64, usize),
    full: bool,
    stop: Stop<'_>,
) -> Option<Vec<Vec<usize>>> {
    let mut all = Vec::with_capacity(rolls);
    for left in (0..rolls).rev() {
        let fits = order.iter().scan(room, |free, &pull| {
            *free -= sizes[pull];
            (*free >= 0).then_some(())
        });
        let most = fits.count();
        let (roll, rest) = (0..=most).rev().find_map(|first| {
            let plain = || (order[..first].to_vec(), order[first..].to_vec());
            let filled = || filled_up(sizes, &order, first, room);
            let goes_on = |two: &(Vec<usize>, Vec<usize>)| go_on(sizes, &two.1, (room, left), stop);
            let behind = (!full).then(plain).filter(goes_on);
            behind.or_else(|| Some(filled()).filter(goes_on))
        })?;
        all.push(roll);
        order = rest;
    }
    all.retain(|roll| !roll.is_empty());
    Some(all)
}

/// Whether pulls of these sizes are seen to go on so many rolls: by the engine, with little work.
fn go_on(sizes: &[i64], pulls: &[usize], (room, rolls): (i64, usize), stop: Stop<'_>) -> bool {
    let sum: i64 = pulls.iter().map(|&pull| sizes[pull]).sum();
    if pulls.is_empty() || i128::from(sum) > i128::from(room) * rolls as i128 {
        return pulls.is_empty();
    }
    let mut many: BTreeMap<i64, u64> = BTreeMap::new();
    for &pull in pulls {
        *many.entry(sizes[pull]).or_default() += 1;
    }
    let width = Length::from_mm(1);
    let pieces = many.into_iter().map(|(size, quantity)| nest::Piece {
        id: size.to_string(),
        width,
        length: Length::from_nm(size),
        outline: None,
        quantity,
        turns: Turns::none(),
    });
    let roll = nest::Roll {
        id: String::new(),
        width,
        length: Some(Length::from_nm(room)),
        price: Money::ZERO,
        available: Some(rolls as u64),
    };
    let instance = nest::Instance {
        name: String::new(),
        pieces: pieces.collect(),
        rolls: vec![roll],
        cutting: Cutting::plain(Style::Straight, None),
        objective: Objective::Rolls,
        published: None,
    };
    let options = Options { work: PACKING, ..Options::default() };
    nest::solve(&instance, &options, &Until(stop)).is_ok()
}

/// A roll with the first pulls, filled up exactly, or as nearly as can be, with some that follow; and those that are left.
fn filled_up(sizes: &[i64], order: &[usize], first: usize, room: i64) -> (Vec<usize>, Vec<usize>) {
    let left = room - order[..first].iter().map(|&pull| sizes[pull]).sum::<i64>();
    // Few of each size, so that many sums can be reached.
    let mut seen: BTreeMap<i64, usize> = BTreeMap::new();
    let next: Vec<usize> = (first..order.len())
        .take(FAR)
        .filter(|&at| {
            let count = seen.entry(sizes[order[at]]).or_default();
            *count += 1;
            *count <= ALIKE
        })
        .take(LOOK)
        .collect();
    let those: Vec<i64> = next.iter().map(|&at| sizes[order[at]]).collect();
    let more: BTreeSet<usize> =
        best_sum(&those, left).into_iter().map(|chosen| next[chosen]).collect();
    let mut roll = Vec::with_capacity(first + more.len());
    let mut rest = Vec::with_capacity(order.len());
    for (at, &pull) in order.iter().enumerate() {
        if at < first || more.contains(&at) { roll.push(pull) } else { rest.push(pull) }
    }
    (roll, rest)
}

/// Pulls on rolls with this room, in this order as far as may be.
fn filled(sizes: &[i64], mut order: Vec<usize>, room: i64) -> Vec<Vec<usize>> {
    // Some pulls' worth is left to be filled up exactly.
    let reserve = 2 * order.iter().map(|&pull| sizes[pull]).max().unwrap_or(0);
    let mut rolls = Vec::new();
    while !order.is_empty() {
        let mut left = room;
        let plain = order.iter().take_while(|&&pull| {
            let fits = left - sizes[pull] >= reserve;
            left -= if fits { sizes[pull] } else { 0 };
            fits
        });
        let (mut roll, mut rest) = filled_up(sizes, &order, plain.count(), room);
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

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: six kits in a row, of 3 x 561, 2 x 221, 6 x 720, 2 x 890, 4 x 391 and 8 x 221 mm, on four rolls with
    /// 2,950 of room. The first roll has 2,845 mm of the first three kits; the second 4 x 720; the third 720, 2 x 890 and
    /// 391; the last 3 x 391 and 8 x 221. One behind another without a look ahead takes a fifth.
    #[test]
    fn rolls_have_first_what_comes_first_and_leave_room_for_the_rest() {
        let kits = [(561, 3), (221, 2), (720, 6), (890, 2), (391, 4), (221, 8)];
        let sizes: Vec<i64> = kits
            .iter()
            .flat_map(|&(size, many)| std::iter::repeat_n(size * 1_000_000, many))
            .collect();
        let order: Vec<usize> = (0..sizes.len()).collect();
        let room = 2_950_000_000;
        for full in [false, true] {
            let rolls = with_room_left(&sizes, order.clone(), (room, 4), full, &|| false).unwrap();
            let mut all: Vec<usize> = rolls.concat();
            all.sort_unstable();
            assert_eq!(all, order);
            assert!(rolls.len() <= 4);
            let sum = |roll: &Vec<usize>| roll.iter().map(|&pull| sizes[pull]).sum::<i64>();
            assert!(rolls.iter().all(|roll| sum(roll) <= room), "{rolls:?}");
            assert_eq!(rolls[0][..6], order[..6], "{rolls:?}");
        }
        let in_order = with_room_left(&sizes, order.clone(), (room, 4), false, &|| false);
        assert_eq!(in_order.unwrap()[1], [6, 7, 8, 9]);
        assert_eq!(with_room_left(&sizes, order, (room, 3), false, &|| false), None);
    }
}
