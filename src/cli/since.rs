//! What has changed since a plan was made, and what of the plan does not hold for that: the cause first,
//! then its consequences, like ones counted.

use super::exit::Failure;
use super::folder;
use super::going_on;
use super::inputs::Job;
use crate::audit::summed;
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::plan::Plan;
use crate::report::visible;
use std::fmt::Write as _;
use std::path::Path;

/// Of consequences that are alike so many are told one by one where the cause is known, and where not.
const TOLD: [usize; 2] = [1, 3];

/// Inputs that are not those from which a plan was made, and the program where it is of another version; of
/// the rules, which have another value. A file of rules that only says the same in other words has not changed.
pub(super) fn changed(path: &Path, plan: &Plan, job: &Job) -> Findings {
    let mut findings = Findings::new();
    findings.extend(inputs_changed(plan, job).into_iter().map(|what| {
        Finding::new(
            &codes::CHANGED_SINCE,
            Place::file(path.display().to_string()),
            what,
            "make a new plan, unless the change is known to be of no consequence",
        )
    }));
    findings.extend(other_version(path, plan, job));
    findings
}

/// Whether a plan was made from the inputs as they are now: what it says of them holds then, or is false.
pub(super) fn unchanged(plan: &Plan, job: &Job) -> bool {
    inputs_changed(plan, job).is_empty()
}

/// In words, what of the inputs has changed since a plan was made.
fn inputs_changed(plan: &Plan, job: &Job) -> Vec<String> {
    let mut list = Vec::new();
    let (then, now) = (&plan.inputs, job.folder.inputs());
    let mut files: Vec<&str> = then.iter().chain(&now).map(|input| input.file.as_str()).collect();
    files.sort_unstable();
    files.dedup();
    for file in files {
        let [before, after] = [then, &now].map(|list| list.iter().find(|input| input.file == file));
        if before.map(|input| &input.sha256) == after.map(|input| &input.sha256) {
            continue;
        }
        let name = visible(file);
        let mut what = match (before, after) {
            (None, _) => format!("{name} was not there when the plan was made"),
            (_, None) => format!("{name} was there when the plan was made, and is not any more"),
            _ => format!("{name} is not the one from which the plan was made"),
        };
        if file == super::job::RULES && !plan.rules.is_empty() {
            let differ = job.rules.differences(&plan.rules);
            if differ.is_empty() {
                continue;
            }
            let one = |(name, now, then): &(String, String, String)| {
                format!("{name} is {now} and was {then}")
            };
            let list: Vec<String> = differ.iter().map(one).collect();
            let _ = write!(what, ": {}", list.join(", "));
        }
        list.push(what);
    }
    list
}

/// What is told where another version of the program made a plan. Rules that only one of them knows are not
/// compared, so that it is said how many there are.
fn other_version(path: &Path, plan: &Plan, job: &Job) -> Option<Finding> {
    let this = env!("CARGO_PKG_VERSION");
    if plan.program.version == this {
        return None;
    }
    let made = visible(&plan.program.version);
    let mut what = format!("version {made} of this program made it, and this is {this}");
    let unnamed = job.written.keys().filter(|name| !plan.rules.contains_key(*name)).count();
    if unnamed > 0 {
        let rules = if unnamed == 1 { "rule" } else { "rules" };
        let _ = write!(what, "; {unnamed} {rules} that there are now it does not name");
    }
    Some(Finding::new(
        &codes::OTHER_VERSION,
        Place::file(path.display().to_string()),
        what,
        "make a new plan, unless that version is known to do the same",
    ))
}

/// What is told where a run was ended between two files of the folder of a plan.
pub(super) fn unfinished(path: &Path) -> Option<Finding> {
    folder::is_unfinished(folder::of(path)).then(|| {
        Finding::new(
            &codes::UNFINISHED,
            Place::file(path.display().to_string()),
            "a run was ended while it wrote into this folder, so reports beside the plan may be of another one",
            "run the command that wrote it, `rollwright plan` or `stages`, again before anything is ordered or cut by them",
        )
    })
}

/// What is told where a plan goes on from another, and nobody named that.
pub(super) fn unchecked_ground(path: &Path, plan: &Plan) -> Option<Finding> {
    plan.already.as_ref()?;
    Some(Finding::new(
        &codes::GROUND_UNCHECKED,
        Place::file(path.display().to_string()),
        "it goes on from an earlier plan, and what is cut, on hand and bought since was not checked \
         against that",
        "run `rollwright audit` on it with --from and --done before rolls are ordered or cut",
    ))
}

