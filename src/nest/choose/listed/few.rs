//! Few combinations, gone through one by one by increasing bound; materials that need the same
//! pieces in several of them are nested once.

use super::{Chosen, Joint, Listing, Made, Many, bound, nested};
use crate::nest::{self, Basis, Instance, NestError, Nesting, Options, Status, Watch};
use std::collections::BTreeMap;

/// Up to so many combinations are gone through without looking for a good one first.
pub const AT_ONCE: usize = 600;

/// Up to so many are gone through.
const COMBINATIONS: usize = 4_000;

/// Up to so many sizes in all of them together.
const SIZES: usize = 12_000;

/// Less work than this finds too little.
const LEAST: u64 = 20_000;

/// What nests with so little work come to in all is at most so many times the work allowed.
const BEYOND: u64 = 10;

/// How often each way of each group is taken.
pub(super) type Taken = Vec<Vec<u64>>;

/// So many combinations are a few, with so many sizes.
pub(super) fn few(listing: &Listing<'_>) -> usize {
    let sizes: usize = listing.materials.iter().map(|instance| instance.pieces.len()).sum();
    COMBINATIONS.min(SIZES / sizes.max(1))
}

/// All ways to choose within the limit, where they are no more than `most`.
pub(super) fn combinations(listing: &Listing<'_>, most: usize) -> Option<Vec<Taken>> {
    let mut all: Vec<Taken> = vec![Vec::new()];
    for group in listing.groups {
        let ways = shares(group.count, group.ways.len(), most)?;
        if all.len().saturating_mul(ways.len()) > most {
            return None;
        }
        let longer = |before: &Taken| {
            let ways = ways.iter().map(|way| [&before[..], std::slice::from_ref(way)].concat());
            ways.collect::<Vec<_>>()
        };
        all = all.iter().flat_map(longer).collect();
    }
    all.retain(|taken| listing.extra(taken) <= i128::from(listing.limit));
    Some(all)
}

/// The ways to divide so many like things over so many ways to make them; `None` where they are more
/// than `most`.
fn shares(count: u64, ways: usize, most: usize) -> Option<Vec<Vec<u64>>> {
    let mut all: Vec<Vec<u64>> = vec![Vec::new()];
    for at in 0..ways {
        let mut longer = Vec::new();
        for way in all {
            let left = count - way.iter().sum::<u64>();
            for n in if at + 1 == ways { left } else { 0 }..=left {
                longer.push([&way[..], &[n]].concat());
                if longer.len() > most {
                    return None;
                }
            }
        }
        all = longer;
    }
    Some(all)
}

/// A combination and the bounds of its materials by area.
pub(super) struct Combination {
    taken: Taken,
    materials: Vec<Instance>,
    cost: i64,
    /// By material; raised by what nests prove.
    bounds: Vec<i64>,
}

impl Combination {
    /// `None` where rolls on hand are too few by area.
    pub fn new(listing: &Listing<'_>, taken: Taken) -> Option<Self> {
        let mut materials = listing.fixed(&taken);
        for instance in &mut materials {
            instance.pieces.retain(|piece| piece.quantity > 0);
        }
        let bounds = materials.iter().map(bound::of_instance).collect::<Option<_>>()?;
        let cost = listing.cost(&taken);
        Some(Self { taken, materials, cost, bounds })
    }

    fn nests_bound(&self) -> i64 {
        self.bounds.iter().sum()
    }

    pub fn bound(&self) -> i64 {
        self.nests_bound().saturating_add(self.cost)
    }
}

/// Nests known by material and by how many are wanted of each piece.
pub(super) type Known = BTreeMap<(usize, Vec<(String, u64)>), Result<Nesting, NestError>>;

/// One part in so many of a nest's work is counted for nests that end with a proof.
pub(super) const PROVEN: u64 = 4;

