//! What is settled before the linear programme over all items where a packing at the bound leaves nothing empty.
//!
//! [`super::peel`] packs what is forced and may settle the bound by itself. Else the rest is a smaller
//! problem of the same kind: if it can be packed without waste so can the whole, and if it cannot,
//! neither can the whole, as some packing without waste has the forced bins.

use super::core::{Core, Packed, whole};
use super::dive::{State, finish};
use super::effort::Effort;
use super::greedy::cost;
use super::peel::{End, Stand, peel};
use super::solve::{Solved, by_programme};
use crate::nest::Basis;

/// Pieces left where the programme first takes over from the choices, and steps for each of them.
const FEW: u64 = 75;
const PATIENCE: u64 = 10_000;

/// Whether the bound is settled: `solved` then has a packing at it.
pub(super) fn settle(
    core: &Core,
    solved: &mut Solved,
    seed: u64,
    effort: &Effort<'_>,
    tell: &dyn Fn(Option<i64>, i64),
) -> bool {
    let [bin] = core.bins.as_slice() else { return false };
    if bin.cost == 0 {
        return false;
    }
    let target = solved.bound / bin.cost;
    let full = i128::from(target) * i128::from(bin.size) == i128::from(core.total());
    if !full || bin.available.is_some_and(|most| whole(most) < target) {
        return false;
    }
    let peeled = peel(core, effort);
    match peeled.end {
        End::Found(packed) => {
            solved.packed = Some(packed);
            return true;
        }
        End::None => {
            raise(core, solved);
            complete(core, peeled.forced, &peeled.left, solved, effort);
        }
        End::Open => {
            if follow(core, &peeled.trail, target, solved, seed, effort) {
                return true;
            }
            if peeled.forced.is_empty() {
                return false;
            }
            let used = bins(&peeled.forced);
            let forced = whole(used);
            complete(core, peeled.forced.clone(), &peeled.left, solved, effort);
            tell(solved.packed.as_ref().map(|packed| cost(core, packed)), solved.bound);
            let rest = Rest::new(core, &peeled.left, used);
            let so_far = |value: Option<i64>, bound: i64| {
                let more = forced * bin.cost;
                tell(value.map(|value| value + more), bound + more);
            };
            let least = (target - forced) * bin.cost;
            let inner = by_programme(&rest.core, Solved::at(least), seed, effort, &so_far);
            if inner.bound > least {
                raise(core, solved);
            }
            if let Some(packed) = inner.packed {
                let mut whole_packing = peeled.forced;
                whole_packing.extend(rest.named(packed));
                let better = solved
                    .packed
                    .as_ref()
                    .is_none_or(|best| cost(core, &whole_packing) < cost(core, best));
                if better {
                    solved.packed = Some(whole_packing);
                }
            }
        }
    }
    solved.is_proven(core)
}

/// Follows the trail of choices to where few pieces are left, and packs those by the programme; if that
/// does not come to a packing without waste, again from where twice as many are left. Whether it
/// came to one.
fn follow(
    core: &Core,
    trail: &[Stand],
    target: i64,
    solved: &mut Solved,
    seed: u64,
    effort: &Effort<'_>,
) -> bool {
    let pieces = |stand: &Stand| stand.left.iter().sum::<u64>();
    let all = core.demand.iter().sum::<u64>();
    let mut few = FEW;
    while few < all {
        let Some(stand) = trail.iter().find(|stand| pieces(stand) <= few) else { return false };
        let used = bins(&stand.packed);
        let rest = Rest::new(core, &stand.left, used);
        let least = (target - whole(used)) * core.bins[0].cost;
        let part = effort.part(few * PATIENCE);
        let inner = by_programme(&rest.core, Solved::at(least), seed, &part, &|_, _| {});
        effort.spend(part.done());
        if let Some(packed) = inner.packed
            && cost(&rest.core, &packed) <= least
        {
            let mut packing = stand.packed.clone();
            packing.extend(rest.named(packed));
            solved.packed = Some(packing);
            return true;
        }
        if effort.over() {
            return false;
        }
        few *= 2;
    }
    false
}

/// No packing leaves nothing empty: one more bin.
fn raise(core: &Core, solved: &mut Solved) {
    solved.bound += core.bins[0].cost;
    solved.basis = Basis::Search;
}

/// Packs quickly what the forced bins leave.
fn complete(
    core: &Core,
    forced: Vec<Packed>,
    left: &[u64],
    solved: &mut Solved,
    effort: &Effort<'_>,
) {
    let mut state = State::new(core, None);
    state.cost = cost(core, &forced);
    state.used = vec![bins(&forced)];
    state.packed = forced;
    state.left = left.to_vec();
    finish(core, &state, &mut solved.packed, effort);
}

fn bins(packed: &[Packed]) -> u64 {
    packed.iter().map(|pattern| pattern.copies).sum()
}

/// What the forced bins leave, as a problem of its own.
struct Rest {
    core: Core,
    kinds: Vec<usize>,
}

impl Rest {
    fn new(core: &Core, left: &[u64], used: u64) -> Self {
        let kinds: Vec<usize> = (0..left.len()).filter(|&kind| left[kind] > 0).collect();
        let mut bins = core.bins.clone();
        for bin in &mut bins {
            bin.available = bin.available.map(|most| most.saturating_sub(used));
        }
        let sizes = kinds.iter().map(|&kind| core.sizes[kind]).collect();
        let demand = kinds.iter().map(|&kind| left[kind]).collect();
        Self { core: Core { bins, sizes, demand }, kinds }
    }

    /// A packing of the rest in the whole's kinds.
    fn named(&self, packed: Vec<Packed>) -> impl Iterator<Item = Packed> {
        packed.into_iter().map(|mut pattern| {
            for count in &mut pattern.counts {
                count.0 = self.kinds[count.0];
            }
            pattern
        })
    }
}
