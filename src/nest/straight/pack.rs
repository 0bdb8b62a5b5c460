//! Pulls onto rolls: best fit, longest pull first.
//!
//! A pull goes onto the fullest open roll that still holds it, else onto a new roll of the product
//! asked for. Like pulls are placed together and like rolls come out with a count of copies. Where that
//! takes too many rolls, sums of lengths are tried ([`super::sums`]).

use super::model::Model;
use super::pattern::{Cuts, PullCut, RollCut, all_copies};
use super::sums::filled;
use std::collections::BTreeMap;
use std::sync::Arc;

/// An open roll: pulls by index, with how often each.
type Open = Vec<(usize, u64)>;

/// Packs all pulls on rolls of one `product` of the given length. The pulls must fit.
pub(super) fn best_fit(pulls: &[(Arc<PullCut>, u64)], product: usize, length: usize) -> Cuts {
    let mut order: Vec<usize> = (0..pulls.len()).collect();
    order.sort_by_key(|&p| (std::cmp::Reverse(pulls[p].0.length), p));
    // Free length -> rolls with it and their number.
    let mut open: BTreeMap<usize, Vec<(Open, u64)>> = BTreeMap::new();
    for p in order {
        let size = pulls[p].0.length.max(1);
        let mut left = pulls[p].1;
        while left > 0 {
            let Some((&free, _)) = open.range(size..).next() else { break };
            let Some(mut rolls) = open.remove(&free) else { break };
            let Some((roll, copies)) = rolls.pop() else { continue };
            let each = ((free / size) as u64).min(left);
            let filled = copies.min(left / each);
            if filled < copies {
                rolls.push((roll.clone(), copies - filled));
            }
            if !rolls.is_empty() {
                open.insert(free, rolls);
            }
            left -= each * filled;
            put(&mut open, free, size, (roll, filled), (p, each));
        }
        let each = ((length / size) as u64).min(left);
        if let Some(full) = left.checked_div(each) {
            put(&mut open, length, size, (Vec::new(), full), (p, each));
            left -= full * each;
            if left > 0 {
                put(&mut open, length, size, (Vec::new(), 1), (p, left));
            }
        }
    }
    let mut cuts = Cuts::new();
    for (roll, copies) in open.into_values().flatten() {
        let mut on = Vec::new();
        for (p, n) in roll {
            on.extend((0..n).map(|_| Arc::clone(&pulls[p].0)));
        }
        cuts.push((RollCut { roll: product, pulls: on }, copies));
    }
    cuts
}

fn put(
    open: &mut BTreeMap<usize, Vec<(Open, u64)>>,
    free: usize,
    size: usize,
    (mut roll, copies): (Open, u64),
    (pull, each): (usize, u64),
) {
    roll.push((pull, each));
    let used = size * usize::try_from(each).unwrap_or(usize::MAX);
    open.entry(free - used).or_default().push((roll, copies));
}

/// Packs all pulls on rolls of one `product` by best fit, or, where that needs more rolls than their
/// lengths come to, by sums of lengths if that needs fewer.
fn fewest(pulls: &[(Arc<PullCut>, u64)], product: usize, length: usize) -> Cuts {
    let packed = best_fit(pulls, product, length);
    let total: u128 = pulls.iter().map(|(pull, n)| pull.length as u128 * u128::from(*n)).sum();
    if u128::from(all_copies(&packed)) <= total.div_ceil(length.max(1) as u128) {
        return packed;
    }
    let other = filled(pulls, product, length);
    if all_copies(&other) < all_copies(&packed) { other } else { packed }
}

/// Packs the pulls of each width on the products of that width: rolls in limited number first where
/// they are cheaper for their length, the rest on the product that comes cheapest, and in the end
/// every roll is exchanged for the cheapest product that still holds its pulls. Pulls beyond the rolls
/// of their width, which increase, go onto the next wider ones; `None` if there are none. Products that
/// a wider one makes needless are left out, so that pulls of all widths fill the same rolls.
pub(super) fn on_products(
    model: &Model,
    widths: &[usize],
    on_width: &[Vec<(Arc<PullCut>, u64)>],
) -> Option<Cuts> {
    let mut all = Cuts::new();
    let mut over: Vec<(Arc<PullCut>, u64)> = Vec::new();
    for (&width, pulls) in widths.iter().zip(on_width) {
        if model.endless {
            let flat = pulls.iter().flat_map(|(pull, n)| (0..*n).map(|_| Arc::clone(pull)));
            all.push((RollCut { roll: 0, pulls: flat.collect() }, 1));
            continue;
        }
        let mut products: Vec<usize> = (0..model.rolls.len())
            .filter(|&k| model.rolls[k].width == width && !is_dominated(model, k))
            .collect();
        let per_length =
            |k: usize| (i128::from(model.rolls[k].cost), model.rolls[k].length as u128);
        products.sort_by(|&a, &b| {
            let (a, b) = (per_length(a), per_length(b));
            let wide = |length: u128| i128::try_from(length).unwrap_or(i128::MAX);
            (a.0 * wide(b.1)).cmp(&(b.0 * wide(a.1)))
        });
        let mut left = pulls.clone();
        left.append(&mut over);
        let mut cuts = Cuts::new();
        for &product in &products {
            left.retain(|(_, n)| *n > 0);
            if left.is_empty() {
                break;
            }
            let roll = &model.rolls[product];
            let (fits, rest): (Vec<_>, Vec<_>) =
                left.into_iter().partition(|(pull, _)| pull.length <= roll.length);
            left = rest;
            let mut packed = fewest(&fits, product, roll.length);
            if let Some(most) = roll.available {
                left.extend(keep_fullest(&mut packed, most));
            }
            cuts.extend(packed);
        }
        over = left.into_iter().filter(|(_, n)| *n > 0).collect();
        exchange(model, &mut cuts, &products);
        all.extend(cuts);
    }
    over.is_empty().then_some(all)
}

