//! Where the courses of the run's cover of a branch meet, where it is wider than the rolls.
//!
//! Places are along the run from the branch's axis, positive towards the acute side. A layer has its seam
//! through the hole, and one course with all of the hole, or is parted at the hole, and has a course with half of it
//! on each side; what is left on either side are plain courses. Candidates are courses with the hole that are as
//! wide as the roll, or narrower by once, twice or three times the stagger, or as narrow as the hole lets them
//! be, with plain courses in few widths beside them. A dynamic programme over the layers picks one each: most of
//! the stagger kept, then fewest pieces, then the earlier candidate. Where that lacks some of the stagger, plain courses
//! are also searched that keep it from what lies beneath ([`super::super::courses::staggered`]).
//!
//! Two neighbouring layers that are both parted at the hole have that joint in common, which is told by itself; all
//! other joints are to keep the stagger all the same.

use super::super::courses::{Span, staggered};
use super::{Keep, nearest};
use crate::units::Length;
use std::collections::BTreeSet;

/// Of so many plans of the layer beneath those above are searched by.
const MOST_BENEATH: usize = 40;

/// Places of an edge of the course with the hole that are tried, from the widest course on.
const MOST_PLACES: usize = 6;

/// A layer of such a cover.
#[derive(Clone, Copy, Debug)]
pub struct Cover {
    /// From here to here.
    pub ends: [Length; 2],
    /// The hole, with the least blanket beside it: no joint lies in it but its own.
    pub hole: [Length; 2],
    /// Where the layer is parted, if it is parted at the hole.
    pub middle: Length,
    /// How wide a course may be.
    pub widest: Length,
    /// Whether it may have its seam through the hole, and whether it fits its rolls so in one piece; `None` where it
    /// must be parted.
    pub seamed: Option<bool>,
    /// Whether the half on the obtuse and on the acute side fit their rolls as they are.
    pub halves: [bool; 2],
}

/// How a layer is laid.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Plan {
    /// Parted at the hole.
    pub parted: bool,
    /// The joints on the obtuse side, from the end of the cover to the hole.
    pub before: Vec<Length>,
    /// The joints on the acute side, from the hole on.
    pub behind: Vec<Length>,
}

impl Plan {
    /// Whether there are plain courses.
    pub fn is_wide(&self) -> bool {
        !self.before.is_empty() || !self.behind.is_empty()
    }

    fn pieces(&self) -> usize {
        self.before.len() + self.behind.len() + 1 + usize::from(self.parted)
    }
}

/// A plan with its joints in order.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Way {
    plan: Plan,
    joints: Vec<Length>,
}

impl Way {
    fn new(plan: Plan, middle: Length) -> Self {
        let at_hole = plan.parted.then_some(&middle);
        let joints = plan.before.iter().chain(at_hole).chain(&plan.behind).copied().collect();
        Self { plan, joints }
    }

    /// Its joints but for that at the hole.
    fn beside(&self) -> Vec<Length> {
        self.plan.before.iter().chain(&self.plan.behind).copied().collect()
    }

    /// How near its joints come to those of a neighbouring layer, but for the one at the hole where both have it.
    fn nearest(&self, other: &Self) -> Option<Length> {
        if self.plan.parted && other.plan.parted {
            let pairs =
                [nearest(&self.beside(), &other.joints), nearest(&self.joints, &other.beside())];
            return pairs.into_iter().flatten().min();
        }
        nearest(&self.joints, &other.joints)
    }

    /// What the two lack of the stagger: at the hole where both are parted there, and elsewhere.
    fn lack(&self, other: &Self, stagger: Length) -> Length {
        let at_hole = if self.plan.parted && other.plan.parted { stagger } else { Length::ZERO };
        let near = self.nearest(other).unwrap_or(stagger);
        at_hole + (stagger - near).max(Length::ZERO)
    }
}

