//! What is computed beside a plan for its report: the price, where everything ordered has one, and on
//! demand the fewest rolls beside the cheapest, allowance, risk and options.
//!
//! A section that cannot be made is told ([`codes::SECTION`]) and left out: the plan stands without it.

use super::allowance::{self, WORK};
use super::clock::Clock;
use super::effort::Effort;
use super::exit::Failure;
use super::inputs::Job;
use super::job::needed_in;
use super::progress::{MADE, Show, Told};
use super::risk;
use super::seams;
use super::stop::Stop;
use crate::compare::order::{self, Study};
use crate::compare::{self, Choice, Comparison, Seams, Setup, choice};
use crate::cost::{self, Cost, Needs, share};
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place, Severity};
use crate::forecast::{Allowance, Risk};
use crate::nest::{News, Options, Quiet};
use crate::plan::{Measured, Plan};
use crate::report::Extras;
use crate::rules::Rules;
use std::path::Path;

/// The file of options in a job folder.
pub(super) const OPTIONS: &str = "options.csv";

/// Simulated jobs, of each size where there are several, in a report and where nobody says how many.
pub(super) const JOBS: u32 = 200;

/// Of a section that was not made, so many causes are told.
const CAUSES: usize = 3;

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

impl Also {
    /// Its name on the command line.
    const fn name(self) -> &'static str {
        match self {
            Self::Order => "order",
            Self::Allowance => "allowance",
            Self::Risk => "risk",
            Self::Options => "options",
            Self::Seams => "seams",
        }
    }

    /// What is told while it is made.
    const fn doing(self) -> &'static str {
        match self {
            Self::Order => "the plan stands; for --also order the cheapest order is looked for",
            Self::Allowance => "the plan stands; for --also allowance jobs are simulated",
            Self::Risk => "the plan stands; for --also risk takeoffs are simulated",
            Self::Options => "the plan stands; for --also options each option is planned",
            Self::Seams => "the plan stands; for --also seams other seams of elbows are planned",
        }
    }
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
    /// Sections that were asked for and could not be made.
    failed: Vec<&'static str>,
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
            stage: None,
            failed: &self.failed,
        }
    }

    /// A section; where it could not be made, or was stopped, that is told.
    fn section<T>(&mut self, also: Also, found: Result<T, impl Into<Failure>>) -> Option<T> {
        let why = match found.map_err(Into::into) {
            Ok(found) => return Some(found),
            Err(Failure::Stopped) => "it was stopped before it was done".to_owned(),
            Err(Failure::Findings(findings)) => causes(&findings),
            Err(why) => why.to_string(),
        };
        self.failed.push(also.name());
        let what = format!("section {} is not in the report: {why}", also.name());
        let remedy =
            "the plan stands without it; mend the cause and plan again, or leave it out of --also";
        let place = Place::file("report.html");
        self.findings.push(Finding::new(&codes::SECTION, place, what, remedy));
        None
    }
}

/// The first errors in words.
fn causes(findings: &Findings) -> String {
    let errors = || findings.iter().filter(|f| f.severity() == Severity::Error);
    let told = |finding: &Finding| format!("{}: {}", finding.place, finding.what);
    let told: Vec<String> = errors().take(CAUSES).map(told).collect();
    let more = match errors().count().saturating_sub(CAUSES) {
        0 => String::new(),
        more => format!(", and {more} more"),
    };
    told.join("; ") + &more
}

/// Reads the files that what is asked for needs, so that what is wrong with them is told before the work
/// and not after it.
///
/// # Errors
/// One is missing or wrong.
pub(super) fn check(path: &Path, job: &Job, also: &[Also]) -> Result<(), Failure> {
    let mut all = Findings::new();
    let mut read = |read: Result<Findings, Failure>| match read {
        Ok(found) | Err(Failure::Findings(found)) => {
            all.append(found);
            Ok(())
        }
        Err(other) => Err(other),
    };
    if also.contains(&Also::Options) {
        read(options(path, &job.setup()).map(|(_, found)| found))?;
    }
    if also.contains(&Also::Risk) {
        read(risk::of_file(path, job).map(|(_, found)| found))?;
    }
    if also.contains(&Also::Allowance) {
        read(allowance::of_file(path, &job.rules).map(|(_, found)| found))?;
    }
    if all.has_errors() {
        Err(Failure::Findings(all).with(|| job.findings.clone()))
    } else {
        Ok(())
    }
}

/// What was found in what was read, whether it stands or not; nothing where it could not be read at all.
pub(super) fn found<T>(read: Result<(T, Findings), Failure>) -> Findings {
    match read {
        Ok((_, found)) | Err(Failure::Findings(found)) => found,
        Err(_) => Findings::new(),
    }
}

