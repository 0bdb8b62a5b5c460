//! Bounds hold whatever the prices: prices moved at random, over the shared sets, never give a bound
//! above what others have cut the pieces from.
//!
//! For each instance three kinds of prices: areas, those of a linear programme that is not yet
//! solved, and both moved by up to a hundredth and by up to a half. Every pricing that may prove a
//! bound prices them: pulls of two stages, whole rolls of two or three. For every style, prices of
//! widths by lines across the roll are moved in the same way, and pairs of dual feasible functions are
//! drawn by lot; `free/perturbed.rs` does so with the sizes that free layouts grow to.

use super::effort::Effort;
use super::generate::{Pricing, Question, generate};
use super::lines::Lines;
use super::lots::Lots;
use super::master::{Column, Cut, Master, real};
use super::model::{Model, RollSize, Rounding};
use super::pattern::{PullCut, RollCut};
use super::pulls::Pulls;
use super::simple;
use super::whole::Whole;
use crate::cutting::Style;
use crate::nest::bound::{Certificate, DualFeasible};
use crate::nest::{Instance, Options, Quiet, read};
use std::io::Write as _;
use std::path::Path;
use std::sync::Arc;

/// Sets, and every which instance of them the programmes' prices are moved for.
const SETS: [(&str, usize); 5] = [
    ("csp2d_cintra_gcutd", 6),
    ("csp2d_silva2010_literature30", 6),
    ("bp2d_berkey_martello", 21),
    ("csp2d_imahori2005", 20),
    ("strip_packing_rect", 31),
];

/// Pairs of dual feasible functions drawn for each instance.
const PAIRS: usize = 20;

/// A price of 1 here is this.
const ONE: f64 = 1_099_511_627_776.0;

#[test]
fn perturbed_prices_never_exceed_what_is_known() {
    let mut lots = Lots::new(6);
    for (set, step) in SETS {
        let path = Path::new(env!("CARGO_MANIFEST_DIR")).join(format!("../shared/data/{set}.json"));
        let Ok(bytes) = std::fs::read(&path) else {
            let _ = writeln!(std::io::stderr(), "SKIPPED: {} is missing", path.display());
            continue;
        };
        let entries = read(set, &bytes).expect("a file of instances");
        let instances = entries.into_iter().filter_map(|entry| entry.instance);
        let mut bounds = 0;
        for (at, instance) in instances.enumerate() {
            let Some(known) = instance.published.as_ref().and_then(|p| p.value) else { continue };
            let straight = instance.cutting.style == Style::Straight;
            if straight && at % step == 0 {
                bounds += moved(&instance, known, &mut lots);
            }
            let under = Model::new(&instance, Rounding::Down).expect("every piece fits");
            bounds += lined(&instance, &under, known, &mut lots);
            bounds += drawn(&instance, &under, known, &mut lots);
        }
        assert!(bounds > 0, "{set} gave no bound at all");
    }
}

/// Bounds from moved prices of one instance, each held against the value known; how many.
fn moved(instance: &Instance, known: i64, lots: &mut Lots) -> usize {
    let model = Model::new(instance, Rounding::Up).expect("every piece fits");
    let under = Model::new(instance, Rounding::Down).expect("every piece fits");
    let mut bounds = 0;
    match instance.cutting.stages {
        Some(2) => {
            let pulls = Pulls::new(&model, &under);
            let (_, left) = pulls.set_aside();
            let master = Master::new(&model, false);
            bounds += held(instance, (&model, &left), (master, false), &pulls, known, lots);
            let master = Master::new(&model, true);
            let demand = model.demands();
            let whole = Whole::new(&model, &under, false);
            bounds += held(instance, (&model, &demand), (master, true), &whole, known, lots);
        }
        Some(3) => {
            let master = Master::new(&model, true);
            let demand = model.demands();
            let whole = Whole::new(&model, &under, true);
            bounds += held(instance, (&model, &demand), (master, true), &whole, known, lots);
        }
        _ => {}
    }
    bounds
}

/// Bounds by lines across the roll at moved prices of widths; how many.
fn lined(instance: &Instance, under: &Model, known: i64, lots: &mut Lots) -> usize {
    if under.endless {
        return 0;
    }
    let effort = Effort::new(&Options { seed: 1, work: 1_000_000 }, &Quiet);
    let lines = Lines::of(under.clone());
    let mut bounds = 0;
    for spread in [0.01, 0.5, 1.0] {
        #[expect(clippy::cast_possible_truncation, reason = "prices may be anything")]
        let moved = |size: usize| {
            let factor = 1.0 + spread * (2.0 * lots.unit() - 1.0);
            (real(size as u64) * factor * 1e6) as i64
        };
        let prices: Vec<i64> = lines.sizes().map(moved).collect();
        bounds += below(instance, &lines.at(&prices, &effort), known);
    }
    bounds
}

