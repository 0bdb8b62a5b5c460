//! What is computed beside a plan for its report: the price, where everything ordered has one, and on
//! demand the fewest rolls beside the cheapest, allowance, risk and options.

use super::allowance::{self, WORK};
use super::clock::Clock;
use super::effort::Effort;
use super::exit::Failure;
use super::inputs::Job;
use super::progress::Show;
use super::reading::{self, LARGEST};
use super::risk;
use super::seams;
use super::stop::Stop;
use crate::compare::order::{self, Study};
use crate::compare::{self, Choice, Comparison, Seams, choice};
use crate::cost::{self, Cost, Needs, share};
use crate::finding::Findings;
use crate::forecast::{Allowance, Risk};
use crate::nest::{News, Options};
use crate::plan::Plan;
use crate::report::Extras;
use std::path::Path;

/// The file of options in a job folder.
pub(super) const OPTIONS: &str = "options.csv";

/// Simulated jobs for a report.
const JOBS: u32 = 200;

/// Sections that a report can have beside those of every report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum, serde::Deserialize)]
#[serde(rename_all = "lowercase")]
pub(super) enum Also {
    /// The fewest rolls beside the cheapest
    Order,
    /// The waste allowance, from quantities.csv or else the takeoff
    Allowance,
    /// How sure the order is, from uncertainty.csv
    Risk,
    /// Options side by side, from options.csv
    Options,
    /// What elbow gores' seams at throat, heel and in turn would save
    Seams,
}

/// What was computed.
#[derive(Debug, Default)]
pub(super) struct Beside {
    cost: Option<Cost>,
    study: Option<Study>,
    allowance: Option<Allowance>,
    risk: Option<Risk>,
    comparison: Option<Comparison>,
    seams: Option<Seams>,
    /// What was found in the files that belong to it.
    pub findings: Findings,
}

impl Beside {
    /// For the report.
    pub(super) fn extras(&self) -> Extras<'_> {
        Extras {
            rates: None,
            cost: self.cost.as_ref(),
            study: self.study.as_ref(),
            allowance: self.allowance.as_ref(),
            risk: self.risk.as_ref(),
            comparison: self.comparison.as_ref(),
            seams: self.seams.as_ref(),
        }
    }
}

/// Reads the files that what is asked for needs, so that what is wrong with them is told before the work
/// and not after it.
///
/// # Errors
/// One is missing or wrong.
pub(super) fn check(path: &Path, job: &Job, also: &[Also]) -> Result<(), Failure> {
    if also.contains(&Also::Options) {
        options(path)?;
    }
    if also.contains(&Also::Risk) {
        risk::of_file(path, job)?;
    }
    Ok(())
}

/// The job's options, with what was found in them.
fn options(path: &Path) -> Result<(Vec<Choice>, Findings), Failure> {
    let file = path.join(OPTIONS);
    let bytes = reading::file(&file, LARGEST)?;
    let (choices, found) = choice::read(OPTIONS, &bytes);
    match choices {
        Some(choices) => Ok((choices, found)),
        None => Err(Failure::Findings(found)),
    }
}

/// Computes what is asked for.
///
/// # Errors
/// Findings in the files it needs; see [`Failure`].
pub(super) fn compute(
    (path, job, plan): (&Path, &Job, &Plan),
    also: &[Also],
    effort: &Effort,
    stop: &Stop,
) -> Result<Beside, Failure> {
    let mut beside = Beside { cost: price(job, plan, effort)?, ..Beside::default() };
    beside.findings.append(cost::spares(plan, &job.stock, &job.rules));
    let quiet = |_: &News<'_>| {};
    let clock = Clock::start(None, stop, &quiet);
    let options = effort.for_job().options();
    let (setup, pool) = (job.setup(), effort.pool()?);
    if also.contains(&Also::Order) {
        beside.study = unless_stopped(pool.install(|| order::study(&setup, &options, &clock)))?;
    }
    if also.contains(&Also::Options) {
        let (choices, found) = self::options(path)?;
        beside.findings.append(found);
        let ask = || compare::compare(&setup, &choices, &options, &clock);
        beside.comparison = unless_stopped(pool.install(ask))?;
    }
    if also.contains(&Also::Seams) {
        let found = seams::compared(job, Some(plan), effort, Show::Nothing, stop);
        beside.seams = unless_stopped(found)?;
    }
    if also.contains(&Also::Allowance) {
        let found = unless_stopped(allowance::of_job(path, job, (JOBS, effort), stop))?;
        if let Some((allowance, found)) = found {
            beside.findings.append(found);
            beside.allowance = Some(allowance);
        }
    }
    if also.contains(&Also::Risk) {
        let (uncertain, found) = risk::of_file(path, job)?;
        beside.findings.append(found);
        let ask = risk::Ask::usual(JOBS);
        let found = risk::simulate((job, plan), &uncertain, (&ask, effort, Show::Nothing), stop);
        beside.risk = unless_stopped(found)?;
    }
    Ok(beside)
}

/// What was computed; nothing where it was stopped, since the plan is kept without it.
fn unless_stopped<T>(found: Result<T, impl Into<Failure>>) -> Result<Option<T>, Failure> {
    match found.map_err(Into::into) {
        Ok(found) => Ok(Some(found)),
        Err(Failure::Stopped) => Ok(None),
        Err(why) => Err(why),
    }
}

/// The price of a plan; nothing where something that is ordered has none.
fn price(job: &Job, plan: &Plan, effort: &Effort) -> Result<Option<Cost>, Failure> {
    if cost::check(plan, &job.stock, &job.rates).has_errors() {
        return Ok(None);
    }
    priced(job, plan, effort).map(Some)
}

/// The price of a plan.
///
/// # Errors
/// Findings where something that is ordered has no price.
pub(super) fn priced(job: &Job, plan: &Plan, effort: &Effort) -> Result<Cost, Failure> {
    let sheets = job.sheets();
    let shares = effort.pool()?.install(|| share::shares(plan, &sheets));
    let shares = shares.map_err(|error| Failure::Audit(error.to_string()))?;
    let Job { takeoff, stock, rules, rates, .. } = job;
    let needs = Needs { takeoff, stock, rules, demand: job.demand(), rates };
    cost::price(plan, &needs, shares).map_err(Failure::Findings)
}

/// Work for simulated nests.
pub(super) fn simulated(effort: &Effort) -> Options {
    Options { seed: 1, work: effort.work.unwrap_or(WORK) }
}
