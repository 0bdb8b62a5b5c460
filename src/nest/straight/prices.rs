//! The programme's own prices, for sharing out what the rolls cost among the pieces.
//!
//! The same master as for nesting, begun with the layouts of an answer and generated to its end,
//! whether or not a bound is already reached. In columns of pulls (where rolls hold many of them) or
//! of whole rolls, its dual is
//!
//! ```text
//!   max  sum_i d_i pi_i - sum_k u_k s_k
//!   s.t. sum_i a_ip pi_i <= cost of column p,    pi, s >= 0
//! ```
//!
//! so `pi_i` is what one more piece `i` would cost at the margin, waste included, and `s_k` what one
//! more of a limited product would save. At the optimum the dual's value is the linear programme's:
//! the prices share it out without remainder.
//!
//! Layouts may hold a piece as often as it fits, whatever is wanted of it: prices are those of the job ordered many
//! times over. With no more than are wanted a job that one roll holds would be one layout, and any prices that add
//! up to a roll optimal, however unlike.
//!
//! Columns have two stages, or three with stacked strips where the cutting style allows three or
//! more (there by a search that need not find them all); freely cut layouts enter as the answer has
//! them. Since the answer's own layouts are columns, the linear value never exceeds the answer's.

use super::by_pulls::start;
use super::by_rolls::LARGE;
use super::effort::Effort;
use super::few_pulls;
use super::generate::{DENOMINATOR, Pricing, Question, whole};
use super::master::{Column, Cut, Master, real};
use super::model::{Model, Rounding};
use super::pattern::{Place, PullCut, RollCut};
use super::pulls::Pulls;
use super::whole::Whole;
use crate::cutting::Style;
use crate::nest::positive;
use crate::nest::{Instance, Layout, NestError, Options, Pull, Watch};
use std::sync::Arc;

/// The part of the prices asked at before that is kept in the next. On the demo's 10 mm pieces 0, 0.3,
/// 0.5, 0.7 and 0.85 took 1.14, 0.96, 0.99, 1.03 and 1.27 million steps.
const OLD: f64 = 0.3;

/// Columns that are kept beside the basic ones, for each row: the rest only costs time.
const KEPT: usize = 2;

/// Prices in the objective's unit (one roll, or a millionth of a currency unit), as floating point.
#[derive(Clone, Debug, PartialEq)]
pub struct Duals {
    /// For each piece of the instance, what one of it costs at the margin.
    pub each: Vec<f64>,
    /// For each roll of the instance, what one more of it would save; 0 without a limit.
    pub scarce: Vec<f64>,
    /// Which layouts they hold of.
    pub over: Over,
}

/// Which layouts prices hold of: none of these is worth more than it costs.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Over {
    /// All: the last pricing left none out.
    All,
    /// Those that a search finds, and the answer's own, so that another answer may lead to other prices.
    Found,
    /// Those known when the work ended.
    Known,
}

impl Over {
    /// Of generation that came to its end or not, by a pricing that leaves none out or may do so.
    const fn new(ended: bool, exact: bool) -> Self {
        match (ended, exact) {
            (false, _) => Self::Known,
            (true, true) => Self::All,
            (true, false) => Self::Found,
        }
    }
}

/// The prices at which an answer's rolls are shared.
///
/// # Errors
/// When a piece fits no roll.
pub fn duals(
    instance: &Instance,
    layouts: &[Layout],
    options: &Options,
    watch: &dyn Watch,
) -> Result<Duals, NestError> {
    let model = Model::new(instance, Rounding::Up)?;
    let under = Model::new(instance, Rounding::Down)?;
    let effort = Effort::new(options, watch);
    let free = instance.cutting.style == Style::Free;
    let stages = if free { None } else { instance.cutting.stages };
    let known = Known::new(instance, &model);
    if few_pulls(&model) {
        return Ok(by_rolls((&model, &under), stages, &known.rolls(layouts), &effort));
    }
    Ok(by_pulls((&model, &under), stages, &known.pulls(layouts), &effort))
}

