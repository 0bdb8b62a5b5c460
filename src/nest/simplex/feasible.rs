//! From any basis to one whose values lie within their bounds: the least sum of infeasibilities.
//!
//! Programme: minimise `sum over basic x < 0 of -x, plus sum over basic x > u of x - u`, a piecewise
//! linear function. Its reduced costs are `-y A` with `y = g B^-1`, `g = -1, 0, +1` by slot. Along
//! the entering variable the slope grows at each basic variable that reaches a bound; the step
//! goes on until the slope is no longer negative, and the largest pivot near there leaves.

use super::{FEASIBLE, PIVOT, PRICED, Place, SOUND, Simplex, Step, dot};
use crate::nest::positive;

/// A bound that a basic variable reaches on the way.
#[derive(Clone, Copy)]
struct Bend {
    step: f64,
    slot: usize,
    /// By how much the slope grows there.
    rise: f64,
    place: Place,
}

/// So many turns without progress are no cycle yet.
const PATIENCE: u32 = 50;
/// After so many there is no hope of any.
const HOPELESS: u32 = 20_000;

/// For how many turns the sum of infeasibilities has not fallen.
struct Stall {
    least: f64,
    turns: u32,
}

impl Stall {
    /// Counts a turn.
    fn note(&mut self, missing: f64) {
        if missing < self.least - FEASIBLE {
            self.least = missing;
            self.turns = 0;
        } else {
            self.turns += 1;
        }
    }

    /// What a variable's score is multiplied by: 1, or by lot between 0 and 1 where the search stalls.
    fn lot(&self, index: usize) -> f64 {
        if self.turns <= PATIENCE {
            return 1.0;
        }
        let low = u32::try_from(index % 0x7FFF_FFFF).unwrap_or(0);
        let mixed = (low ^ self.turns.rotate_left(16)).wrapping_mul(0x9E37_79B1);
        f64::from(mixed ^ (mixed >> 15)) / 4_294_967_296.0
    }
}

impl Simplex {
    /// Mends the basic values.
    pub(super) fn reach_feasible(&mut self, stop: &dyn Fn() -> bool) -> Step {
        let mut gradient = vec![0.0; self.heads.len()];
        let mut prices = vec![0.0; self.heads.len()];
        let mut barred = vec![false; self.places.len()];
        let mut stall = Stall { least: f64::INFINITY, turns: 0 };
        loop {
            if self.ends(stop) || stall.turns > HOPELESS {
                return Step::Stopped;
            }
            if self.basis.is_worn() {
                self.refresh();
            }
            let missing = self.missing(&mut gradient);
            if gradient.iter().all(|&grade| grade == 0.0) {
                return Step::Done;
            }
            stall.note(missing);
            let kept = gradient.clone();
            self.basis.solve_transposed(&mut gradient, &mut prices);
            let best = self.best_for_feasibility(&prices, &barred, &stall);
            let Some((entering, slope)) = best else {
                return if self.basis.is_fresh() && !barred.contains(&true) {
                    Step::None
                } else if self.basis.is_fresh() {
                    Step::Stopped
                } else {
                    Step::Again
                };
            };
            let sign = if self.places[entering] == Place::Lower { 1.0 } else { -1.0 };
            self.compute_column(entering);
            let own = self.uppers[entering];
            let bend = self.bend(sign, slope, &kept);
            if bend.is_none_or(|bend| own <= bend.step) {
                if own == f64::INFINITY {
                    barred[entering] = true;
                    continue;
                }
                self.move_values(sign * own);
                let place = if sign > 0.0 { Place::Upper } else { Place::Lower };
                self.places[entering] = place;
                continue;
            }
            let Some(bend) = bend else { return Step::Again };
            self.compute_row(bend.slot);
            self.move_values(sign * bend.step);
            self.values[bend.slot] = if sign > 0.0 { bend.step } else { own - bend.step };
            self.exchange(entering, bend.slot, bend.place);
        }
    }

