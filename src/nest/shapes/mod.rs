//! Lays curved and angular pieces, and rectangles with them, in any layout a knife can follow.
//!
//! 1. Every piece is turned in the quarter turns it may take; like forms are one ([`form`]).
//! 2. For pairs of forms the places that one forbids to the other are worked out when first
//!    needed ([`forbidden`]), from exact convex parts ([`convex`]).
//! 3. A first layout puts one piece after the other as near to the front as it goes ([`fill`],
//!    [`sheets`]), or long pieces into interlocking lanes ([`lanes`], [`bricks`], [`first`]), in
//!    pulls of blocks where pulls are limited ([`blocks`]).
//!    The straight engine's answer, in boxes and trains, is held against it, and stands where the
//!    work is done before all pieces are laid ([`straight_start`]); on a strip where pieces are long.
//! 4. A strip without end is made shorter by taking overlapping pieces apart ([`mod@strip`],
//!    [`separate`]), and by moving all at once ([`mod@compact`]).
//! 5. So is every pull ([`pulls`]). Then, where lengths of pulls count, the pieces of a few are dealt anew
//!    ([`deal`]); of several rolls, the emptiest is emptied into the others, if they take it ([`empty`]).
//! 6. Nothing counts before it is free of overlap in whole nanometres ([`exact`], [`repair`]); what the
//!    search left between pieces that could touch is taken out at the end ([`settle`]).
//!
//! The bound is the area's ([`bound`]).

mod answer;
mod blocks;
mod bound;
mod boundary;
mod bricks;
mod coarse;
mod comb;
mod compact;
mod convex;
mod deal;
mod empty;
pub mod exact;
mod fill;
mod filling;
mod first;
mod forbidden;
pub mod form;
mod grid;
mod lanes;
pub mod library;
mod lot;
mod meter;
mod minkowski;
mod number;
pub mod pairs;
mod pulls;
mod repair;
mod seek;
mod separate;
mod settle;
mod sheets;
mod sides;
mod straight_start;
mod strip;
pub mod table;

use crate::cutting::Objective;
use crate::nest::watch::Share;
use crate::nest::{Instance, NestError, Nesting, News, Options, Status, Watch};
use form::Forms;
use meter::Meter;
use pairs::Pairs;
use sheets::{Filled, Room, Sheet};
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};
use std::sync::{Arc, Mutex, PoisonError, Weak};
use strip::Strip;
use table::Kit;

/// Up to so many pieces are also laid one by one where blocks hold most of them.
const FEW: usize = 100;
/// Where rolls count, pulls are shortened with this part of the work: not proven, and proven.
const OF_PULLS: (u64, u64) = (4, 16);
/// Where length counts, straight cuts are searched for with this part of the work.
const OF_STRAIGHT: u64 = 4;
/// Forbidden regions of blocks may take so many times the work, beside a straight answer.
const OF_BLOCKS: u64 = 2;
/// Steps for one place looked for on a pull.
const PER_PLACE: u64 = 500;

/// What is known of an instance's forms, for as long as somebody holds it. What forms forbid to each other often
/// takes longer to work out than a layout to find, and whoever looks for the cheapest order asks for the same pieces
/// on other rolls again and again: while that kit is held, [`solve()`] goes on with it. It depends on the pieces and
/// the gap alone, so answers are the same.
#[must_use]
pub fn kit(instance: &Instance) -> Arc<Kit> {
    static HELD: Mutex<Vec<Weak<Kit>>> = Mutex::new(Vec::new());
    let (forms, gap) = (Forms::new(instance), instance.cutting.gap.nm());
    let mut held = HELD.lock().unwrap_or_else(PoisonError::into_inner);
    held.retain(|kit| kit.strong_count() > 0);
    let same = |kit: &Arc<Kit>| {
        kit.pairs.gap == gap && kit.pairs.forms == forms.forms && kit.ways == forms.ways
    };
    if let Some(kit) = held.iter().filter_map(Weak::upgrade).find(same) {
        return kit;
    }
    let kit = Arc::new(Kit::new(Pairs::new(forms.forms, gap), forms.ways));
    held.push(Arc::downgrade(&kit));
    kit
}

