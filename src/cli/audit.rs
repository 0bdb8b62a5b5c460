//! `rollwright audit`: re-checks a plan file from the job alone.

use super::exit::{Exit, Failure};
use super::going_on::From;
use super::inputs::Job;
use super::output::{self, Loudness};
use super::reading::{self, LARGEST_OF_OURS};
use super::{folder, made_by, since, standing};
use crate::audit::{self, Verdict, Why};
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::plan::{Nest, Plan};
use crate::report::{amount, counted, of_thickness, rolls_and_offcuts, visible};
use crate::table::quoted;
use crate::units::few;
use serde::Serialize;
use std::path::{Path, PathBuf};

/// Re-check a plan file from the job alone: pieces, places, cuts, joints, areas, order
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright audit demo/vellmoor
  rollwright audit JOB JOB/out2/plan.json --from JOB/out/plan.json --done JOB/done.csv

That fewer rolls will not do is made anew from the plan's certificate (prices of pieces, and what
rolls can be worth by them), for a second or two a thickness; the verdict says what was, and what is
taken on the plan's word, as only the search can know it.

Exit code 0: the plan stands. 3: it does not; what has changed since it was made is told first, then
what does not hold for that. With --json all of it is listed, one by one.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// The plan file [default: JOB/out/plan.json]
    plan: Option<PathBuf>,
    #[command(flatten)]
    from: From,
    #[command(flatten)]
    pub(super) loudness: Loudness,
    /// The verdict in JSON
    #[arg(long)]
    pub(super) json: bool,
}

