//! The engine, chains, and the search by turns.

use super::super::Size;
use super::search::{Search, count, share};
use super::shop::real;
use super::wrapped::wrapped;
use super::{Row, Rows, Slid, Sliding, Things};
use crate::cutting::{Cutting, Objective, Style};
use crate::nest::straight::effort::Effort;
use crate::nest::straight::lots::Lots;
use crate::nest::straight::{Laid, LaidPull, laid};
use crate::nest::watch::Share;
use crate::nest::{Instance, Options, Piece, Roll, Watch};
use crate::units::Length;
use std::collections::BTreeMap;

/// Turns of the search.
const TURNS: u64 = 12;

/// One in so many steps goes into pulls for the courses to start from.
const ENGINE: u64 = 8;

/// Known pulls that waste less than this share are not looked for again.
const LITTLE: f64 = 0.003;

/// One in so many steps goes into chains of rows.
const CHAINED: u64 = 6;

/// Slides courses. `None` where sizes are too fine, a piece fits no roll, or there was no time.
///
/// `known` are pulls by material that hold all pieces of the courses to start from, or none.
pub fn slide<T: Things>(
    task: &Sliding<'_, T>,
    known: &[Vec<LaidPull>],
    options: &Options,
    watch: &dyn Watch,
) -> Option<Slid> {
    let mut lots = Lots::new(options.seed);
    let start: Vec<Rows> = (0..task.things.count()).map(|t| task.things.first(t)).collect();
    let (first, mut spent) = begun(task, (known, &start), options, watch);
    let mut search = Search::new(task, (start.clone(), 0), &first)?;
    let before = search.now.shop.total();
    // Without further joints, rows that can lie turned gain nothing by chains.
    let upright = |row: &Row| !row.sideways || row.length > row.most;
    if task.limit > 0 || search.rows.iter().flatten().any(upright) {
        spent += options.work / CHAINED;
        if let Some(other) = chained(task, &start, (&mut lots, options, watch))
            && worth(&other, task, &start) < worth(&search, task, &start)
        {
            search = other;
        }
    }
    let mut best = (worth(&search, task, &start), search.now.clone());
    let work = options.work.saturating_sub(spent) / TURNS;
    for turn in 0..TURNS {
        let heat = |turn: u64| share(TURNS - turn, TURNS);
        let heat = [heat(turn), heat(turn + 1)];
        let time = Share::of(watch, 1, TURNS - turn);
        search = search.turn(task, (&mut lots, work, heat), &time)?;
        let cost = worth(&search, task, &start);
        if cost < best.0 {
            best = (cost, search.now.clone());
        }
        if watch.stop() || search.perfect() {
            break;
        }
    }
    let (cost, best) = best;
    let pulls = (0..task.materials.len()).map(|m| best.shop.laid(m)).collect();
    Some(Slid { courses: best.courses, pulls, first, cost: [before, cost] })
}

/// Pulls for the courses to start from, by material, and the work that went into them.
fn begun<T: Things>(
    task: &Sliding<'_, T>,
    (known, start): (&[Vec<LaidPull>], &[Rows]),
    options: &Options,
    watch: &dyn Watch,
) -> (Vec<Vec<LaidPull>>, u64) {
    let many = u64::try_from(task.materials.len()).unwrap_or(u64::MAX).max(1);
    let engine = Options { seed: options.seed, work: options.work / ENGINE / many };
    let mut spent = 0;
    let pulls = task.materials.iter().enumerate().map(|(material, instance)| {
        let wanted = wanted(task, (material, instance), start);
        let known = known.get(material).map_or(&[][..], Vec::as_slice);
        if !known.is_empty() && wasted(&wanted, known) < LITTLE {
            return known.to_vec();
        }
        spent += engine.work;
        nested((&wanted, known), &engine, watch).unwrap_or_else(|| known.to_vec())
    });
    (pulls.collect(), spent)
}

/// The search begun from rows laid one behind another.
fn chained<'t, T: Things>(
    task: &Sliding<'t, T>,
    start: &[Rows],
    (lots, options, watch): (&mut Lots, &Options, &dyn Watch),
) -> Option<Search<'t, T>> {
    let effort = Effort::new(&Options { work: options.work / CHAINED, ..*options }, watch);
    let wrapped = wrapped(task, start, (lots, &effort))?;
    Search::new(task, (wrapped.courses, wrapped.extra), &wrapped.pulls)
}

