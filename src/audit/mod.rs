//! Re-checks a plan from the job alone. Only a plan that passed may be shown.
//!
//! The audit knows the order sheets ([`Wanted`]), made from the takeoff or a bare instance, and
//! the plan as it would be written to the file; it shares no method with the engine or with the
//! plan's assembly. Steps: a bare instance's choices ([`taken`]); the plan's own lists against the order sheets ([`lists`]); every roll
//! and pull in its place ([`rolls`]); every piece inside, turned as allowed, clear of its
//! neighbours ([`clear`], [`polygon`]); straight cutting within its stages ([`straight`]); the
//! listed cuts replayed ([`replay`]); offcuts and areas ([`left`]); values, bounds and statuses
//! ([`worth`]); bounds by their certificates, as far as that is quick ([`mod@bound`]); and for a job what is bought ([`order`]), the joints of every run ([`stagger`]) and of
//! covers round branches ([`covers`]), and the
//! order of cutting ([`sequence`]). Everything that is wrong is
//! listed, each in a sentence.

mod bound;
mod cheapest;
mod clear;
mod covers;
mod failure;
mod halves;
mod least;
mod left;
mod lines;
mod lists;
mod order;
mod polygon;
mod replay;
mod rolls;
mod sequence;
mod stagger;
mod straight;
mod taken;
mod usable;
mod wide;
mod worth;

pub use bound::{Ground, Verdict, Why, bounds};
pub use failure::{Failed, Failure, Failures, Rule, summed};
pub use stagger::{Courses, Record};

use crate::plan::{Plan, Wanted};
use std::ops::Deref;

/// Something that passed the audit. Only [`verify`] makes one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Verified<T>(T);

impl<T> Verified<T> {
    /// What was verified, which is then no longer vouched for.
    pub fn into_inner(self) -> T {
        self.0
    }
}

impl<T> Deref for Verified<T> {
    type Target = T;
    fn deref(&self) -> &T {
        &self.0
    }
}

/// Re-checks a plan against what is wanted, and for a job against the joints of its runs.
///
/// # Errors
/// Everything that is wrong with it, with the plan itself so that it can be saved.
pub fn verify(
    plan: Plan,
    wanted: &[Wanted],
    courses: Option<&Courses<'_>>,
) -> Result<Verified<Plan>, Box<Failed>> {
    let mut failures = Failures::default();
    taken::check(&plan, wanted, &mut failures);
    let settled: Vec<Wanted>;
    let wanted = if wanted.iter().all(|sheet| sheet.choices.is_empty()) {
        wanted
    } else {
        settled = wanted.iter().map(|sheet| sheet.clone().settled(&plan.taken)).collect();
        &settled
    };
    lists::check(&plan, wanted, &mut failures);
    if plan.nests.len() == wanted.len() {
        let made = rolls::check(&plan, wanted, &mut failures);
        left::check(&plan, wanted, &made, &mut failures);
        worth::check(&plan, wanted, &mut failures);
        let unchanged = courses.is_none_or(|courses| courses.unchanged);
        bound::check(&plan, wanted, unchanged, &mut failures);
    }
    order::check(&plan, courses, &mut failures);
    stagger::check(&plan, courses, &mut failures);
    covers::check(courses, &mut failures);
    sequence::check(&plan, wanted, courses, &mut failures);
    if failures.is_empty() { Ok(Verified(plan)) } else { Err(Box::new(Failed { plan, failures })) }
}