/// How all layers are laid.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Laid {
    /// Layer by layer.
    pub plans: Vec<Plan>,
    /// How near joints of neighbouring layers come where that is less than the stagger, but for one that two have in
    /// common at the hole.
    pub kept: Option<Length>,
}

/// Lays all layers; `None` where one cannot be.
pub fn lay(layers: &[Cover], keep: Keep) -> Option<Laid> {
    let mut all: Vec<Vec<Way>> = layers
        .iter()
        .map(|layer| {
            let ways = candidates(layer, keep).into_iter();
            ways.map(|plan| Way::new(plan, layer.middle)).collect()
        })
        .collect();
    let (mut picked, lack) = pick(&all, keep)?;
    if lack.is_positive() {
        for i in 1..layers.len() {
            let mut found: Vec<Way> = Vec::new();
            for below in all[i - 1].iter().take(MOST_BENEATH) {
                for plan in searched(&layers[i], keep, &below.joints) {
                    let way = Way::new(plan, layers[i].middle);
                    if !found.contains(&way) {
                        found.push(way);
                    }
                }
            }
            found.retain(|way| !all[i].contains(way));
            // What rests on them is looked for first.
            found.append(&mut all[i]);
            all[i] = found;
        }
        let (again, less) = pick(&all, keep)?;
        if less < lack {
            picked = again;
        }
    }
    let near = picked.windows(2).filter_map(|two| two[0].nearest(&two[1])).min();
    let kept = near.filter(|near| *near < keep.stagger);
    Some(Laid { plans: picked.into_iter().map(|way| way.plan).collect(), kept })
}

/// The best way for every layer, and what they lack of the stagger.
fn pick(all: &[Vec<Way>], keep: Keep) -> Option<(Vec<Way>, Length)> {
    // What each way and all beneath it come to, and which way lies beneath it.
    let mut stages: Vec<Vec<((Length, usize), usize)>> = Vec::new();
    for (i, ways) in all.iter().enumerate() {
        let paid = |way: &Way| {
            let Some(j) = i.checked_sub(1) else { return Some(((Length::ZERO, 0), 0)) };
            let beneath = stages[j].iter().zip(&all[j]).enumerate();
            let costs = beneath.map(|(from, (((lack, pieces), _), below))| {
                ((*lack + below.lack(way, keep.stagger), *pieces), from)
            });
            costs.min()
        };
        let stage: Option<Vec<_>> = ways
            .iter()
            .map(|way| {
                let ((lack, pieces), from) = paid(way)?;
                Some(((lack, pieces + way.plan.pieces()), from))
            })
            .collect();
        stages.push(stage?);
    }
    let last = stages.last()?;
    let mut at = (0..last.len()).min_by_key(|&k| (last[k].0, k))?;
    let lack = last[at].0.0;
    let mut picked = Vec::with_capacity(all.len());
    for (ways, stage) in all.iter().zip(&stages).rev() {
        picked.push(ways.get(at)?.clone());
        at = stage.get(at)?.1;
    }
    picked.reverse();
    Some((picked, lack))
}

/// Plans whose plain courses keep the stagger from the joints beneath, in as few courses as do for each place of the
/// course with the hole.
fn searched(layer: &Cover, keep: Keep, below: &[Length]) -> Vec<Plan> {
    let mut all = parted(layer, |side| clear_sides(layer, keep, side, layer.middle, below));
    if layer.seamed.is_some() {
        let [from, to] = layer.ends;
        let befores = [to, layer.hole[1]].into_iter();
        let befores = befores.flat_map(|other| clear_sides(layer, keep, 0, other, below));
        for before in std::iter::once(Vec::new()).chain(befores) {
            let start = before.last().copied().unwrap_or(from);
            if to - start <= layer.widest {
                let behind = Vec::new();
                all.push(Plan { parted: false, before: before.clone(), behind });
            }
            for behind in clear_sides(layer, keep, 1, start, below) {
                all.push(Plan { parted: false, before: before.clone(), behind });
            }
        }
    }
    all
}

