//! The linear programme over all patterns, solved by generating them.
//!
//! Programme: minimise `sum c_k x_p` over patterns `p` of bins `k`, where
//! `sum a_ip x_p >= d_i` for every size `i` (price `pi_i >= 0`) and
//! `sum over p of k of x_p <= u_k` for every limited bin `k` (rent `mu_k >= 0`, the price's negative).
//! Reduced cost of a pattern: `c_k + mu_k - sum pi_i a_ip`.
//! Gilmore and Gomory, Operations Research 9 (1961) and 11 (1963).
//!
//! The bound is re-computed in whole numbers. Prices are rounded down over a common denominator `D`;
//! if no pattern of bin `k` is worth more than `M_k`, then with `rho = min_k (D c_k + mu_k) / M_k`
//! (at most 1) the prices `rho pi` are good, and `rho sum d pi - sum u mu` over `D` is a bound.
//! Farley, Operations Research 38 (1990); for safe rounding Held, Cook and Sewell, Mathematical
//! Programming Computation 4 (2012).

use super::core::{Core, ceil_div};
use super::effort::Effort;
use super::pool::Wanted;
use super::pricing::{Priced, price};
use super::rules::Rules;
use crate::nest::knapsack::{Counts, Kind};
use crate::nest::simplex::{Outcome, Row, Sense, Simplex};
use std::collections::BTreeSet;

/// Whole prices are over this denominator times the dearest bin's cost (about 12 decimals).
const RESOLUTION: i64 = 1 << 40;
/// A pattern must beat its bin's cost by this share to be generated.
const WORTHWHILE: i64 = 1 << 12;

/// Patterns taken from one enumeration under rules, in all and for each first kind.
const PRICED: usize = 300;
const QUOTA: usize = 4;

/// Patterns for each size before they are thinned out.
const ROOMY: usize = 4;

/// A pattern of the master.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Column {
    pub bin: usize,
    pub counts: Counts,
}

/// Whole prices and the bound that follows from them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Bound {
    pub prices: Vec<i64>,
    pub rents: Vec<i64>,
    pub denominator: i64,
    pub most: Vec<i64>,
    pub value: i64,
}

/// How far column generation goes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Aim {
    /// Until the bound, a whole number, can no longer change.
    Bound,
    /// The same, but no further once the bound is above this.
    Below(i64),
    /// Until no pattern prices out.
    End,
}

/// How column generation ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Generated {
    /// The linear programme is solved; its bound, in whole numbers.
    Solved(Bound),
    /// The linear programme has no solution, whatever patterns are added.
    Infeasible,
    /// The value cannot get below the given cut-off.
    CutOff,
    /// Stopped.
    Stopped,
}

/// The restricted master.
pub(super) struct Master<'a> {
    core: &'a Core,
    simplex: Simplex,
    columns: Vec<Column>,
    known: BTreeSet<Column>,
    /// Row of each limited bin.
    rent_rows: Vec<Option<usize>>,
    /// Columns that stand in for missing patterns, one for each size.
    stand_ins: usize,
    /// What is to be packed now (all, or what a dive has left).
    demand: Vec<u64>,
    available: Vec<Option<u64>>,
    /// Most that a bin may leave empty.
    waste: Option<i64>,
    /// Which kinds share a bin.
    rules: Rules,
    /// Patterns are thinned out when there are more than this.
    roomy: usize,
    scale: f64,
    dearest: i64,
}