/// What a search stands at.
fn worth<T: Things>(search: &Search<'_, T>, task: &Sliding<'_, T>, start: &[Rows]) -> f64 {
    search.now.shop.total() + joints_cost(task.things, start, &search.now.courses)
}

/// What joints beyond those to start from cost.
fn joints_cost<T: Things>(things: &T, start: &[Rows], courses: &[Rows]) -> f64 {
    let sum = |rows: &Rows| count(rows.iter().map(Vec::len).sum());
    let one = |thing: usize| {
        let (joints, cost) = things.joints(thing);
        real((sum(&courses[thing]) - sum(&start[thing])) * joints) * cost
    };
    (0..start.len()).map(one).sum()
}

/// A material with the pieces of these courses, by length alone on its cheapest width.
fn wanted<T: Things>(
    task: &Sliding<'_, T>,
    (material, instance): (usize, &Instance),
    courses: &[Rows],
) -> Instance {
    let mut sizes: BTreeMap<Size, u64> = BTreeMap::new();
    for (thing, rows) in courses.iter().enumerate() {
        for (row, courses) in task.things.rows(thing).iter().zip(rows) {
            if row.material != material {
                continue;
            }
            for (size, quantity) in row.sizes(courses) {
                *sizes.entry(size).or_default() += quantity;
            }
        }
    }
    let fixed = instance.pieces.iter().filter(|piece| piece.quantity > 0);
    let fixed = fixed.map(|piece| Piece { outline: None, ..piece.clone() });
    let free = sizes.into_iter().map(|(size, quantity)| size.pieces(quantity));
    let pieces = fixed.chain(free).collect();
    let cut = &instance.cutting;
    let price = |roll: &Roll| {
        let length = roll.length.map_or(1.0, |l| real((l - cut.square_cut).nm().max(1)));
        let cost =
            if instance.objective == Objective::Price { real(roll.price.micros()) } else { 1.0 };
        cost / length / real((roll.width - cut.edge_trim * 2).nm().max(1))
    };
    let bought = |roll: &&Roll| roll.available.is_none();
    let any = instance.rolls.iter().any(|roll| bought(&roll));
    let roll = instance
        .rolls
        .iter()
        .filter(|roll| !any || bought(roll))
        .min_by(|a, b| price(a).total_cmp(&price(b)));
    let longest = roll.and_then(|roll| roll.length).map(|length| length - cut.square_cut);
    let roll = roll.map(|roll| Roll { length: None, available: None, ..roll.clone() });
    Instance {
        rolls: roll.into_iter().collect(),
        pieces,
        cutting: Cutting {
            style: Style::Straight,
            stages: Some(if cut.stages == Some(2) { 2 } else { 3 }),
            pull_limit: cut.pull_limit.into_iter().chain(longest).min(),
            ..cut.clone()
        },
        objective: Objective::Length,
        ..instance.clone()
    }
}

/// Pulls for an instance.
fn nested(
    (instance, known): (&Instance, &[LaidPull]),
    options: &Options,
    watch: &dyn Watch,
) -> Option<Vec<LaidPull>> {
    let nesting = crate::nest::solve_from(instance, known, options, watch).ok()?;
    Some(laid(instance, &nesting.layouts))
}

/// The share of the blanket that known pulls waste.
fn wasted(instance: &Instance, pulls: &[LaidPull]) -> f64 {
    let gap = instance.cutting.gap;
    let lane = |lane: &Vec<Laid>| lane.iter().map(|piece| piece.along() + gap).sum::<Length>();
    let one = |pull: &LaidPull| {
        let long = pull.lanes.iter().map(lane).max().unwrap_or_default();
        real(long.nm()) * real(pull.width.nm())
    };
    let drawn: f64 = pulls.iter().map(one).sum();
    let laid = pulls.iter().flat_map(|pull| &pull.lanes).flatten();
    let held: f64 = laid.map(|piece| real(piece.width.nm()) * real(piece.length.nm())).sum();
    1.0 - held / drawn.max(1.0)
}
