//! The engine and the search by turns.

use super::super::Size;
use super::search::{Search, count};
use super::shop::real;
use super::wrapped::wrapped;
use super::{Rows, Slid, Sliding, Things};
use crate::cutting::{Cutting, Objective, Style};
use crate::nest::straight::effort::Effort;
use crate::nest::straight::lots::Lots;
use crate::nest::straight::{Laid, LaidPull, laid};
use crate::nest::{Instance, Options, Piece, Roll, Watch};
use crate::units::Length;
use std::collections::BTreeMap;

/// Turns.
const TURNS: u64 = 6;

/// One in so many steps goes into chains of rows.
const CHAINED: u64 = 6;

/// Turns in a row without a gain, after which it is enough.
const IN_VAIN: u32 = 2;

/// Slides courses. `None` where sizes are too fine, a piece fits no roll, or there was no time.
pub fn slide<T: Things>(
    task: &Sliding<'_, T>,
    options: &Options,
    watch: &dyn Watch,
) -> Option<Slid> {
    let mut lots = Lots::new(options.seed);
    let mut courses: Vec<Rows> = (0..task.things.count()).map(|t| task.things.first(t)).collect();
    let start = courses.clone();
    let mut extra = 0;
    let mut found: Option<Slid> = None;
    let mut pulls: Vec<Vec<LaidPull>> = vec![Vec::new(); task.materials.len()];
    let many = u64::try_from(task.materials.len()).unwrap_or(u64::MAX);
    let mut vain = 0;
    for turn in 0..TURNS {
        let share = options.work / TURNS / 2;
        let engine = Options { seed: options.seed + turn, work: share / many.max(1) };
        for (material, instance) in task.materials.iter().enumerate() {
            let wanted = wanted(task, (material, instance), &courses);
            let Some(new) = nested(&wanted, &engine, watch) else { continue };
            let old = &pulls[material];
            if old.is_empty() || long(&new, &wanted) < long(old, &wanted) {
                pulls[material] = new;
            }
        }
        let first = found.as_ref().map_or_else(|| pulls.clone(), |found| found.first.clone());
        let effort = Effort::new(&Options { seed: 0, work: share }, watch);
        let mut search = Search::new(task, (courses, extra), &pulls)?;
        let before = search.now.shop.total();
        if turn == 0
            && let Some(other) = chained(task, &start, (&mut lots, options, watch))
            && worth(&other, task, &start) < worth(&search, task, &start)
        {
            search = other;
        }
        search.run(&mut lots, &effort);
        extra = search.now.extra;
        let cost = worth(&search, task, &start);
        pulls = (0..task.materials.len()).map(|m| search.now.shop.laid(m)).collect();
        courses = search.now.courses;
        let begun = found.as_ref().map_or(before, |found| found.cost[0]);
        let gains = found.as_ref().is_none_or(|found| cost < found.cost[1] * (1.0 - 1e-5));
        vain = if gains { 0 } else { vain + 1 };
        if found.as_ref().is_none_or(|found| cost <= found.cost[1]) {
            let (courses, pulls) = (courses.clone(), pulls.clone());
            found = Some(Slid { courses, pulls, first, cost: [begun, cost] });
        }
        if vain >= IN_VAIN || watch.stop() {
            break;
        }
    }
    found
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
fn nested(instance: &Instance, options: &Options, watch: &dyn Watch) -> Option<Vec<LaidPull>> {
    let nesting = crate::nest::solve(instance, options, watch).ok()?;
    Some(laid(instance, &nesting.layouts))
}

/// How long pulls are in all, gaps counted in.
fn long(pulls: &[LaidPull], instance: &Instance) -> Length {
    let gap = instance.cutting.gap;
    let lane = |lane: &Vec<Laid>| lane.iter().map(|piece| piece.along() + gap).sum::<Length>();
    let one = |pull: &LaidPull| pull.lanes.iter().map(lane).max().unwrap_or_default();
    pulls.iter().map(one).sum()
}