impl<'a> Master<'a> {
    /// A master without patterns. Every size has a stand-in, dearer than any packing of it.
    pub fn new(core: &'a Core, waste: Option<i64>) -> Self {
        let dearest = core.bins.iter().map(|bin| bin.cost).max().unwrap_or(0).max(1);
        let mut rows: Vec<Row> = core
            .demand
            .iter()
            .map(|&count| Row { sense: Sense::AtLeast, rhs: float(count) })
            .collect();
        let mut rent_rows = Vec::new();
        for bin in &core.bins {
            rent_rows.push(bin.available.map(|most| {
                rows.push(Row { sense: Sense::AtMost, rhs: float(most) });
                rows.len() - 1
            }));
        }
        let mut simplex = Simplex::new(&rows);
        let limited = core.bins.iter().any(|bin| bin.available.is_some());
        // Whole prices of a full bin stay below 2^62: RESOLUTION times penalty times pieces.
        let longest = core.bins.iter().map(|bin| bin.size).max().unwrap_or(0);
        let pieces = longest / core.sizes.last().copied().unwrap_or(1).max(1);
        let most = float_of((1 << 22) / pieces.max(1));
        let penalty = if limited { most.clamp(4.0, 1e3) } else { 4.0 };
        for kind in 0..core.sizes.len() {
            simplex.add_column(penalty, &[(kind, 1.0)]);
        }
        let scale = float_of(dearest);
        let available = core.bins.iter().map(|bin| bin.available).collect();
        let demand = core.demand.clone();
        let stand_ins = core.sizes.len();
        let (columns, known) = (Vec::new(), BTreeSet::new());
        Self {
            core,
            simplex,
            columns,
            known,
            rent_rows,
            stand_ins,
            demand,
            available,
            waste,
            rules: Rules::default(),
            roomy: ROOMY * (core.sizes.len() + 50),
            scale,
            dearest,
        }
    }

