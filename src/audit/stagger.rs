//! The joints of a job's runs: those of the job, at the ends of their courses, and staggered.
//!
//! Steps, for each layer of each run: courses have a width and their joints lie where one course
//! ends and the next begins; then for each pair of neighbouring layers: no circumferential joint
//! lies nearer than the stagger to one of the layer beneath, and no longitudinal seam, measured
//! as an arc on the surface between the two. A layer that says why it cannot keep the stagger is
//! let pass: the job's findings tell the same.

use super::{Failures, Rule};
use crate::cutting::Objective;
use crate::demand::{Choices, CoverJoints, RunJoints};
use crate::plan::{Choice, Figures, Ordered, Plan};
use crate::rules::Releases;
use crate::units::{Angle, Length, Money};
use std::collections::{BTreeMap, BTreeSet};

/// The joints that a job's runs must have, and the rule they must keep.
#[derive(Clone, Copy, Debug)]
pub struct Courses<'a> {
    /// Joints of every run and layer, made anew from the job.
    pub joints: &'a [RunJoints],
    /// Those of covers round branches, made anew from the job.
    pub covers: &'a [CoverJoints],
    /// What pieces are rounded up to.
    pub step: Length,
    /// Least distance between joints of neighbouring layers.
    pub stagger: Length,
    /// What an earlier release means for the order of cutting.
    pub releases: Releases,
    /// What is bought for the plan, made anew from the job and the rolls that the plan cuts; `None`
    /// where nobody asks.
    pub order: Option<&'a [Ordered]>,
    /// The runs among them whose courses are not as specified.
    pub chosen: Option<&'a Choices>,
    /// What the record of choices must say; `None` where nobody asks.
    pub record: Option<&'a Record>,
    /// How many joints more than specified these have, and how many more are allowed.
    pub further: (i128, i64),
    /// Whether the job's files are those from which the plan was made. Where they are not, a bound that does
    /// not hold for them makes no plan wrong.
    pub unchanged: bool,
    /// How many pieces more than specified builds, elbows, seams, windings and parts make, and how many more are
    /// allowed.
    pub further_pieces: (i128, i64),
}

/// What a plan's record of choices must say, made anew from the job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Record {
    /// Joints along the free runs, as specified.
    pub joints_specified: u64,
    /// All pieces, as specified.
    pub pieces_specified: u64,
    /// Joints along the free runs, as they are now.
    pub joints: u64,
    /// For each run whose joints are not as specified, how many more it has.
    pub runs: BTreeMap<(String, u32), i64>,
    /// For each of the plan's chosen things, in its order, how many pieces more it takes.
    pub things: Vec<i64>,
}

pub(super) fn check(plan: &Plan, courses: Option<&Courses<'_>>, failures: &mut Failures) {
    let wanted = courses.map_or(&[][..], |c| c.joints);
    failures.unless(plan.joints == wanted, Rule::Joints, || {
        "The plan lists other joints than the job's runs have.".to_owned()
    });
    let Some(courses) = courses else { return };
    recorded(plan, courses.chosen, failures);
    if let (Some(choice), Some(record)) = (&plan.choice, courses.record) {
        figures(choice, record, failures);
        specified(plan, &choice.specified, failures);
        least(plan, choice, failures);
        further_pieces(choice, record, failures);
    }
    let (further, most) = courses.further;
    failures.unless(further <= i128::from(most), Rule::Joints, || {
        format!(
            "The plan's runs have {further} joints more than specified; `choose.more_joints` allows {most}."
        )
    });
    let (further, most) = courses.further_pieces;
    failures.unless(further <= i128::from(most), Rule::Joints, || {
        format!(
            "The plan's items take {further} pieces more than specified; `choose.more_pieces` allows {most}."
        )
    });
    let mut layers: BTreeMap<(&str, u32, u32), &RunJoints> = BTreeMap::new();
    for layer in &plan.joints {
        let twin = layers.insert((&layer.item, layer.run, layer.layer), layer);
        failures
            .unless(twin.is_none(), Rule::Joints, || format!("{} are listed twice.", the(layer)));
        joints_follow(layer, failures);
    }
    for layer in &plan.joints {
        let beneath = layer.layer.checked_sub(1).map(|n| (layer.item.as_str(), layer.run, n));
        let Some(beneath) = beneath.and_then(|key| layers.get(&key)) else { continue };
        failures.unless(layer.under > beneath.under, Rule::Joints, || {
            format!("{} are not wider round than those of the layer beneath.", the(layer))
        });
        if layer.waived.is_none() {
            staggered(beneath, layer, courses.stagger, failures);
        }
    }
}

