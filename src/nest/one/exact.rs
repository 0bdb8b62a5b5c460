//! Branch and cut over a pool that holds every pattern a packing into `target` bins can have.
//!
//! Programme at a node: minimise `sum x_p` over the pool's patterns still allowed, with
//! `sum a_ip x_p = d_i` for every kind, subset-row cuts, and the node's branch rows. Columns are
//! priced by scanning the pool.
//!
//! 1. Solve; price; until nothing prices out. Stop the node if the bound, re-computed in whole
//!    numbers, is above the target.
//! 2. Whole weights: the packing is found. Else cuts, some rounds of them.
//! 3. Patterns whose reduced cost is above what is left to the target leave the node for good.
//! 4. Branch on two kinds that share a bin (Ryan and Foster 1981; for kinds with several pieces
//!    Vance, Computational Optimization and Applications 9 (1998)): together or apart. Where each has one
//!    piece, patterns are struck out; else a row counts the bins that hold both. If no two kinds
//!    divide, branch on a pattern.

use super::core::{Packed, whole};
use super::effort::Effort;
use super::master::{float, float_of};
use super::pool::Pool;
use super::rows::{Extra, separate};
use crate::nest::simplex::{Outcome, Row, Sense, Simplex, Snapshot};

/// Prices are over this denominator.
const RESOLUTION: i64 = 1 << 40;
/// Weights nearer than this to a whole number count as whole.
const WHOLE: f64 = 1e-6;
/// Rounds of cuts at the root, and at other nodes.
const ROUNDS: (usize, usize) = (30, 3);
/// Cuts added in a round.
const CUTS: usize = 40;
/// Cuts at most.
const MOST_CUTS: usize = 400;
/// Pairs of kinds probed before branching, and exchanges for each.
const PROBES: usize = 10;
const EXCHANGES: u32 = 60;
/// Columns added in one pricing.
const COLUMNS: usize = 250;

/// How the search ended.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Ended {
    /// A packing into the target's bins.
    Found(Vec<Packed>),
    /// There is none.
    None,
    /// Given up.
    Stopped,
}

/// A decision on the way to a node.
#[derive(Clone, Debug)]
enum Choice {
    /// Both kinds never share a bin.
    Apart(usize, usize),
    /// Both kinds, of one piece each, always share a bin.
    Together(usize, usize),
    /// At least this many bins are counted by the row.
    AtLeast(Extra, u64),
    /// At most this many bins are counted by the row.
    AtMost(Extra, u64),
}

/// A node to be looked at: the decision that makes it, and where it hangs.
struct Open {
    depth: usize,
    choice: Choice,
}

/// The search over a pool.
pub(super) struct Exact<'a> {
    demand: &'a [u64],
    target: i64,
    effort: &'a Effort<'a>,
    pool: Pool,
    simplex: Simplex,
    /// Pool pattern of each column after the stand-ins.
    members: Vec<usize>,
    /// Column of each pool pattern.
    column_of: Vec<Option<usize>>,
    /// Extra rows: what they count, and their row in the simplex.
    extras: Vec<(Extra, Sense, usize)>,
    /// The patterns allowed at each depth.
    active: Vec<Vec<usize>>,
    allowed: Vec<bool>,
    cuts: usize,
    /// What a missing piece costs.
    penalty: f64,
}

impl<'a> Exact<'a> {
    /// A search for a packing of `demand` into `target` bins.
    pub fn new(demand: &'a [u64], pool: Pool, target: i64, effort: &'a Effort<'a>) -> Self {
        let rows: Vec<Row> =
            demand.iter().map(|&count| Row { sense: Sense::Equal, rhs: float(count) }).collect();
        let mut simplex = Simplex::new(&rows);
        let penalty = 4.0;
        for kind in 0..demand.len() {
            simplex.add_column(penalty, &[(kind, 1.0)]);
        }
        let count = pool.len();
        Self {
            demand,
            target,
            effort,
            pool,
            simplex,
            members: Vec::new(),
            column_of: vec![None; count],
            extras: Vec::new(),
            active: vec![(0..count).collect()],
            allowed: vec![true; count],
            cuts: 0,
            penalty,
        }
    }