/// The plans worth trying for a layer, those in as few pieces as can be first.
fn candidates(layer: &Cover, keep: Keep) -> Vec<Plan> {
    let mut all: Vec<Plan> = Vec::new();
    let whole = layer.seamed == Some(true);
    if whole {
        all.push(Plan { parted: false, before: Vec::new(), behind: Vec::new() });
    }
    all.extend(parted(layer, |side| sides(layer, keep, side, layer.middle)));
    if layer.seamed.is_some() {
        let [from, to] = layer.ends;
        let middle = Length::from_nm(i64::midpoint(layer.hole[0].nm(), layer.hole[1].nm()));
        let reach = Length::from_nm(layer.widest.nm() / 2);
        // All that is left goes to one side, or to both.
        let some = |side: usize, others: [Length; 3]| {
            let all = others.into_iter().flat_map(|other| sides(layer, keep, side, other));
            let mut seen = BTreeSet::from([Vec::new()]);
            let mut list = vec![Vec::new()];
            list.extend(all.filter(|joints| seen.insert(joints.clone())));
            list
        };
        let before = some(0, [to, middle + reach, layer.hole[1]]);
        let behind = some(1, [from, middle - reach, layer.hole[0]]);
        for before in &before {
            for behind in &behind {
                if whole && before.is_empty() && behind.is_empty() {
                    continue;
                }
                let start = before.last().copied().unwrap_or(from);
                let end = behind.first().copied().unwrap_or(to);
                if end - start <= layer.widest {
                    let (before, behind) = (before.clone(), behind.clone());
                    all.push(Plan { parted: false, before, behind });
                }
            }
        }
    }
    all
}

/// The plans parted at the hole: each half in one piece, or with plain courses beyond it, as `sides` has them.
fn parted(layer: &Cover, sides: impl Fn(usize) -> Vec<Vec<Length>>) -> Vec<Plan> {
    let half = |side: usize| {
        let whole = layer.halves[side].then(Vec::new);
        whole.into_iter().chain(sides(side)).collect::<Vec<Vec<Length>>>()
    };
    let acute = half(1);
    let with = |before: Vec<Length>| {
        let plan = |behind: &Vec<Length>| Plan {
            parted: true,
            before: before.clone(),
            behind: behind.clone(),
        };
        acute.iter().map(plan).collect::<Vec<Plan>>()
    };
    half(0).into_iter().flat_map(with).collect()
}

/// One side of the hole (0 obtuse, 1 acute), turned so that places grow away from it.
struct Facing {
    side: usize,
    /// The end of the cover.
    end: Length,
    /// Between these places, on the grid, the course with the hole may end.
    nearest: Length,
    furthest: Length,
}

impl Facing {
    /// Where the course with the hole reaches from `other` towards it.
    fn new(layer: &Cover, keep: Keep, side: usize, other: Length) -> Self {
        let turn = |x| turned(side, x);
        let end = turn(layer.ends[side]);
        let furthest = (turn(other) + layer.widest).min(end - keep.smallest);
        Self {
            side,
            end,
            nearest: turn(layer.hole[side]).round_up_to(keep.step),
            furthest: furthest.round_down_to(keep.step),
        }
    }

    /// Joints that grow away from the hole, as they lie along the run, from low to high.
    fn along_the_run(&self, joints: impl IntoIterator<Item = Length>) -> Vec<Length> {
        let mut joints: Vec<Length> = joints.into_iter().map(|x| turned(self.side, x)).collect();
        joints.sort_unstable();
        joints
    }
}

/// A place along the run as it is seen towards a side, or back.
fn turned(side: usize, x: Length) -> Length {
    if side == 0 { -x } else { x }
}