/// What is wrong with the files that what is asked for needs, as far as they can be read without the job, which has
/// errors itself.
pub(super) fn by_themselves(path: &Path, also: &[Also]) -> Findings {
    let mut findings = Findings::new();
    if also.contains(&Also::Options) {
        findings.append(found(written(path)));
    }
    if also.contains(&Also::Risk) {
        findings.append(found(risk::lines_of(path)));
    }
    if also.contains(&Also::Allowance) {
        findings.append(found(allowance::of_file(path, &Rules::default())));
    }
    findings
}

/// The options of a job's folder, whatever the job holds, with what was found in them.
///
/// # Errors
/// The file is not there, there twice, or cannot be read.
fn written(path: &Path) -> Result<(Vec<Choice>, Findings), Failure> {
    let remedy = "write one (`rollwright columns options` tells its columns), or compare with `rollwright compare --set`";
    let (name, bytes) = needed_in(path, OPTIONS, remedy)?;
    Ok(choice::read(&name, &bytes))
}

/// The options of a job's folder, with what was found in them.
///
/// # Errors
/// Everything that is wrong with them, at once; the file is not there.
pub(super) fn options(path: &Path, base: &Setup) -> Result<(Vec<Choice>, Findings), Failure> {
    let (choices, found) = written(path)?;
    let found = compare::mistakes(base, &choices, &found);
    if found.has_errors() { Err(Failure::Findings(found)) } else { Ok((choices, found)) }
}

/// Computes what is asked for. A section that cannot be made is among the findings.
///
/// # Errors
/// See [`Failure`]; the price cannot be made.
pub(super) fn compute(
    (path, job, plan): (&Path, &Job, &Plan),
    also: &[Also],
    effort: &Effort,
    (told, show): (&dyn Told, Show),
    (stop, measured): (&Stop, &Measured<'_>),
) -> Result<Beside, Failure> {
    let mut beside = Beside { cost: price(job, (plan, measured), effort)?, ..Beside::default() };
    beside.findings.append(cost::spares(plan, &job.stock, &job.rules, &job.rates));
    let quiet = |_: &News<'_>| {};
    let clock = Clock::start(None, stop, &quiet);
    let options = effort.for_job().options();
    let setup = job.setup();
    let wanted = |one: Also| {
        let wanted = also.contains(&one);
        if wanted {
            told.step(one.doing());
        }
        wanted
    };
    if wanted(Also::Order) {
        let found = effort.install(|| order::study(&setup, &options, &clock))?;
        beside.study = beside.section(Also::Order, found);
    }
    if wanted(Also::Options) {
        let found = self::options(path, &setup).and_then(|(choices, found)| {
            let begun = (&setup, Some(plan));
            let ask = || compare::compare_from(begun, &choices, &options, &clock);
            Ok((effort.install(ask)??, found))
        });
        if let Some((comparison, found)) = beside.section(Also::Options, found) {
            beside.findings.append(found);
            beside.comparison = Some(comparison);
        }
    }
    if wanted(Also::Seams) {
        let found = seams::compared(job, Some(plan), effort, Show::Nothing, stop);
        beside.seams = beside.section(Also::Seams, found);
    }
    if wanted(Also::Allowance) {
        let found = allowance::of_job(path, job, (JOBS, effort, show), stop);
        if let Some((allowance, found)) = beside.section(Also::Allowance, found) {
            beside.findings.append(found);
            beside.allowance = Some(allowance);
        }
    }
    if wanted(Also::Risk) {
        let ask = risk::Ask::usual(JOBS);
        let found = risk::of_file(path, job).and_then(|(uncertain, found)| {
            let how = (&ask, effort, show);
            Ok((risk::simulate((job, plan), &uncertain, how, stop)?, found))
        });
        if let Some((risk, found)) = beside.section(Also::Risk, found) {
            beside.findings.append(found);
            beside.risk = Some(risk);
        }
    }
    if !also.is_empty() {
        told.step(MADE);
    }
    Ok(beside)
}

/// The price of a plan; nothing where something that is ordered has none.
fn price(
    job: &Job,
    (plan, measured): (&Plan, &Measured<'_>),
    effort: &Effort,
) -> Result<Option<Cost>, Failure> {
    if cost::check(plan, &job.stock, &job.rates).has_errors() {
        return Ok(None);
    }
    priced(job, (plan, measured), effort).map(Some)
}

/// The price of a plan.
///
/// # Errors
/// Findings where something that is ordered has no price.
pub(super) fn priced(
    job: &Job,
    (plan, measured): (&Plan, &Measured<'_>),
    effort: &Effort,
) -> Result<Cost, Failure> {
    let sheets = job.sheets();
    let shares = effort.install(|| share::shares(plan, &sheets, &Quiet))?;
    let shares = shares.map_err(|error| Failure::Audit(error.to_string()))?;
    let Job { takeoff, stock, rules, rates, .. } = job;
    let needs = Needs { takeoff, stock, rules, demand: job.demand(), rates };
    cost::price((plan, measured), &needs, shares).map_err(Failure::Findings)
}

/// Work for simulated nests.
pub(super) fn simulated(effort: &Effort) -> Options {
    Options { seed: effort.seed, work: effort.without_clock().unwrap_or(WORK) }
}