/// The plan's record of choices names the runs whose courses are not as specified, and no others.
fn recorded(plan: &Plan, chosen: Option<&Choices>, failures: &mut Failures) {
    let runs = plan.choice.iter().flat_map(|choice| &choice.runs);
    let mut told: Vec<(&str, u32)> = runs.map(|run| (run.item.as_str(), run.run)).collect();
    told.sort_unstable();
    let found = chosen.into_iter().flatten().map(|((item, run), _)| (item.as_str(), *run));
    failures.unless(found.eq(told), Rule::Joints, || {
        "The plan's record of chosen joints does not name the runs whose joints are not as \
         specified."
            .to_owned()
    });
}

/// The figures in the record of choices that the job tells.
fn figures(choice: &Choice, record: &Record, failures: &mut Failures) {
    let told = &choice.specified;
    let figures = [
        ("joints as specified", told.joints, record.joints_specified),
        ("pieces as specified", told.pieces, record.pieces_specified),
        ("joints as chosen", choice.joints, record.joints),
    ];
    for (what, told, is) in figures {
        failures.unless(told == is, Rule::Joints, || {
            format!("The plan's record of choices tells {told} {what}, where the job has {is}.")
        });
    }
    for run in &choice.runs {
        let is = record.runs.get(&(run.item.clone(), run.run)).copied();
        failures.unless(is.is_none_or(|is| is == run.joints), Rule::Joints, || {
            format!(
                "The plan's record of choices gives item `{}`, run {}, {} joints more than specified, \
                 and it has {}.",
                run.item,
                run.run,
                run.joints,
                is.unwrap_or(0)
            )
        });
    }
}

/// What the record tells of the plan as specified must agree with itself and with bounds that hold whatever is
/// chosen, as that plan is one of the choices.
fn specified(plan: &Plan, told: &Figures, failures: &mut Failures) {
    let by_rolls = plan.nests.first().is_some_and(|nest| nest.objective == Objective::Rolls);
    for (at, nest) in told.nests.iter().enumerate() {
        let twin = told.nests[..at].iter().any(|other| other.thickness == nest.thickness);
        let own = plan.nests.iter().find(|own| own.thickness == nest.thickness);
        let rolls = i64::try_from(nest.rolls).unwrap_or(i64::MAX).saturating_mul(1_000_000);
        let counts = !by_rolls || nest.value.millionths() == rolls;
        let holds = nest.bound <= nest.value
            && own.is_none_or(|own| own.bound <= nest.value)
            && nest.pieces <= nest.drawn
            && nest.price >= Money::ZERO
            && (nest.bought == 0 || nest.bought >= nest.rolls)
            && nest.thickness.is_none_or(Length::is_positive)
            && counts
            && !twin;
        failures.unless(holds, Rule::Joints, || {
            let which = nest.thickness.map_or_else(String::new, |t| format!("{t} mm, "));
            format!(
                "What the plan's record of choices tells of {which}as specified cannot be: value {}, bound {}, {} \
                 rolls.",
                nest.value, nest.bound, nest.rolls
            )
        });
    }
    let sum: i128 = told.nests.iter().map(|nest| i128::from(nest.value.millionths())).sum();
    failures.unless(sum >= i128::from(plan.bound.millionths()), Rule::Joints, || {
        format!(
            "The plan's record of choices tells less of all as specified than the bound {} that holds whatever is \
             chosen.",
            plan.bound
        )
    });
}

