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

mod branch;
mod scan;

use super::core::{Packed, whole};
use super::effort::Effort;
use super::master::float;
use super::pool::Pool;
use super::rows::{Extra, separate};
use crate::nest::simplex::{Outcome, Row, Sense, Simplex};

/// Weights nearer than this to a whole number count as whole.
const WHOLE: f64 = 1e-6;
/// Rounds of cuts at the root, and at other nodes.
const ROUNDS: (usize, usize) = (30, 3);
/// Cuts added in a round.
const CUTS: usize = 40;
/// Cuts at most.
const MOST_CUTS: usize = 400;

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
                if self.penalty > 1e3 {
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

    /// Whether a branch row asks for a number of patterns.
    fn asks_for_patterns(&self) -> bool {
        self.extras
            .iter()
            .any(|&(_, sense, row)| sense == Sense::AtLeast && self.simplex.rhs(row) > 0.0)
    }

    /// Solves the node's programme and shrinks its set of patterns.
    fn generate(&mut self) -> Lp {
        loop {
            match self.effort.optimise(&mut self.simplex) {
                Outcome::Optimal => {}
                // Stand-ins satisfy everything but rows that ask for patterns.
                Outcome::Infeasible if self.asks_for_patterns() => return Lp::Dead,
                Outcome::Infeasible | Outcome::Unbounded | Outcome::Stopped => {
                    return Lp::Stopped;
                }
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