/// The joints on one side, where the course with the hole reaches from `other` towards it; from low to high.
fn sides(layer: &Cover, keep: Keep, side: usize, other: Length) -> Vec<Vec<Length>> {
    let facing = Facing::new(layer, keep, side, other);
    let shifts = if keep.stagger.is_positive() { 4 } else { 1 };
    let wide = (0..shifts).map(|k| facing.furthest - keep.pitch() * k);
    let places = facing.nearest..=facing.furthest;
    let first: Vec<Length> =
        wide.chain([facing.nearest]).filter(|place| places.contains(place)).collect();
    let mut all: Vec<Vec<Length>> = Vec::new();
    for x in first {
        for joints in beyond(x, facing.end, layer.widest, keep) {
            let joints = facing.along_the_run(joints);
            if !all.contains(&joints) {
                all.push(joints);
            }
        }
    }
    all
}

/// As [`sides`], with joints that keep the stagger from those beneath.
fn clear_sides(
    layer: &Cover,
    keep: Keep,
    side: usize,
    other: Length,
    below: &[Length],
) -> Vec<Vec<Length>> {
    let facing = Facing::new(layer, keep, side, other);
    let below: Vec<Length> = below.iter().map(|&x| turned(side, x)).collect();
    let beside = below.iter().flat_map(|&b| {
        [(b - keep.stagger).round_down_to(keep.step), (b + keep.stagger).round_up_to(keep.step)]
    });
    let clear = |x: &Length| {
        (facing.nearest..=facing.furthest).contains(x)
            && below.iter().all(|&b| (b - *x).abs() >= keep.stagger)
    };
    let places = [facing.furthest, facing.nearest].into_iter().chain(beside).filter(clear);
    let first: BTreeSet<Length> = places.collect();
    let rule = keep.rule(layer.widest);
    let from = |start: Length| {
        let joints = staggered(Span { start, end: facing.end }, rule, &below)?;
        Some(facing.along_the_run(std::iter::once(start).chain(joints)))
    };
    first.into_iter().rev().take(MOST_PLACES).filter_map(from).collect()
}

