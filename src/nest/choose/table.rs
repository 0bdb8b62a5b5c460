//! Pulls of one material at given prices, and what a piece of any size would cost to add.
//!
//! Forms join the knapsack across the roll by length, as in [`crate::nest::straight`]. At the end
//! of each length `l` the values `V_l(r)` are kept, so that afterwards
//!
//! ```text
//!   C(w, l) = min_{l' >= l, width W} rate_W l' - V_{l'}(W - w)
//! ```
//!
//! tells the least that a pull which holds one further piece of `w` by `l` costs beyond what its
//! other pieces are worth: the price at which such a piece first pays.

use super::material::{Form, Material};
use crate::nest::straight::effort::Effort;
use crate::nest::straight::knapsack::Knapsack;

/// What prices are whole multiples of: 1 / 2^40 of the programme's unit of cost.
pub(super) const DENOMINATOR: f64 = 1_099_511_627_776.0;

/// A pull: sizes with counts.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Pull {
    /// Index of the material.
    pub material: usize,
    /// Index of the width.
    pub width: usize,
    /// Its length in units.
    pub length: usize,
    /// Sizes and how many.
    pub counts: Vec<(usize, u64)>,
}

/// The knapsack at the end of a length.
struct Stop {
    length: usize,
    value: Vec<i64>,
}

/// One sweep over the forms.
pub(super) struct Table<'m> {
    material: &'m Material,
    number: usize,
    forms: Vec<Form>,
    /// Cost of a unit of length on each width, in whole prices.
    rates: Vec<f64>,
    knapsack: Knapsack,
    stops: Vec<Stop>,
    candidates: Vec<Candidate>,
}

/// The best pull that a form leads on a width.
struct Candidate {
    worth: i64,
    length: usize,
    width: usize,
    form: usize,
    copies: usize,
    moment: usize,
}

