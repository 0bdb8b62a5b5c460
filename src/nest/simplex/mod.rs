//! A sparse revised simplex for column generation.
//!
//! Programme: minimise `c x` under rows `a x >= b`, `<= b` or `= b`, with `0 <= x <= u` (`u` may be
//! infinite). Columns and rows may be added, bounds and right-hand sides changed at any time; the
//! next [`Simplex::optimise`] starts from the basis that stands.
//!
//! 1. Every row gets a logical column (`+1` for `<=` and `=`, `-1` for `>=`), so every variable
//!    lies between 0 and its upper bound, and the first basis is the logical one.
//! 2. While the basic values break their bounds: the dual method if the reduced costs have the
//!    right signs ([`dual`]), else the least sum of infeasibilities ([`feasible`]).
//! 3. Then the primal method ([`primal`]).
//!
//! Prices `y = c_B B^-1`, reduced costs `d = c - y A`. Sparse factors with product-form updates
//! ([`basis`], [`factors`]); devex pricing (Harris, Mathematical Programming 5 (1973)) and her
//! ratio test in two passes; shaken right-hand sides or costs where steps of length zero pile up,
//! which the other method cleans up once the shaking stops.

mod basis;
mod columns;
mod dual;
mod factors;
mod feasible;
mod primal;
mod rows;
mod state;
#[cfg(test)]
mod tests;

use crate::nest::positive;
use basis::Basis;
use columns::Columns;
use rows::LiveRows;
use state::{Candidates, Image, Inverse};

/// How far a basic value may lie outside its bounds.
const FEASIBLE: f64 = 1e-8;
/// How far a reduced cost may have the wrong sign.
const PRICED: f64 = 1e-9;
/// Smallest pivot that a ratio test looks at.
const PIVOT: f64 = 1e-7;
/// Smallest pivot that is trusted.
const SOUND: f64 = 1e-5;
/// Steps of length zero in a row, after which the problem is shaken.
const STALLED: usize = 40;

/// Which way a row is bounded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Sense {
    /// `a x >= b`: the price is not negative.
    AtLeast,
    /// `a x <= b`: the price is not positive.
    AtMost,
    /// `a x = b`: the price is free.
    Equal,
}

/// A row of the programme.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Row {
    /// Which way it is bounded.
    pub sense: Sense,
    /// Its right-hand side.
    pub rhs: f64,
}

/// How an optimisation ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Outcome {
    /// Prices and weights are optimal.
    Optimal,
    /// No weights satisfy all rows.
    Infeasible,
    /// The objective has no lower bound.
    Unbounded,
    /// Stopped from outside, or given up for want of numerical progress.
    Stopped,
}

/// Where a variable stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Place {
    /// Basic: in a slot of the basis.
    Basic,
    /// At zero.
    Lower,
    /// At its upper bound.
    Upper,
}

/// What one method came to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Step {
    /// The method reached its end.
    Done,
    /// There is no solution (infeasible, or unbounded in the primal method).
    None,
    /// Stopped from outside.
    Stopped,
    /// Numbers went bad: start over from the basis that stands.
    Again,
}

/// A basis, to go back to.
#[derive(Clone, Debug)]
pub struct Snapshot {
    heads: Vec<usize>,
    places: Vec<Place>,
}

/// The programme and its current basis. A variable is a column of the programme or the logical column
/// of a row; what is known of it stands in lists of its own, since most loops look at one or two of
/// them for all variables.
#[derive(Clone, Debug, Default)]
pub struct Simplex {
    rows: Vec<Row>,
    costs: Vec<f64>,
    uppers: Vec<f64>,
    places: Vec<Place>,
    matrix: Columns,
    /// Variable of each column, in order of adding.
    columns: Vec<usize>,
    /// Logical variable of each row.
    logicals: Vec<usize>,
    /// The matrix without what is switched off, as of the last solution.
    live: LiveRows,
    /// Whether that does not hold any more.
    stale: bool,
    /// Variable in each slot of the basis.
    heads: Vec<usize>,
    basis: Basis,
    /// Values of the basic variables, by slot.
    values: Vec<f64>,
    /// Reduced costs, by variable.
    reduced: Vec<f64>,
    /// Pricing weights of the primal method, by variable.
    devex: Vec<f64>,
    /// Pricing weights of the dual method, by slot.
    dual_devex: Vec<f64>,
    prices: Vec<f64>,
    weights: Vec<f64>,
    objective: f64,
    /// Costs are shaken: added to each variable's cost.
    cost_shake: Vec<f64>,
    shaken: bool,
    lots: u64,
    touched: u64,
    /// What may be touched before the method ends by itself, where that is limited.
    most: Option<u64>,
    row: Vec<f64>,
    row_touched: Vec<usize>,
    /// Variables that can mend a row of the dual method, with what a step of theirs mends; room for it.
    strengths: Vec<(usize, f64)>,
    /// The entering variable's column, as seen from the basis.
    image: Image,
    inverse: Inverse,
    /// Variables whose reduced costs may have the wrong sign, in any order.
    candidates: Candidates,
}