/// The joint at `x` and those of as few plain courses as reach from it to the end: full ones first, or full ones
/// last, or all alike.
fn beyond(x: Length, end: Length, widest: Length, keep: Keep) -> Vec<Vec<Length>> {
    let (left, wide) = ((end - x).nm(), widest.nm().max(1));
    let count = left.div_euclid(wide) + i64::from(left.rem_euclid(wide) > 0);
    let spare = Length::from_nm(count * wide - left);
    let at = |k: i64, shift: Length| x + widest * k - shift;
    let evenly = |k: i64| x + Length::from_nm(left / count * k).round_up_to(keep.step);
    let first: Vec<Length> = (0..count).map(|k| at(k, Length::ZERO)).collect();
    let last: Vec<Length> =
        (0..count).map(|k| if k == 0 { x } else { at(k, spare).round_up_to(keep.step) }).collect();
    let alike: Vec<Length> = (0..count).map(|k| if k == 0 { x } else { evenly(k) }).collect();
    let fits = |joints: &Vec<Length>| {
        let ends = joints.iter().skip(1).chain([&end]);
        joints.iter().zip(ends).all(|(a, b)| *b - *a <= widest && *b - *a >= keep.smallest)
    };
    [first, last, alike].into_iter().filter(fits).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn plans(layers: &[Cover], keep: Keep) -> Option<Vec<Plan>> {
        lay(layers, keep).map(|laid| laid.plans)
    }

    fn joints(plan: &Plan, middle: Length) -> Vec<Length> {
        Way::new(plan.clone(), middle).joints
    }

    fn mm(mm: i64) -> Length {
        Length::from_mm(mm)
    }

    const KEEP: Keep = Keep {
        smallest: Length::from_mm(100),
        stagger: Length::from_mm(75),
        step: Length::from_mm(1),
    };

    /// A tee of 1,400 mm with a hole of 200 on rolls of 1,000.
    fn tee(seamed: Option<bool>) -> Cover {
        Cover {
            ends: [mm(-700), mm(700)],
            hole: [mm(-125), mm(125)],
            middle: Length::ZERO,
            widest: mm(1000),
            seamed,
            halves: [true, true],
        }
    }

    fn plan(parted: bool, before: &[i64], behind: &[i64]) -> Plan {
        let of = |joints: &[i64]| joints.iter().map(|&x| mm(x)).collect();
        Plan { parted, before: of(before), behind: of(behind) }
    }

    /// Parted layers have two halves of 700. One whose seam is in the hole has 1,000 mm with it, from one end on, and a
    /// plain course of 400, whose joint is 300 from theirs.
    #[test]
    fn a_layer_wider_than_the_roll_has_a_plain_course_beside_the_hole() {
        let found = plans(&[tee(None), tee(Some(false)), tee(None)], KEEP).unwrap();
        let half = plan(true, &[], &[]);
        assert_eq!(found, [half.clone(), plan(false, &[], &[300]), half.clone()]);
        // What fits is left as it is, and a single layer is parted at the hole.
        let fits = Cover { widest: mm(1400), ..tee(Some(true)) };
        assert_eq!(plans(&[tee(None), fits], KEEP).unwrap(), [half.clone(), plan(false, &[], &[])]);
        assert_eq!(plans(&[tee(Some(false))], KEEP).unwrap(), [half]);
    }

    /// Halves wider than the roll: of 700 on 600 a course of 600 and one of 100; without room for either, none.
    #[test]
    fn halves_wider_than_the_roll_have_plain_courses() {
        let narrow = Cover { widest: mm(600), halves: [false, false], ..tee(None) };
        assert_eq!(plans(&[narrow], KEEP).unwrap(), [plan(true, &[-600], &[600])]);
        let two = plans(&[narrow, Cover { seamed: Some(false), ..narrow }], KEEP).unwrap();
        let near = nearest(&joints(&two[0], Length::ZERO), &joints(&two[1], Length::ZERO));
        assert!(near >= Some(mm(75)) && !two[1].parted, "{two:?}");
        let slit = Cover { widest: mm(120), halves: [false, false], ..tee(None) };
        assert_eq!(plans(&[slit], KEEP), None);
    }

    proptest! {
        /// All courses fit, none but one with the hole is smaller than the smallest piece, and no joint but the hole's
        /// own lies in it.
        #[test]
        fn courses_fit(
            ends in (150_i64..3000, 150_i64..3000),
            hole in (10_i64..120, 10_i64..120),
            widest in 300_i64..1200,
            count in 1_usize..5,
        ) {
            let layer = |i: usize| {
                let even = (count - 1 - i).is_multiple_of(2);
                let ends = [mm(-ends.0), mm(ends.1)];
                Cover {
                    ends,
                    hole: [mm(-hole.0), mm(hole.1)],
                    middle: mm(7),
                    widest: mm(widest),
                    seamed: even.then_some(ends[1] - ends[0] <= mm(widest)),
                    halves: [mm(7) - ends[0] <= mm(widest), ends[1] - mm(7) <= mm(widest)],
                }
            };
            let layers: Vec<Cover> = (0..count).map(layer).collect();
            let found = plans(&layers, KEEP);
            prop_assert!(found.is_some());
            for (layer, plan) in layers.iter().zip(found.unwrap()) {
                let joints = joints(&plan, layer.middle);
                prop_assert!(joints.is_sorted());
                let mut from = layer.ends[0];
                for to in joints.iter().copied().chain([layer.ends[1]]) {
                    let has_hole = from < layer.hole[1] && to > layer.hole[0];
                    prop_assert!(to - from <= layer.widest);
                    prop_assert!(has_hole || to - from >= KEEP.smallest);
                    from = to;
                }
                for joint in plan.before.iter().chain(&plan.behind) {
                    prop_assert!(*joint <= layer.hole[0] || *joint >= layer.hole[1]);
                }
            }
        }
    }
}
