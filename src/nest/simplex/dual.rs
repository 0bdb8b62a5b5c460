//! The dual method: reduced costs keep their signs, basic values get within their bounds.
//!
//! 1. Leave with the basic variable that breaks its bound most (squared, over devex weights).
//! 2. The row of the slot; the ratio `|d| / |alpha|` of each variable that can mend it. Harris: with
//!    signs widened a little, how far? Among those before that, the largest pivot.
//! 3. None: the row says that no solution exists.
//! 4. A reduced cost that got the wrong sign within that width has its cost moved so that it is
//!    zero; the primal method cleans up after the costs are put back.

use super::{FEASIBLE, PIVOT, PRICED, Place, SOUND, STALLED, Simplex, Step};

impl Simplex {
    /// Runs the dual method from reduced costs with the right signs.
    pub(super) fn dual(&mut self, stop: &dyn Fn() -> bool, may_shake: bool) -> Step {
        let mut idle = 0;
        let mut barred: Vec<usize> = Vec::new();
        loop {
            if self.ends(stop) {
                return Step::Stopped;
            }
            if self.basis.is_worn() {
                self.refresh();
                if !self.is_priced() {
                    return Step::Again;
                }
            }
            let Some(slot) = self.choose_leaving(&barred) else {
                return if barred.is_empty() { Step::Done } else { Step::Again };
            };
            let below = self.values[slot] < 0.0;
            self.compute_row(slot);
            let Some(entering) = self.dual_entering(below) else {
                return if self.basis.is_fresh() { Step::None } else { Step::Again };
            };
            self.compute_column(entering);
            let pivot = self.image.values[slot];
            if pivot.abs() < SOUND
                || (self.row[entering] - pivot).abs() > 1e-6 * (1.0 + pivot.abs())
            {
                if !self.basis.is_fresh() {
                    return Step::Again;
                }
                barred.push(slot);
                continue;
            }
            let leaving = self.heads[slot];
            let upper = self.uppers[leaving];
            let (target, place) = if below { (0.0, Place::Lower) } else { (upper, Place::Upper) };
            let step = (self.values[slot] - target) / pivot;
            let start = match self.places[entering] {
                Place::Upper => self.uppers[entering],
                _ => 0.0,
            };
            self.right_sign(entering);
            idle = if self.reduced[entering].abs() < PRICED { idle + 1 } else { 0 };
            self.move_values(step);
            self.values[slot] = start + step;
            self.exchange(entering, slot, place);
            for k in 0..self.row_touched.len() {
                self.right_sign(self.row_touched[k]);
            }
            self.right_sign(leaving);
            barred.clear();
            if idle > STALLED && may_shake {
                self.shake_costs();
                idle = 0;
            }
        }
    }

    fn choose_leaving(&self, barred: &[usize]) -> Option<usize> {
        let mut best = None;
        let mut most = 0.0;
        for (slot, &value) in self.values.iter().enumerate() {
            let excess = (-value).max(value - self.uppers[self.heads[slot]]);
            if excess > FEASIBLE {
                let score = excess * excess / self.dual_devex[slot];
                if score > most && !barred.contains(&slot) {
                    most = score;
                    best = Some(slot);
                }
            }
        }
        best
    }

    /// Moves a variable's cost so that its reduced cost is zero, if that has the wrong sign.
    fn right_sign(&mut self, index: usize) {
        let reduced = self.reduced[index];
        let wrong = match self.places[index] {
            Place::Basic => false,
            Place::Lower => reduced < 0.0,
            Place::Upper => reduced > 0.0,
        };
        if wrong && self.uppers[index] > 0.0 {
            self.cost_shake[index] -= reduced;
            self.reduced[index] = 0.0;
            self.shaken = true;
        }
    }

    /// The variable whose move mends the slot's row at the least loss.
    fn dual_entering(&mut self, below: bool) -> Option<usize> {
        let Self { row, places, reduced, uppers, strengths, .. } = self;
        let (row, places) = (row.as_slice(), &places[..row.len()]);
        let (reduced, uppers) = (&reduced[..row.len()], &uppers[..row.len()]);
        let side = if below { -1.0 } else { 1.0 };
        let mut reach = f64::INFINITY;
        strengths.clear();
        for &index in &self.row_touched {
            let entry = match places[index] {
                Place::Basic => continue,
                Place::Lower => side * row[index],
                Place::Upper => -side * row[index],
            };
            if entry > PIVOT && uppers[index] > 0.0 {
                reach = reach.min((reduced[index].abs() + PRICED) / entry);
                strengths.push((index, entry));
            }
        }
        let mut best: Option<(f64, usize)> = None;
        for &(index, entry) in strengths.iter() {
            if reduced[index].abs() / entry <= reach
                && best.is_none_or(|(size, other)| entry > size || (entry >= size && index < other))
            {
                best = Some((entry, index));
            }
        }
        best.map(|(_, index)| index)
    }
}