/// [`Simplex::optimise_within`] may take so much however little is allowed.
const LEAST: u64 = 200_000;

impl Simplex {
    /// A programme with these rows and no columns.
    #[must_use]
    pub fn new(rows: &[Row]) -> Self {
        let mut simplex = Self { lots: 0x9E37_79B9_7F4A_7C15, ..Self::default() };
        for &row in rows {
            simplex.add_row(row, &[]);
        }
        simplex
    }

    /// Adds a column with its (row, coefficient) entries, each row at most once; gives its number,
    /// which counts from 0 in order of adding.
    pub fn add_column(&mut self, cost: f64, entries: &[(usize, f64)]) -> usize {
        let variable = self.add_variable(cost, f64::INFINITY, entries);
        self.columns.push(variable);
        self.columns.len() - 1
    }

    /// Adds a row with its (column, coefficient) entries; gives its number.
    pub fn add_row(&mut self, row: Row, entries: &[(usize, f64)]) -> usize {
        let index = self.rows.len();
        self.rows.push(row);
        if !entries.is_empty() {
            let named = entries.iter().map(|&(column, value)| (self.columns[column], value));
            self.matrix.add_row(index, &named.collect::<Vec<_>>());
        }
        let (sign, upper) = match row.sense {
            Sense::AtLeast => (-1.0, f64::INFINITY),
            Sense::AtMost => (1.0, f64::INFINITY),
            Sense::Equal => (1.0, 0.0),
        };
        let logical = self.add_variable(0.0, upper, &[(index, sign)]);
        self.logicals.push(logical);
        self.places[logical] = Place::Basic;
        self.heads.push(logical);
        index
    }

    /// The basis that stands, for [`Simplex::restore`].
    #[must_use]
    pub fn snapshot(&self) -> Snapshot {
        Snapshot { heads: self.heads.clone(), places: self.places.clone() }
    }

    /// Goes back to a basis of this programme; columns and rows must not have been added since.
    pub fn restore(&mut self, snapshot: &Snapshot) {
        if snapshot.places.len() == self.places.len() {
            self.heads.clone_from(&snapshot.heads);
            for (variable, &place) in snapshot.places.iter().enumerate() {
                let unbounded = place == Place::Upper && self.uppers[variable] == f64::INFINITY;
                self.places[variable] = if unbounded { Place::Lower } else { place };
            }
            self.basis = Basis::default();
        }
    }

    /// Takes out the columns that are not to be kept, but no basic one; the others keep their order
    /// and are counted anew. Gives for each old column whether it stayed.
    pub fn retain(&mut self, keep: &dyn Fn(usize) -> bool) -> Vec<bool> {
        let mut stays = vec![true; self.places.len()];
        let mut stayed = Vec::with_capacity(self.columns.len());
        for (column, &variable) in self.columns.iter().enumerate() {
            stays[variable] = self.places[variable] == Place::Basic || keep(column);
            stayed.push(stays[variable]);
        }
        let mut names = vec![0; stays.len()];
        let mut next = 0;
        for (name, &stay) in names.iter_mut().zip(&stays) {
            *name = next;
            next += usize::from(stay);
        }
        for list in [
            &mut self.costs,
            &mut self.uppers,
            &mut self.reduced,
            &mut self.devex,
            &mut self.cost_shake,
        ] {
            only(list, &stays);
        }
        only(&mut self.places, &stays);
        self.matrix.retain(&stays);
        self.stale = true;
        self.row.clear();
        self.row.resize(next, 0.0);
        self.row_touched.clear();
        self.candidates.forget(next);
        self.columns.retain(|&variable| stays[variable]);
        for list in [&mut self.columns, &mut self.logicals, &mut self.heads] {
            for name in list {
                *name = names[*name];
            }
        }
        self.weights.resize(stayed.len(), 0.0);
        only(&mut self.weights, &stayed);
        stayed
    }

    /// Bounds a column from above; 0 switches it off, infinity takes the bound away.
    pub fn set_upper(&mut self, column: usize, upper: f64) {
        let variable = self.columns[column];
        self.stale |= (self.uppers[variable] > 0.0) != (upper > 0.0);
        self.uppers[variable] = upper;
        if self.places[variable] == Place::Upper && upper == f64::INFINITY {
            self.places[variable] = Place::Lower;
        }
    }

    /// A column's upper bound.
    #[must_use]
    pub fn upper(&self, column: usize) -> f64 {
        self.uppers[self.columns[column]]
    }

    /// Changes a column's cost.
    pub fn set_cost(&mut self, column: usize, cost: f64) {
        self.costs[self.columns[column]] = cost;
    }

    /// Changes a row's right-hand side.
    pub fn set_rhs(&mut self, row: usize, rhs: f64) {
        self.rows[row].rhs = rhs;
    }