/// Whether a wider product without limit is no shorter and no dearer.
fn is_dominated(model: &Model, k: usize) -> bool {
    let narrow = &model.rolls[k];
    model.rolls.iter().any(|wide| {
        let instead = wide.available.is_none() && wide.width > narrow.width;
        instead && wide.length >= narrow.length && wide.cost <= narrow.cost
    })
}

/// Keeps the `most` fullest rolls and gives back the pulls of the others.
fn keep_fullest(cuts: &mut Cuts, most: u64) -> Vec<(Arc<PullCut>, u64)> {
    let fill = |cut: &RollCut| cut.pulls.iter().map(|pull| pull.length).sum::<usize>();
    cuts.sort_by_key(|(cut, _)| std::cmp::Reverse(fill(cut)));
    let mut room = most;
    let mut back = Vec::new();
    for (cut, copies) in cuts.iter_mut() {
        let kept = room.min(*copies);
        back.extend(cut.pulls.iter().map(|pull| (Arc::clone(pull), *copies - kept)));
        *copies = kept;
        room -= kept;
    }
    cuts.retain(|(_, copies)| *copies > 0);
    back
}

/// Moves rolls to cheaper products that still hold them.
fn exchange(model: &Model, cuts: &mut Cuts, products: &[usize]) {
    let mut free: Vec<u64> =
        model.rolls.iter().map(|roll| roll.available.unwrap_or(u64::MAX)).collect();
    for (cut, copies) in cuts.iter() {
        free[cut.roll] = free[cut.roll].saturating_sub(*copies);
    }
    let mut moved = Cuts::new();
    for (cut, copies) in cuts.iter_mut() {
        let used: usize = cut.pulls.iter().map(|pull| pull.length).sum();
        let better = products
            .iter()
            .copied()
            .filter(|&k| model.rolls[k].length >= used && free[k] > 0)
            .filter(|&k| model.rolls[k].cost < model.rolls[cut.roll].cost)
            .min_by_key(|&k| (model.rolls[k].cost, k));
        if let Some(k) = better {
            let many = free[k].min(*copies);
            free[k] -= many;
            free[cut.roll] = free[cut.roll].saturating_add(many);
            *copies -= many;
            moved.push((RollCut { roll: k, pulls: cut.pulls.clone() }, many));
        }
    }
    cuts.extend(moved);
    cuts.retain(|(_, copies)| *copies > 0);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::straight::model::RollSize;

    #[test]
    fn pulls_beyond_the_narrow_rolls_on_hand_go_onto_wider_ones() {
        let roll = |width, cost, available| RollSize { width, length: 10, cost, available };
        let model = Model {
            unit: [1, 1],
            gap: 0,
            rolls: vec![roll(8, 1, None), roll(5, 0, Some(1))],
            classes: Vec::new(),
            forms: Vec::new(),
            pull: 10,
            endless: false,
            tiny: false,
        };
        let pull = |width| Arc::new(PullCut { length: 5, width, places: Vec::new() });
        let packed = |narrow: u64, wide: u64| {
            on_products(&model, &[5, 8], &[vec![(pull(5), narrow)], vec![(pull(8), wide)]])
        };
        let rolls = |cuts: &Cuts, k: usize| -> u64 {
            cuts.iter().filter(|(cut, _)| cut.roll == k).map(|(_, n)| n).sum()
        };
        // One narrow roll holds two pulls; the third lies beside the single wide one: one roll each.
        let cuts = packed(3, 1).expect("there is room");
        assert_eq!((rolls(&cuts, 0), rolls(&cuts, 1)), (1, 1));
        // Nothing is wider than the wide ones, of which there are as many as needed.
        assert_eq!(packed(0, 5).map(|cuts| rolls(&cuts, 0)), Some(3));
        // A narrow product at the price of a wide one is not used: three pulls take two rolls, not three.
        let alike = Model { rolls: vec![roll(8, 1, None), roll(5, 1, None)], ..model };
        let pulls = [vec![(pull(5), 1)], vec![(pull(8), 2)]];
        let cuts = on_products(&alike, &[5, 8], &pulls).expect("there is room");
        assert_eq!((rolls(&cuts, 0), rolls(&cuts, 1)), (2, 0));
    }
}
