//! Orders to start from.

use super::packer::Entry;
use super::task::{Kind, Task};
use std::cmp::Reverse;

/// Up to this many pieces each has its own entry, so that like pieces may be laid at different
/// times; beyond it like pieces stay together.
pub const MOST_SINGLE: u64 = 400;

/// The ways to sort, largest first: by area, by size across, by size along, by the longer side,
/// by the sum of the sides.
pub const WAYS: usize = 5;

/// The kinds' demand, sorted.
pub fn sorted(task: &Task, way: usize) -> Vec<Entry> {
    let key = |kind: &Kind| -> (i128, i128) {
        let shape = kind.shapes.last().copied();
        let (w, h) = shape.map_or((0, 0), |s| (i128::from(s.w), i128::from(s.h)));
        match way {
            0 => (w * h, w),
            1 => (w, h),
            2 => (h, w),
            3 => (w.max(h), w.min(h)),
            _ => (w + h, w * h),
        }
    };
    let mut kinds: Vec<usize> = (0..task.kinds.len()).collect();
    kinds.sort_by_key(|&k| (Reverse(key(&task.kinds[k])), k));
    let single = task.pieces() <= MOST_SINGLE;
    let mut order = Vec::new();
    for kind in kinds {
        let demand = task.kinds[kind].demand;
        let Ok(kind) = u32::try_from(kind) else { continue };
        if single {
            order.extend((0..demand).map(|_| Entry::new(kind, 1)));
        } else {
            order.push(Entry::new(kind, demand));
        }
    }
    order
}