/// Nests outlines, and rectangles with them, in the style `free`.
///
/// # Errors
/// When a piece fits no roll in any quarter turn that it may take, or the rolls on hand hold less
/// than the pieces.
pub fn solve(
    instance: &Instance,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Nesting, NestError> {
    let kit = &*kit(instance);
    let rooms = Room::all(instance);
    for (index, piece) in instance.pieces.iter().enumerate() {
        if !rooms.iter().any(|room| room.takes(kit, index)) {
            return Err(NestError::PieceFitsNoRoll { piece: piece.id.clone() });
        }
    }
    let by_length = instance.objective == Objective::Length;
    let endless = by_length && instance.cutting.pull_limit.is_none();
    let comb = rooms.first().filter(|_| by_length);
    let comb = comb.map_or(0, |room| comb::least(instance, kit, room.width));
    let (bound, basis, certificate) = bound::any_layout(instance, kit, comb);
    let tell = |value: Option<i64>| {
        let Instance { name, objective, .. } = instance;
        watch.news(&News { instance: name, objective: *objective, value, bound });
    };
    tell(None);
    let news = |value: i64| tell(Some(value));
    let order = order(instance, kit);
    let rolls = if endless {
        strip(instance, kit, &rooms, &order, comb, (options, watch), &news)
            .ok_or(NestError::NotEnoughRolls { missing: 1 })?
    } else {
        // Straight cuts are soon searched for, and whoever counts rolls may not get more of them for freer cuts.
        let part = if by_length { OF_STRAIGHT } else { 1 };
        let of_straight = Options { work: options.work / part, ..*options };
        let time = Share::of(watch, 1, part + 1);
        let straight = straight_start::answer(instance, &of_straight, &time);
        if let Some(straight) = &straight {
            news(straight.value);
        }
        let give_up = straight.is_some() || watch.answered();
        let mut meter = Meter::new(&kit.pairs, options.work / 2);
        let may = (give_up, &mut meter);
        let filled = sheeted(instance, kit, &rooms, &order, options, watch, may);
        let mut rolls = match (filled, straight) {
            (Ok(rolls), None) => rolls,
            (Ok(rolls), Some(straight)) if answer::better(instance, &rolls, &straight) => rolls,
            (_, Some(straight)) => {
                let Some(rolls) = straight_start::rolls(instance, kit, &straight) else {
                    let status = Status::of(straight.value, bound, watch.stop());
                    return Ok(Nesting { bound, basis, certificate, status, ..straight });
                };
                rolls
            }
            (Err(missing), None) => return Err(NestError::NotEnoughRolls { missing }),
        };
        shorter(instance, kit, &rooms, &mut rolls, bound, options, watch, &mut meter, &news);
        rolls
    };
    let layouts = answer::layouts(instance, &rolls);
    let value = answer::value(instance, &layouts);
    let status = Status::of(value, bound, watch.stop());
    Ok(Nesting { layouts, value, bound, basis, certificate, status })
}

/// Shortens pulls, and empties rolls into others where rolls count.
#[expect(clippy::too_many_arguments, reason = "the engine's means and one answer")]
fn shorter(
    instance: &Instance,
    kit: &Kit,
    rooms: &[Room],
    rolls: &mut Vec<Filled>,
    bound: i64,
    options: &Options,
    watch: &dyn Watch,
    meter: &mut Meter<'_>,
    news: &(dyn Fn(i64) + Sync),
) {
    let value = |rolls: &[Filled]| answer::value(instance, &answer::layouts(instance, rolls));
    let work = options.work.saturating_mul(strip::PER_STEP);
    let before = value(rolls);
    if instance.objective == Objective::Length {
        let many = matches!(rolls.as_slice(), [one] if one.sheets.len() > 1);
        let each = if many { work / 2 } else { work };
        let told = |saved: i64| news(before - saved);
        meter.allow(options.work);
        let time = Share::of(watch, each, work);
        pulls::shorten(kit, rooms, rolls, (options.seed, each), &time, meter, &told);
        let before = value(rolls);
        let told = |saved: i64| news(before - saved);
        deal::deal((instance, kit, rooms), rolls, (options.seed, work - each), watch, &told);
        return;
    }
    // Shorter pulls make room for those of others, and leave more of the roll in one piece.
    let part = if before > bound { OF_PULLS.0 } else { OF_PULLS.1 };
    meter.allow(options.work / part);
    let time = Share::of(watch, 1, if before > bound { part + 1 } else { 1 });
    pulls::shorten(kit, rooms, rolls, (options.seed, work / part), &time, meter, &|_| {});
    if before > bound {
        let told = |rolls: &[Filled]| news(value(rolls));
        meter.allow(options.work / OF_PULLS.0);
        empty::rolls(kit, rooms, rolls, (options.seed, work), watch, meter, &told);
    }
}

/// Rolls filled piece by piece, or from blocks of long pieces on, whichever comes to less; given
/// up when the work is done, if that is allowed.
///
/// # Errors
/// How many pieces found no room at best.
fn sheeted(
    instance: &Instance,
    kit: &Kit,
    rooms: &[Room],
    order: &[usize],
    options: &Options,
    watch: &dyn Watch,
    (give_up, meter): (bool, &mut Meter<'_>),
) -> Result<Vec<Filled>, u64> {
    // Few kinds lie in a block, so that whatever the work allows is enough for it; of hundreds of combinations that are
    // nested with little work each would work out its own.
    let mut apart = if give_up {
        Meter::new(&kit.pairs, options.work.saturating_mul(OF_BLOCKS))
    } else {
        Meter::unlimited(&kit.pairs)
    };
    let may = (options.work / 4, &mut apart);
    let blocks = blocks::lay(instance, kit, rooms, order, may, watch);
    let mut starts: Vec<_> = blocks.into_iter().collect();
    // Laying all of many pieces one by one takes long, and loses where blocks hold half of them.
    if starts.first().is_none_or(|(_, rest)| order.len() <= FEW || 2 * rest.len() > order.len()) {
        starts.push((Vec::new(), order.to_vec()));
    }
    let asked = AtomicU64::new(0);
    let most = options.work / PER_PLACE;
    let done = || give_up && asked.fetch_add(1, Ordering::Relaxed) > most;
    let stop = || done() || watch.stop();
    let filled = starts.into_iter().map(|(rolls, rest)| {
        let (rolls, missing) =
            sheets::fill(instance, kit, rooms, &rest, rolls, (&stop, give_up), meter);
        (missing, answer::value(instance, &answer::layouts(instance, &rolls)), rolls)
    });
    let best = filled.min_by_key(|(missing, value, _)| (*missing, *value));
    best.map_or(Err(0), |(missing, _, rolls)| if missing > 0 { Err(missing) } else { Ok(rolls) })
}

/// Every single piece, the largest first.
fn order(instance: &Instance, kit: &Kit) -> Vec<usize> {
    let mut pieces: Vec<usize> = (0..instance.pieces.len()).collect();
    kit.largest_first(&mut pieces);
    let copies = |i: usize| usize::try_from(instance.pieces[i].quantity).unwrap_or(usize::MAX);
    pieces.into_iter().flat_map(|i| std::iter::repeat_n(i, copies(i))).collect()
}

/// One pull of a roll without end, made as short as the work allows; no shorter than `comb` is possible.
fn strip(
    instance: &Instance,
    kit: &Kit,
    rooms: &[Room],
    order: &[usize],
    comb: i64,
    (options, watch): (&Options, &dyn Watch),
    news: &(dyn Fn(i64) + Sync),
) -> Option<Vec<Filled>> {
    let width = rooms.first()?.width;
    let square = instance.cutting.square_cut.nm();
    let least = bound::least(kit, width, order.iter().copied()).max(comb);
    let strip = Strip { kit, width, least };
    let work = options.work.saturating_mul(strip::PER_STEP);
    let straight = straight_start::strip(instance, kit, options, watch);
    let first = first::shortest(&strip, order, (options.seed, work), watch);
    let first = first.into_iter().chain(straight).min_by_key(|laid| laid.length)?;
    news(first.length + square);
    // Several searches tell what each has found; what is shorter than all before is news.
    let shortest = AtomicI64::new(first.length);
    let told = |length: i64| {
        if shortest.fetch_min(length, Ordering::Relaxed) > length {
            news(length + square);
        }
    };
    let best = strip.shorten(first, options.seed, work, watch, &told);
    let sheet = Sheet { spots: best.spots, length: best.length };
    Some(vec![Filled { roll: 0, sheets: vec![sheet] }])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::{Cutting, Style, Turns};
    use crate::nest::{Piece, Roll};
    use crate::units::{Length, Money};

    /// Counts how often it is asked whether to stop.
    struct Counting(AtomicU64);

    impl Watch for Counting {
        fn stop(&self) -> bool {
            self.0.fetch_add(1, Ordering::Relaxed);
            false
        }

        fn news(&self, _: &News<'_>) {}
    }

    #[test]
    fn beside_an_answer_the_first_piece_without_room_ends_the_filling() {
        let mm = Length::from_mm;
        let corner = |x: i64, y: i64| crate::geometry::Point { x: mm(x), y: mm(y) };
        let outline = vec![corner(0, 0), corner(60, 0), corner(60, 90), corner(0, 60)];
        let piece = Piece {
            id: "P".to_owned(),
            width: mm(60),
            length: mm(90),
            outline: Some(crate::geometry::Outline::new(outline).unwrap()),
            quantity: 20,
            turns: Turns::none(),
        };
        let roll = Roll {
            id: "R".to_owned(),
            width: mm(100),
            length: Some(mm(200)),
            price: Money::from_units(1),
            available: Some(1),
        };
        let asked = Instance {
            name: "test".to_owned(),
            pieces: vec![piece],
            rolls: vec![roll],
            cutting: Cutting::plain(Style::Free, None),
            objective: Objective::Price,
            published: None,
        };
        let asks = |beside: bool| {
            let counting = Counting(AtomicU64::new(0));
            let next = crate::nest::watch::Beside(&counting);
            let watch: &dyn Watch = if beside { &next } else { &counting };
            let answer = solve(&asked, &Options { seed: 1, work: 1_000_000 }, watch);
            let Err(NestError::NotEnoughRolls { missing }) = answer else { panic!("it fits") };
            (missing, counting.0.into_inner())
        };
        let ((missing, asks), (some, fewer)) = (asks(false), asks(true));
        assert_eq!(missing, 18, "two lie one behind the other");
        assert!(some > 0 && fewer < asks, "{fewer} asks of {asks}");
    }

    #[test]
    fn a_kit_is_shared_while_somebody_holds_it() {
        let mm = Length::from_mm;
        let piece = |width: i64| Piece {
            id: "P".to_owned(),
            width: mm(width),
            length: mm(90),
            outline: None,
            quantity: 2,
            turns: Turns::none(),
        };
        let roll = |length: i64| Roll {
            id: "R".to_owned(),
            width: mm(1000),
            length: Some(mm(length)),
            price: Money::from_units(1),
            available: None,
        };
        let asked = |width: i64, length: i64, gap: i64| Instance {
            name: "test".to_owned(),
            pieces: vec![piece(width)],
            rolls: vec![roll(length)],
            cutting: Cutting { gap: mm(gap), ..Cutting::plain(Style::Free, None) },
            objective: Objective::Price,
            published: None,
        };
        let held = kit(&asked(70, 5000, 0));
        assert!(Arc::ptr_eq(&held, &kit(&asked(70, 8000, 0))), "another roll");
        assert!(!Arc::ptr_eq(&held, &kit(&asked(71, 5000, 0))), "another piece");
        assert!(!Arc::ptr_eq(&held, &kit(&asked(70, 5000, 3))), "another gap");
    }
}
