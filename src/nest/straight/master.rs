//! The master programme over columns, for pulls and for whole rolls alike.
//!
//! Columns that are pulls, of length `l_p` on rolls of one width `q`:
//!
//! ```text
//!   min  sum_k c_k R_k
//!   s.t. sum_p a_ip x_p >= d_i                                    every class i   (price pi_i)
//!        sum_{k of width q} L_k R_k - sum_{p of width q} l_p x_p >= 0   every q   (price rate_q)
//!        0 <= R_k <= u_k
//! ```
//!
//! A pull's reduced cost is `rate_q l_p - sum_i pi_i a_ip`. Without limited rolls the cheapest length
//! of each width sets `rate_q`, and the row is left out. Columns that are whole rolls `k`:
//!
//! ```text
//!   min  sum_p c_k(p) x_p
//!   s.t. sum_p a_ip x_p >= d_i              every class i               (price pi_i)
//!        sum_{p of k} x_p <= u_k            every limited product k     (price -s_k)
//! ```
//!
//! with reduced cost `c_k + s_k - sum_i pi_i a_ip` (Gilmore and Gomory 1961, 1965). Costs are divided
//! by that of the dearest roll, or of the longest pull, so that the simplex sees numbers near 1. Where no answer within
//! the limits is known, rolls beyond them can be had at a price ([`Master::relax`]).

use super::effort::Effort;
use super::model::Model;
use super::pattern::{PullCut, RollCut};
use crate::nest::positive;
use crate::nest::simplex::{Row, Sense, Simplex};
use std::collections::BTreeSet;
use std::sync::Arc;

/// What a roll beyond a limit costs, in dearest rolls.
const BEYOND: f64 = 64.0;

/// What a column cuts.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Cut {
    /// A pull on rolls of this width (index into [`Master::widths`]).
    Pull(usize, Arc<PullCut>),
    /// A whole roll.
    Roll(RollCut),
}

/// A column.
#[derive(Clone, Debug)]
pub(super) struct Column {
    /// What it cuts.
    pub cut: Cut,
    /// How many of each class, by class.
    pub counts: Vec<(usize, u64)>,
}

impl Column {
    /// From what it cuts.
    pub fn new(cut: Cut) -> Self {
        let counts = match &cut {
            Cut::Pull(_, pull) => pull.counts(),
            Cut::Roll(roll) => roll.counts(),
        };
        Self { cut, counts }
    }

    /// How often it can be cut without exceeding what is left.
    pub fn copies(&self, left: &[u64]) -> u64 {
        self.counts.iter().map(|&(class, n)| left[class] / n).min().unwrap_or(0)
    }
}

/// What tells columns apart: width or product, length, counts.
type Key = (usize, usize, Vec<(usize, u64)>);

/// The programme.
#[derive(Clone)]
pub(super) struct Master<'a> {
    model: &'a Model,
    /// The distinct widths of rolls, increasing.
    pub widths: Vec<usize>,
    /// The columns; their numbers are those of [`Master::weights`].
    pub columns: Vec<Column>,
    seen: BTreeSet<Key>,
    lp: Simplex,
    /// Column number in the simplex of each of ours.
    number: Vec<usize>,
    /// Row of each width, where there is one.
    width_row: Vec<Option<usize>>,
    /// Row of each limited product (whole rolls), or its column (pulls).
    limit: Vec<Option<usize>>,
    /// Cost of one unit of length of each width, without rows.
    rate: Vec<f64>,
    scale: f64,
    longest: f64,
    /// Cost of what is set aside.
    aside: f64,
}