    /// Searches.
    pub fn run(&mut self) -> Ended {
        let mut open: Vec<Open> = Vec::new();
        let mut path: Vec<Choice> = Vec::new();
        loop {
            match self.node(&path) {
                Node::Found(packing) => return Ended::Found(packing),
                Node::Stopped => return Ended::Stopped,
                Node::Dead => {}
                Node::Branch(first, second) => {
                    open.push(Open { depth: path.len(), choice: second });
                    open.push(Open { depth: path.len(), choice: first });
                }
            }
            let Some(next) = open.pop() else { return Ended::None };
            path.truncate(next.depth);
            self.active.truncate(next.depth + 1);
            path.push(next.choice);
            let strike = self.strike(path.last());
            self.active.push(strike);
        }
    }

    /// The patterns that the last choice leaves.
    fn strike(&self, choice: Option<&Choice>) -> Vec<usize> {
        let parent = self.active.last().map_or(&[][..], Vec::as_slice);
        self.effort.spend(parent.len() as u64 / 100);
        let keeps = |index: &&usize| choice.is_none_or(|choice| self.keeps(choice, **index));
        parent.iter().filter(keeps).copied().collect()
    }

    /// Whether a choice leaves a pattern.
    fn keeps(&self, choice: &Choice, index: usize) -> bool {
        let pattern = self.pool.pattern(index);
        let holds = |kind: usize| {
            let kind = u32::try_from(kind).unwrap_or(u32::MAX);
            pattern.binary_search_by_key(&kind, |entry| entry.0).is_ok()
        };
        match choice {
            Choice::Apart(one, other) => Extra::Pair(*one, *other).coefficient(index, pattern) == 0,
            Choice::Together(one, other) => holds(*one) == holds(*other),
            _ => true,
        }
    }

    fn node(&mut self, path: &[Choice]) -> Node {
        self.enter_node(path);
        let rounds = if path.is_empty() { ROUNDS.0 } else { ROUNDS.1 };
        let mut round = 0;
        loop {
            match self.generate() {
                Lp::Dead => return Node::Dead,
                Lp::Stopped => return Node::Stopped,
                Lp::Solved => {}
            }
            let weights = self.weights();
            let missing = self.simplex.weights()[..self.demand.len()].iter().any(|&w| w > WHOLE);
            if missing {
                if self.penalty > 1e5 {
                    return Node::Stopped;
                }
                self.penalty *= 8.0;
                for kind in 0..self.demand.len() {
                    self.simplex.set_cost(kind, self.penalty);
                }
                continue;
            }
            if weights.iter().all(|&(weight, _)| (weight - weight.round()).abs() < WHOLE) {
                return self.packing(&weights).map_or(Node::Stopped, Node::Found);
            }
            if round < rounds && self.cuts < MOST_CUTS && self.cut(&weights) {
                round += 1;
                continue;
            }
            return self.branch(&weights);
        }
    }

    /// Sets bounds and right-hand sides to the node's.
    fn enter_node(&mut self, path: &[Choice]) {
        self.allowed.fill(false);
        for &index in self.active.last().map_or(&[][..], Vec::as_slice) {
            self.allowed[index] = true;
        }
        let first = self.demand.len();
        for (at, &index) in self.members.iter().enumerate() {
            let upper = if self.allowed[index] { f64::INFINITY } else { 0.0 };
            self.simplex.set_upper(first + at, upper);
        }
        for (extra, sense, row) in &self.extras {
            if !matches!(extra, Extra::Half(_)) {
                let rhs = if *sense == Sense::AtLeast { 0.0 } else { 1e7 };
                self.simplex.set_rhs(*row, rhs);
            }
        }
        for choice in path {
            let (extra, sense, count) = match choice {
                Choice::AtLeast(extra, count) => (extra, Sense::AtLeast, *count),
                Choice::AtMost(extra, count) => (extra, Sense::AtMost, *count),
                _ => continue,
            };
            let known = self
                .extras
                .iter()
                .find(|(other, other_sense, _)| other == extra && *other_sense == sense)
                .map(|&(.., row)| row);
            let row = known.unwrap_or_else(|| self.add_extra(extra.clone(), sense, 0.0));
            self.simplex.set_rhs(row, float(count));
        }
    }

