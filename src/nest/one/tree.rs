//! Branch and price, for when the patterns at the bound are too many to be written down.
//!
//! 1. At a node, solve the programme over patterns that keep to its rules. Its bound above the
//!    target ends the node; whole weights are a packing.
//! 2. Try to gather the node's pool. If that succeeds, the search over the pool settles the node.
//! 3. Else branch: of the pairs of kinds that share a bin by a fraction, the one nearest to a half,
//!    large kinds first; together first, then apart.

use super::core::Packed;
use super::effort::Effort;
use super::exact::{Ended, Exact};
use super::interior::gather;
use super::lots::Lots;
use super::master::{Aim, Generated, Master, float};
use super::rules::Rules;
use std::collections::BTreeMap;

/// Rounds of gathering at each node below the root.
const ROUNDS: u32 = 6;
/// Weights nearer than this to a whole number count as whole.
const WHOLE: f64 = 1e-6;

/// Looks for a packing into `target` bins. `master` must stand at the whole demand.
pub(super) fn search(
    master: &mut Master<'_>,
    target: i64,
    waste: Option<i64>,
    lots: &mut Lots,
    effort: &Effort<'_>,
) -> Ended {
    let core = master.core();
    let available: Vec<_> = core.bins.iter().map(|bin| bin.available).collect();
    let mut open = vec![Rules::default()];
    while let Some(rules) = open.pop() {
        master.set_rules(rules.clone());
        master.restrict(&core.demand, &available, waste);
        let cost = core.bins[0].cost;
        let limit = target * cost;
        match master.generate(Aim::Below(limit), effort) {
            Generated::Solved(bound) if bound.value <= limit => {}
            Generated::Stopped => return Ended::Stopped,
            _ => continue,
        }
        if let Some(packing) = whole_packing(master) {
            return Ended::Found(packing);
        }
        let Some(pair) = divided(master) else { return Ended::Stopped };
        let linear = match master.generate(Aim::End, effort) {
            Generated::Solved(linear) => linear,
            Generated::Stopped => return Ended::Stopped,
            _ => continue,
        };
        if !rules.is_empty()
            && let Some(pool) = gather(master, &linear, target, ROUNDS, lots, effort)
        {
            match Exact::new(&core.demand, pool, target, effort).run() {
                Ended::None => continue,
                ended => return ended,
            }
        }
        let mut apart = rules.clone();
        apart.apart.push(pair);
        open.push(apart);
        let mut together = rules;
        together.together.push(pair);
        open.push(together);
    }
    Ended::None
}

/// The packing, if all weights are whole and nothing is missing.
fn whole_packing(master: &Master<'_>) -> Option<Vec<Packed>> {
    let core = master.core();
    let mut left = core.demand.clone();
    let mut packing = Vec::new();
    for (column, &weight) in master.columns().iter().zip(master.weights()) {
        if (weight - weight.round()).abs() > WHOLE {
            return None;
        }
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "weights are not negative and far below 2^53"
        )]
        let copies = weight.round() as u64;
        for _ in 0..copies {
            let mut counts = column.counts.clone();
            for (kind, count) in &mut counts {
                *count = (*count).min(left[*kind]);
                left[*kind] -= *count;
            }
            counts.retain(|count| count.1 > 0);
            if !counts.is_empty() {
                packing.push(Packed { bin: column.bin, counts, copies: 1 });
            }
        }
    }
    left.iter().all(|&count| count == 0).then_some(packing)
}

/// The pair of kinds to branch on.
fn divided(master: &Master<'_>) -> Option<(usize, usize)> {
    let core = master.core();
    let mut pairs: BTreeMap<(usize, usize), f64> = BTreeMap::new();
    for (column, &weight) in master.columns().iter().zip(master.weights()) {
        if weight < WHOLE {
            continue;
        }
        for (at, &(one, _)) in column.counts.iter().enumerate() {
            for &(other, _) in &column.counts[at + 1..] {
                if core.demand[one] == 1 && core.demand[other] == 1 {
                    *pairs.entry((one, other)).or_insert(0.0) += weight;
                }
            }
        }
    }
    let mut best: Option<(f64, (usize, usize))> = None;
    for (pair, sum) in pairs {
        if (1e-5..=1.0 - 1e-5).contains(&sum) {
            let late = float((pair.0 + pair.1) as u64) / float(core.sizes.len() as u64);
            let score = -(sum - 0.5).abs() - LATE * late;
            if best.is_none_or(|(most, _)| score > most) {
                best = Some((score, pair));
            }
        }
    }
    best.map(|(_, pair)| pair)
}

/// How much a pair of small kinds counts against an even division.
const LATE: f64 = 0.3;