impl<'a> Master<'a> {
    /// A programme without columns; `rolls` says whether columns are whole rolls.
    pub fn new(model: &'a Model, rolls: bool) -> Self {
        let mut widths: Vec<usize> = model.rolls.iter().map(|roll| roll.width).collect();
        widths.sort_unstable();
        widths.dedup();
        let rows: Vec<Row> = model
            .classes
            .iter()
            .map(|class| Row { sense: Sense::AtLeast, rhs: real(class.demand) })
            .collect();
        let most = |values: &mut dyn Iterator<Item = u64>| real(values.max().unwrap_or(1).max(1));
        let cost = |k: usize| u64::try_from(model.rolls[k].cost).unwrap_or(0);
        let longest = most(&mut model.rolls.iter().map(|roll| roll.length as u64));
        let dearest = most(&mut (0..model.rolls.len()).map(cost));
        let form = most(&mut model.forms.iter().map(|form| form.length as u64));
        let scale = if rolls { dearest } else { dearest * form / longest };
        let mut lp = Simplex::new(&rows);
        let mut limit = vec![None; model.rolls.len()];
        let mut width_row = vec![None; widths.len()];
        let mut rate = vec![f64::INFINITY; widths.len()];
        let limited = model.rolls.iter().any(|roll| roll.available.is_some());
        for (k, roll) in model.rolls.iter().enumerate() {
            let q = widths.binary_search(&roll.width).unwrap_or(0);
            let each = real(cost(k)) / scale / (real(roll.length as u64) / longest);
            rate[q] = rate[q].min(each);
            if rolls {
                limit[k] = roll
                    .available
                    .map(|n| lp.add_row(Row { sense: Sense::AtMost, rhs: real(n) }, &[]));
            } else if limited {
                let row = *width_row[q].get_or_insert_with(|| {
                    lp.add_row(Row { sense: Sense::AtLeast, rhs: 0.0 }, &[])
                });
                let entry = (row, real(roll.length as u64) / longest);
                let column = lp.add_column(real(cost(k)) / scale, &[entry]);
                if let Some(n) = roll.available {
                    lp.set_upper(column, real(n));
                }
                limit[k] = Some(column);
            }
        }
        let (columns, number, seen) = (Vec::new(), Vec::new(), BTreeSet::new());
        let aside = 0.0;
        Self {
            model,
            widths,
            columns,
            seen,
            lp,
            number,
            width_row,
            limit,
            rate,
            scale,
            longest,
            aside,
        }
    }

    /// Lets limits be exceeded, at a price: single pieces and greedy pulls, with which generation begins, may take more
    /// rolls than there are, and then the programme would have no solution, though all pieces have room.
    pub fn relax(&mut self) {
        let cost = |k: usize| u64::try_from(self.model.rolls[k].cost).unwrap_or(0);
        let dearest = real((0..self.model.rolls.len()).map(cost).max().unwrap_or(1).max(1));
        let beyond = BEYOND * dearest / self.scale;
        for row in self.width_row.iter().flatten() {
            self.lp.add_column(beyond, &[(*row, 1.0)]);
        }
        if self.width_row.iter().all(Option::is_none) {
            for row in self.limit.iter().flatten() {
                self.lp.add_column(beyond, &[(*row, -1.0)]);
            }
        }
    }

    /// Counts the cost of so much length that is set aside, on rolls of the only width.
    pub fn set_aside(&mut self, length: u64) {
        self.aside = self.rate[0] * real(length) / self.longest;
    }

    /// Adds a column unless one with the same counts, no longer and no dearer, stands.
    pub fn add(&mut self, column: Column) -> bool {
        let mut entries: Vec<(usize, f64)> =
            column.counts.iter().map(|&(class, n)| (class, real(n))).collect();
        let cost = match &column.cut {
            Cut::Pull(q, pull) => {
                let length = real(pull.length as u64) / self.longest;
                match self.width_row[*q] {
                    Some(row) => {
                        entries.push((row, -length));
                        0.0
                    }
                    None => self.rate[*q] * length,
                }
            }
            Cut::Roll(roll) => {
                if let Some(row) = self.limit[roll.roll] {
                    entries.push((row, 1.0));
                }
                let cost = u64::try_from(self.model.rolls[roll.roll].cost).unwrap_or(0);
                real(cost) / self.scale
            }
        };
        if !self.seen.insert(key(&column)) {
            return false;
        }
        self.number.push(self.lp.add_column(cost, &entries));
        self.columns.push(column);
        true
    }

    /// Takes out columns with the worst reduced costs, as of the last solution, where there are more than
    /// twice `most`: the basic ones and about `most` others stay. They may be added again.
    pub fn tidy(&mut self, most: usize) {
        if self.columns.len() <= 2 * most {
            return;
        }
        let reduced = self.reduced();
        let mut sorted = reduced.clone();
        sorted.sort_by(f64::total_cmp);
        let limit = sorted[most].max(1e-9);
        self.retain(&reduced.iter().map(|&reduced| reduced <= limit).collect::<Vec<bool>>());
    }

    /// The programme with those pulls only that are in use, or that cost no more than a `share` above
    /// what they are worth: enough to round from, in a fraction of the work.
    pub fn close(&self, share: f64) -> Self {
        let mut close = self.clone();
        let (rates, reduced) = (self.rates(), self.reduced());
        let cost = |column: &Column| match &column.cut {
            Cut::Pull(q, pull) => rates[*q] * real(pull.length as u64),
            Cut::Roll(_) => f64::INFINITY,
        };
        let near = |(column, reduced): (&Column, &f64)| *reduced <= share * cost(column);
        close.retain(&self.columns.iter().zip(&reduced).map(near).collect::<Vec<bool>>());
        close
    }

    /// What each column costs beyond what it is worth, as of the last solution.
    fn reduced(&self) -> Vec<f64> {
        self.number.iter().map(|&n| self.lp.reduced_cost(n)).collect()
    }