    /// A row's right-hand side.
    #[must_use]
    pub fn rhs(&self, row: usize) -> f64 {
        self.rows[row].rhs
    }

    /// How many columns there are.
    #[must_use]
    pub fn column_count(&self) -> usize {
        self.columns.len()
    }

    /// A column's (row, coefficient) entries.
    #[must_use]
    pub fn entries(&self, column: usize) -> &[(usize, f64)] {
        self.matrix.of(self.columns[column])
    }

    /// The price of each row, as of the last [`Simplex::optimise`].
    #[must_use]
    pub fn prices(&self) -> &[f64] {
        &self.prices
    }

    /// The weight of each column, as of the last [`Simplex::optimise`].
    #[must_use]
    pub fn weights(&self) -> &[f64] {
        &self.weights
    }

    /// The objective, as of the last [`Simplex::optimise`].
    #[must_use]
    pub fn objective(&self) -> f64 {
        self.objective
    }

    /// A column's reduced cost at the prices of the last [`Simplex::optimise`].
    #[must_use]
    pub fn reduced_cost(&self, column: usize) -> f64 {
        let variable = self.columns[column];
        self.costs[variable] - dot(self.matrix.of(variable), &self.prices)
    }

    /// Work done so far, in steps of about a microsecond.
    #[must_use]
    pub fn work(&self) -> u64 {
        self.touched / 500
    }

    /// As [`Self::optimise`], as long as there is work `left` and then for as much as was allowed in `all`, since half of a
    /// solution is worth nothing.
    pub fn optimise_within(&mut self, left: u64, all: u64, stop: &dyn Fn() -> bool) -> Outcome {
        let work = left.saturating_add(all.max(LEAST));
        self.most = Some(self.touched.saturating_add(work.saturating_mul(500)));
        let outcome = self.optimise(stop);
        self.most = None;
        outcome
    }

    /// Whether to end before the optimum is there.
    fn ends(&self, stop: &dyn Fn() -> bool) -> bool {
        self.most.is_some_and(|most| self.touched >= most) || stop()
    }

    /// Finds the optimum from the basis that stands. `stop` is asked once an exchange.
    pub fn optimise(&mut self, stop: &dyn Fn() -> bool) -> Outcome {
        self.devex.fill(1.0);
        self.dual_devex.clear();
        self.dual_devex.resize(self.rows.len(), 1.0);
        if self.stale {
            self.live = LiveRows::new(&self.matrix, &self.uppers, self.rows.len());
            self.stale = false;
        }
        let mut shakes_left = 12_u32;
        let mut outcome = Outcome::Stopped;
        if self.basis.size() == self.rows.len() && !self.basis.is_worn() {
            // The factors still stand; only bounds, costs or right-hand sides have changed.
            self.compute_values();
            self.compute_reduced();
        } else {
            self.refresh();
        }
        for round in 0..60 {
            if round > 0 {
                self.refresh();
            }
            let may_shake = shakes_left > 0;
            let step = if self.is_feasible() {
                match self.primal(stop, may_shake) {
                    Step::None => {
                        outcome = Outcome::Unbounded;
                        break;
                    }
                    step => step,
                }
            } else {
                let step = if self.is_priced() {
                    self.dual(stop, may_shake)
                } else {
                    self.reach_feasible(stop)
                };
                if step == Step::None {
                    outcome = Outcome::Infeasible;
                    break;
                }
                if step == Step::Done { Step::Again } else { step }
            };
            if step == Step::Stopped {
                break;
            }
            let shaken = self.unshake();
            shakes_left = shakes_left.saturating_sub(u32::from(shaken));
            if step == Step::Done {
                self.refresh();
                if self.is_feasible() && self.is_priced() {
                    outcome = Outcome::Optimal;
                    break;
                }
            }
        }
        self.unshake();
        if outcome != Outcome::Optimal {
            self.refresh();
        }
        self.publish();
        outcome
    }

    /// Fills in weights and objective.
    fn publish(&mut self) {
        // The list of rows' values has a place for each variable and is free until the next row.
        self.clear_row();
        for (&variable, &value) in self.heads.iter().zip(&self.values) {
            self.row[variable] = positive(value).min(self.uppers[variable]);
        }
        self.weights.clear();
        self.objective = 0.0;
        for &variable in &self.columns {
            let weight = match self.places[variable] {
                Place::Basic => self.row[variable],
                Place::Lower => 0.0,
                Place::Upper => self.uppers[variable],
            };
            self.weights.push(weight);
            self.objective += weight * self.costs[variable];
        }
        for &variable in &self.heads {
            self.row[variable] = 0.0;
        }
    }
}

/// Keeps what stays of a list.
fn only<T>(list: &mut Vec<T>, stays: &[bool]) {
    let mut at = stays.iter();
    list.retain(|_| at.next().is_none_or(|&stay| stay));
}

fn dot(entries: &[(usize, f64)], prices: &[f64]) -> f64 {
    entries.iter().map(|&(row, value)| value * prices[row]).sum()
}
