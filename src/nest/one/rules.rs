//! Which kinds share a bin: the branches of the tree above the pools.
//!
//! For kinds of one piece each, a rule says that two kinds always share a bin or never do (Ryan and
//! Foster 1981). Kinds that always share a bin are one longer kind to the enumeration; kinds that
//! never do are a conflict.

use super::effort::Effort;
use super::pool::{Pool, Wanted, enumerate};
use crate::nest::knapsack::Counts;

/// The rules of a node.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Rules {
    pub together: Vec<(usize, usize)>,
    pub apart: Vec<(usize, usize)>,
}

impl Rules {
    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.together.is_empty() && self.apart.is_empty()
    }

    /// Whether a pattern keeps to the rules.
    pub fn allow(&self, counts: &Counts) -> bool {
        let holds = |kind: usize| counts.binary_search_by_key(&kind, |count| count.0).is_ok();
        self.together.iter().all(|&(one, other)| holds(one) == holds(other))
            && !self.apart.iter().any(|&(one, other)| holds(one) && holds(other))
    }

    /// The patterns wanted that keep to the rules; see [`enumerate`].
    pub fn enumerate(
        &self,
        wanted: &Wanted<'_>,
        most: usize,
        quota: usize,
        effort: &Effort<'_>,
    ) -> Option<(Pool, bool)> {
        if self.is_empty() {
            return enumerate(wanted, &[], most, quota, effort);
        }
        let groups = self.groups(wanted.sizes.len());
        let sum =
            |values: &[i64], group: &[usize]| -> i64 { group.iter().map(|&k| values[k]).sum() };
        let sizes: Vec<i64> = groups.iter().map(|group| sum(wanted.sizes, group)).collect();
        let prices: Vec<i64> = groups.iter().map(|group| sum(wanted.prices, group)).collect();
        let demand: Vec<u64> = groups.iter().map(|group| wanted.demand[group[0]]).collect();
        let mut group_of = vec![0; wanted.sizes.len()];
        for (at, group) in groups.iter().enumerate() {
            for &kind in group {
                group_of[kind] = at;
            }
        }
        let mut conflicts = vec![Vec::new(); groups.len()];
        for &(one, other) in &self.apart {
            let (one, other) = (group_of[one], group_of[other]);
            if one == other {
                // Together and apart at once: nothing can hold them.
                return Some((Pool::default(), true));
            }
            conflicts[one].push(other);
            conflicts[other].push(one);
        }
        let merged = Wanted { sizes: &sizes, demand: &demand, prices: &prices, ..*wanted };
        let (pool, complete) = enumerate(&merged, &conflicts, most, quota, effort)?;
        Some((pool.spread(&groups), complete))
    }

    /// Kinds that always share a bin, by their first; every kind is in one group.
    fn groups(&self, kinds: usize) -> Vec<Vec<usize>> {
        let mut leader: Vec<usize> = (0..kinds).collect();
        for &(one, other) in &self.together {
            let (one, other) = (leader[one], leader[other]);
            let (low, high) = (one.min(other), one.max(other));
            for name in &mut leader {
                if *name == high {
                    *name = low;
                }
            }
        }
        let mut groups: Vec<Vec<usize>> = vec![Vec::new(); kinds];
        for (kind, &name) in leader.iter().enumerate() {
            groups[name].push(kind);
        }
        groups.retain(|group| !group.is_empty());
        groups
    }
}
