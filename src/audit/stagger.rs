//! The joints of a job's runs.

use super::{Failures, Rule};
use crate::demand::RunJoints;
use crate::plan::Plan;

/// The joints that a job's runs must have.
#[derive(Clone, Copy, Debug)]
pub struct Courses<'a> {
    /// Joints of every run and layer, made anew from the job.
    pub joints: &'a [RunJoints],
}

pub(super) fn check(plan: &Plan, courses: Option<&Courses<'_>>, failures: &mut Failures) {
    let wanted = courses.map_or(&[][..], |c| c.joints);
    failures.unless(plan.joints == wanted, Rule::Joints, || {
        "The plan lists other joints than the job's runs have.".to_owned()
    });
}