    /// Takes out the columns that are not to be kept, but for basic ones and single pieces, with which
    /// the programme has a solution whatever is left.
    fn retain(&mut self, wanted: &[bool]) {
        let mut keep = vec![true; self.lp.column_count()];
        for ((column, &number), &wanted) in self.columns.iter().zip(&self.number).zip(wanted) {
            keep[number] = wanted || matches!(column.counts[..], [(_, 1)]);
        }
        let stays = self.lp.retain(&|column| keep[column]);
        let mut new = Vec::with_capacity(stays.len());
        let mut next = 0;
        for &stay in &stays {
            new.push(next);
            next += usize::from(stay);
        }
        let old = std::mem::take(&mut self.columns);
        let numbers = std::mem::take(&mut self.number);
        for (column, number) in old.into_iter().zip(numbers) {
            if stays[number] {
                self.columns.push(column);
                self.number.push(new[number]);
            } else {
                self.seen.remove(&key(&column));
            }
        }
        // Where columns are pulls, limited rolls are columns too, and all of them stay.
        if self.width_row.iter().any(Option::is_some) {
            for column in self.limit.iter_mut().flatten() {
                *column = new[*column];
            }
        }
    }

    /// Solves the programme over the columns that stand.
    pub fn optimise(&mut self, effort: &Effort<'_>) -> bool {
        effort.optimise(&mut self.lp)
    }
    /// The programme's value, in the objective's unit.
    pub fn value(&self) -> f64 {
        (self.lp.objective() + self.aside) * self.scale
    }

    /// What prices, rates and targets are multiplied by to be in the objective's unit.
    pub fn unit(&self) -> f64 {
        self.scale
    }

    /// The programme's value without what is set aside, in its own unit of cost.
    pub fn part_value(&self) -> f64 {
        self.lp.objective()
    }

    /// How often each column is cut.
    pub fn weights(&self) -> Vec<f64> {
        let weights = self.lp.weights();
        self.number.iter().map(|&column| weights.get(column).copied().unwrap_or(0.0)).collect()
    }

    /// Prices of the classes.
    pub fn prices(&self) -> Vec<f64> {
        let prices = self.lp.prices();
        (0..self.model.classes.len()).map(|i| positive(prices[i])).collect()
    }

    /// Price of a unit of length, for each width.
    pub fn rates(&self) -> Vec<f64> {
        let rate = |q: usize| match self.width_row[q] {
            Some(row) => positive(self.lp.prices()[row]),
            None => self.rate[q],
        };
        (0..self.widths.len()).map(|q| rate(q) / self.longest).collect()
    }

    /// What a whole roll of each product must be worth to pay.
    pub fn targets(&self) -> Vec<f64> {
        // Where columns are pulls, a limit is a column's and no row has a price for it.
        let whole = self.width_row.iter().all(Option::is_none);
        let target = |k: usize| {
            let cost = u64::try_from(self.model.rolls[k].cost).unwrap_or(0);
            let row = self.limit[k].filter(|_| whole);
            let scarce = row.map_or(0.0, |row| -self.lp.prices()[row]);
            real(cost) / self.scale + positive(scarce)
        };
        (0..self.model.rolls.len()).map(target).collect()
    }

    /// Takes cuts that are settled off what the rows may still use: `length` of pulls on each width
    /// and `rolls` of each product.
    pub fn settle(&mut self, length: &[usize], rolls: &[u64]) {
        for (q, row) in self.width_row.iter().enumerate() {
            if let Some(row) = row {
                self.lp.set_rhs(*row, real(length[q] as u64) / self.longest);
            }
        }
        if self.width_row.iter().all(Option::is_none) {
            for (k, roll) in self.model.rolls.iter().enumerate() {
                if let (Some(row), Some(n)) = (self.limit[k], roll.available) {
                    self.lp.set_rhs(row, real(n.saturating_sub(rolls[k])));
                }
            }
        }
    }

    /// Sets the demands to what is left, and bars columns that would exceed it.
    pub fn set_left(&mut self, left: &[u64]) {
        for (class, &n) in left.iter().enumerate() {
            self.lp.set_rhs(class, real(n));
        }
        for (column, &number) in self.columns.iter().zip(&self.number) {
            let upper = if column.copies(left) == 0 { 0.0 } else { f64::INFINITY };
            self.lp.set_upper(number, upper);
        }
    }
}

fn key(column: &Column) -> Key {
    let (what, length) = match &column.cut {
        Cut::Pull(q, pull) => (*q, pull.length),
        Cut::Roll(roll) => (roll.roll, 0),
    };
    (what, length, column.counts.clone())
}

/// A count as floating point, for the simplex.
#[expect(clippy::cast_precision_loss, reason = "the simplex works in floating point")]
pub(super) fn real(count: u64) -> f64 {
    count as f64
}