    /// The sum of infeasibilities, and its gradient by slot.
    fn missing(&self, gradient: &mut [f64]) -> f64 {
        let mut missing = 0.0;
        for (slot, grade) in gradient.iter_mut().enumerate() {
            let (value, upper) = (self.values[slot], self.uppers[self.heads[slot]]);
            *grade = if value < -FEASIBLE {
                missing -= value;
                -1.0
            } else if value > upper + FEASIBLE {
                missing += value - upper;
                1.0
            } else {
                0.0
            };
        }
        missing
    }

    /// The variable along which the sum of infeasibilities falls fastest, and the slope; by lot while it
    /// falls no more, as the same bases would come round again.
    fn best_for_feasibility(
        &mut self,
        prices: &[f64],
        barred: &[bool],
        stall: &Stall,
    ) -> Option<(usize, f64)> {
        let mut best = None;
        let mut most = 0.0;
        for &index in self.live.variables() {
            if barred[index] {
                continue;
            }
            let entries = self.matrix.of(index);
            let reduced = match self.places[index] {
                Place::Basic => continue,
                Place::Lower => -dot(entries, prices),
                Place::Upper => dot(entries, prices),
            };
            self.touched += entries.len() as u64;
            if reduced < -PRICED {
                let score = stall.lot(index) * (reduced * reduced / self.devex[index]);
                if score > most {
                    most = score;
                    best = Some((index, reduced));
                }
            }
        }
        best
    }

    /// Where the step ends.
    fn bend(&self, sign: f64, slope: f64, gradient: &[f64]) -> Option<Bend> {
        let mut bends: Vec<Bend> = Vec::new();
        for (slot, entry) in self.image.entries() {
            let rate = -sign * entry;
            if rate.abs() <= PIVOT {
                continue;
            }
            let value = self.values[slot];
            let upper = self.uppers[self.heads[slot]];
            let mut at = |bound: f64, place: Place| {
                let step = positive((bound - value) / rate);
                bends.push(Bend { step, slot, rise: rate.abs(), place });
            };
            if rate > 0.0 && gradient[slot] <= 0.0 {
                if gradient[slot] < 0.0 {
                    at(0.0, Place::Lower);
                }
                if upper < f64::INFINITY {
                    at(upper, Place::Upper);
                }
            } else if rate < 0.0 && gradient[slot] >= 0.0 {
                if gradient[slot] > 0.0 {
                    at(upper, Place::Upper);
                }
                at(0.0, Place::Lower);
            }
        }
        bends.sort_by(|one, other| one.step.total_cmp(&other.step).then(one.slot.cmp(&other.slot)));
        let mut slope = slope;
        let mut best: Option<Bend> = None;
        for bend in bends {
            let turned = slope >= 0.0;
            if turned && best.is_some_and(|best| bend.step > best.step + FEASIBLE) {
                break;
            }
            slope += bend.rise;
            let take = best.is_none_or(|best| {
                if turned { bend.rise > best.rise } else { bend.rise > SOUND || best.rise <= SOUND }
            });
            if take {
                best = Some(bend);
            }
        }
        best
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stall_is_counted_and_then_choices_are_by_lot() {
        let mut stall = Stall { least: f64::INFINITY, turns: 0 };
        stall.note(3.0);
        stall.note(2.0);
        assert_eq!(stall.turns, 0);
        for turn in 1..=PATIENCE {
            stall.note(2.0);
            assert_eq!(stall.turns, turn);
            assert!((stall.lot(7) - 1.0).abs() < f64::EPSILON);
        }
        stall.note(2.0);
        let now = [stall.lot(7), stall.lot(8)];
        stall.note(2.0 - FEASIBLE / 2.0);
        let next = [stall.lot(7), stall.lot(8)];
        assert!((now[0] - now[1]).abs() > 1e-9 && (now[0] - next[0]).abs() > 1e-9);
        assert!(now.iter().chain(&next).all(|lot| (0.0..1.0).contains(lot)));
        stall.note(1.0);
        assert_eq!(stall.turns, 0);
    }
}
