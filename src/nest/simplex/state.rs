//! What all methods share: adding variables, factoring, values and reduced costs, the exchange of a
//! basic variable, and shaking.

use super::rows::{SPARSE, list_nonzero};
use super::{FEASIBLE, PRICED, Place, Simplex, dot};

/// `B^-1 a` of a variable.
#[derive(Clone, Debug, Default)]
pub(super) struct Image {
    /// By slot.
    pub values: Vec<f64>,
    /// The slots where it differs from zero, rising.
    pub slots: Vec<usize>,
}

impl Image {
    /// Where it differs from zero: slot and value.
    pub fn entries(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.slots.iter().map(|&slot| (slot, self.values[slot]))
    }
}

/// Room for a row of `B^-1`.
#[derive(Clone, Debug, Default)]
pub(super) struct Inverse {
    unit: Vec<f64>,
    row: Vec<f64>,
}

/// A list of variables, each once.
#[derive(Clone, Debug, Default)]
pub(super) struct Candidates {
    list: Vec<usize>,
    listed: Vec<bool>,
}

impl Candidates {
    /// Empties the list, for so many variables.
    pub fn forget(&mut self, variables: usize) {
        self.list.clear();
        self.listed.clear();
        self.listed.resize(variables, false);
    }

    /// Lists a variable.
    pub fn list(&mut self, variable: usize) {
        if !self.listed[variable] {
            self.listed[variable] = true;
            self.list.push(variable);
        }
    }

    /// Leaves those on the list that are to stay.
    pub fn retain(&mut self, mut stays: impl FnMut(usize) -> bool) {
        let listed = &mut self.listed;
        self.list.retain(|&variable| {
            listed[variable] = stays(variable);
            listed[variable]
        });
    }
}

impl Simplex {
    pub(super) fn add_variable(
        &mut self,
        cost: f64,
        upper: f64,
        entries: &[(usize, f64)],
    ) -> usize {
        let variable = self.places.len();
        self.matrix.push(entries);
        self.stale = true;
        self.costs.push(cost);
        self.uppers.push(upper);
        self.places.push(Place::Lower);
        self.reduced.push(0.0);
        self.devex.push(1.0);
        self.row.push(0.0);
        self.cost_shake.push(0.0);
        variable
    }

    /// Factors the basis unless that has just been done (mending it where it is singular), and
    /// computes values and reduced costs.
    pub(super) fn refresh(&mut self) {
        if !self.basis.is_fresh() || self.basis.size() != self.rows.len() {
            self.factor();
        }
        self.compute_values();
        self.compute_reduced();
    }

    pub(super) fn factor(&mut self) {
        loop {
            let slots: Vec<&[(usize, f64)]> =
                self.heads.iter().map(|&variable| self.matrix.of(variable)).collect();
            match self.basis.factor(&slots) {
                Ok(()) => break,
                Err(repairs) => {
                    for repair in repairs {
                        let leaving = self.heads[repair.slot];
                        self.places[leaving] = Place::Lower;
                        let logical = self.logicals[repair.row];
                        self.places[logical] = Place::Basic;
                        self.heads[repair.slot] = logical;
                    }
                }
            }
        }
        self.touched += 4 * self.basis.entries() as u64 + self.heads.len() as u64;
    }

    /// `x_B = B^-1 (b - what the variables at their upper bounds take)`.
    pub(super) fn compute_values(&mut self) {
        let mut rest: Vec<f64> = self.rows.iter().map(|row| row.rhs).collect();
        for (variable, &place) in self.places.iter().enumerate() {
            if place == Place::Upper {
                for &(row, value) in self.matrix.of(variable) {
                    rest[row] -= value * self.uppers[variable];
                }
            }
        }
        self.values.resize(self.rows.len(), 0.0);
        self.basis.solve_dense(&rest, &mut self.values);
    }

    /// `y = c_B B^-1` and `d = c - y A`.
    pub(super) fn compute_reduced(&mut self) {
        let mut basic: Vec<f64> = self.heads.iter().map(|&variable| self.cost(variable)).collect();
        self.prices.resize(self.rows.len(), 0.0);
        self.basis.solve_transposed(&mut basic, &mut self.prices);
        self.candidates.forget(self.places.len());
        for &variable in self.live.variables() {
            let place = self.places[variable];
            let reduced = match place {
                Place::Basic => 0.0,
                _ => self.cost(variable) - dot(self.matrix.of(variable), &self.prices),
            };
            self.reduced[variable] = reduced;
            if is_wrong(place, reduced) {
                self.candidates.list(variable);
            }
        }
        self.touched += self.live.len() as u64;
    }

    pub(super) fn cost(&self, variable: usize) -> f64 {
        self.costs[variable] + self.cost_shake[variable]
    }

    pub(super) fn is_feasible(&self) -> bool {
        self.heads.iter().zip(&self.values).all(|(&variable, &value)| {
            (-FEASIBLE..=self.uppers[variable] + FEASIBLE).contains(&value)
        })
    }

    pub(super) fn is_priced(&self) -> bool {
        let fine = |&variable: &usize| !is_wrong(self.places[variable], self.reduced[variable]);
        self.live.variables().iter().all(fine)
    }

