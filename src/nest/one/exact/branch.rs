//! Which two children a node gets.

use super::super::master::{float, float_of};
use super::super::rows::Extra;
use super::{Choice, Exact, Node};
use crate::nest::simplex::Snapshot;
use std::collections::BTreeMap;

/// Pairs of kinds probed before branching, and exchanges for each.
const PROBES: usize = 10;
const EXCHANGES: u32 = 60;

impl Exact<'_> {
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
    pub(super) fn branch(&mut self, weights: &[(f64, usize)]) -> Node {
        let mut pairs: BTreeMap<(u32, u32), f64> = BTreeMap::new();
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