/// The verdict on a plan as others read it.
#[derive(Serialize)]
struct Told {
    plan: String,
    passed: bool,
    /// The last release that it is for, where later ones are not in it.
    up_to: Option<u32>,
    /// Inputs that are not those from which it was made.
    changed: Vec<String>,
    /// Bounds that were made anew, and from what.
    checked: Vec<String>,
    /// What it says that was not made anew.
    unchecked: Vec<String>,
    /// All that is wrong.
    failures: Vec<String>,
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`]; a plan that does not stand is no failure of the command but its verdict.
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let path = args.plan.clone().unwrap_or_else(|| args.job.join("out").join(folder::PLAN));
    let job = Job::read(&args.job)?;
    let mut unknown = Vec::new();
    let bytes = reading::file(&path, LARGEST_OF_OURS)?;
    let plan = parsed(&path, &bytes, |field| unknown.push(field))?;
    let changed = since::changed(&path, &plan, &job);
    let mut findings = job.findings.clone();
    findings.extend(passed_over(&path, &unknown));
    findings.extend(since::unfinished(&path));
    if !args.from.is_given() {
        findings.extend(since::unchecked_ground(&path, &plan));
    }
    let mut job = job;
    job.keep_up_to(plan.up_to);
    let before = args.from.is_given().then(|| job.clone());
    let job = args.from.apply(job)?;
    let wrong = |finding: &&Finding| finding.code.id == codes::GROUND_WRONG.id;
    let wrong: Vec<Finding> = job.findings.iter().filter(wrong).cloned().collect();
    let ground = args.from.is_given() && job.already != plan.already;
    if let Some(before) = before.filter(|_| ground) {
        args.from.as_it_was_made(before, &plan)?;
    }
    let job = if args.from.is_given() { job } else { job.of_plan(&plan) };
    let name = path.display().to_string();
    let (mut checked, mut unchecked) = (Vec::new(), Vec::new());
    let (mut failures, words) = match standing::checked(&job, plan.clone()) {
        Ok(plan) => {
            let pieces: u64 = plan.pieces.iter().map(|p| p.quantity).sum();
            let pieces = counted(pieces, "piece", "pieces");
            let rolls = rolls_and_offcuts(plan.cut_from());
            let (verdicts, failures) =
                audit::bounds(&plan, &job.sheets(), since::unchanged(&plan, &job));
            checked = made_anew(&plan, &verdicts);
            unchecked = on_its_word(&plan, &verdicts);
            if plan.already.is_some() && !args.from.is_given() {
                unchecked
                    .push("what is cut before and on hand, as --from names no plan".to_owned());
            }
            let failures = failures.iter().map(|failure| failure.sentence.clone()).collect();
            let outdated = verdicts.contains(&Verdict::Word(Why::Changed));
            let outdated = if outdated {
                "; a bound that it tells does not hold for the job as it is now"
            } else {
                ""
            };
            let part = plan.up_to.map_or_else(String::new, |release| {
                format!("; it is for releases up to {release}, and later ones are not in it")
            });
            (failures, format!("{name} stands: {pieces} on {rolls}{part}{outdated}\n"))
        }
        Err(failures) => (failures, String::new()),
    };
    failures.splice(0..0, wrong.iter().map(|found| format!("The earlier plan: {}.", found.what)));
    if ground {
        failures.insert(
            0,
            "What was cut before and is on hand is not what the earlier plan and the report say."
                .to_owned(),
        );
    }
    let passed = failures.is_empty();
    if passed {
        unchecked.extend(made_by::on_its_word(&plan, &job));
    }
    if passed || args.json {
        findings.append(changed.clone());
    }
    output::findings(&findings, args.loudness);
    if args.json {
        let changed = changed.iter().map(|found| found.what.clone()).collect();
        let failures = failures.iter().map(|sentence| visible(sentence)).collect();
        let up_to = plan.up_to;
        output::json(&Told { plan: name, passed, up_to, changed, checked, unchecked, failures })?;
    } else if passed {
        output::data(&words)?;
        for (what, list) in [("Made anew", checked), ("Taken on the plan's word", unchecked)] {
            if !list.is_empty() {
                let list = format!("{what}: {}.", list.join("; "));
                output::data(&output::filled(&visible(&list), "", "  "))?;
            }
        }
    } else {
        let told = since::told(&plan, (&job, ground), &changed, (&failures, usize::MAX));
        output::data(&format!("{name} does not stand for the job as it is now.\n{told}"))?;
    }
    Ok(if passed { Exit::Done } else { Exit::AuditFailed })
}

/// That less than a nest's bound will not do, in words.
fn no_less(nest: &Nest) -> String {
    let which = of_thickness(nest.thickness);
    format!("{which}that less than {} will not do", amount(nest.objective, nest.bound))
}

/// The bounds that were made anew, and from what.
fn made_anew(plan: &Plan, verdicts: &[Verdict]) -> Vec<String> {
    let told = |(nest, verdict): (&Nest, &Verdict)| match verdict {
        Verdict::Anew(ground) => Some(format!("{}, {}", no_less(nest), ground.in_words())),
        Verdict::None | Verdict::Word(_) => None,
    };
    plan.nests.iter().zip(verdicts).filter_map(told).collect()
}

/// What a plan that stands says beyond what was made anew: what only the search knew.
fn on_its_word(plan: &Plan, verdicts: &[Verdict]) -> Vec<String> {
    let mut list = Vec::new();
    for (nest, verdict) in plan.nests.iter().zip(verdicts) {
        let which = of_thickness(nest.thickness);
        if let Verdict::Word(why) = verdict {
            list.push(format!("{} ({})", no_less(nest), why.in_words()));
        }
        if let Some(without) = nest.without_shelf {
            let value = amount(nest.objective, without.value);
            list.push(format!("{which}that it would take {value} without the shelf"));
        }
    }
    if let Some(choice) = &plan.choice {
        list.push(
            "what the plan would be as specified, and what each choice adds and saves".to_owned(),
        );
        let bound = choice.bound.map(|_| plan.bound).or(choice.least);
        if let Some((bound, nest)) = bound.zip(plan.nests.first()) {
            let bound = amount(nest.objective, bound);
            list.push(format!("that less than {bound} will not do, whatever is chosen"));
        }
    }
    if let Some(sequence) = plan.sequence.as_ref().filter(|s| s.open_kits_bound > 1) {
        let kits = sequence.open_kits_bound;
        list.push(format!(
            "that no order of these pulls with the same pieces for the same kits has fewer than {kits} kits open at \
             once"
        ));
    }
    list
}

/// Tells fields of a plan file that are not known: nothing is read from them, so one that is misspelt is as good as absent.
fn passed_over(path: &Path, fields: &[String]) -> Option<Finding> {
    let of = match fields.len() {
        0 => return None,
        1 => "a field that is",
        _ => "fields that are",
    };
    Some(Finding::new(
        &codes::PASSED_OVER,
        Place::file(path.display().to_string()),
        format!("it has {of} not known, and nothing is read from: {}", few(fields, 6)),
        "take the file as `rollwright plan` wrote it; one of a later version is for that version",
    ))
}

/// Reads a plan file and gives its bytes as well.
pub(super) fn read(path: &Path) -> Result<(Plan, Vec<u8>), Failure> {
    let bytes = reading::file(path, LARGEST_OF_OURS)?;
    Ok((parsed(path, &bytes, |_| ())?, bytes))
}

/// A plan from the bytes of its file; fields that are not known are handed to `unknown`.
fn parsed(path: &Path, bytes: &[u8], mut unknown: impl FnMut(String)) -> Result<Plan, Failure> {
    let mut json = serde_json::Deserializer::from_slice(bytes);
    let plan = serde_ignored::deserialize(&mut json, |field| unknown(quoted(&field.to_string())));
    plan.and_then(|plan| json.end().map(|()| plan)).map_err(|e| {
        let place = Place {
            column: Some(e.column() as u64),
            ..Place::line(path.display().to_string(), e.line() as u64)
        };
        let mut findings = Findings::new();
        let why = e.to_string();
        let why = why.split(" at line ").next().unwrap_or_default();
        findings.push(Finding::new(
            &codes::NO_PLAN,
            place,
            format!("it is not a plan: {why}"),
            "name a plan.json that `rollwright plan` wrote, unchanged",
        ));
        Failure::Findings(findings)
    })
}