fn by_pulls(
    (model, under): (&Model, &Model),
    stages: Option<u8>,
    known: &[(usize, PullCut)],
    effort: &Effort<'_>,
) -> Duals {
    let demand = model.demands();
    let mut master = Master::new(model, false);
    start(&mut master, model, &demand);
    for (k, pull) in known {
        if let Ok(q) = master.widths.binary_search(&model.rolls[*k].width) {
            master.add(Column::new(Cut::Pull(q, Arc::new(pull.clone()))));
        }
    }
    let pricing = Pulls::new(model, under);
    let plenty = plenty(model);
    let mut ended = smoothly(&mut master, &pricing, &plenty, effort);
    if stages != Some(2) && ended {
        let stacked = pricing.stacked();
        ended = smoothly(&mut master, &stacked, &plenty, effort);
    }
    let rates = master.rates();
    let targets = model.rolls.iter().map(|roll| {
        let q = master.widths.binary_search(&roll.width).unwrap_or(0);
        rates[q] * real(roll.length as u64)
    });
    let targets = targets.collect();
    let exact = stages == Some(2) && !model.curved();
    told(model, &master, targets, Over::new(ended, exact))
}

fn by_rolls(
    (model, under): (&Model, &Model),
    stages: Option<u8>,
    known: &[RollCut],
    effort: &Effort<'_>,
) -> Duals {
    let mut master = Master::new(model, true);
    for roll in known {
        master.add(Column::new(Cut::Roll(roll.clone())));
    }
    for (k, roll) in model.rolls.iter().enumerate() {
        for form in model.forms.iter().filter(|f| f.width <= roll.width && f.length <= roll.length)
        {
            let pull = PullCut::alone(form);
            master.add(Column::new(Cut::Roll(RollCut { roll: k, pulls: vec![Arc::new(pull)] })));
        }
    }
    let three = stages.is_none_or(|stages| stages >= 3);
    let pricing = Whole::new(model, under, three);
    let large = model.rolls.iter().any(|roll| roll.length > LARGE);
    let pricing = if three && large { pricing.quick() } else { pricing };
    let ended = smoothly(&mut master, &pricing, &plenty(model), effort);
    let targets = master.targets();
    told(model, &master, targets, Over::new(ended, !three && !model.curved()))
}

/// For each class as many as any roll can hold.
fn plenty(model: &Model) -> Vec<u64> {
    let room = model.rolls.iter().map(|roll| roll.width.saturating_mul(roll.length)).max();
    let room = room.unwrap_or(0);
    let mut plenty = vec![1; model.classes.len()];
    for form in &model.forms {
        plenty[form.class] = (room / (form.width * form.length).max(1)).max(1) as u64;
    }
    plenty
}

/// Generates columns until none improves; whether it came to that.
///
/// The master's prices jump about from round to round, and columns priced at them are soon useless.
/// So the pricing is asked at prices that keep a part of those it was asked at before
/// (smoothing: Wentges, International Transactions in Operational Research 4, 1997; Neame, thesis,
/// Melbourne 1999). Where no column found there improves the master, it is asked at the master's own:
/// the end is reached only when nothing improves there.
fn smoothly(
    master: &mut Master<'_>,
    pricing: &dyn Pricing,
    left: &[u64],
    effort: &Effort<'_>,
) -> bool {
    let mut before: Option<Vec<f64>> = None;
    let mut value = f64::INFINITY;
    loop {
        if !master.optimise(effort) && effort.over() {
            return false;
        }
        let own = master.prices();
        // Only after a step forward, so that columns do not come and go for ever.
        if master.value() < value * (1.0 - 1e-9) {
            value = master.value();
            master.tidy(KEPT * own.len());
        }
        let toward = |(old, new): (&f64, &f64)| OLD * old + (1.0 - OLD) * new;
        let middle: Vec<f64> = match &before {
            Some(before) => before.iter().zip(&own).map(toward).collect(),
            None => own.clone(),
        };
        let mut improves = false;
        for prices in if before.is_some() { vec![&middle, &own] } else { vec![&own] } {
            for column in priced(master, pricing, (prices, left), effort) {
                let better = pays(master, &column, &own);
                improves |= master.add(column) && better;
            }
            if improves {
                break;
            }
        }
        if !improves {
            return !effort.over();
        }
        if effort.over() {
            master.optimise(effort);
            return false;
        }
        before = Some(middle);
    }
}

