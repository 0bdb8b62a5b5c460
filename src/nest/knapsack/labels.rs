//! Labels: a dynamic programme over the states that can still matter.
//!
//! 1. Kinds by falling price per length, as in [`super::branch`]. A label is a set of pieces of the
//!    kinds so far: its length and its value.
//! 2. A label is dropped if another is no longer and worth no less (where waste is limited: of the
//!    same length), if `value + room * p_k / s_k` of the next kind cannot beat the threshold, or if
//!    the room cannot be filled to within the waste allowed.
//! 3. At the end every label worth more than the threshold is a pattern, the best is the optimum.
//!
//! Kellerer, Pferschy and Pisinger, Knapsack Problems (2004), section 3.4 (lists with dominance).

use super::{Counts, Kind, Sums, add, fitting};

/// Marks the empty label's parent.
const ROOT: u32 = u32::MAX;

#[derive(Clone, Copy, Debug)]
struct Label {
    length: i64,
    value: i64,
    /// Where its history ends, in the arena.
    last: u32,
}

#[derive(Clone, Copy, Debug)]
struct Step {
    before: u32,
    kind: u32,
}

/// All patterns found and what they prove.
#[derive(Clone, Debug)]
pub struct Labelled {
    /// (value, pieces) by falling value; worth more than the threshold.
    pub patterns: Vec<(i64, Counts)>,
    /// Labels made.
    pub made: u64,
}

/// Patterns worth more than `threshold`, the optimum first (there is none if the list is empty);
/// nothing if more than `most` labels would be kept.
#[must_use]
pub fn label(
    kinds: &[Kind],
    capacity: i64,
    waste: Option<i64>,
    threshold: i64,
    most: usize,
) -> Option<Labelled> {
    let waste = waste.filter(|&waste| waste < capacity);
    let mut order: Vec<usize> = (0..kinds.len())
        .filter(|&k| fitting(&kinds[k], capacity) > 0 && (waste.is_some() || kinds[k].price > 0))
        .collect();
    order.sort_by(|&one, &other| {
        let (a, b) = (&kinds[one], &kinds[other]);
        let left = i128::from(b.price) * i128::from(a.size);
        let right = i128::from(a.price) * i128::from(b.size);
        left.cmp(&right).then(b.size.cmp(&a.size)).then(one.cmp(&other))
    });
    let reach = waste.and_then(|_| reach_of(kinds, &order, capacity));
    let mut arena: Vec<Step> = Vec::new();
    let mut labels = vec![Label { length: 0, value: 0, last: ROOT }];
    let mut made = 0_u64;
    for (place, &k) in order.iter().enumerate() {
        let kind = &kinds[k];
        let name = u32::try_from(k).ok()?;
        let mut fresh = labels.clone();
        for _ in 0..fitting(kind, capacity) {
            let mut shifted = Vec::with_capacity(fresh.len());
            for label in &fresh {
                let length = label.length + kind.size;
                if length <= capacity {
                    shifted.push(Label {
                        length,
                        value: label.value + kind.price,
                        last: label.last,
                    });
                }
            }
            made += shifted.len() as u64;
            // Only those that no label of fewer pieces dominates live on.
            fresh = survivors(&labels, &shifted, waste.is_some());
            if fresh.is_empty() {
                break;
            }
            for label in &mut fresh {
                let before = std::mem::replace(&mut label.last, u32::try_from(arena.len()).ok()?);
                arena.push(Step { before, kind: name });
            }
            labels = merge(&labels, &fresh, waste.is_some());
            if arena.len() > most {
                return None;
            }
        }
        let next = order.get(place + 1).map(|&next| &kinds[next]);
        labels.retain(|label| {
            let room = capacity - label.length;
            may_matter(label, room, next, threshold)
                && reach.as_ref().is_none_or(|reach| {
                    reach[place + 1].below(room) >= room - waste.unwrap_or(capacity)
                })
        });
    }
    labels.retain(|label| label.value > threshold);
    labels.sort_by(|one, other| other.value.cmp(&one.value).then(one.length.cmp(&other.length)));
    let patterns = labels.iter().map(|label| (label.value, history(&arena, label.last))).collect();
    Some(Labelled { patterns, made })
}

/// Whether a label may still lead above the threshold.
fn may_matter(label: &Label, room: i64, next: Option<&Kind>, threshold: i64) -> bool {
    label.value > threshold
        || next.is_some_and(|next| {
            i128::from(room) * i128::from(next.price)
                > i128::from(threshold - label.value) * i128::from(next.size)
        })
}

/// Sums reachable with the kinds from each place on.
fn reach_of(kinds: &[Kind], order: &[usize], capacity: i64) -> Option<Vec<Sums>> {
    let mut sums = Sums::new(capacity)?;
    let mut reach = vec![sums.clone()];
    for &k in order.iter().rev() {
        sums.add(&kinds[k]);
        reach.push(sums.clone());
    }
    reach.reverse();
    Some(reach)
}

/// Those of `shifted` that none of `labels` dominates; both by rising length.
fn survivors(labels: &[Label], shifted: &[Label], exact: bool) -> Vec<Label> {
    let mut kept = Vec::new();
    let mut at = 0;
    let mut best = i64::MIN;
    for label in shifted {
        while at < labels.len() && labels[at].length <= label.length {
            if exact && labels[at].length < label.length {
                at += 1;
                continue;
            }
            best = if exact { labels[at].value } else { best.max(labels[at].value) };
            if exact {
                break;
            }
            at += 1;
        }
        let same = !exact || labels.get(at).is_some_and(|other| other.length == label.length);
        if !same || label.value > best {
            kept.push(*label);
        }
    }
    kept
}

/// Both lists in one, by rising length, without dominated labels.
fn merge(one: &[Label], other: &[Label], exact: bool) -> Vec<Label> {
    let mut merged: Vec<Label> = Vec::with_capacity(one.len() + other.len());
    let (mut a, mut b) = (0, 0);
    while a < one.len() || b < other.len() {
        let first = match (one.get(a), other.get(b)) {
            (Some(x), Some(y)) => {
                x.length < y.length || (x.length == y.length && x.value >= y.value)
            }
            (Some(_), None) => true,
            _ => false,
        };
        let label = if first { one[a] } else { other[b] };
        if first {
            a += 1;
        } else {
            b += 1;
        }
        let dominated = merged.last().is_some_and(|last| {
            (!exact || last.length == label.length) && last.value >= label.value
        });
        if !dominated {
            merged.push(label);
        }
    }
    merged
}

fn history(arena: &[Step], last: u32) -> Counts {
    let mut counts: Counts = Vec::new();
    let mut at = last;
    while let Some(step) = arena.get(at as usize) {
        add(&mut counts, step.kind as usize, 1);
        at = step.before;
    }
    counts
}
