//! A plan that stands: read from its file, and audited against the job folder as it is now.

use super::audit;
use super::exit::Failure;
use super::inputs::Job;
use super::solving::audited;
use crate::audit::Verified;
use crate::finding::Findings;
use crate::plan::Plan;
use std::path::Path;

/// The plan, the job as it sees it, and what has changed in the folder since; `so` says what does not
/// happen where the plan does not stand any longer.
///
/// # Errors
/// There is no such file, it is no plan, or it does not stand for the job as it is now.
pub(super) fn read(
    job: Job,
    path: &Path,
    so: &str,
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
    let plan = audited(made, &sheets, &job).map_err(|failed| {
        Failure::Refused(format!(
            "{} does not stand for this job, so {so}: make a new plan\n{failed}",
            path.display()
        ))
    })?;
    Ok((job, plan, changed))
}
