//! The primal method: basic values stay within their bounds, reduced costs get their signs.
//!
//! 1. Enter the variable with the largest `d^2 / w` (devex) among those with the wrong sign.
//! 2. `alpha = B^-1 a`; the step is bounded by each basic variable's two bounds. Harris: with
//!    bounds widened a little, how far could one go? Among those that block before that, the
//!    largest pivot.
//! 3. If the entering variable reaches its own other bound first, it only changes sides.

use super::state::is_wrong;
use super::{FEASIBLE, PIVOT, Place, SOUND, STALLED, Simplex, Step};
use crate::nest::positive;

/// What bounds a step.
pub(super) struct Block {
    /// The slot that leaves.
    pub slot: usize,
    /// How far the entering variable moves.
    pub step: f64,
    /// The bound that the leaving variable reaches.
    pub place: Place,
}

impl Simplex {
    /// Runs the primal method from a feasible basis with fresh reduced costs.
    pub(super) fn primal(&mut self, stop: &dyn Fn() -> bool, may_shake: bool) -> Step {
        let mut idle = 0;
        loop {
            if self.ends(stop) {
                return Step::Stopped;
            }
            if self.basis.is_worn() {
                if self.shaken {
                    self.refactor_keeping_values();
                } else {
                    self.refresh();
                    if !self.is_feasible() {
                        return Step::Again;
                    }
                }
            }
            let Some(entering) = self.choose_entering() else {
                return Step::Done;
            };
            let rises = self.places[entering] == Place::Lower;
            let sign = if rises { 1.0 } else { -1.0 };
            self.compute_column(entering);
            let own = self.uppers[entering];
            let block = self.primal_block(sign);
            if block.as_ref().is_none_or(|block| own <= block.step) {
                if own == f64::INFINITY {
                    if self.basis.is_fresh() {
                        return Step::None;
                    }
                    return Step::Again;
                }
                self.move_values(sign * own);
                self.places[entering] = if rises { Place::Upper } else { Place::Lower };
                continue;
            }
            let Some(block) = block else { return Step::Again };
            self.compute_row(block.slot);
            let pivot = self.image.values[block.slot];
            let differs = (self.row[entering] - pivot).abs() > 1e-6 * (1.0 + pivot.abs());
            if differs || pivot.abs() < SOUND {
                if self.basis.is_fresh() {
                    // The column cannot be trusted even with fresh factors: leave it out for now.
                    self.reduced[entering] = 0.0;
                    continue;
                }
                if self.shaken {
                    self.refactor_keeping_values();
                    continue;
                }
                return Step::Again;
            }
            self.move_values(sign * block.step);
            self.values[block.slot] = if rises { block.step } else { own - block.step };
            self.exchange(entering, block.slot, block.place);
            idle = if block.step < FEASIBLE { idle + 1 } else { 0 };
            if idle > STALLED && may_shake {
                self.shake_values();
                idle = 0;
            }
        }
    }

    /// The variable that prices out best, the first of several.
    fn choose_entering(&mut self) -> Option<usize> {
        let mut best = None;
        let mut most = 0.0;
        self.touched += self.live.variables().len() as u64 / 4;
        let (places, reduced, devex) = (&self.places, &self.reduced, &self.devex);
        self.candidates.retain(|index| {
            let stays = is_wrong(places[index], reduced[index]);
            if stays {
                let score = reduced[index] * reduced[index] / devex[index];
                if score > most || (score >= most && best.is_some_and(|best| index < best)) {
                    most = score;
                    best = Some(index);
                }
            }
            stays
        });
        best
    }

    /// The basic variable that blocks when the entering one moves by `sign`.
    fn primal_block(&self, sign: f64) -> Option<Block> {
        let mut reach = f64::INFINITY;
        for (slot, entry) in self.image.entries() {
            let rate = sign * entry;
            if rate.abs() > PIVOT {
                reach = reach.min(self.room(slot, rate, FEASIBLE) / rate.abs());
            }
        }
        if reach == f64::INFINITY {
            return None;
        }
        let mut best: Option<(f64, Block)> = None;
        for (slot, entry) in self.image.entries() {
            let rate = sign * entry;
            if rate.abs() <= PIVOT {
                continue;
            }
            let step = self.room(slot, rate, 0.0) / rate.abs();
            if step <= reach && best.as_ref().is_none_or(|(size, _)| rate.abs() > *size) {
                let place = if rate > 0.0 { Place::Lower } else { Place::Upper };
                best = Some((rate.abs(), Block { slot, step: positive(step), place }));
            }
        }
        best.map(|(_, block)| block)
    }

    /// How far the basic variable in `slot` may move against `rate`, with `slack` to spare.
    fn room(&self, slot: usize, rate: f64, slack: f64) -> f64 {
        let value = self.values[slot];
        if rate > 0.0 { value + slack } else { self.uppers[self.heads[slot]] - value + slack }
    }

    /// The entering variable moved by `step`: the basic ones follow.
    pub(super) fn move_values(&mut self, step: f64) {
        if step != 0.0 {
            for (slot, entry) in self.image.entries() {
                self.values[slot] -= step * entry;
            }
        }
    }

    /// Factors anew while the values are shaken: they stand, as their right-hand sides are not
    /// kept.
    fn refactor_keeping_values(&mut self) {
        let values = std::mem::take(&mut self.values);
        let heads = self.heads.clone();
        self.refresh();
        if self.heads == heads {
            self.values = values;
        }
    }
}