/// Columns that pay at these prices.
fn priced(
    master: &Master<'_>,
    pricing: &dyn Pricing,
    (prices, left): (&[f64], &[u64]),
    effort: &Effort<'_>,
) -> Vec<Column> {
    let scaled =
        |values: Vec<f64>| -> Vec<f64> { values.iter().map(|value| value * DENOMINATOR).collect() };
    let prices: Vec<i64> = prices.iter().map(|price| whole(price * DENOMINATOR)).collect();
    let (rates, targets) = (scaled(master.rates()), scaled(master.targets()));
    let question =
        Question { prices: &prices, left, rates: &rates, targets: &targets, prove: false };
    pricing.price(master, &question, effort).columns
}

/// Whether a column is worth more than it costs, at the master's own prices.
fn pays(master: &Master<'_>, column: &Column, prices: &[f64]) -> bool {
    let worth: f64 = column.counts.iter().map(|&(class, n)| prices[class] * real(n)).sum();
    let cost = match &column.cut {
        Cut::Pull(q, pull) => master.rates()[*q] * real(pull.length as u64),
        Cut::Roll(roll) => master.targets()[roll.roll],
    };
    worth > cost * (1.0 + 1e-9)
}

/// Prices of pieces and of limited products, in the objective's unit.
fn told(model: &Model, master: &Master<'_>, targets: Vec<f64>, over: Over) -> Duals {
    let mut each = vec![0.0; model.classes.iter().map(|class| class.pieces.len()).sum()];
    for (class, price) in model.classes.iter().zip(master.prices()) {
        for &piece in &class.pieces {
            each[piece] = price * master.unit();
        }
    }
    let scarce = model.rolls.iter().zip(targets).map(|(roll, target)| {
        let cost = real(u64::try_from(roll.cost).unwrap_or(0));
        match roll.available {
            Some(_) => positive(target * master.unit() - cost),
            None => 0.0,
        }
    });
    Duals { each, scarce: scarce.collect(), over }
}

/// An answer's layouts in the model's units.
struct Known<'a> {
    model: &'a Model,
    gap: i64,
    class: Vec<usize>,
}

impl<'a> Known<'a> {
    fn new(instance: &Instance, model: &'a Model) -> Self {
        let mut class = vec![0; instance.pieces.len()];
        for (number, of) in model.classes.iter().enumerate() {
            for &piece in &of.pieces {
                class[piece] = number;
            }
        }
        Self { model, gap: instance.cutting.gap.nm(), class }
    }

    /// A pull as it counts: its length, rounded up, and its pieces; where they lie does not matter.
    fn pull(&self, pull: &Pull, k: usize) -> PullCut {
        let unit = self.model.unit[1];
        let length = (pull.length.nm() + self.gap + unit - 1).div_euclid(unit);
        let length = usize::try_from(length).unwrap_or(0).min(self.model.rolls[k].length);
        let place = |piece: usize| Place {
            x: 0,
            y: 0,
            class: self.class[piece],
            turned: false,
            within: None,
        };
        let places = pull.placements.iter().map(|placed| place(placed.piece)).collect();
        PullCut { length, width: self.model.rolls[k].width, places }
    }

    fn pulls(&self, layouts: &[Layout]) -> Vec<(usize, PullCut)> {
        let all = layouts.iter().flat_map(|layout| {
            layout.pulls.iter().map(|pull| (layout.roll, self.pull(pull, layout.roll)))
        });
        all.filter(|(_, pull)| !pull.places.is_empty()).collect()
    }

    fn rolls(&self, layouts: &[Layout]) -> Vec<RollCut> {
        let roll = |layout: &Layout| RollCut {
            roll: layout.roll,
            pulls: layout.pulls.iter().map(|p| Arc::new(self.pull(p, layout.roll))).collect(),
        };
        layouts.iter().map(roll).collect()
    }
}
