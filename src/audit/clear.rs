//! Pieces do not overlap and keep the gap.
//!
//! Steps: sweep along the roll by the pieces' near edges. Open are those whose far edge (and the gap) is
//! not yet passed, in order of their left edges, those between a power of two and the next wide by
//! themselves: of pieces about as wide that lie clear of each other only two or three begin so near to a
//! newcomer that they can reach it. The newcomer is compared with those that are near it across the
//! roll as well: rectangles by their sides, outlines exactly. For `n` pieces that takes `n log n`
//! steps, and one for each pair whose boxes are nearer than the gap.

use super::polygon::{self, Corner};
use super::rolls::Placed;
use super::{Failures, Rule};
use std::collections::{BTreeMap, BTreeSet};

/// Checks the pieces of one roll; `gap` in nanometres.
pub(super) fn check(roll: &str, placed: &[Placed<'_>], gap: i64, failures: &mut Failures) {
    let mut found = 0;
    each_near_pair(placed, gap, |old, new| {
        let (old, new) = (&placed[old], &placed[new]);
        let what = if overlap(old, new) {
            "overlap"
        } else if gap > 0 && nearer(old, new, gap) {
            "are nearer to each other than the gap"
        } else {
            return true;
        };
        found += 1;
        if found > MOST {
            let more = format!("On roll `{roll}` more pieces overlap, or are nearer than the gap.");
            failures.add(Rule::Clear, more);
            return false;
        }
        failures.add(Rule::Clear, format!("{} {what}.", both(roll, old, new)));
        true
    });
}

/// Of one roll so many pairs are told: `n` pieces at one place are n squared.
const MOST: usize = 100;

/// Goes through pairs of pieces whose boxes, widened by the gap, overlap, until `go_on` says no; the one that begins first
/// stands first.
pub(super) fn each_near_pair(
    placed: &[Placed<'_>],
    gap: i64,
    mut go_on: impl FnMut(usize, usize) -> bool,
) {
    let mut order: Vec<usize> = (0..placed.len()).collect();
    order.sort_by_key(|&at| (placed[at].near, placed[at].left));
    let mut open = Open { gap, ..Open::default() };
    for new in order {
        open.close(placed, placed[new].near);
        if !open.beside(placed, new).all(|old| go_on(old, new)) {
            return;
        }
        open.add(placed, new);
    }
}

/// The open pieces, by their numbers.
#[derive(Default)]
struct Open {
    gap: i64,
    /// By how many binary digits their width has, then by left edge.
    by_left: BTreeMap<u32, BTreeSet<(i64, usize)>>,
    /// By far edge.
    by_far: BTreeSet<(i64, usize)>,
}

impl Open {
    fn add(&mut self, placed: &[Placed<'_>], at: usize) {
        let piece = &placed[at];
        self.by_left.entry(digits(piece)).or_default().insert((piece.left, at));
        self.by_far.insert((piece.far, at));
    }

    /// Takes away the pieces that are passed at `near`.
    fn close(&mut self, placed: &[Placed<'_>], near: i64) {
        while let Some(&(far, at)) = self.by_far.first() {
            if far.saturating_add(self.gap) > near {
                return;
            }
            self.by_far.pop_first();
            let piece = &placed[at];
            if let Some(like) = self.by_left.get_mut(&digits(piece)) {
                like.remove(&(piece.left, at));
            }
        }
    }

    /// The open pieces that are near a new one across the roll.
    fn beside(&self, placed: &[Placed<'_>], new: usize) -> impl Iterator<Item = usize> {
        let (left, right) = (placed[new].left, placed[new].right);
        let far_right = right.saturating_add(self.gap);
        self.by_left.iter().flat_map(move |(&digits, like)| {
            let widest = 1_i64.checked_shl(digits).filter(|w| *w > 0).unwrap_or(i64::MAX);
            let from = left.saturating_sub(self.gap).saturating_sub(widest);
            let begun = like.range((from, 0)..).take_while(move |(old, _)| *old < far_right);
            let reaches = move |at: &usize| placed[*at].right.saturating_add(self.gap) > left;
            begun.map(|&(_, at)| at).filter(reaches)
        })
    }
}

/// How many binary digits a piece's width has.
fn digits(piece: &Placed<'_>) -> u32 {
    i64::BITS - piece.right.saturating_sub(piece.left).max(0).leading_zeros()
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

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn piece((left, near, width, length): (i64, i64, i64, i64)) -> Placed<'static> {
        let (right, far) = (left + width, near + length);
        Placed { code: "p", left, right, near, far, outline: None }
    }

    fn near_pairs(placed: &[Placed<'_>], gap: i64) -> Vec<(usize, usize)> {
        let mut pairs = Vec::new();
        each_near_pair(placed, gap, |old, new| {
            pairs.push((old, new));
            true
        });
        pairs
    }

    /// A thousand pieces at one place are half a million pairs, of which a hundred are told.
    #[test]
    fn of_many_overlaps_the_first_are_told() {
        let placed: Vec<Placed<'_>> = (0..1000).map(|_| piece((0, 0, 10, 10))).collect();
        let mut failures = Failures::default();
        check("R", &placed, 0, &mut failures);
        let told: Vec<String> = failures.iter().map(|failure| failure.sentence.clone()).collect();
        assert_eq!(told.len(), MOST + 1);
        assert!(
            told[0].ends_with(" overlap.") && told[MOST].contains("more pieces overlap"),
            "{told:?}"
        );
    }

    /// Every pair looked at, straight from the definition.
    fn all_pairs(placed: &[Placed<'_>], gap: i64) -> BTreeSet<(usize, usize)> {
        let within =
            |from: i64, to: i64, other: i64, end: i64| from < end + gap && other < to + gap;
        let near = |a: &Placed<'_>, b: &Placed<'_>| {
            within(a.left, a.right, b.left, b.right) && within(a.near, a.far, b.near, b.far)
        };
        let pairs = (0..placed.len()).flat_map(|a| (0..a).map(move |b| (b, a)));
        pairs.filter(|&(a, b)| near(&placed[a], &placed[b])).collect()
    }

    proptest! {
        #[test]
        fn the_sweep_meets_every_pair_that_is_near(
            sizes in prop::collection::vec((0..60_i64, 0..60_i64, 1..40_i64, 1..40_i64), 0..40),
            gap in 0..4_i64,
        ) {
            let placed: Vec<Placed<'_>> = sizes.into_iter().map(piece).collect();
            let found = near_pairs(&placed, gap);
            let pairs: BTreeSet<(usize, usize)> =
                found.iter().map(|&(a, b)| (a.min(b), a.max(b))).collect();
            prop_assert_eq!(found.len(), pairs.len());
            prop_assert_eq!(pairs, all_pairs(&placed, gap));
        }
    }

    /// By hand: corners 6 mm apart each way are 8.49 mm apart, 6 and 8 mm are 10, and sides 9 mm apart are 9.
    #[test]
    fn gaps_are_kept_from_corner_to_corner() {
        for (across, along, gap, clear) in [
            (6, 6, 8, true),
            (6, 6, 9, false),
            (6, 6, 10, false),
            (6, 8, 10, true),
            (8, 6, 11, false),
            (9, 0, 9, true),
            (9, -5, 10, false),
            (-5, 9, 10, false),
        ] {
            let pair = [piece((0, 0, 20, 30)), piece((20 + across, 30 + along, 7, 7))];
            let mut failures = Failures::default();
            check("R", &pair, gap, &mut failures);
            assert_eq!(failures.is_empty(), clear, "{across} {along} {gap}");
        }
    }

    #[test]
    fn many_pieces_side_by_side_are_swept_at_once() {
        // By construction: a wide piece and 100,000 narrow ones beside it, all open at once. Compared
        // each with each that would be five thousand million pairs.
        let wide = piece((0, 0, 100_000, 9));
        let narrow = (0..100_000).map(|at| piece((100_000 + 2 * at, at % 2, 2, 7)));
        let placed: Vec<Placed<'_>> = std::iter::once(wide).chain(narrow).collect();
        assert_eq!(near_pairs(&placed, 0), []);
        // With a gap of a nanometre each has two neighbours.
        assert_eq!(near_pairs(&placed, 1).len(), 100_000);
    }
}