/// Bounds by dual feasible functions drawn by lot; how many.
fn drawn(instance: &Instance, under: &Model, known: i64, lots: &mut Lots) -> usize {
    let same = |size: fn(&RollSize) -> usize| {
        let first = size(&under.rolls[0]);
        under.rolls.iter().all(|roll| size(roll) == first).then_some(first)
    };
    let width = same(|roll| roll.width);
    let length = same(|roll| roll.length).filter(|_| !under.endless);
    let mut bounds = 0;
    for _ in 0..PAIRS {
        let mut function = |capacity: Option<usize>| {
            let Some(capacity) = capacity else { return DualFeasible::Identity };
            let capacity = i64::try_from(capacity).expect("a size");
            DualFeasible::drawn(capacity, &mut |n| lots.number(n))
        };
        if let Some(certificate) =
            simple::weigh((under, false), (function(width), function(length)))
        {
            bounds += below(instance, &certificate, known);
        }
    }
    bounds
}

/// Holds a bound against the value known; 1, to be counted.
fn below(instance: &Instance, certificate: &Certificate, known: i64) -> usize {
    let bound = certificate.bound(instance).expect("rolls suffice");
    assert!(bound <= known, "{}: bound {bound} above {known}", instance.name);
    1
}

/// Bounds of one pricing.
fn held(
    instance: &Instance,
    (model, left): (&Model, &[u64]),
    (mut master, rolls): (Master<'_>, bool),
    pricing: &dyn Pricing,
    known: i64,
    lots: &mut Lots,
) -> usize {
    let options = Options { seed: 1, work: 400_000 };
    let effort = Effort::new(&options, &Quiet);
    master.set_left(left);
    alone(&mut master, model, rolls);
    generate(&mut master, pricing, (model, left), 4, (None, &effort));
    let unsolved = master.prices();
    #[expect(clippy::cast_precision_loss, reason = "prices may be anything")]
    let areas: Vec<f64> = model.areas().iter().map(|&area| area as f64).collect();
    let largest = model.rolls.iter().map(|roll| roll.width * roll.length.max(1)).max().unwrap_or(1);
    #[expect(clippy::cast_precision_loss, reason = "prices may be anything")]
    let areas: Vec<f64> = areas.into_iter().map(|area| area / largest as f64).collect();
    let scaled = |values: Vec<f64>| values.iter().map(|value| value * ONE).collect::<Vec<f64>>();
    let (rates, targets) = (scaled(master.rates()), scaled(master.targets()));
    let mut bounds = 0;
    for base in [&areas, &unsolved] {
        for spread in [0.0, 0.01, 0.5] {
            #[expect(clippy::cast_possible_truncation, reason = "prices may be anything")]
            let prices: Vec<i64> = base
                .iter()
                .map(|price| {
                    let factor = 1.0 + spread * (2.0 * lots.unit() - 1.0);
                    (price * factor * ONE).clamp(0.0, 1e16) as i64
                })
                .collect();
            let question =
                Question { prices: &prices, left, rates: &rates, targets: &targets, prove: true };
            let priced = pricing.price(&master, &question, &effort);
            let Some((prices, most)) = priced.proof else { continue };
            let all: Vec<Option<i64>> = prices.into_iter().map(Some).collect();
            let certificate = Certificate::new(model.by_piece(&all), most);
            bounds += below(instance, &certificate, known);
        }
    }
    bounds
}

/// Columns of each form alone.
fn alone(master: &mut Master<'_>, model: &Model, rolls: bool) {
    for form in &model.forms {
        let pull = Arc::new(PullCut::alone(form));
        for (q, width) in master.widths.clone().into_iter().enumerate() {
            if !rolls && form.width <= width {
                master.add(Column::new(Cut::Pull(q, Arc::clone(&pull))));
            }
        }
        for (k, roll) in model.rolls.iter().enumerate() {
            if rolls && form.width <= roll.width && form.length <= roll.length {
                let roll = RollCut { roll: k, pulls: vec![Arc::clone(&pull)] };
                master.add(Column::new(Cut::Roll(roll)));
            }
        }
    }
}
