//! Where the courses of a branch's or a bonnet's cover meet that is higher than the rolls are wide.
//!
//! The lowest course has the saddle and ends above its highest point, all above it are plain rings. Heights
//! are from the run's axis, for all layers alike. The lowest courses of neighbouring layers end a stagger
//! apart, in one of four ways: each layer's lower than that beneath it, each higher, or both in turn; as
//! high as the rolls allow. What is above is a run of its own ([`super::super::courses`]). Of the ways that keep
//! the stagger the one with fewest courses is taken, of like ones the first; where none keeps it, the one that keeps
//! most of it.

use super::super::courses::{CourseRule, Laid, Span, lay};
use super::{Keep, nearest};
use crate::units::Length;

/// A layer of such a cover.
#[derive(Clone, Copy, Debug)]
pub struct Sleeve {
    /// The saddle's lowest point.
    pub low: Length,
    /// The least height at which the lowest course may end.
    pub free: Length,
    /// The top.
    pub top: Length,
    /// How wide a course may be.
    pub widest: Length,
}

/// Where courses meet, layer by layer.
#[derive(Debug, PartialEq, Eq)]
pub struct Courses {
    /// The heights of each layer's joints, from below; none where it is in one piece.
    pub joints: Vec<Vec<Length>>,
    /// How near joints of neighbouring layers come where that is less than the stagger.
    pub kept: Option<Length>,
}

/// Lays all layers; `None` where a lowest course would be wider than its rolls.
pub fn courses(layers: &[Sleeve], keep: Keep) -> Option<Courses> {
    let step = keep.step.max(Length::from_nm(1));
    let apart = |steps: i64| ways(layers, keep, step * steps);
    // Where the saddles leave no room for the stagger, lowest courses end as far apart as they leave.
    let mut most = keep.pitch().nm() / step.nm();
    let mut best = apart(most);
    if best.is_none() {
        let mut least = 0;
        best = Some(apart(least)?);
        while most - least > 1 {
            let middle = i64::midpoint(least, most);
            match apart(middle) {
                Some(found) => (least, best) = (middle, Some(found)),
                None => most = middle,
            }
        }
    }
    best.map(|(kept, joints)| Courses { joints, kept: (kept < keep.stagger).then_some(kept) })
}

/// The best way with lowest courses that end so much apart: how much of the stagger is kept, and the joints.
fn ways(layers: &[Sleeve], keep: Keep, pitch: Length) -> Option<(Length, Vec<Vec<Length>>)> {
    let count = i64::try_from(layers.len()).ok()?;
    let ways: [&dyn Fn(i64) -> i64; 4] = [&|i| i, &|i| count - 1 - i, &|i| i % 2, &|i| (i + 1) % 2];
    let laid = ways.into_iter().filter_map(|lower| {
        let lower = |i: usize| pitch * i64::try_from(i).map_or(0, lower);
        let joints = stepped(layers, keep, &lower)?;
        let near = joints.windows(2).filter_map(|pair| nearest(&pair[0], &pair[1])).min();
        Some((near.map_or(keep.stagger, |near| near.min(keep.stagger)), joints))
    });
    let number = |joints: &[Vec<Length>]| joints.iter().map(Vec::len).sum::<usize>();
    laid.min_by_key(|(kept, joints)| (keep.stagger - *kept, number(joints)))
}

