//! For every kind the best pattern that holds it, all at once.
//!
//! Two tables: `before_k(c)`, the best value of kinds `1 .. k-1` exactly `c` long, and `after_k(r)`, the
//! best of kinds `k+1 .. n` in a room of `r` of which at most `waste` stays empty. The best pattern
//! with `a >= 1` pieces of kind `k` is `max over c of before_k(c) + a p_k + after_k(C - c - a s_k)`.
//! The same device finds arcs that can be fixed in arc-flow models: Delorme and Iori, INFORMS J. on
//! Computing 32 (2020), section 4.

use super::{Counts, Kind, fitting};

const NONE: i64 = i64::MIN / 4;

/// How many cells the two tables have together.
#[must_use]
pub fn cells(kinds: &[Kind], capacity: i64) -> u64 {
    let kinds = kinds.iter().filter(|kind| fitting(kind, capacity) > 0).count() as u64;
    kinds.saturating_mul(u64::try_from(capacity).unwrap_or(u64::MAX)).saturating_mul(2)
}

/// For each kind that can be in a pattern, the value of the best pattern that holds it, and that
/// pattern. Nothing if the capacity does not fit this machine's memory.
#[must_use]
pub fn best_through(
    kinds: &[Kind],
    capacity: i64,
    waste: i64,
) -> Option<Vec<Option<(i64, Counts)>>> {
    let used: Vec<usize> = (0..kinds.len()).filter(|&k| fitting(&kinds[k], capacity) > 0).collect();
    let width = usize::try_from(capacity).ok()? + 1;
    let mut first = vec![NONE; width];
    first[0] = 0;
    let before = layers(kinds, used.iter(), first)?;
    let spare = usize::try_from(waste.clamp(0, capacity)).ok()?;
    let mut first = vec![NONE; width];
    first[..=spare].fill(0);
    let after = layers(kinds, used.iter().rev(), first)?;
    let mut best = vec![None; kinds.len()];
    for (place, &k) in used.iter().enumerate() {
        let (lower, upper) = (&before[place], &after[used.len() - 1 - place]);
        let size = usize::try_from(kinds[k].size).ok()?;
        let mut top: Option<(i64, usize, usize)> = None;
        let mut value = 0;
        for count in 1..=usize::try_from(fitting(&kinds[k], capacity)).ok()? {
            value += kinds[k].price;
            let room = width - 1 - count * size;
            for c in 0..=room {
                let total = lower[c] + upper[room - c] + value;
                if total > top.map_or(NONE / 2, |top| top.0) {
                    top = Some((total, c, count));
                }
            }
        }
        let Some((value, c, count)) = top else { continue };
        let mut counts: Counts = vec![(k, count as u64)];
        let mut at = c;
        trace(kinds, used[..place].iter().rev(), &before[..=place], &mut at, &mut counts)?;
        let mut at = width - 1 - count * size - c;
        let later = &after[..used.len() - place];
        trace(kinds, used[place + 1..].iter(), later, &mut at, &mut counts)?;
        counts.sort_unstable();
        best[k] = Some((value, counts));
    }
    Some(best)
}

/// Layer after layer: `first`, then with each kind in turn.
fn layers<'a>(
    kinds: &[Kind],
    used: impl Iterator<Item = &'a usize>,
    first: Vec<i64>,
) -> Option<Vec<Vec<i64>>> {
    let mut layers = vec![first];
    for &k in used {
        let last = layers.last()?;
        let mut next = last.clone();
        let size = usize::try_from(kinds[k].size).ok()?;
        let capacity = i64::try_from(last.len() - 1).ok()?;
        let mut value = 0;
        for count in 1..=usize::try_from(fitting(&kinds[k], capacity)).ok()? {
            value += kinds[k].price;
            let shift = count * size;
            for (to, from) in next[shift..].iter_mut().zip(last.iter()) {
                *to = (*to).max(from + value);
            }
        }
        layers.push(next);
    }
    Some(layers)
}

/// Which pieces led to a cell of the last layer. `used` names the layers' kinds, last first.
fn trace<'a>(
    kinds: &[Kind],
    used: impl Iterator<Item = &'a usize>,
    layers: &[Vec<i64>],
    at: &mut usize,
    counts: &mut Counts,
) -> Option<()> {
    for (&k, pair) in used.zip(layers.windows(2).rev()) {
        let (earlier, later) = (&pair[0], &pair[1]);
        let size = usize::try_from(kinds[k].size).ok()?;
        let mut count = 0_u64;
        let (mut from, mut value) = (*at, later[*at]);
        while earlier[from] != value {
            from = from.checked_sub(size)?;
            value -= kinds[k].price;
            count += 1;
        }
        if count > 0 {
            counts.push((k, count));
            *at = from;
        }
    }
    Some(())
}