    /// Empties `self.row`.
    pub(super) fn clear_row(&mut self) {
        if SPARSE * self.row_touched.len() < self.row.len() {
            for &variable in &self.row_touched {
                self.row[variable] = 0.0;
            }
        } else {
            self.row.fill(0.0);
        }
        self.row_touched.clear();
    }

    /// Row `slot` of `B^-1 A` into `self.row` (all variables that may move, and basic ones), and the
    /// variables it touches.
    pub(super) fn compute_row(&mut self, slot: usize) {
        self.clear_row();
        let Inverse { unit, row: inverse } = &mut self.inverse;
        unit.clear();
        unit.resize(self.heads.len(), 0.0);
        inverse.resize(self.heads.len(), 0.0);
        unit[slot] = 1.0;
        self.basis.solve_transposed(unit, inverse);
        self.touched += self.basis.entries() as u64 + self.heads.len() as u64;
        self.touched += self.live.combine(inverse, &mut self.row, &mut self.row_touched) as u64;
    }

    /// `B^-1 a_q` of a variable into `self.image`.
    pub(super) fn compute_column(&mut self, variable: usize) {
        let Image { values, slots } = &mut self.image;
        values.resize(self.heads.len(), 0.0);
        self.basis.solve(self.matrix.of(variable), values);
        slots.clear();
        list_nonzero(values, slots);
        self.touched += self.basis.entries() as u64 + self.heads.len() as u64;
    }

    /// Puts `entering` into `slot`, and what stood there to the bound `place`. `self.image` must hold
    /// the entering variable's column and `self.row` the slot's row; reduced costs and devex weights are
    /// brought up to date with them.
    pub(super) fn exchange(&mut self, entering: usize, slot: usize, place: Place) {
        let leaving = self.heads[slot];
        let pivot = self.image.values[slot];
        let ratio = self.reduced[entering] / pivot;
        let weight = self.devex[entering];
        // Those of basic variables, too: theirs are set once they leave, and a branch costs more.
        let Self { row, places, reduced, devex, candidates, .. } = self;
        let (row, places) = (row.as_slice(), &places[..row.len()]);
        let (reduced, devex) = (&mut reduced[..row.len()], &mut devex[..row.len()]);
        for &variable in &self.row_touched {
            let value = row[variable];
            let now = reduced[variable] - ratio * value;
            reduced[variable] = now;
            let share = value / pivot;
            devex[variable] = devex[variable].max(share * share * weight);
            if is_wrong(places[variable], now) {
                candidates.list(variable);
            }
        }
        let slot_weight = self.dual_devex[slot];
        for (other, entry) in self.image.entries() {
            let share = entry / pivot;
            self.dual_devex[other] = self.dual_devex[other].max(share * share * slot_weight);
        }
        self.dual_devex[slot] = (slot_weight / (pivot * pivot)).max(1.0);
        self.reduced[entering] = 0.0;
        self.reduced[leaving] = -ratio;
        self.devex[leaving] = (weight / (pivot * pivot)).max(1.0);
        self.places[leaving] = place;
        if self.uppers[leaving] > 0.0 && is_wrong(place, -ratio) {
            self.candidates.list(leaving);
        }
        self.places[entering] = Place::Basic;
        self.heads[slot] = entering;
        self.basis.exchange(slot, &self.image);
    }

    /// A number in [0.5, 1) that looks drawn by lot.
    pub(super) fn lot(&mut self) -> f64 {
        self.lots ^= self.lots << 13;
        self.lots ^= self.lots >> 7;
        self.lots ^= self.lots << 17;
        let high = u32::try_from(self.lots >> 33).unwrap_or(0);
        0.5 + f64::from(high) / f64::from(u32::MAX)
    }

    /// Moves the basic values away from their bounds a little (right-hand sides that give them
    /// exist), so that the primal method gets on.
    pub(super) fn shake_values(&mut self) {
        self.shaken = true;
        for slot in 0..self.values.len() {
            let lot = self.lot();
            let upper = self.uppers[self.heads[slot]];
            if upper > 1e-3 {
                let sign = if self.values[slot] > upper - 1e-5 { -1.0 } else { 1.0 };
                self.values[slot] += sign * 1e-6 * lot;
            }
        }
    }

    /// Moves the reduced costs away from zero a little, so that the dual method gets on.
    pub(super) fn shake_costs(&mut self) {
        self.shaken = true;
        for at in 0..self.live.variables().len() {
            let index = self.live.variables()[at];
            let lot = self.lot();
            let shake = match self.places[index] {
                Place::Basic => continue,
                Place::Lower => 1e-6 * lot,
                Place::Upper => -1e-6 * lot,
            };
            self.cost_shake[index] += shake;
            self.reduced[index] += shake;
        }
    }

    /// Takes all shaking back (values and reduced costs are stale then); whether there was any.
    pub(super) fn unshake(&mut self) -> bool {
        let shaken = self.shaken;
        if shaken {
            self.cost_shake.fill(0.0);
            self.shaken = false;
        }
        shaken
    }
}

/// Whether a reduced cost has the wrong sign for where its variable stands.
pub(super) fn is_wrong(place: Place, reduced: f64) -> bool {
    let sign = match place {
        Place::Basic => 0.0,
        Place::Lower => -1.0,
        Place::Upper => 1.0,
    };
    sign * reduced > PRICED
}