/// What is said to hold whatever is chosen where all stays as specified, which is one of the choices.
fn least(plan: &Plan, choice: &Choice, failures: &mut Failures) {
    let Some(least) = choice.least else { return };
    failures.unless(choice.is_empty() && least <= plan.value, Rule::Joints, || {
        format!(
            "The plan's record of choices says that less than {least} will not do, whatever is chosen, where all \
             as specified takes {}.",
            plan.value
        )
    });
}

fn further_pieces(choice: &Choice, record: &Record, failures: &mut Failures) {
    let mut items = BTreeSet::new();
    for item in choice.things.iter().flat_map(|thing| &thing.items).map(|chosen| &chosen.item) {
        failures.unless(items.insert(item), Rule::Joints, || {
            format!("The plan's record of choices tells twice how item `{item}` is made.")
        });
    }
    for (thing, &is) in choice.things.iter().zip(&record.things) {
        failures.unless(is == thing.pieces, Rule::Joints, || {
            let item = thing.items.first().map_or("", |chosen| &chosen.item);
            format!(
                "The plan's record of choices gives item `{item}` and what is chosen with it {} pieces more \
                 than specified, and they take {is}.",
                thing.pieces
            )
        });
    }
}

fn the(layer: &RunJoints) -> String {
    format!("Joints of item `{}`, run {}, layer {},", layer.item, layer.run, layer.layer)
}

/// Each joint lies where a course ends; the last course ends the layer.
fn joints_follow(layer: &RunJoints, failures: &mut Failures) {
    let mut at = layer.start.nm();
    let mut ends = Vec::with_capacity(layer.courses.len());
    let mut positive = !layer.courses.is_empty();
    for course in &layer.courses {
        positive &= course.is_positive();
        at = at.saturating_add(course.nm());
        ends.push(at);
    }
    ends.pop();
    failures.unless(positive, Rule::Joints, || {
        format!("{} belong to courses without width.", the(layer))
    });
    let same = ends.iter().copied().eq(layer.joints.iter().map(|j| j.nm()));
    failures
        .unless(same, Rule::Joints, || format!("{} do not lie where its courses end.", the(layer)));
    let turn = |a: &Angle| (0..FULL).contains(&a.microdegrees());
    failures.unless(!layer.seams.is_empty() && layer.seams.iter().all(turn), Rule::Joints, || {
        format!("{} name no seam, or one beyond a full turn.", the(layer))
    });
}

const FULL: i64 = 360_000_000;

fn staggered(beneath: &RunJoints, layer: &RunJoints, stagger: Length, failures: &mut Failures) {
    let near = nearest(&layer.joints, &beneath.joints).filter(|d| *d < stagger);
    failures.unless(near.is_none(), Rule::Joints, || {
        format!(
            "{} come within {} mm of one of the layer beneath, less than the stagger of {stagger} mm.",
            the(layer),
            near.unwrap_or_default()
        )
    });
    let pairs = layer.seams.iter().flat_map(|a| beneath.seams.iter().map(move |b| (a, b)));
    let least = pairs.map(|(a, b)| between(*a, *b)).min();
    let opposite = least == Some(FULL / 2);
    let wide = least.is_none_or(|turn| reaches(layer.under, turn, stagger));
    failures.unless(wide || opposite, Rule::Joints, || {
        format!("{} have a longitudinal seam nearer than the stagger to one beneath.", the(layer))
    });
}

/// How near joints come to others; `None` where there are none on either side.
pub(super) fn nearest(joints: &[Length], others: &[Length]) -> Option<Length> {
    let mut others = others.to_vec();
    others.sort_unstable();
    let near = |joint: &Length| {
        let behind = others.partition_point(|other| other < joint);
        let beside = [behind.checked_sub(1), Some(behind)];
        let beside = beside.into_iter().flatten().filter_map(|at| others.get(at));
        beside.map(|other| (*other - *joint).abs()).min()
    };
    joints.iter().filter_map(near).min()
}

/// The lesser angle between two seams, in microdegrees.
fn between(a: Angle, b: Angle) -> i64 {
    let turn = (a.microdegrees() - b.microdegrees()).rem_euclid(FULL);
    turn.min(FULL - turn)
}

