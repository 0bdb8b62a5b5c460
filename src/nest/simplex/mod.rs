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
mod dual;
mod factors;
mod feasible;
mod primal;
mod state;
#[cfg(test)]
mod tests;

use basis::Basis;

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
    /// Basic, in this slot.
    Basic(usize),
    /// At zero.
    Lower,
    /// At its upper bound.
    Upper,
}

/// A column of the programme or the logical column of a row.
#[derive(Clone, Debug)]
struct Variable {
    cost: f64,
    upper: f64,
    entries: Vec<(usize, f64)>,
    place: Place,
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

/// The programme and its current basis.
#[derive(Clone, Debug, Default)]
pub struct Simplex {
    rows: Vec<Row>,
    variables: Vec<Variable>,
    /// Variable of each column, in order of adding.
    columns: Vec<usize>,
    /// Logical variable of each row.
    logicals: Vec<usize>,
    /// Entries (variable, value) of each row.
    row_entries: Vec<Vec<(usize, f64)>>,
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
    row: Vec<f64>,
    row_marks: Vec<bool>,
    row_touched: Vec<usize>,
}

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
        let variable = self.add_variable(cost, f64::INFINITY, entries.to_vec());
        self.columns.push(variable);
        self.columns.len() - 1
    }

    /// Adds a row with its (column, coefficient) entries; gives its number.
    pub fn add_row(&mut self, row: Row, entries: &[(usize, f64)]) -> usize {
        let index = self.rows.len();
        self.rows.push(row);
        self.row_entries.push(Vec::new());
        for &(column, value) in entries {
            let variable = self.columns[column];
            self.variables[variable].entries.push((index, value));
            self.row_entries[index].push((variable, value));
        }
        let (sign, upper) = match row.sense {
            Sense::AtLeast => (-1.0, f64::INFINITY),
            Sense::AtMost => (1.0, f64::INFINITY),
            Sense::Equal => (1.0, 0.0),
        };
        let logical = self.add_variable(0.0, upper, vec![(index, sign)]);
        self.logicals.push(logical);
        self.variables[logical].place = Place::Basic(self.heads.len());
        self.heads.push(logical);
        index
    }

    /// The basis that stands, for [`Simplex::restore`].
    #[must_use]
    pub fn snapshot(&self) -> Snapshot {
        Snapshot {
            heads: self.heads.clone(),
            places: self.variables.iter().map(|variable| variable.place).collect(),
        }
    }

    /// Goes back to a basis of this programme; columns and rows must not have been added since.
    pub fn restore(&mut self, snapshot: &Snapshot) {
        if snapshot.places.len() == self.variables.len() {
            self.heads.clone_from(&snapshot.heads);
            for (variable, &place) in self.variables.iter_mut().zip(&snapshot.places) {
                let unbounded = place == Place::Upper && variable.upper == f64::INFINITY;
                variable.place = if unbounded { Place::Lower } else { place };
            }
            self.basis = Basis::default();
        }
    }

    /// Takes out the columns that are not to be kept, but no basic one; the others keep their order
    /// and are counted anew. Gives for each old column whether it stayed.
    pub fn retain(&mut self, keep: &dyn Fn(usize) -> bool) -> Vec<bool> {
        let mut stays = vec![true; self.variables.len()];
        let mut stayed = Vec::with_capacity(self.columns.len());
        for (column, &variable) in self.columns.iter().enumerate() {
            let basic = matches!(self.variables[variable].place, Place::Basic(_));
            stays[variable] = basic || keep(column);
            stayed.push(stays[variable]);
        }
        let mut names = vec![0; stays.len()];
        let mut next = 0;
        for (name, &stay) in names.iter_mut().zip(&stays) {
            *name = next;
            next += usize::from(stay);
        }
        let mut at = stays.iter();
        self.variables.retain(|_| at.next().is_none_or(|&stay| stay));
        for list in [&mut self.reduced, &mut self.devex, &mut self.row, &mut self.cost_shake] {
            let mut at = stays.iter();
            list.retain(|_| at.next().is_none_or(|&stay| stay));
        }
        self.row.fill(0.0);
        self.row_marks.clear();
        self.row_marks.resize(next, false);
        self.row_touched.clear();
        self.columns.retain(|&variable| stays[variable]);
        for list in [&mut self.columns, &mut self.logicals, &mut self.heads] {
            for name in list {
                *name = names[*name];
            }
        }
        for entries in &mut self.row_entries {
            entries.retain(|entry| stays[entry.0]);
            for entry in entries {
                entry.0 = names[entry.0];
            }
        }
        let mut at = stayed.iter();
        self.weights.resize(stayed.len(), 0.0);
        self.weights.retain(|_| at.next().is_none_or(|&stay| stay));
        stayed
    }

    /// Bounds a column from above; 0 switches it off, infinity takes the bound away.
    pub fn set_upper(&mut self, column: usize, upper: f64) {
        let variable = &mut self.variables[self.columns[column]];
        variable.upper = upper;
        if variable.place == Place::Upper && upper == f64::INFINITY {
            variable.place = Place::Lower;
        }
    }

    /// A column's upper bound.
    #[must_use]
    pub fn upper(&self, column: usize) -> f64 {
        self.variables[self.columns[column]].upper
    }

    /// Changes a column's cost.
    pub fn set_cost(&mut self, column: usize, cost: f64) {
        self.variables[self.columns[column]].cost = cost;
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

    /// How many rows there are.
    #[must_use]
    pub fn row_count(&self) -> usize {
        self.rows.len()
    }

    /// How many columns there are.
    #[must_use]
    pub fn column_count(&self) -> usize {
        self.columns.len()
    }

    /// A column's (row, coefficient) entries.
    #[must_use]
    pub fn entries(&self, column: usize) -> &[(usize, f64)] {
        &self.variables[self.columns[column]].entries
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

    /// Whether a column is basic.
    #[must_use]
    pub fn is_basic(&self, column: usize) -> bool {
        matches!(self.variables[self.columns[column]].place, Place::Basic(_))
    }

    /// A column's reduced cost at the prices of the last [`Simplex::optimise`].
    #[must_use]
    pub fn reduced_cost(&self, column: usize) -> f64 {
        let variable = &self.variables[self.columns[column]];
        variable.cost - dot(&variable.entries, &self.prices)
    }

    /// Work done so far, in steps of about a microsecond.
    #[must_use]
    pub fn work(&self) -> u64 {
        self.touched / 500
    }

    /// Finds the optimum from the basis that stands. `stop` is asked once an exchange.
    pub fn optimise(&mut self, stop: &dyn Fn() -> bool) -> Outcome {
        self.devex.fill(1.0);
        self.dual_devex.clear();
        self.dual_devex.resize(self.rows.len(), 1.0);
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
        self.publish();
        outcome
    }

    /// Fills in prices, weights and objective.
    fn publish(&mut self) {
        self.refresh();
        self.weights.resize(self.columns.len(), 0.0);
        self.objective = 0.0;
        for (column, &index) in self.columns.iter().enumerate() {
            let variable = &self.variables[index];
            let weight = match variable.place {
                Place::Basic(slot) => self.values[slot].max(0.0).min(variable.upper),
                Place::Lower => 0.0,
                Place::Upper => variable.upper,
            };
            self.weights[column] = weight;
            self.objective += weight * variable.cost;
        }
    }
}

fn dot(entries: &[(usize, f64)], prices: &[f64]) -> f64 {
    entries.iter().map(|&(row, value)| value * prices[row]).sum()
}