/// The best combination, or what is already there.
pub(super) fn solve(
    listing: &Listing<'_>,
    all: Vec<Taken>,
    there: Option<Many>,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Chosen, NestError> {
    let made = all.into_iter().filter_map(|taken| Combination::new(listing, taken));
    let mut order: Vec<Combination> = made.collect();
    order.sort_by_key(Combination::bound);
    let work = (options.work / order.len().max(1) as u64).max(LEAST);
    let each = Options { work, ..*options };
    // With little work not all of them are gone through.
    let most = (order.len().min(AT_ONCE) as u64).min(BEYOND * options.work / LEAST);
    let mut left = options.work.max(work * most);
    let (mut best, mut known) = (None, Known::new());
    let (mut programme, mut basis) = (None, Basis::Area);
    if let Some(many) = there {
        // What little work proved is known; what it did not find, more may.
        let proven = |answer: &Result<Nesting, NestError>| {
            answer.as_ref().is_ok_and(|nesting| nesting.status == Status::Proven)
        };
        known = many.known;
        known.retain(|_, answer| proven(answer));
        (best, programme) = (Some(many.best), Some((many.joint, many.basis)));
    }
    let mut stopped = false;
    let mut refused = None;
    let mut possible = Vec::with_capacity(order.len());
    for mut combination in order {
        let value = best.as_ref().map_or(i64::MAX, |best| best.value);
        stopped |= watch.stop();
        if combination.bound() > value || ((stopped || left == 0) && best.is_some()) {
            possible.push(combination);
            continue;
        }
        let many = known.len();
        match nest_all(&mut combination, &mut known, &each, watch) {
            Ok(new) => {
                if known.len() > many {
                    left = left.saturating_sub(if new.is_proven() { work / PROVEN } else { work });
                }
                if possible.iter().all(|other| combination.bound() < other.bound()) {
                    let rest = new.nestings.iter().map(|nesting| nesting.basis);
                    basis = rest.max().unwrap_or(Basis::Area);
                }
                possible.push(combination);
                new.replace(&mut best, listing);
            }
            Err(NestError::NotEnoughRolls { missing }) => {
                // Another search might find room: its bound by area stands.
                refused = Some(NestError::NotEnoughRolls { missing });
                possible.push(combination);
            }
            Err(why) => refused = Some(why),
        }
    }
    let Some(best) = best else {
        return Err(refused.unwrap_or(NestError::NotEnoughRolls { missing: 0 }));
    };
    let least = |of: &dyn Fn(&Combination) -> i64| possible.iter().map(of).min().unwrap_or(0);
    let mut joint =
        Joint { with_costs: least(&Combination::bound), nests: least(&Combination::nests_bound) };
    if let Some((programme, of)) = programme {
        basis = if programme.with_costs > joint.with_costs { of } else { basis };
        joint.with_costs = joint.with_costs.max(programme.with_costs);
        joint.nests = joint.nests.max(programme.nests);
    }
    let by_material: Vec<i64> =
        (0..listing.materials.len()).map(|m| least(&|c: &Combination| c.bounds[m])).collect();
    let mut chosen = best.bounded(joint, &by_material, basis);
    if stopped && chosen.status != Status::Proven {
        chosen.status = Status::Stopped;
    }
    Ok(chosen)
}

/// Nests every material and raises the combination's bounds by what that proves.
pub(super) fn nest_all(
    combination: &mut Combination,
    known: &mut Known,
    options: &Options,
    watch: &dyn Watch,
) -> Result<Made, NestError> {
    let mut nestings = Vec::with_capacity(combination.materials.len());
    for (number, instance) in combination.materials.iter().enumerate() {
        let wanted = instance.pieces.iter().map(|p| (p.id.clone(), p.quantity)).collect();
        let answer = known
            .entry((number, wanted))
            .or_insert_with(|| nested(instance, options, watch, nest::solve))
            .clone()?;
        combination.bounds[number] = combination.bounds[number].max(answer.bound);
        nestings.push(answer);
    }
    let value = nestings.iter().map(|nesting| nesting.value).sum::<i64>() + combination.cost;
    let (taken, instances) = (combination.taken.clone(), combination.materials.clone());
    Ok(Made { taken, instances, nestings, value })
}