/// A plan names the rules of the folder. Where their file has changed since, a warning tells the rules that
/// differ, and the audit goes by those of now: what the plan breaks of them is told one by one, and a rule
/// that matters to none of it makes no plan wrong. Where the file is the same, the plan names other rules
/// than it was made under.
///
/// # Errors
/// In sentences, the rules that it names wrongly.
pub(super) fn same_rules(job: &Job, plan: &Plan) -> Result<(), Vec<String>> {
    let now = job.folder.inputs();
    let [then, now] = [&plan.inputs, &now].map(|list| {
        list.iter().find(|input| input.file == super::job::RULES).map(|input| &input.sha256)
    });
    if then != now {
        return Ok(());
    }
    let mut wrong: Vec<String> = job
        .rules
        .differences(&plan.rules)
        .into_iter()
        .map(|(name, is, told)| {
            format!("The plan names the rule `{name}` as {told}, where the job has {is}.")
        })
        .collect();
    let this = plan.program.version == env!("CARGO_PKG_VERSION");
    if this && wrong.is_empty() && !plan.rules.keys().eq(job.written.keys()) {
        wrong.push("The plan does not name the rules that there are.".to_owned());
    }
    if wrong.is_empty() { Ok(()) } else { Err(wrong) }
}

/// A plan for a part of the releases names the last of them, and leaves some out.
///
/// # Errors
/// In a sentence, where it names another.
pub(super) fn same_releases(job: &Job, plan: &Plan) -> Result<(), Vec<String>> {
    if job.up_to == plan.up_to {
        return Ok(());
    }
    let told =
        plan.up_to.map_or_else(|| "all releases".to_owned(), |r| format!("releases up to {r}"));
    let is = match job.up_to {
        Some(last) => format!("the last of them is {last}"),
        None => "none is later".to_owned(),
    };
    Err(vec![format!("The plan is for {told}, and {is}.")])
}

/// Takes what the nest chose for a plan, where the job still allows it.
///
/// # Errors
/// In sentences, why it does not.
pub(super) fn follow(job: &Job, plan: &Plan) -> Result<(), Vec<String>> {
    job.follow_plan(plan).map_err(|failure| match failure {
        Failure::Findings(findings) => {
            findings.iter().map(|found| format!("{}: {}.", found.place, found.what)).collect()
        }
        other => vec![other.to_string()],
    })
}

/// Why a plan may not stand: what has changed since it was made, and which items want other pieces for
/// that. Whether anything has changed, and the words.
fn causes(plan: &Plan, (job, ground): (&Job, bool), changed: &Findings) -> (bool, String) {
    let causes: Vec<String> = changed.iter().map(|found| found.what.clone()).collect();
    if causes.is_empty() {
        let or = if ground {
            ", or --from and --done name other files than it was made with"
        } else {
            ""
        };
        let text = format!(
            "The job's files are those from which it was made, so the plan file itself was changed{or}.\n"
        );
        return (false, text);
    }
    let mut text = "Changed since the plan was made:\n".to_owned();
    // What the plan chose, as far as it stands, is no other piece.
    let mut as_chosen = job.whole();
    as_chosen.keep_chosen(&mut job.chosen_by(plan));
    for cause in causes.into_iter().chain(going_on::changed(plan, &as_chosen)) {
        let _ = writeln!(text, "  {}", visible(&cause));
    }
    (true, text)
}

/// A plan does not stand: what has changed, then what does not hold, like sentences counted. `ground` where what was
/// cut before is another than the plan has; of what does not hold `most` is told where the cause is known and that is much.
pub(super) fn told(
    plan: &Plan,
    (job, ground): (&Job, bool),
    changed: &Findings,
    (failures, most): (&[String], usize),
) -> String {
    let (known, mut text) = causes(plan, (job, ground), changed);
    text.push_str(if known { "What does not hold for that:\n" } else { "What does not hold:\n" });
    let sentences = summed(failures, TOLD[usize::from(!known)]);
    // A few more are not worth a sentence of their own.
    let shown = if known && sentences.len() / 2 > most { most } else { sentences.len() };
    for sentence in &sentences[..shown] {
        let _ = writeln!(text, "  {}", visible(sentence));
    }
    if shown < sentences.len() {
        let more = sentences.len() - shown;
        let _ = writeln!(text, "  and {more} sentences more, which `rollwright audit` tells");
    }
    text
}

/// Of the consequences of a known cause so many are told to who wants something else than the audit.
const CONSEQUENCES: usize = 3;

/// What is done with a plan is not done, as it does not stand.
pub(super) fn refused(
    (path, plan): (&Path, &Plan),
    (job, changed): (&Job, &Findings),
    so: &str,
    failures: &[String],
) -> Failure {
    Failure::Refused(format!(
        "{} does not stand for this job as it is now, so {so}: make a new plan\n{}",
        path.display(),
        told(plan, (job, false), changed, (failures, CONSEQUENCES)).trim_end()
    ))
}
