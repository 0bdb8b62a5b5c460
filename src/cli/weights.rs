//! `rollwright weights`: what few open kits cost in changes and hours.
//!
//! Steps: nest the job once; form rolls and order the pulls for several weights of open kits, the
//! job's own among them; audit each plan; put them side by side. Nothing is written.

use super::choosing::not_chosen;
use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::output::{self, Loudness};
use super::progress::{Board, Show};
use super::solving::{answers, checked, stopped_early};
use super::stop::{Leaves, Stop, stoppable};
use crate::plan::Plan;
use crate::plan::choose::Known;
use crate::report::{Cell, Table, all_work, open_kits};
use crate::rules::Sequence;
use crate::units::Decimal;
use serde::Serialize;
use std::collections::BTreeSet;
use std::path::PathBuf;

/// Show what few open kits cost in changes and hours, for several weights; writes no file
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright weights demo/vellmoor
  rollwright weights JOB --csv

The job is nested once and put in order for each weight. A weight stands for open_kits and held_kits
in [sequence] of rules.toml, together; times are those of [rates], placeholders until measured.
Averages, hours and per cent are rounded to the nearest tenth.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    pub(super) loudness: Loudness,
    /// As a JSON array
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// As CSV
    #[arg(long)]
    csv: bool,
}

/// Weights looked at, in points a kit.
const WEIGHTS: [u64; 6] = [0, 25, 50, 100, 200, 400];

/// What one weight comes to.
#[derive(Clone, Copy, Debug, Serialize)]
struct Outcome {
    open_kits: u64,
    held_kits: u64,
    /// Whether the job's rules say so.
    chosen: bool,
    /// The most kits open at once, and the fewest that any order of these pulls has with the same pieces for the same
    /// kits.
    most: u32,
    bound: u32,
    /// Kits open on average, to the nearest tenth.
    mean: Decimal,
    roll_changes: u64,
    settings: u64,
    seconds: u64,
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let (asked, shown) = (args.clone(), args.loudness);
    let show = Show::suiting(shown.quiet, shown.verbose);
    let (job, (outcomes, searches)) = stoppable(Leaves::Nothing, move |stop| {
        let job = Job::read(&asked.job)?;
        let outcomes = outcomes(&job, &asked.effort, show, stop)?;
        Ok((job, outcomes))
    })?;
    let mut findings = job.findings.clone();
    findings
        .extend(stopped_early(searches, "weights are compared by orders that are not the best"));
    output::findings(&job.telling().findings(&findings), shown);
    not_chosen(&job, shown, "the weights are those of the job as specified");
    if args.json {
        output::json(&outcomes)?;
        return Ok(Exit::Done);
    }
    let table = table(&outcomes);
    if args.csv {
        output::data(&String::from_utf8_lossy(&table.csv()))?;
    } else {
        output::data(&table.aligned())?;
    }
    Ok(Exit::Done)
}

/// What the weights come to, and which searches the clock ended.
fn outcomes(
    job: &Job,
    effort: &Effort,
    show: Show,
    stop: &Stop,
) -> Result<(Vec<Outcome>, BTreeSet<String>), Failure> {
    let effort = &effort.for_job();
    let sheets = job.sheets();
    let nested = answers(job, (&sheets, &Known::new()), effort, &Board::new(show), stop)?;
    let own = &job.rules.sequence;
    let mut pairs: Vec<(u64, u64)> = WEIGHTS.into_iter().map(|weight| (weight, weight)).collect();
    pairs.push((own.open_kits, own.held_kits));
    pairs.sort_unstable();
    pairs.dedup();
    let mut outcomes = Vec::with_capacity(pairs.len());
    let mut searches = BTreeSet::new();
    for (open_kits, held_kits) in pairs {
        if stop.asked() {
            return Err(Failure::Stopped);
        }
        let rules = Sequence { open_kits, held_kits, ..own.clone() };
        let plan = checked(job, &sheets, &nested, &rules, (effort, stop))?;
        outcomes.extend(outcome(&plan, &rules, job));
        searches.extend(plan.stopped());
    }
    Ok((outcomes, searches))
}

/// How often a number goes into another, rounded to the nearest.
const fn nearest(number: u64, of: u64) -> u64 {
    (number * 2 + of) / (of * 2)
}

/// What the order of a plan comes to; nothing where it has none.
fn outcome(plan: &Plan, rules: &Sequence, job: &Job) -> Option<Outcome> {
    let sequence = plan.sequence.as_ref()?;
    let open = open_kits(plan, job.demand());
    let pulls = u64::try_from(open.len()).ok()?.max(1);
    let mean = i64::try_from(nearest(open.iter().sum::<u64>() * 10, pulls)).ok()?;
    let own = &job.rules.sequence;
    Some(Outcome {
        open_kits: rules.open_kits,
        held_kits: rules.held_kits,
        chosen: (own.open_kits, own.held_kits) == (rules.open_kits, rules.held_kits),
        most: sequence.open_kits,
        bound: sequence.open_kits_bound,
        mean: Decimal::from_millionths(mean * 100_000),
        roll_changes: sequence.roll_changes,
        settings: sequence.setups,
        seconds: all_work(plan, &job.sources()).seconds(),
    })
}

/// The weights side by side.
fn table(outcomes: &[Outcome]) -> Table {
    let mut table = Table::new(&[
        "open_kits",
        "held_kits",
        "rules",
        "most kits open",
        "kits open on average",
        "changes of the roll",
        "settings of the knives",
        "hours",
        "hours more %",
    ]);
    let least = outcomes.iter().map(|outcome| outcome.seconds).min().unwrap_or(0).max(1);
    for outcome in outcomes {
        let hours = nearest(outcome.seconds, 360);
        let more = nearest((outcome.seconds - least.min(outcome.seconds)) * 1000, least);
        let tenths = |tenths: u64| Cell::Number(format!("{}.{}", tenths / 10, tenths % 10));
        table.push(vec![
            Cell::Number(outcome.open_kits.to_string()),
            Cell::Number(outcome.held_kits.to_string()),
            Cell::text(if outcome.chosen { "these" } else { "" }),
            Cell::Number(outcome.most.to_string()),
            tenths(outcome.mean.millionths().unsigned_abs() / 100_000),
            Cell::Number(outcome.roll_changes.to_string()),
            Cell::Number(outcome.settings.to_string()),
            tenths(hours),
            tenths(more),
        ]);
    }
    table
}

#[cfg(test)]
mod tests {
    use super::*;

    /// All of a column have a tenth, one of 0 too.
    #[test]
    fn averages_have_one_decimal_each() {
        let outcome = |tenths: i64| Outcome {
            open_kits: 50,
            held_kits: 50,
            chosen: false,
            most: 56,
            bound: 19,
            mean: Decimal::from_millionths(tenths * 100_000),
            roll_changes: 97,
            settings: 503,
            seconds: 36_000,
        };
        let table = table(&[outcome(430), outcome(432), outcome(0)]);
        let shown: Vec<String> = table.rows.iter().map(|row| row[4].plain()).collect();
        assert_eq!(shown, ["43.0", "43.2", "0.0"]);
    }
}