    fn add_extra(&mut self, extra: Extra, sense: Sense, rhs: f64) -> usize {
        let first = self.demand.len();
        let entries: Vec<(usize, f64)> = self
            .members
            .iter()
            .enumerate()
            .map(|(at, &index)| {
                (first + at, float(extra.coefficient(index, self.pool.pattern(index))))
            })
            .filter(|entry| entry.1 > 0.0)
            .collect();
        let row = self.simplex.add_row(Row { sense, rhs }, &entries);
        self.extras.push((extra, sense, row));
        row
    }

    fn enter(&mut self, index: usize) {
        if self.column_of[index].is_some() {
            return;
        }
        let pattern = self.pool.pattern(index);
        let mut entries: Vec<(usize, f64)> =
            pattern.iter().map(|&(kind, count)| (kind as usize, f64::from(count))).collect();
        for (extra, _, row) in &self.extras {
            let coefficient = extra.coefficient(index, pattern);
            if coefficient > 0 {
                entries.push((*row, float(coefficient)));
            }
        }
        let column = self.simplex.add_column(1.0, &entries);
        self.column_of[index] = Some(column);
        self.members.push(index);
    }

    /// Solves the node's programme and shrinks its set of patterns.
    fn generate(&mut self) -> Lp {
        loop {
            let before = self.simplex.work();
            let outcome = self.simplex.optimise(&|| self.effort.over());
            self.effort.spend(self.simplex.work() - before);
            match outcome {
                Outcome::Optimal => {}
                Outcome::Infeasible => return Lp::Dead,
                Outcome::Unbounded | Outcome::Stopped => return Lp::Stopped,
            }
            if self.effort.over() {
                return Lp::Stopped;
            }
            let scanned = self.scan();
            if scanned.bound > self.target {
                return Lp::Dead;
            }
            if scanned.fresh.is_empty() {
                self.shrink(&scanned);
                return Lp::Solved;
            }
            for index in scanned.fresh {
                self.enter(index);
            }
        }
    }

    /// Whole prices; every allowed pattern's worth; the bound; and patterns that price out.
    fn scan(&self) -> Scanned {
        let scaled = |price: f64| -> i64 {
            #[expect(clippy::cast_possible_truncation, reason = "prices stay below the penalty")]
            let value = (price * float_of(RESOLUTION)).floor() as i64;
            value
        };
        let solved = self.simplex.prices();
        let prices: Vec<i64> =
            solved[..self.demand.len()].iter().map(|&price| scaled(price)).collect();
        let extra_prices: Vec<i64> = self
            .extras
            .iter()
            .map(|(_, sense, row)| match sense {
                Sense::AtLeast => scaled(solved[*row]).max(0),
                _ => scaled(solved[*row]).min(0),
            })
            .collect();
        let lift: i64 = extra_prices.iter().filter(|&&price| price > 0).sum();
        let mut most = RESOLUTION;
        let mut worths = Vec::new();
        let mut fresh: Vec<(i64, usize)> = Vec::new();
        let active = self.active.last().map_or(&[][..], Vec::as_slice);
        for &index in active {
            let pattern = self.pool.pattern(index);
            let mut worth = super::pool::worth(pattern, &prices);
            if worth + lift > RESOLUTION {
                for ((extra, ..), &price) in self.extras.iter().zip(&extra_prices) {
                    if price != 0 {
                        worth += price * whole(extra.coefficient(index, pattern));
                    }
                }
                if worth > RESOLUTION + (RESOLUTION >> 28) && self.column_of[index].is_none() {
                    fresh.push((worth, index));
                }
                most = most.max(worth);
            } else {
                worth += lift;
            }
            worths.push(worth);
        }
        self.effort.spend(active.len() as u64 / 60 + 1);
        fresh.sort_unstable_by(|one, other| other.cmp(one));
        // Patterns that differ: no kind in too many of them.
        let mut held = vec![0_u32; self.demand.len()];
        let mut chosen = Vec::new();
        for (_, index) in fresh {
            let pattern = self.pool.pattern(index);
            if chosen.is_empty() || pattern.iter().any(|entry| held[entry.0 as usize] < 4) {
                for entry in pattern {
                    held[entry.0 as usize] += 1;
                }
                chosen.push(index);
                if chosen.len() >= COLUMNS {
                    break;
                }
            }
        }
        let mut gain: i128 = self
            .demand
            .iter()
            .zip(&prices)
            .map(|(&count, &price)| i128::from(count) * i128::from(price))
            .sum();
        for ((_, _, row), &price) in self.extras.iter().zip(&extra_prices) {
            #[expect(clippy::cast_possible_truncation, reason = "right-hand sides are whole")]
            let rhs = self.simplex.rhs(*row).round() as i64;
            gain += i128::from(rhs) * i128::from(price);
        }
        let bound = super::core::ceil_div(gain, i128::from(most));
        Scanned { fresh: chosen, bound, gain, most, worths }
    }