/// Whether the arc of an angle on a diameter is at least `least`, to the nearest microdegree:
/// `pi x diameter x turn / 360`, with pi to fifteen decimals.
fn reaches(diameter: Length, turn: i64, least: Length) -> bool {
    const PI: i128 = 3_141_592_653_589_793;
    const ONE: i128 = 1_000_000_000_000_000;
    // Lengths are at most 10^15 nm and turns below 2 x 10^8, so the first product fits; the scale
    // goes to the other side in two steps.
    let arc = i128::from(diameter.nm().max(0)) * i128::from(turn + 1);
    let needed = i128::from(least.nm()) * i128::from(FULL);
    arc / 1_000_000 * PI >= needed / 1_000_000 * ONE
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::Style;
    use crate::plan::{Areas, Basis, Limits, Nest, NestFigures, Program, Status};
    use crate::units::Decimal;

    proptest::proptest! {
        /// Against the definition: every joint with every other.
        #[test]
        fn the_nearest_joint_is_found(
            joints in proptest::collection::vec(-50_i64..50, 0..20),
            others in proptest::collection::vec(-50_i64..50, 0..20),
        ) {
            let [joints, others] =
                [joints, others].map(|all| all.into_iter().map(Length::from_nm).collect::<Vec<_>>());
            let pairs = joints.iter().flat_map(|a| others.iter().map(move |b| (*a - *b).abs()));
            proptest::prop_assert_eq!(nearest(&joints, &others), pairs.min());
        }
    }

    /// By hand: of two thicknesses with bounds of 3 and 1 each is told by itself; 2 rolls of the first are too few,
    /// also where the second makes up for it in the sum.
    #[test]
    fn each_thickness_as_specified_is_no_less_than_its_bound() {
        let rolls = |count: i64| Decimal::from_millionths(count * 1_000_000);
        let of = |thickness: i64| Some(Length::from_mm(thickness));
        let nest = |(thickness, bound): (i64, i64)| Nest {
            thickness: of(thickness),
            objective: Objective::Rolls,
            style: Style::Straight,
            stages: Some(2),
            status: Status::Feasible,
            value: rolls(9),
            bound: rolls(bound),
            basis: Basis::Area,
            certificate: None,
            without_shelf: None,
            areas: Areas::default(),
        };
        let limits = Limits { work: 1, seconds: None };
        let program = Program { version: "0".to_owned(), seed: 1, limits };
        let mut plan = Plan::empty("test", program, Vec::new(), Vec::new());
        plan.nests = [(10, 3), (20, 1)].map(nest).to_vec();
        plan.bound = rolls(4);
        let told = |values: [u8; 2]| {
            let figures = [10, 20].into_iter().zip(values).map(|(thickness, value)| NestFigures {
                value: rolls(i64::from(value)),
                rolls: u64::from(value),
                ..NestFigures::nothing(of(thickness))
            });
            let told = Figures { nests: figures.collect(), joints: 0, pieces: 0, at_table: None };
            let mut failures = Failures::default();
            specified(&plan, &told, &mut failures);
            failures.is_empty()
        };
        assert!(told([3, 1]) && told([5, 2]));
        assert!(!told([2, 9]) && !told([9, 0]));
    }

    #[test]
    fn arcs_are_measured_on_the_surface_between() {
        // Half a turn on a diameter of 2 s / pi is exactly s (DOMAIN: impossible below
        // 47.7 mm for 75 mm): 47.746482927568603 mm x pi / 2 = 75 mm.
        let stagger = Length::from_mm(75);
        assert!(reaches(Length::from_nm(47_746_483), FULL / 2, stagger));
        assert!(!reaches(Length::from_nm(47_746_400), FULL / 2, stagger));
        // A quarter turn on 100 mm is 78.54 mm; on 95 mm 74.61 mm.
        assert!(reaches(Length::from_mm(100), FULL / 4, stagger));
        assert!(!reaches(Length::from_mm(95), FULL / 4, stagger));
        assert_eq!(between(Angle::from_degrees(350), Angle::from_degrees(20)), 30_000_000);
    }
}
