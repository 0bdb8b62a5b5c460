//! The plans of a run that cost least at given prices.
//!
//! Prices say what a piece of every width costs; a plan costs the sum over its courses, and what its
//! further joints cost. Steps:
//!
//! 1. Each layer gets candidates: `[a, F, .., F, b]` for every `a` on the grid, with `F` the widest
//!    course (or the longest), for every number of courses allowed; and with one more course in
//!    between whose width is a bargain, that is costs little for its width. Only the best in each
//!    stretch of half a stagger is kept, so that those that remain differ enough to stagger.
//! 2. A dynamic programme over the layers takes one candidate each: least cost, joints apart.
//!
//! What comes out is legal by construction and checked again by [`FreeRun::keeps`] before it is
//! used. Candidates are not all plans; they only have to be good at the prices of the moment.

use super::freedom::{FreeLayer, FreeRun, apart};
use crate::units::Length;
use std::collections::BTreeMap;

/// Candidates of one layer.
const CANDIDATES: usize = 40;
/// Bargains of one layer.
const BARGAINS: usize = 20;

/// A plan and what it costs.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternative {
    /// The courses of each layer.
    pub courses: Vec<Vec<Length>>,
    /// What its pieces and joints cost.
    pub cost: f64,
}

/// One layer's plan.
#[derive(Clone, Debug)]
struct Plan {
    cost: f64,
    courses: Vec<i64>,
    joints: Vec<Length>,
    /// Joints and ends, in order.
    places: Vec<Length>,
}

/// What pieces of a layer cost by width: the price of a piece that is `k` steps wide stands at `k`.
pub type Curve = Vec<f64>;

/// Up to `many` plans of the run, cheapest first; `joint` is what a further joint costs.
#[must_use]
pub fn cheapest(run: &FreeRun, curves: &[Curve], joint: f64, many: usize) -> Vec<Alternative> {
    let mut stages: Vec<Vec<(f64, usize)>> = Vec::new();
    let mut plans: Vec<Vec<Plan>> = Vec::new();
    for (at, (layer, curve)) in run.layers.iter().zip(curves).enumerate() {
        let Some(specified) = run.specified.get(at) else { return Vec::new() };
        let mine = candidates(layer, curve, joint, specified);
        let mut stage = Vec::with_capacity(mine.len());
        for plan in &mine {
            let from = match at.checked_sub(1) {
                None => Some((0.0, 0)),
                Some(below) => (0..plans[below].len())
                    .filter(|&j| stages[below][j].0 < f64::INFINITY)
                    .filter(|&j| apart(&plan.joints, &plans[below][j].places, layer.stagger))
                    .map(|j| (stages[below][j].0, j))
                    .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1))),
            };
            stage.push(from.map_or((f64::INFINITY, 0), |(cost, j)| (cost + plan.cost, j)));
        }
        plans.push(mine);
        stages.push(stage);
    }
    let Some(last) = stages.last() else { return Vec::new() };
    let mut ends: Vec<usize> = (0..last.len()).filter(|&i| last[i].0 < f64::INFINITY).collect();
    ends.sort_by(|&a, &b| last[a].0.total_cmp(&last[b].0).then(a.cmp(&b)));
    ends.into_iter()
        .take(many)
        .map(|end| {
            let mut courses = Vec::with_capacity(plans.len());
            let mut pick = end;
            for (stage, plans) in stages.iter().zip(&plans).rev() {
                courses.push(plans[pick].courses.iter().map(|&nm| Length::from_nm(nm)).collect());
                pick = stage[pick].1;
            }
            courses.reverse();
            Alternative { courses, cost: last[end].0 }
        })
        .collect()
}

/// A layer in steps of the grid.
struct Grid<'a> {
    layer: &'a FreeLayer,
    curve: &'a [f64],
    step: i64,
    lap: i64,
}

impl Grid<'_> {
    /// What a course costs.
    fn price(&self, course: i64, last: bool) -> f64 {
        let cut = course + if last { 0 } else { self.lap };
        let steps = cut.div_euclid(self.step) + i64::from(cut.rem_euclid(self.step) != 0);
        let price = usize::try_from(steps).ok().and_then(|at| self.curve.get(at));
        price.copied().unwrap_or(f64::INFINITY) * f64::from(self.layer.parts)
    }

    fn cost(&self, courses: &[i64]) -> f64 {
        let last = courses.len().saturating_sub(1);
        courses.iter().enumerate().map(|(at, &course)| self.price(course, at == last)).sum()
    }

    fn plan(&self, courses: Vec<i64>, cost: f64) -> Plan {
        let mut at = self.layer.start;
        let mut places = vec![at];
        for &course in &courses {
            at += Length::from_nm(course);
            places.push(at);
        }
        let joints = places[1..places.len() - 1].to_vec();
        Plan { cost, courses, joints, places }
    }
}

