//! What all methods share: adding variables, factoring, values and reduced costs, the exchange of a
//! basic variable, and shaking.

use super::basis::Basis;
use super::{FEASIBLE, PRICED, Place, Simplex, Variable, dot};

impl Simplex {
    pub(super) fn add_variable(
        &mut self,
        cost: f64,
        upper: f64,
        entries: Vec<(usize, f64)>,
    ) -> usize {
        let variable = self.variables.len();
        for &(row, value) in &entries {
            self.row_entries[row].push((variable, value));
        }
        self.variables.push(Variable { cost, upper, entries, place: Place::Lower });
        self.reduced.push(0.0);
        self.devex.push(1.0);
        self.row.push(0.0);
        self.row_marks.push(false);
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
            let slots: Vec<&[(usize, f64)]> = self
                .heads
                .iter()
                .map(|&variable| self.variables[variable].entries.as_slice())
                .collect();
            match Basis::new(&slots) {
                Ok(basis) => {
                    self.basis = basis;
                    break;
                }
                Err(repairs) => {
                    for repair in repairs {
                        let leaving = self.heads[repair.slot];
                        self.variables[leaving].place = Place::Lower;
                        let logical = self.logicals[repair.row];
                        self.variables[logical].place = Place::Basic(repair.slot);
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
        for variable in &self.variables {
            if variable.place == Place::Upper {
                for &(row, value) in &variable.entries {
                    rest[row] -= value * variable.upper;
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
        for index in 0..self.variables.len() {
            let variable = &self.variables[index];
            self.reduced[index] = match variable.place {
                Place::Basic(_) => 0.0,
                _ => self.cost(index) - dot(&variable.entries, &self.prices),
            };
            self.touched += variable.entries.len() as u64;
        }
    }

    pub(super) fn cost(&self, variable: usize) -> f64 {
        self.variables[variable].cost + self.cost_shake[variable]
    }

    pub(super) fn is_feasible(&self) -> bool {
        self.heads.iter().zip(&self.values).all(|(&variable, &value)| {
            (-FEASIBLE..=self.variables[variable].upper + FEASIBLE).contains(&value)
        })
    }

    pub(super) fn is_priced(&self) -> bool {
        self.variables.iter().zip(&self.reduced).all(|(variable, &reduced)| match variable.place {
            Place::Basic(_) => true,
            Place::Lower => reduced >= -PRICED || variable.upper == 0.0,
            Place::Upper => reduced <= PRICED || variable.upper == 0.0,
        })
    }

    /// Row `slot` of `B^-1 A` into `self.row` (all variables), and the variables it touches.
    pub(super) fn compute_row(&mut self, slot: usize) {
        for &variable in &self.row_touched {
            self.row[variable] = 0.0;
            self.row_marks[variable] = false;
        }
        self.row_touched.clear();
        let mut unit = vec![0.0; self.heads.len()];
        let mut inverse = vec![0.0; self.heads.len()];
        unit[slot] = 1.0;
        self.basis.solve_transposed(&mut unit, &mut inverse);
        self.touched += self.basis.entries() as u64 + self.heads.len() as u64;
        for (row, &factor) in inverse.iter().enumerate() {
            if factor.abs() < 1e-14 {
                continue;
            }
            self.touched += self.row_entries[row].len() as u64;
            for &(variable, value) in &self.row_entries[row] {
                if !self.row_marks[variable] {
                    self.row_marks[variable] = true;
                    self.row_touched.push(variable);
                }
                self.row[variable] += factor * value;
            }
        }
    }

    /// `B^-1 a_q` of a variable.
    pub(super) fn compute_column(&mut self, variable: usize) -> Vec<f64> {
        let mut alpha = vec![0.0; self.heads.len()];
        self.basis.solve(&self.variables[variable].entries, &mut alpha);
        self.touched += self.basis.entries() as u64 + self.heads.len() as u64;
        alpha
    }

    /// Puts `entering` into `slot`, and what stood there to the bound `place`. `self.row` must hold
    /// the slot's row; reduced costs and devex weights are brought up to date with it.
    pub(super) fn exchange(&mut self, entering: usize, slot: usize, alpha: &[f64], place: Place) {
        let leaving = self.heads[slot];
        let pivot = alpha[slot];
        let ratio = self.reduced[entering] / pivot;
        let weight = self.devex[entering];
        for &variable in &self.row_touched {
            if matches!(self.variables[variable].place, Place::Basic(_)) {
                continue;
            }
            let value = self.row[variable];
            self.reduced[variable] -= ratio * value;
            let share = value / pivot;
            self.devex[variable] = self.devex[variable].max(share * share * weight);
        }
        let slot_weight = self.dual_devex[slot];
        for (other, &entry) in self.dual_devex.iter_mut().zip(alpha) {
            let share = entry / pivot;
            *other = other.max(share * share * slot_weight);
        }
        self.dual_devex[slot] = (slot_weight / (pivot * pivot)).max(1.0);
        self.reduced[entering] = 0.0;
        self.reduced[leaving] = -ratio;
        self.devex[leaving] = (weight / (pivot * pivot)).max(1.0);
        self.variables[leaving].place = place;
        self.variables[entering].place = Place::Basic(slot);
        self.heads[slot] = entering;
        self.basis.exchange(slot, alpha);
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
            let upper = self.variables[self.heads[slot]].upper;
            if upper > 1e-3 {
                let sign = if self.values[slot] > upper - 1e-5 { -1.0 } else { 1.0 };
                self.values[slot] += sign * 1e-6 * lot;
            }
        }
    }

    /// Moves the reduced costs away from zero a little, so that the dual method gets on.
    pub(super) fn shake_costs(&mut self) {
        self.shaken = true;
        for index in 0..self.variables.len() {
            let lot = self.lot();
            let shake = match self.variables[index].place {
                Place::Basic(_) => continue,
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
