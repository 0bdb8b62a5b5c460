//! A plan that stands: read from its file, and audited against the job folder as it is now.

use super::exit::Failure;
use super::folder::AsRead;
use super::inputs::Job;
use super::solving::audited;
use super::{audit, folder, since};
use crate::audit::Verified;
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::plan::Plan;
use std::path::Path;

/// A plan that stands.
pub(super) struct Standing {
    /// The job as the plan sees it.
    pub job: Job,
    /// The plan.
    pub plan: Verified<Plan>,
    /// What has changed in the folder since it was made.
    pub changed: Findings,
    /// Its file, for what is written of it.
    pub file: AsRead,
}

/// Reads a plan that must stand; `so` says what does not happen where it does not any longer.
///
/// # Errors
/// There is no such file, it is no plan, or it does not stand for the job as it is now.
pub(super) fn read(job: Job, path: &Path, so: &str) -> Result<Standing, Failure> {
    if !folder::there(path) {
        return Err(Failure::Usage(format!(
            "there is no plan {}: run `rollwright plan` on the job first, or name one with --plan",
            path.display(),
        )));
    }
    let (made, bytes) = audit::read(path)?;
    let file = AsRead::new(path, &bytes);
    let mut changed = since::changed(path, &made, &job);
    changed.extend(since::unchecked_ground(path, &made));
    changed.extend(since::unfinished(path));
    let job = job.of_plan(&made);
    match checked(&job, made.clone()) {
        Ok(plan) => Ok(Standing { job, plan, changed, file }),
        Err(failures) => Err(since::refused((path, &made), (&job, &changed), so, &failures)),
    }
}

/// A plan that passed the audit against the job as the plan sees it.
///
/// # Errors
/// In sentences, all that is wrong with it.
pub(super) fn checked(job: &Job, made: Plan) -> Result<Verified<Plan>, Vec<String>> {
    since::follow(job, &made)?;
    since::same_rules(job, &made)?;
    since::same_releases(job, &made)?;
    audited(made, &job.sheets(), job).map_err(|failed| failed.sentences())
}

/// A plan whose choices the job takes over, whether or not all of it stands any longer.
pub(super) struct Followed {
    /// The plan, where it stands for all of the job as it is now.
    pub plan: Option<Verified<Plan>>,
    /// What has changed since it was made, and that it does not stand where it does not.
    pub told: Findings,
}

/// Reads a plan and takes what the nest chose for it into the job.
///
/// # Errors
/// The job does not allow it any longer, or there is no such plan.
pub(super) fn followed(job: &Job, path: &Path, so: &str) -> Result<Followed, Failure> {
    let (made, _) = audit::read(path)?;
    let mut told = since::changed(path, &made, job);
    since::follow(job, &made)
        .map_err(|failures| since::refused((path, &made), (job, &told), so, &failures))?;
    let plan = checked(job, made).ok();
    if plan.is_none() {
        told.push(Finding::new(
            &codes::CHOICES_ALONE,
            Place::file(path.display().to_string()),
            "it does not stand for the job as it is now, so nothing but what the nest chose is taken of it",
            "make a new plan of this job, or name the plan that was made of it",
        ));
    }
    Ok(Followed { plan, told })
}
