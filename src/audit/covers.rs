//! The joints of covers round branches: where their courses end, and staggered.
//!
//! Steps, for each layer of each cover: joints lie one behind another between the cover's ends, and the pieces of
//! each course reach from one to the next, no further than they are rounded up; then for each pair of neighbouring
//! layers: no joint lies nearer than the stagger to one of the layer beneath, but at the hole, where both may be
//! parted (the job's findings tell that). A layer that says why it cannot keep the stagger is let pass.
//!
//! A plan does not list these joints, as nothing about them is chosen: they are the job's own.

use super::stagger::{Courses, nearest};
use super::{Failures, Rule};
use crate::demand::CoverJoints;
use crate::units::Length;
use std::collections::BTreeMap;

/// How far a saddle's edge, which is laid out in short straight lines, may stay off its lowest point.
const EDGE: Length = Length::from_nm(250_000);

pub(super) fn check(courses: Option<&Courses<'_>>, failures: &mut Failures) {
    let Some(courses) = courses else { return };
    let layers: BTreeMap<_, &CoverJoints> =
        courses.covers.iter().map(|layer| (key(layer, layer.layer), layer)).collect();
    failures.unless(layers.len() == courses.covers.len(), Rule::Joints, || {
        "A layer of the job's covers is listed twice.".to_owned()
    });
    for layer in courses.covers {
        reach(layer, courses.step, failures);
        let beneath = layer.layer.checked_sub(1).and_then(|n| layers.get(&key(layer, n)));
        let Some(beneath) = beneath.filter(|_| layer.waived.is_none()) else { continue };
        let near = apart(beneath, layer).filter(|near| *near < courses.stagger);
        failures.unless(near.is_none(), Rule::Joints, || {
            format!(
                "{} come within {} mm of one of the layer beneath, less than the stagger of {} mm.",
                the(layer),
                near.unwrap_or_default(),
                courses.stagger
            )
        });
    }
}

/// The layer of this number of the same cover.
fn key(of: &CoverJoints, number: u32) -> (&str, &str, u32) {
    (&of.item, &of.cover, number)
}

fn the(layer: &CoverJoints) -> String {
    format!("Joints of the {} of item `{}`, layer {},", layer.cover, layer.item, layer.layer)
}

/// Courses reach from one joint to the next, the first from one end and the last to the other.
fn reach(layer: &CoverJoints, step: Length, failures: &mut Failures) {
    let [from, to] = layer.ends;
    let ends: Vec<Length> =
        [from].into_iter().chain(layer.joints.iter().copied()).chain([to]).collect();
    let reaches = |(ends, course): (&[Length], &Length)| {
        let wide = ends[1] - ends[0];
        wide.is_positive() && *course >= wide - EDGE && *course <= wide + step.max(EDGE)
    };
    let all = ends.windows(2).zip(&layer.courses).all(reaches);
    failures.unless(all && layer.courses.len() + 1 == ends.len(), Rule::Joints, || {
        format!("{} do not lie where its courses end.", the(layer))
    });
    let at_hole = layer.at_hole.is_none_or(|at| layer.joints.contains(&at));
    failures.unless(at_hole, Rule::Joints, || {
        format!("{} do not have the one that parts the hole among them.", the(layer))
    });
}

/// How near joints of two layers come, but for those at the hole where both have one.
fn apart(beneath: &CoverJoints, layer: &CoverJoints) -> Option<Length> {
    let (Some(one), Some(other)) = (beneath.at_hole, layer.at_hole) else {
        return nearest(&layer.joints, &beneath.joints);
    };
    let without = |joints: &[Length], hole: Length| -> Vec<Length> {
        joints.iter().copied().filter(|joint| *joint != hole).collect()
    };
    let pairs = [
        nearest(&without(&layer.joints, other), &beneath.joints),
        nearest(&layer.joints, &without(&beneath.joints, one)),
    ];
    pairs.into_iter().flatten().min()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demand::Datum;
    use crate::rules::Releases;

    fn layer(number: u32, joints: &[i64], at_hole: Option<i64>) -> CoverJoints {
        let ends = [0, 1000].map(Length::from_mm);
        let joints: Vec<Length> = joints.iter().map(|&mm| Length::from_mm(mm)).collect();
        let all = [&ends[..1], &joints, &ends[1..]].concat();
        CoverJoints {
            item: "T1".to_owned(),
            cover: "run cover".to_owned(),
            layer: number,
            datum: Datum::End,
            ends,
            courses: all.windows(2).map(|two| two[1] - two[0]).collect(),
            joints,
            at_hole: at_hole.map(Length::from_mm),
            under: Length::from_mm(100),
            waived: None,
        }
    }

    fn told(covers: &[CoverJoints]) -> String {
        let courses = Courses {
            joints: &[],
            covers,
            step: Length::from_mm(1),
            stagger: Length::from_mm(75),
            releases: Releases::Hard,
            order: None,
            chosen: None,
            record: None,
            further: (0, 0),
            unchanged: true,
            further_pieces: (0, 0),
        };
        let mut failures = Failures::default();
        check(Some(&courses), &mut failures);
        failures.iter().map(|one| one.sentence.clone()).collect::<Vec<_>>().join("\n")
    }

    /// By hand: 75 mm apart is enough, 74 is not; at the hole two layers may both be parted, beside it not.
    #[test]
    fn joints_of_neighbouring_layers_are_staggered_but_at_the_hole() {
        let whole = layer(2, &[], None);
        assert_eq!(told(&[layer(1, &[500], Some(500)), whole]), "");
        assert_eq!(told(&[layer(1, &[300, 500], Some(500)), layer(2, &[375], None)]), "");
        let near = told(&[layer(1, &[300, 500], Some(500)), layer(2, &[374], None)]);
        assert!(near.contains("layer 2, come within 74 mm"), "{near}");
        assert_eq!(told(&[layer(1, &[500], Some(500)), layer(2, &[510], Some(510))]), "");
        let both = [layer(1, &[300, 500], Some(500)), layer(2, &[500, 700], Some(500))];
        assert_eq!(told(&both), "");
        let beside = [layer(1, &[440, 500], Some(500)), layer(2, &[500], Some(500))];
        assert!(told(&beside).contains("within 60 mm"), "{}", told(&beside));
        // Two layers that are no neighbours, and one that says why it cannot.
        assert_eq!(told(&[layer(1, &[400], None), layer(3, &[400], None)]), "");
        let waived = CoverJoints {
            waived: Some("only 0 mm can be kept".to_owned()),
            ..layer(2, &[400], None)
        };
        assert_eq!(told(&[layer(1, &[400], None), waived]), "");
    }

    /// A half cover that comes 380 mm too wide, as one did when a joint had lost its sign, is told; so is one that is
    /// too narrow, or missing.
    #[test]
    fn pieces_reach_from_joint_to_joint() {
        for change in [-1, 2, 380] {
            let mut wrong = layer(1, &[300], None);
            wrong.courses[1] += Length::from_mm(change);
            assert!(told(&[wrong]).contains("do not lie where its courses end"), "{change}");
        }
        let mut rounded = layer(1, &[300], None);
        rounded.courses[1] += Length::from_mm(1);
        assert_eq!(told(&[rounded]), "");
        let mut fewer = layer(1, &[300], None);
        fewer.courses.pop();
        assert_ne!(told(&[fewer]), "");
        let mut beyond = layer(1, &[300], None);
        beyond.at_hole = Some(Length::from_mm(500));
        assert!(told(&[beyond]).contains("parts the hole"));
    }
}
