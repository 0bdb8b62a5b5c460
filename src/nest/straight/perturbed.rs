//! Bounds hold whatever the prices: prices moved at random, over the shared sets, never give a bound
//! above what others have cut the pieces from.
//!
//! For each instance three kinds of prices: areas, those of a linear programme that is not yet
//! solved, and both moved by up to a hundredth and by up to a half. Every pricing that may prove a
//! bound prices them: pulls of two stages, whole rolls of two or three. With any number of stages (and
//! free style) no prices come from a programme; `tests/straight` and `tests/nest_free` hold the
//! bounds by area and by dual feasible functions against the published values.

use super::effort::Effort;
use super::generate::{Pricing, Question, generate};
use super::lots::Lots;
use super::master::{Column, Cut, Master};
use super::model::{Model, Rounding};
use super::pattern::{Place, PullCut, RollCut};
use super::pulls::Pulls;
use super::whole::Whole;
use crate::cutting::Style;
use crate::nest::bound::Certificate;
use crate::nest::{Instance, Options, Quiet, read};
use std::io::Write as _;
use std::path::Path;
use std::sync::Arc;

/// Sets, and every which instance of them.
const SETS: [(&str, usize); 3] =
    [("csp2d_cintra_gcutd", 4), ("csp2d_silva2010_literature30", 4), ("bp2d_berkey_martello", 20)];

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
        let straight = instances.filter(|instance| instance.cutting.style == Style::Straight);
        let mut bounds = 0;
        for instance in straight.step_by(step) {
            bounds += moved(&instance, &mut lots);
        }
        assert!(bounds > 0, "{set} gave no bound at all");
    }
}

/// Bounds from moved prices of one instance, each held against the value known; how many.
fn moved(instance: &Instance, lots: &mut Lots) -> usize {
    let model = Model::new(instance, Rounding::Up).expect("every piece fits");
    let under = Model::new(instance, Rounding::Down).expect("every piece fits");
    let Some(known) = instance.published.as_ref().and_then(|published| published.value) else {
        return 0;
    };
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
            let certificate = Certificate { prices: model.by_piece(&all), most };
            let bound = certificate.bound(instance).expect("rolls suffice");
            assert!(bound <= known, "{}: bound {bound} above {known}", instance.name);
            bounds += 1;
        }
    }
    bounds
}

/// Columns of each form alone.
fn alone(master: &mut Master<'_>, model: &Model, rolls: bool) {
    for form in &model.forms {
        let place = Place { x: 0, y: 0, class: form.class, turned: form.turned };
        let pull =
            Arc::new(PullCut { length: form.length, width: form.width, places: vec![place] });
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
