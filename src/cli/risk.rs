//! `rollwright risk`: how sure an order is when the takeoff's quantities are not.

use super::beside::{JOBS, found, simulated};
use super::clock::Simulation;
use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::job::needed_in;
use super::number;
use super::output::{self, Loudness};
use super::progress::{Counter, Show};
use super::solving::{solve, stopped_early};
use super::stop::{Leaves, Stop, stoppable};
use crate::cost::{self, Bought, buy};
use crate::finding::Findings;
use crate::forecast::risk::Question;
use crate::forecast::uncertainty::Selection;
use crate::forecast::{self, Held, Ordered, Risk, Shop, uncertainty};
use crate::plan::Plan;
use crate::report::{Telling, outlook};
use crate::units::Decimal;
use std::path::{Path, PathBuf};

/// Say how sure the order is: rolls at 50, 80 and 90 %, the chance of running short, the spare needed
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Uncertainties stand in uncertainty.csv in the job folder (columns uncertainty, item, kind, line,
area; the first line that selects an item counts), or one for all is given with --uncertainty.

Examples:
  rollwright risk demo/vellmoor --uncertainty 10
  rollwright risk JOB --accept 5 --common 0.5
  rollwright risk JOB --jobs 2000 --csv > risk.csv")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    #[command(flatten)]
    ask: Ask,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    pub(super) loudness: Loudness,
    /// As JSON
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// The chance that so many rolls suffice, as CSV
    #[arg(long)]
    csv: bool,
}

/// What is asked of a risk.
#[derive(Clone, Debug, clap::Args)]
pub(super) struct Ask {
    /// The uncertainty of every quantity, per cent, instead of uncertainty.csv
    #[arg(long, value_name = "PERCENT", value_parser = up_to_100)]
    uncertainty: Option<Decimal>,
    /// The risk of running short that is accepted, per cent
    #[arg(long, value_name = "PERCENT", default_value = "5", value_parser = up_to_100)]
    accept: Decimal,
    /// The part of every deviation that all quantities have in common, 0 to 1
    #[arg(long, value_name = "PART", default_value = "0", value_parser = part)]
    common: Decimal,
    /// Simulated jobs
    #[arg(long, value_name = "N", default_value_t = JOBS, value_parser = clap::value_parser!(u32).range(10..=1_000_000))]
    jobs: u32,
}

impl Ask {
    /// The usual question: 5 % accepted, nothing in common.
    pub(super) const fn usual(jobs: u32) -> Self {
        let accept = Decimal::from_millionths(50_000);
        Self { uncertainty: None, accept, common: Decimal::ZERO, jobs }
    }
}

/// A number of per cent from 0 to 100, as a part of one.
fn up_to_100(text: &str) -> Result<Decimal, String> {
    let value = number::per_cent_within(text, 0..=100_000_000, "must be from 0 to 100 per cent")?;
    Ok(Decimal::from_millionths(value.millionths() / 100))
}

/// A part of one.
fn part(text: &str) -> Result<Decimal, String> {
    number::within(text, 0..=1_000_000, "must be from 0 to 1")
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let asked = args.clone();
    let (job, findings, risk) = stoppable(Leaves::Nothing, move |stop| {
        let job = Job::read(&asked.job).map_err(|failure| failure.with(|| unread(&asked)))?;
        let (uncertain, mut findings) =
            uncertain(&job, &asked).map_err(|failure| failure.with(|| job.findings.clone()))?;
        let show = Show::suiting(asked.loudness.quiet, asked.loudness.verbose);
        let plan = solve(&job, &asked.effort, show, stop)?;
        findings.append(cost::spares(&plan, &job.stock, &job.rules, &job.rates));
        findings.extend(stopped_early(
            plan.stopped(),
            "the order that is judged may have more rolls than it needs",
        ));
        let how = (&asked.ask, &asked.effort, show);
        let risk = simulate((&job, &plan), &uncertain, how, stop)?;
        Ok((job, findings, risk))
    })?;
    let mut all = job.findings.clone();
    all.append(findings);
    let telling = job.telling();
    output::findings(&telling.findings(&all), args.loudness);
    show(args, &risk, &telling)?;
    Ok(Exit::Done)
}