/// The candidates of a layer, what is specified among them.
fn candidates(layer: &FreeLayer, curve: &[f64], joint: f64, specified: &[Length]) -> Vec<Plan> {
    let step = layer.step.nm().max(1);
    let (length, lap) = (layer.length().nm(), layer.lap.nm());
    let grid = Grid { layer, curve, step, lap };
    let (small, long) = (layer.smallest.nm(), layer.longest.nm());
    let mut best: BTreeMap<(usize, i64, i64), (f64, Vec<i64>)> = BTreeMap::new();
    let base = i64::try_from(specified.len()).unwrap_or(i64::MAX);
    let extra = |n: i64| joint * f64::from(i32::try_from(n - base).unwrap_or(i32::MAX));
    let bin = (layer.stagger.nm() / 2).max(length / 64).max(step);
    let mut keep = |kind: i64, courses: &[i64], cost: f64| {
        let slot = best.entry((courses.len(), kind, courses[0] / bin));
        let old = slot.or_insert_with(|| (f64::INFINITY, Vec::new()));
        if cost < old.0 {
            *old = (cost, courses.to_vec());
        }
    };
    if length <= long {
        keep(0, &[length], grid.price(length, true) + extra(1));
    }
    let most = i64::try_from(layer.most).unwrap_or(i64::MAX);
    let bargains = bargains(&grid);
    for n in (length / long.max(1)).max(2)..=most {
        let fulls: &[i64] = if n == 2 { &[0] } else { &[layer.widest.nm(), long] };
        for (kind, &full) in (1..).zip(fulls) {
            if kind == 2 && full == fulls[0] {
                continue;
            }
            let ends = length - (n - 2) * full;
            let middle = grid.price(full, false);
            let rest =
                if n > 2 { middle * f64::from(i32::try_from(n - 2).unwrap_or(0)) } else { 0.0 };
            let (from, to) = (small.max(ends - long), long.min(ends - small));
            let mut courses = vec![full; usize::try_from(n).unwrap_or(0)];
            let last = courses.len() - 1;
            let mut a = from.div_euclid(step) * step + if from % step == 0 { 0 } else { step };
            while a <= to {
                let cost = grid.price(a, false) + grid.price(ends - a, true) + rest + extra(n);
                (courses[0], courses[last]) = (a, ends - a);
                keep(kind, &courses, cost);
                a += step;
            }
        }
        if n < 3 {
            continue;
        }
        let full = layer.widest.nm();
        for &a in &bargains {
            for &d in &bargains {
                let b = length - (n - 3) * full - a - d;
                if b < small || b > long {
                    continue;
                }
                let fulls = std::iter::repeat_n(full, usize::try_from(n - 3).unwrap_or(0));
                let middle: Vec<i64> = fulls.collect();
                for (kind, order) in [(3, [a, d, b]), (4, [a, b, d])] {
                    // Only the last course may lie off the grid.
                    if kind == 4 && b % step != 0 {
                        continue;
                    }
                    let mut courses = vec![order[0]];
                    courses.extend(&middle);
                    courses.extend([order[1], order[2]]);
                    let cost = grid.cost(&courses) + extra(n);
                    keep(kind, &courses, cost);
                }
            }
        }
    }
    let own: Vec<i64> = specified.iter().map(|course| course.nm()).collect();
    let own_cost = grid.cost(&own);
    let mut found: Vec<(f64, Vec<i64>)> = best
        .into_values()
        .filter(|(cost, courses)| *cost < f64::INFINITY && *courses != own)
        .collect();
    found.sort_by(|a, b| a.0.total_cmp(&b.0).then_with(|| a.1.cmp(&b.1)));
    found.truncate(CANDIDATES);
    found.push((own_cost, own));
    found.into_iter().map(|(cost, courses)| grid.plan(courses, cost)).collect()
}

/// Widths that cost least for what they cover, and those whose price drops most against their
/// neighbours'.
fn bargains(grid: &Grid<'_>) -> Vec<i64> {
    let (small, long) = (grid.layer.smallest.nm(), grid.layer.longest.nm());
    let mut all: Vec<(f64, i64)> = Vec::new();
    let mut width = small;
    while width <= long {
        let price = grid.price(width, false);
        if price < f64::INFINITY {
            let steps = f64::from(i32::try_from(width / grid.step).unwrap_or(i32::MAX));
            all.push((price / steps, width));
        }
        width += grid.step;
    }
    all.sort_by(|a, b| a.0.total_cmp(&b.0).then(b.1.cmp(&a.1)));
    all.truncate(BARGAINS);
    all.into_iter().map(|(_, width)| width).collect()
}