impl<'m> Table<'m> {
    /// Sweeps; `forms` are sorted, `price` and `most` are by size, `scale` is the programme's unit.
    pub fn new(
        (material, number): (&'m Material, usize),
        forms: Vec<Form>,
        (price, most): (&[i64], &[u64]),
        scale: f64,
        effort: &Effort<'_>,
    ) -> Self {
        let widest = material.widest();
        let rates: Vec<f64> =
            material.widths.iter().map(|w| w.rate / scale * DENOMINATOR).collect();
        let knapsack = Knapsack::new(widest);
        let (stops, candidates) = (Vec::new(), Vec::new());
        let mut table = Self { material, number, forms, rates, knapsack, stops, candidates };
        table.stop(0);
        for f in 0..table.forms.len() {
            let form = table.forms[f];
            let (worth, copies) = (price[form.size], most[form.size]);
            if worth <= 0 || copies == 0 {
                continue;
            }
            let copies = usize::try_from(copies).unwrap_or(usize::MAX);
            table.lead(f, worth, copies);
            table.knapsack.join(f, form.width, worth, copies);
            if table.forms.get(f + 1).is_none_or(|next| next.length != form.length) {
                table.stop(form.length);
            }
            effort.spend(3 * widest);
        }
        table
    }

    fn stop(&mut self, length: usize) {
        self.stops.push(Stop { length, value: self.knapsack.value.clone() });
    }

    fn lead(&mut self, f: usize, worth: i64, copies: usize) {
        let form = self.forms[f];
        for (q, width) in self.material.widths.iter().enumerate() {
            let mut best = (0, 0);
            let mut sum = 0;
            for n in 1..=copies.min(width.width / form.width.max(1)) {
                sum += worth;
                let total = sum + self.knapsack.value[width.width - n * form.width];
                if total > best.0 {
                    best = (total, n);
                }
            }
            if best.1 > 0 {
                let (worth, copies) = best;
                let moment = self.knapsack.moment();
                let length = form.length;
                self.candidates.push(Candidate {
                    worth,
                    length,
                    width: q,
                    form: f,
                    copies,
                    moment,
                });
            }
        }
    }

    /// The greatest worth of a pull for each unit of what it costs, and the pulls that are worth
    /// more than they cost, best first, at most `many`.
    pub fn pulls(&self, many: usize) -> (f64, Vec<Pull>) {
        let mut order: Vec<(f64, usize)> = (0..self.candidates.len())
            .map(|at| {
                let candidate = &self.candidates[at];
                let cost = self.rates[candidate.width] * whole(candidate.length);
                (count(candidate.worth) / cost.max(1e-9), at)
            })
            .collect();
        order.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)));
        let best = order.first().map_or(0.0, |first| first.0);
        let pulls = order
            .iter()
            .take_while(|(ratio, _)| *ratio > 1.0 + 1e-9)
            .take(many)
            .map(|&(_, at)| {
                let candidate = &self.candidates[at];
                let form = self.forms[candidate.form];
                let width = self.material.widths[candidate.width].width;
                let room = width - candidate.copies * form.width;
                let mut chosen = vec![form.size; candidate.copies];
                let rest = self.knapsack.trace(candidate.moment, room);
                chosen.extend(rest.into_iter().map(|f| self.forms[f].size));
                self.pull(candidate.width, candidate.length, chosen)
            })
            .collect();
        (best, pulls)
    }

    /// For whole prices: the greatest `worth / length` of a pull on any width, as a fraction.
    pub fn densest(&self) -> (i64, usize) {
        let mut best = (0_i64, 1_usize);
        for candidate in &self.candidates {
            let left = i128::from(candidate.worth) * wide(best.1);
            if left > i128::from(best.0) * wide(candidate.length) {
                best = (candidate.worth, candidate.length);
            }
        }
        best
    }

    fn pull(&self, width: usize, length: usize, mut chosen: Vec<usize>) -> Pull {
        chosen.sort_unstable();
        let mut counts: Vec<(usize, u64)> = Vec::new();
        for size in chosen {
            match counts.last_mut() {
                Some((last, n)) if *last == size => *n += 1,
                _ => counts.push((size, 1)),
            }
        }
        Pull { material: self.number, width, length, counts }
    }

    /// What a further piece that lies `width` across costs, for each pull length from the longest
    /// down: calls `at(length, cost)` with the least over all pulls at least that long.
    pub fn down(&self, across: usize, mut at: impl FnMut(usize, f64)) {
        let mut least = f64::INFINITY;
        for stop in self.stops.iter().rev() {
            least = least.min(self.cost(stop, stop.length, across).0);
            at(stop.length, least);
        }
    }

    /// What a further piece costs in a pull exactly `length` long, with the knapsack of what is no
    /// longer.
    pub fn exactly(&self, length: usize, across: usize) -> f64 {
        let at = self.stops.partition_point(|stop| stop.length <= length);
        self.stops.get(at.max(1) - 1).map_or(f64::INFINITY, |s| self.cost(s, length, across).0)
    }

    /// Lowers `least`, by width across, to what a further piece costs in pulls as long as a stop.
    pub fn lower(&self, stop: usize, least: &mut [f64]) {
        let stop = &self.stops[stop];
        for (q, width) in self.material.widths.iter().enumerate() {
            let cost = self.rates[q] * whole(stop.length);
            let worth = stop.value[..=width.width].iter().rev();
            for (least, &worth) in least.iter_mut().zip(worth) {
                *least = least.min(cost - count(worth));
            }
        }
    }

    /// Cost and width of a pull of `length` from a stop, with `across` kept free.
    fn cost(&self, stop: &Stop, length: usize, across: usize) -> (f64, usize) {
        let mut best = (f64::INFINITY, 0);
        for (q, width) in self.material.widths.iter().enumerate() {
            if across <= width.width {
                let worth = count(stop.value[width.width - across]);
                let cost = self.rates[q] * whole(length) - worth;
                if cost < best.0 {
                    best = (cost, q);
                }
            }
        }
        best
    }

    /// The lengths of pulls at which the knapsack stands, increasing.
    pub fn lengths(&self) -> impl Iterator<Item = usize> + '_ {
        self.stops.iter().map(|stop| stop.length)
    }
}

fn wide(n: usize) -> i128 {
    i128::try_from(n).unwrap_or(i128::MAX)
}

/// A count of units as floating point.
#[expect(clippy::cast_precision_loss, reason = "prices are compared in floating point")]
pub(super) fn whole(n: usize) -> f64 {
    n as f64
}

/// A whole price as floating point.
#[expect(clippy::cast_precision_loss, reason = "prices are compared in floating point")]
pub(super) fn count(n: i64) -> f64 {
    n as f64
}