/// What is wrong with the uncertainties of a job that cannot be read.
fn unread(args: &Args) -> Findings {
    if args.ask.uncertainty.is_some() { Findings::new() } else { found(lines_of(&args.job)) }
}

/// Every item's uncertainty.
fn uncertain(job: &Job, args: &Args) -> Result<(Vec<Decimal>, Findings), Failure> {
    if let Some(all) = args.ask.uncertainty {
        return Ok((vec![all; job.takeoff.items.len()], Findings::new()));
    }
    of_file(&args.job, job)
}

/// What the job's file says, whatever the job holds, with what was found in it.
///
/// # Errors
/// It is missing, there twice, or cannot be read.
pub(super) fn lines_of(folder: &Path) -> Result<(Vec<Selection>, Findings), Failure> {
    let remedy = "write one (`rollwright columns uncertainty` tells its columns), or ask `rollwright risk` with \
                  --uncertainty PERCENT";
    let (name, bytes) = needed_in(folder, uncertainty::FILE, remedy)?;
    Ok(uncertainty::read(&name, &bytes))
}

/// Every item's uncertainty, from the job's file.
pub(super) fn of_file(folder: &Path, job: &Job) -> Result<(Vec<Decimal>, Findings), Failure> {
    let (lines, mut findings) = lines_of(folder)?;
    let (all, found) = uncertainty::of_items(&lines, &job.takeoff);
    findings.append(found);
    if findings.has_errors() { Err(Failure::Findings(findings)) } else { Ok((all, findings)) }
}

/// Simulates the risk of a plan's order.
pub(super) fn simulate(
    (job, plan): (&Job, &Plan),
    uncertain: &[Decimal],
    (ask, effort, show): (&Ask, &Effort, Show),
    stop: &Stop,
) -> Result<Risk, Failure> {
    let spares = job.rules.order.spare_rolls;
    let purchase = buy::purchase(plan, &job.stock.rolls, spares, &job.rates);
    let line = |bought: &Bought| Ordered {
        roll: bought.roll.clone(),
        cut: bought.cut,
        count: bought.count(),
    };
    let ordered = purchase.lines.iter().map(line).collect();
    let held = Held::by(plan);
    let picks = job.picks();
    let chosen = Some((&job.takeoff, &picks));
    let options = simulated(effort);
    let shop = Shop { stock: &job.stock, rules: &job.rules, options, chosen };
    let Ask { accept: accepted, common, jobs, .. } = *ask;
    let question = Question { jobs, seed: effort.seed, common, accepted, ordered, held };
    let counter = Counter::new(show, "simulated takeoffs", usize::try_from(jobs).unwrap_or(0));
    let watch = Simulation { stop, counter: &counter };
    let ask = || forecast::risk(&job.takeoff, uncertain, &shop, &question, &watch);
    let done = effort.install(ask)?;
    Ok(done?)
}

fn show(args: &Args, risk: &Risk, telling: &Telling) -> Result<(), Failure> {
    if args.json {
        return output::json(risk);
    }
    if args.csv {
        return output::data(&String::from_utf8_lossy(&outlook::risk_curve(risk).csv()));
    }
    let mut out = format!(
        "How sure the order is, from {} simulated takeoffs (seed {}, part in common {})\n\n",
        risk.jobs, risk.seed, risk.common
    );
    if risk.nests.is_empty() {
        out.push_str(&output::filled(outlook::NOTHING_AT_RISK, "", ""));
    } else {
        out.push_str(&telling.table(outlook::risk(risk)).aligned());
    }
    out.push('\n');
    let sentences = outlook::risk_in_words(risk);
    let sentences = telling.text(&format!("{sentences} {}", outlook::risk_note(risk)));
    out.push_str(&output::filled(&sentences, "", ""));
    for words in outlook::risk_counted(risk).into_iter().chain(outlook::risk_laid(risk)) {
        out.push('\n');
        out.push_str(&output::filled(&telling.text(&words), "", ""));
    }
    output::data(&out)
}