    /// What is to be packed in all.
    pub fn core(&self) -> &'a Core {
        self.core
    }

    /// The patterns so far.
    pub fn columns(&self) -> &[Column] {
        &self.columns
    }

    /// The weight of each pattern.
    pub fn weights(&self) -> &[f64] {
        self.simplex.weights().get(self.stand_ins..).unwrap_or(&[])
    }

    /// The linear programme's value as solved, in cost units; not a bound.
    pub fn value(&self) -> f64 {
        self.simplex.objective() * self.scale
    }

    /// What a pattern leaves empty.
    pub fn empty(&self, column: &Column) -> i64 {
        self.core.bins[column.bin].size - self.core.filled(&column.counts)
    }

    /// Adds a pattern unless it is there.
    pub fn add(&mut self, column: Column) {
        if self.known.contains(&column) {
            return;
        }
        let mut entries: Vec<(usize, f64)> =
            column.counts.iter().map(|&(kind, count)| (kind, float(count))).collect();
        if let Some(row) = self.rent_rows[column.bin] {
            entries.push((row, 1.0));
        }
        let cost = float_of(self.core.bins[column.bin].cost) / self.scale;
        let index = self.simplex.add_column(cost, &entries);
        if !self.is_allowed(&column) {
            self.simplex.set_upper(index, 0.0);
        }
        self.known.insert(column.clone());
        self.columns.push(column);
    }

    /// Sets what is to be packed and how many bins there are; patterns that hold more than that,
    /// or leave more empty than `waste`, are switched off.
    pub fn restrict(&mut self, demand: &[u64], available: &[Option<u64>], waste: Option<i64>) {
        self.demand = demand.to_vec();
        self.available = available.to_vec();
        self.waste = waste;
        for (row, &count) in demand.iter().enumerate() {
            self.simplex.set_rhs(row, float(count));
        }
        for (row, most) in self.rent_rows.iter().zip(available) {
            if let (Some(row), Some(most)) = (row, most) {
                self.simplex.set_rhs(*row, float(*most));
            }
        }
        for index in 0..self.columns.len() {
            let upper = if self.is_allowed(&self.columns[index]) { f64::INFINITY } else { 0.0 };
            self.simplex.set_upper(self.stand_ins + index, upper);
        }
    }

    /// Sets which kinds share a bin; takes effect with the next [`Master::restrict`].
    pub fn set_rules(&mut self, rules: Rules) {
        self.rules = rules;
    }

    /// Which kinds share a bin.
    pub fn rules(&self) -> &Rules {
        &self.rules
    }

    /// Moves the demand of each kind by a little, so that other prices become best; until the next
    /// [`Master::restrict`].
    pub fn nudge(&mut self, by: &mut dyn FnMut(usize) -> f64) {
        for (kind, &count) in self.demand.iter().enumerate() {
            self.simplex.set_rhs(kind, float(count) + by(kind));
        }
    }

    fn is_allowed(&self, column: &Column) -> bool {
        column.counts.iter().all(|&(kind, count)| count <= self.demand[kind])
            && self.rules.allow(&column.counts)
            && self.waste.is_none_or(|waste| self.empty(column) <= waste)
    }

    /// Generates patterns until the aim is reached.
    pub fn generate(&mut self, aim: Aim, effort: &Effort<'_>) -> Generated {
        loop {
            match effort.optimise(&mut self.simplex) {
                Outcome::Optimal => {}
                Outcome::Infeasible => return Generated::Infeasible,
                Outcome::Unbounded | Outcome::Stopped => return Generated::Stopped,
            }
            if effort.over() {
                return Generated::Stopped;
            }
            self.thin_out();
            let mut bound = self.whole_prices();
            let kinds: Vec<Kind> = self
                .core
                .sizes
                .iter()
                .zip(&self.demand)
                .zip(&bound.prices)
                .map(|((&size, &limit), &price)| Kind { size, limit, price })
                .collect();
            let mut fresh = Vec::new();
            let mut proven = true;
            for (index, bin) in self.core.bins.iter().enumerate() {
                if self.available[index] == Some(0) {
                    // Nobody looks for patterns there, but what is told of a bin holds whether it is to be had or not.
                    bound.most[index] = most_by_length(&kinds, bin.size);
                    continue;
                }
                let worth = self.cost(index) + bound.rents[index];
                let threshold = worth + WORTHWHILE;
                let priced = if self.rules.is_empty() {
                    price(&kinds, bin.size, self.waste, threshold, effort)
                } else {
                    self.price_by_rules(bin.size, &bound.prices, threshold, effort)
                };
                match priced.most {
                    Some(most) => bound.most[index] = most,
                    None => proven = false,
                }
                fresh.extend(
                    priced.patterns.into_iter().map(|counts| Column { bin: index, counts }),
                );
            }
            if proven {
                bound.value = self.bound_of(&bound);
                if let Aim::Below(cut_off) = aim
                    && bound.value > cut_off
                {
                    return Generated::CutOff;
                }
            }
            let before = self.columns.len();
            for column in fresh {
                self.add(column);
            }
            if self.columns.len() == before {
                return if proven { Generated::Solved(bound) } else { Generated::Stopped };
            }
            // The value cannot fall past the next whole number: more patterns change no bound.
            if aim != Aim::End && proven && float_of(bound.value) >= (self.value() - 1e-7).ceil() {
                return Generated::Solved(bound);
            }
        }
    }

    /// Drops the patterns that cost most at the prices as solved, where there are too many. As they
    /// may come back, more are let stand after each time.
    fn thin_out(&mut self) {
        if self.columns.len() <= self.roomy {
            return;
        }
        let mut costs: Vec<f64> = (0..self.columns.len())
            .map(|at| self.simplex.reduced_cost(self.stand_ins + at))
            .collect();
        let kept = costs.clone();
        costs.sort_by(f64::total_cmp);
        let limit = costs[self.roomy / 2];
        let first = self.stand_ins;
        let stayed = self.simplex.retain(&|column| column < first || kept[column - first] <= limit);
        let mut at = stayed[first..].iter();
        let known = &mut self.known;
        self.columns.retain(|column| {
            let stays = at.next().is_none_or(|&stay| stay);
            if !stays {
                known.remove(column);
            }
            stays
        });
        self.roomy += self.roomy / 8;
    }

    /// Patterns that keep to the rules, by enumeration of those worth more than the threshold.
    fn price_by_rules(
        &self,
        capacity: i64,
        prices: &[i64],
        threshold: i64,
        effort: &Effort<'_>,
    ) -> Priced {
        let wanted = Wanted {
            sizes: &self.core.sizes,
            demand: &self.demand,
            capacity,
            waste: self.waste.unwrap_or(capacity).min(capacity),
            prices,
            least: threshold + 1,
        };
        let Some((pool, complete)) = self.rules.enumerate(&wanted, PRICED, QUOTA, effort) else {
            return Priced::default();
        };
        let patterns: Vec<Counts> = (0..pool.len()).map(|index| pool.counts(index)).collect();
        let worth = |index: usize| super::pool::worth(pool.pattern(index), prices);
        let most = (0..pool.len()).map(worth).max().unwrap_or(threshold).max(threshold);
        Priced { patterns, most: complete.then_some(most) }
    }

    /// The simplex's prices, rounded down over the common denominator.
    fn whole_prices(&self) -> Bound {
        let prices = self.simplex.prices();
        let scaled = |price: f64| -> i64 {
            #[expect(clippy::cast_possible_truncation, reason = "prices stay below 1e5 bins")]
            let value = (price.max(0.0) * float_of(RESOLUTION)).floor() as i64;
            value
        };
        let rents =
            self.rent_rows.iter().map(|row| row.map_or(0, |row| scaled(-prices[row]))).collect();
        Bound {
            prices: prices[..self.core.sizes.len()].iter().map(|&price| scaled(price)).collect(),
            rents,
            denominator: RESOLUTION,
            most: vec![0; self.core.bins.len()],
            value: 0,
        }
    }

    /// What a bin costs over the denominator: what a pattern of it must be worth to pay, beside its rent.
    fn cost(&self, bin: usize) -> i64 {
        let cost = i128::from(self.core.bins[bin].cost) * i128::from(RESOLUTION);
        i64::try_from(cost / i128::from(self.dearest)).unwrap_or(i64::MAX / 2)
    }

    /// The bound in cost units, rounded up: the better of two ways to make up for what a bin's content is worth beyond
    /// its cost and rent. That is never much, but where both are 0 the prices would shrink to nothing by it.
    fn bound_of(&self, bound: &Bound) -> i64 {
        let rent = |bin: usize| match self.available[bin] {
            Some(_) => (bound.most[bin] - self.cost(bin)).max(0),
            None => 0,
        };
        let rents: Vec<i64> = (0..self.core.bins.len()).map(rent).collect();
        self.shrunk(bound, &rents).max(self.shrunk(bound, &bound.rents))
    }

    /// The bound by these rents, with all prices shrunk by what the bins then ask for.
    fn shrunk(&self, bound: &Bound, rents: &[i64]) -> i64 {
        let gain: i128 = self
            .demand
            .iter()
            .zip(&bound.prices)
            .map(|(&count, &price)| i128::from(count) * i128::from(price))
            .sum();
        let rent: i128 = self
            .available
            .iter()
            .zip(rents)
            .map(|(&most, &rent)| i128::from(most.unwrap_or(0)) * i128::from(rent))
            .sum();
        // rho = over / under, the least share by which all prices must shrink.
        let (mut over, mut under) = (1_i128, 1_i128);
        for bin in (0..self.core.bins.len()).filter(|&bin| self.available[bin] != Some(0)) {
            let worth = i128::from(self.cost(bin) + rents[bin]);
            let most = i128::from(bound.most[bin]);
            if most * over > worth * under {
                (over, under) = (worth, most);
            }
        }
        // (rho gain - rent) * dearest / RESOLUTION, in a way that does not overflow: the gain is
        // shrunk and rounded down first.
        let shrunk = muldiv(gain, over, under);
        let value = ceil_div((shrunk - rent) * i128::from(self.dearest), i128::from(RESOLUTION));
        // Bins cost whole multiples of what their costs have in common.
        let costs = self.core.bins.iter().map(|bin| bin.cost);
        let step = costs.fold(0, super::core::divisor).max(1);
        ceil_div(i128::from(value), i128::from(step)).saturating_mul(step)
    }
}

/// No less than what pieces of these kinds are worth in a bin, by what they are worth for their length.
fn most_by_length(kinds: &[Kind], room: i64) -> i64 {
    let fits = kinds.iter().filter(|kind| kind.limit > 0 && (1..=room).contains(&kind.size));
    let dense = fits.map(|kind| i128::from(kind.price) * i128::from(room) / i128::from(kind.size));
    i64::try_from(dense.max().unwrap_or(0).max(0)).unwrap_or(i64::MAX)
}

/// `floor(a * b / c)` for `a, b >= 0`, `b <= c`, where `a * b` may not fit.
fn muldiv(a: i128, b: i128, c: i128) -> i128 {
    a.checked_mul(b).map_or_else(|| a / c * b, |product| product / c)
}

/// A count as a float (counts here are far below 2^53).
pub(super) fn float(count: u64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "counts are checked to be below 2^53")]
    let value = count as f64;
    value
}

/// A whole number as a float.
pub(super) fn float_of(number: i64) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "only steers the search; bounds are whole")]
    let value = number as f64;
    value
}
