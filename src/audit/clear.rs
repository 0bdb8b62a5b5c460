//! Pieces do not overlap and keep the gap.
//!
//! Steps: sort the pieces of a roll by their near edge; sweep along the roll with the list of
//! those whose far edge (and the gap) is not yet passed; compare each newcomer with those that
//! are near it across the roll as well: rectangles by their sides, outlines exactly.

use super::polygon::{self, Corner};
use super::rolls::Placed;
use super::{Failures, Rule};

/// Checks the pieces of one roll; `gap` in nanometres.
pub(super) fn check(roll: &str, placed: &[Placed<'_>], gap: i64, failures: &mut Failures) {
    let mut order: Vec<&Placed> = placed.iter().collect();
    order.sort_by_key(|p| (p.near, p.left));
    let mut open: Vec<&Placed> = Vec::new();
    for new in order {
        open.retain(|old| old.far.saturating_add(gap) > new.near);
        for old in &open {
            let beside = old.right.saturating_add(gap) <= new.left
                || new.right.saturating_add(gap) <= old.left;
            if beside {
                continue;
            }
            if overlap(old, new) {
                failures.add(Rule::Clear, format!("{} overlap.", both(roll, old, new)));
            } else if gap > 0 && nearer(old, new, gap) {
                failures.add(
                    Rule::Clear,
                    format!("{} are nearer to each other than the gap.", both(roll, old, new)),
                );
            }
        }
        open.push(new);
    }
}

fn both(roll: &str, a: &Placed<'_>, b: &Placed<'_>) -> String {
    let at = |p: &Placed<'_>| format!("`{}` at {}, {} mm", p.code, mm(p.left), mm(p.near));
    format!("On roll `{roll}`, pieces {} and {}", at(a), at(b))
}

fn mm(nm: i64) -> crate::units::Length {
    crate::units::Length::from_nm(nm)
}

fn overlap(a: &Placed<'_>, b: &Placed<'_>) -> bool {
    let boxes = a.left < b.right && b.left < a.right && a.near < b.far && b.near < a.far;
    match (&a.outline, &b.outline) {
        (None, None) => boxes,
        _ => boxes && polygon::overlap(&corners(a), &corners(b)),
    }
}

fn nearer(a: &Placed<'_>, b: &Placed<'_>, gap: i64) -> bool {
    if a.outline.is_some() || b.outline.is_some() {
        return polygon::nearer(&corners(a), &corners(b), gap);
    }
    let apart = |lo: i64, hi: i64| i128::from((lo).max(hi).max(0));
    let across = apart(a.left - b.right, b.left - a.right);
    let along = apart(a.near - b.far, b.near - a.far);
    across * across + along * along < i128::from(gap) * i128::from(gap)
}

/// The corners of a piece where it lies.
pub(super) fn corners(p: &Placed<'_>) -> Vec<Corner> {
    p.outline.clone().unwrap_or_else(|| {
        vec![(p.left, p.near), (p.right, p.near), (p.right, p.far), (p.left, p.far)]
    })
}