    /// Strikes out patterns that cost more than what is left to the target.
    fn shrink(&mut self, scanned: &Scanned) {
        let gap = i128::from(self.target) * i128::from(scanned.most) - scanned.gain;
        if let Some(active) = self.active.last_mut() {
            let mut worths = scanned.worths.iter();
            active.retain(|_| {
                worths.next().is_none_or(|&worth| i128::from(scanned.most - worth) <= gap)
            });
        }
    }

    /// Weights above zero with their pool patterns.
    fn weights(&self) -> Vec<(f64, usize)> {
        let first = self.demand.len();
        let weights = &self.simplex.weights()[first..];
        let pairs = weights.iter().zip(&self.members).map(|(&weight, &index)| (weight, index));
        pairs.filter(|pair| pair.0 > 1e-9).collect()
    }

    fn packing(&self, weights: &[(f64, usize)]) -> Option<Vec<Packed>> {
        let mut left = self.demand.to_vec();
        let mut packing = Vec::new();
        for &(weight, index) in weights {
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "weights are small and not negative"
            )]
            let copies = weight.round() as u64;
            if copies > 0 {
                let counts = self.pool.counts(index);
                for &(kind, count) in &counts {
                    left[kind] = left[kind].checked_sub(count * copies)?;
                }
                packing.push(Packed { bin: 0, counts, copies });
            }
        }
        let bins: u64 = packing.iter().map(|pattern| pattern.copies).sum();
        (left.iter().all(|&count| count == 0) && whole(bins) <= self.target).then_some(packing)
    }

    fn cut(&mut self, weights: &[(f64, usize)]) -> bool {
        let fractional: Vec<(f64, Vec<(u32, u32)>)> = weights
            .iter()
            .map(|&(weight, index)| (weight, self.pool.pattern(index).to_vec()))
            .collect();
        let mut added = false;
        for triple in separate(self.demand, &fractional, CUTS) {
            let limit = triple.iter().map(|&kind| self.demand[kind]).sum::<u64>() / 2;
            let extra = Extra::Half(triple);
            if self.extras.iter().all(|(other, ..)| *other != extra) {
                self.add_extra(extra, Sense::AtMost, float(limit));
                self.cuts += 1;
                added = true;
            }
        }
        added
    }

    /// The candidate whose children do worst: strong branching (Applegate, Bixby, Chvatal and Cook
    /// 1995) over the columns at hand, with few exchanges each.
    fn probe(&mut self, ranked: &[(f64, (u32, u32), f64)]) -> Option<usize> {
        let start = self.simplex.snapshot();
        let value = self.simplex.objective();
        let room = float_of(self.target) - value + 1e-4;
        let mut best: Option<(f64, usize)> = None;
        for (at, &(_, (one, other), sum)) in ranked.iter().take(PROBES).enumerate() {
            let (one, other) = (one as usize, other as usize);
            let single = one != other && self.demand[one] == 1 && self.demand[other] == 1;
            let mut score = 0.0;
            if single && sum < 1.0 {
                let together = self.probed(&Choice::Together(one, other), &start) - value;
                let apart = self.probed(&Choice::Apart(one, other), &start) - value;
                let (low, high) = (together.min(apart), together.max(apart));
                score = 10.0 * low.clamp(0.0, room) + high.clamp(0.0, room);
            }
            if best.is_none_or(|(most, _)| score > most) {
                best = Some((score, at));
            }
        }
        self.simplex.restore(&start);
        best.map(|(_, at)| at)
    }

    /// The value of the programme over the columns at hand after a choice.
    fn probed(&mut self, choice: &Choice, start: &Snapshot) -> f64 {
        let kept: Vec<bool> = self
            .members
            .iter()
            .map(|&index| self.allowed[index] && self.keeps(choice, index))
            .collect();
        let first = self.demand.len();
        let mut struck = Vec::new();
        for (at, (&index, keep)) in self.members.iter().zip(kept).enumerate() {
            if self.allowed[index] && !keep {
                self.simplex.set_upper(first + at, 0.0);
                struck.push(first + at);
            }
        }
        self.simplex.restore(start);
        let before = self.simplex.work();
        let asked = std::cell::Cell::new(0_u32);
        self.simplex.optimise(&|| {
            asked.set(asked.get() + 1);
            asked.get() > EXCHANGES
        });
        self.effort.spend(self.simplex.work() - before);
        for column in struck {
            self.simplex.set_upper(column, f64::INFINITY);
        }
        self.simplex.objective()
    }

    /// The two choices at a node with divided weights.
    fn branch(&mut self, weights: &[(f64, usize)]) -> Node {
        let mut pairs: std::collections::BTreeMap<(u32, u32), f64> =
            std::collections::BTreeMap::new();
        for &(weight, index) in weights {
            let pattern = self.pool.pattern(index);
            for (at, &(one, count)) in pattern.iter().enumerate() {
                if count >= 2 {
                    *pairs.entry((one, one)).or_insert(0.0) += weight;
                }
                for &(other, _) in &pattern[at + 1..] {
                    *pairs.entry((one, other)).or_insert(0.0) += weight;
                }
            }
        }
        let mut ranked: Vec<(f64, (u32, u32), f64)> = Vec::new();
        for (&pair, &sum) in &pairs {
            let part = sum - sum.floor();
            if (1e-5..=1.0 - 1e-5).contains(&part) {
                // Divided evenly, and large pieces first: kinds come by falling size.
                let late = f64::from(pair.0 + pair.1) / float(self.demand.len() as u64);
                ranked.push((-(part - 0.5).abs() - 0.1 * late, pair, sum));
            }
        }
        ranked.sort_by(|one, other| other.0.total_cmp(&one.0).then(one.1.cmp(&other.1)));
        let best = self.probe(&ranked).and_then(|at| ranked.get(at).copied());
        if let Some((_, (one, other), sum)) = best {
            let (one, other) = (one as usize, other as usize);
            #[expect(
                clippy::cast_possible_truncation,
                clippy::cast_sign_loss,
                reason = "sums of weights are small and not negative"
            )]
            let floor = sum.floor() as u64;
            let single = one != other && self.demand[one] == 1 && self.demand[other] == 1;
            let extra = Extra::Pair(one, other);
            let more = if single {
                Choice::Together(one, other)
            } else {
                Choice::AtLeast(extra.clone(), floor + 1)
            };
            let fewer =
                if floor == 0 { Choice::Apart(one, other) } else { Choice::AtMost(extra, floor) };
            return Node::Branch(more, fewer);
        }
        let mut best: Option<(f64, usize, f64)> = None;
        for &(weight, index) in weights {
            let part = weight - weight.floor();
            if part > 1e-6 && part < 1.0 - 1e-6 && best.is_none_or(|(most, ..)| part > most) {
                best = Some((part, index, weight));
            }
        }
        let Some((_, index, weight)) = best else { return Node::Stopped };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "weights are small and not negative"
        )]
        let floor = weight.floor() as u64;
        let extra = Extra::Pattern(index);
        Node::Branch(Choice::AtLeast(extra.clone(), floor + 1), Choice::AtMost(extra, floor))
    }
}

enum Node {
    Found(Vec<Packed>),
    Branch(Choice, Choice),
    Dead,
    Stopped,
}

enum Lp {
    Solved,
    Dead,
    Stopped,
}

struct Scanned {
    fresh: Vec<usize>,
    bound: i64,
    gain: i128,
    most: i64,
    worths: Vec<i64>,
}