/// The joints where each layer's lowest course ends by so much `lower` than the highest could; `None` where one
/// would end in its saddle.
fn stepped(
    layers: &[Sleeve],
    keep: Keep,
    lower: &dyn Fn(usize) -> Length,
) -> Option<Vec<Vec<Length>>> {
    let parted = |layer: &Sleeve| layer.top - layer.low > layer.widest;
    let end = |(i, layer): (usize, &Sleeve)| {
        (layer.low + layer.widest).min(layer.top - keep.smallest) + lower(i)
    };
    let highest = layers.iter().enumerate().filter(|(_, layer)| parted(layer)).map(end).min()?;
    let mut spans: Vec<(Span, CourseRule)> = Vec::new();
    for (i, layer) in layers.iter().enumerate().filter(|(_, layer)| parted(layer)) {
        let start = (highest - lower(i)).round_down_to(keep.step);
        if start < layer.free {
            return None;
        }
        spans.push((Span { start, end: layer.top }, keep.rule(layer.widest)));
    }
    let mut above = lay(&spans).into_iter();
    let mut joints = Vec::with_capacity(layers.len());
    for layer in layers {
        joints.push(match parted(layer).then(|| above.next()).flatten() {
            Some(Laid { span, joints, .. }) => std::iter::once(span.start).chain(joints).collect(),
            None => Vec::new(),
        });
    }
    Some(joints)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn mm(mm: i64) -> Length {
        Length::from_mm(mm)
    }

    fn keep(stagger: i64) -> Keep {
        Keep { smallest: mm(100), stagger: mm(stagger), step: mm(1) }
    }

    fn sleeve(low: i64, free: i64, top: i64, widest: i64) -> Sleeve {
        Sleeve { low: mm(low), free: mm(free), top: mm(top), widest: mm(widest) }
    }

    /// By hand: a saddle from 100 to 200 mm on rolls of 600, top at 1,450. The lowest course ends at 700; what is
    /// left, 750, is a course of 600 and one of 150. The second layer's ends 75 lower, and leaves 825: the first's
    /// joint at 1,300 is 75 from none at 1,225, so 600 and 225 do.
    #[test]
    fn two_layers_by_hand() {
        let layer = sleeve(100, 200, 1450, 600);
        let one = courses(&[layer], keep(75)).unwrap();
        assert_eq!(one, Courses { joints: vec![vec![mm(700), mm(1300)]], kept: None });
        let two = courses(&[layer, layer], keep(75)).unwrap();
        let joints = vec![vec![mm(700), mm(1300)], vec![mm(625), mm(1225)]];
        assert_eq!(two, Courses { joints, kept: None });
        // What fits is not parted, and nor is the rest smaller than the smallest piece.
        let low = courses(&[sleeve(100, 200, 700, 600), layer], keep(75)).unwrap();
        assert_eq!(low.joints, [vec![], vec![mm(700), mm(1300)]]);
        let barely = courses(&[sleeve(100, 200, 720, 600)], keep(75)).unwrap();
        assert_eq!(barely.joints, [vec![mm(620)]]);
        // A saddle that is higher than the roll is wide.
        assert_eq!(courses(&[sleeve(100, 701, 1450, 600)], keep(75)), None);
    }

    /// A saddle that leaves 60 mm of the roll: two layers cannot end 75 mm apart, 60 they can, and that is told;
    /// without a stagger they end at one height.
    #[test]
    fn a_low_roll_keeps_what_it_can_of_the_stagger() {
        let layer = sleeve(0, 540, 1000, 600);
        let ends = |stagger: i64| {
            let found = courses(&[layer, layer], keep(stagger)).unwrap();
            (found.joints.iter().map(|j| j[0]).collect::<Vec<_>>(), found.kept)
        };
        assert_eq!(ends(75), (vec![mm(600), mm(540)], Some(mm(60))));
        assert_eq!(ends(60), (vec![mm(600), mm(540)], None));
        assert_eq!(ends(0), (vec![mm(600), mm(600)], None));
    }

    /// A stagger that is no multiple of the step is kept all the same: lowest courses end at the next multiple apart.
    #[test]
    fn a_stagger_between_two_steps_is_kept() {
        let keep = Keep { step: mm(10), ..keep(75) };
        let layer = sleeve(100, 200, 1455, 600);
        let found = courses(&[layer, layer, layer], keep).unwrap();
        assert_eq!(found.kept, None, "{found:?}");
    }

    proptest! {
        /// Every course fits its roll and is no smaller than the smallest piece, the lowest ends above its
        /// saddle, and what is said of the stagger is true.
        #[test]
        fn courses_keep_what_they_say(
            low in 0_i64..300,
            rise in 0_i64..300,
            heights in proptest::collection::vec(0_i64..3000, 1..6),
            widths in proptest::collection::vec(500_i64..1200, 5),
        ) {
            let layers: Vec<Sleeve> = heights
                .iter()
                .zip(&widths)
                .map(|(h, w)| sleeve(low, low + rise + 25, low + rise + 25 + h, *w))
                .collect();
            let keep = keep(75);
            let Some(found) = courses(&layers, keep) else {
                return Ok(());
            };
            let mut nearest = Length::LIMIT;
            for (i, (layer, joints)) in layers.iter().zip(&found.joints).enumerate() {
                prop_assert_eq!(joints.is_empty(), layer.top - layer.low <= layer.widest);
                if let Some(first) = joints.first() {
                    prop_assert!(*first >= layer.free);
                }
                let mut from = layer.low;
                for (c, to) in joints.iter().chain([&layer.top]).enumerate() {
                    prop_assert!(*to - from <= layer.widest);
                    prop_assert!(c == 0 || *to - from >= keep.smallest);
                    from = *to;
                }
                for joint in joints {
                    let beneath = i.checked_sub(1).map_or(&[][..], |j| &found.joints[j]);
                    nearest = beneath.iter().map(|b| (*b - *joint).abs()).fold(nearest, Length::min);
                }
            }
            prop_assert_eq!(found.kept, (nearest < keep.stagger).then_some(nearest));
        }
    }
}
