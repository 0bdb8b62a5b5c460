//! A plan that stands: read from its file, and audited against the job folder as it is now.

use super::audit;
use super::exit::Failure;
use super::inputs::Job;
use super::solving::audited;
use crate::audit::{Failed, Verified};
use crate::finding::Findings;
use crate::plan::Plan;
use std::path::Path;

/// What to do about a plan of the folder's that does not stand any longer, and what does not happen.
pub(super) fn refused(path: &Path, so: &str, failed: &Failed) -> Failure {
    Failure::Refused(format!(
        "{} does not stand for this job, so {so}: make a new plan\n{failed}",
        path.display()
    ))
}

/// The plan, the job as it sees it, and what has changed in the folder since.
///
/// # Errors
/// There is no such file, it is no plan, or what `refused` makes of an audit that it does not pass.
pub(super) fn read(
    job: Job,
    path: &Path,
    refused: impl Fn(&Failed) -> Failure,
) -> Result<(Job, Verified<Plan>, Findings), Failure> {
    if !path.exists() {
        return Err(Failure::Usage(format!(
            "there is no plan {}: run `rollwright plan` on the job first, or name one with --plan",
            path.display(),
        )));
    }
    let (made, _) = audit::read(path)?;
    let changed = audit::changed(path, &made.inputs, &job.folder.inputs());
    let job = job.of_plan(&made);
    job.follow_plan(&made)?;
    let sheets = job.sheets();
    let plan = audited(made, &sheets, &job).map_err(|failed| refused(&failed))?;
    Ok((job, plan, changed))
}
