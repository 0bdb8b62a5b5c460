//! `rollwright plan`: nests, audits, and writes the plan and every report.

use super::beside::{self, Also};
use super::choosing::{Choosing, not_when_going_on};
use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::folder::{self, PLAN, Written};
use super::going_on::From;
use super::idle;
use super::inputs::Job;
use super::output::{self, Loudness};
use super::progress::{Board, MADE, Show, Told as _};
use super::solving::solve_told;
use super::stop::{Leaves, Stop, stoppable};
use crate::audit::{Failed, Verified};
use crate::finding::Findings;
use crate::plan::{Measured, Plan};
use crate::report::{self, Document, Telling};
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// Nest a job, audit the plan, and write it with every report
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright plan demo/vellmoor            reports go to demo/vellmoor/out
  rollwright plan JOB --out /tmp/report   reports go to /tmp/report
  rollwright plan JOB --seconds 30        stops each thickness after 30 s
  rollwright plan JOB --choose            lets the nest choose joints of straight runs
  rollwright plan JOB --json > plan.txt   tells the outcome in JSON
  rollwright plan JOB --from JOB/out/plan.json --done done.csv --out JOB/out2
                                          plans the rest after what was cut and went wrong
  rollwright plan JOB --also order,risk   with the cheapest order and how sure it is

Ctrl-C keeps the best plan found so far; a second Ctrl-C ends at once.
Nothing is written when the inputs have errors. Inputs are never overwritten.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// Where reports go; made if it is not there [default: JOB/out]
    #[arg(long, value_name = "DIR")]
    out: Option<PathBuf>,
    /// Sections that the report has beside the usual ones; they take longer
    #[arg(long, value_name = "LIST", value_enum, value_delimiter = ',')]
    also: Vec<Also>,
    #[command(flatten)]
    from: From,
    #[command(flatten)]
    choosing: Choosing,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    pub(super) loudness: Loudness,
    /// Tell the outcome in JSON instead of words
    #[arg(long)]
    pub(super) json: bool,
}

/// What the work hands back to be written.
struct Done {
    documents: Vec<Document>,
    summary: String,
    outcome: report::Outcome,
    findings: Findings,
    telling: Telling,
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let out = args.out.clone().unwrap_or_else(|| args.job.join("out"));
    let names = [report::NAMES, report::PRICED_NAMES].concat();
    folder::may_write(&out, &args.job, &names)?;
    args.from.is_kept(&out, &args.job)?;
    let (asked, into, shown) = (args.clone(), out.clone(), args.loudness);
    let show = Show::suiting(shown.quiet, shown.verbose);
    let done = stoppable(Leaves::Plan, move |stop| {
        let job = Job::read(&asked.job).and_then(|job| asked.from.apply(job));
        let beside = || beside::by_themselves(&asked.job, &asked.also);
        let mut job = job.map_err(|failure| failure.with(beside))?;
        asked.choosing.apply(&mut job);
        let chosen_before = not_when_going_on(&job);
        job.findings.extend(chosen_before);
        beside::check(&asked.job, &job, &asked.also)?;
        folder::can_write(&into)?;
        let board = Board::new(show);
        let done = asked.effort.install(|| {
            let plan = solve_told(&job, &asked.effort, &board, stop)?;
            board.step(MADE);
            finish(&asked, &job, &plan, (&board, show, stop))
        });
        board.end();
        done?
    });
    let done = match done {
        Err(Failure::Rejected(failed)) => return Err(keep_rejected(&out, &failed)),
        other => other?,
    };
    let written = folder::write_plan(&out, &done.documents)?;
    let paths = &written.paths;
    output::findings(&done.telling.findings(&done.findings), shown);
    let files = || format!("{} files are in {}", paths.len(), out.display());
    if args.json {
        let outcome = done.outcome.with_files(paths);
        output::after(output::outcome(&outcome, &done.findings), files)?;
    } else if !shown.quiet {
        output::after(output::data(&done.summary), files)?;
        output::message(&format!("\n{} files in {}", paths.len(), out.display()));
    }
    if !shown.quiet {
        earlier(args, &out, &written);
    }
    Ok(Exit::Done)
}

/// Says what of an earlier plan was taken away, and what of it may still lie there.
fn earlier(args: &Args, out: &Path, written: &Written) {
    let job = output::word(&args.job);
    let plan = output::word(&out.join(PLAN));
    let out = out.display();
    let tickets = written.taken.iter().any(|name| report::TICKET_NAMES.contains(name));
    if !written.taken.is_empty() {
        let list = written.taken.join(", ");
        let mut text = format!("taken away, as they were of the plan before: {list}");
        if tickets {
            let plan = if args.out.is_some() { format!(" --plan {plan}") } else { String::new() };
            let _ = write!(text, "; new ones: rollwright tickets {job}{plan}");
        }
        output::message(&text);
    }
    for name in &written.left {
        output::message(&format!(
            "{out} holds a {name} that is not known as one of this program: it stays, and says nothing \
             of this plan"
        ));
    }
    if written.other {
        let made =
            [("drawings", "drawings.csv", "draw"), ("templates", "templates.csv", "templates")];
        for (name, list, command) in made {
            if args.out.is_none() && args.job.join("out").join(name).join(list).exists() {
                output::message(&format!(
                    "{out}/{name} is of the plan before: rollwright {command} {job} makes it anew"
                ));
            }
        }
    }
}

/// What is computed beside a plan, and its reports.
fn finish(
    args: &Args,
    job: &Job,
    plan: &Verified<Plan>,
    (board, show, stop): (&Board, Show, &Stop),
) -> Result<Done, Failure> {
    let measured = Measured::of(plan);
    let priced = (stop, &measured);
    let all = (&*args.job, job, &**plan);
    let compute = || beside::compute(all, &args.also, &args.effort, (board, show), priced);
    let draft = || report::draft(plan, &job.sources().cut(measured.clone()));
    let (draft, beside) = rayon::join(draft, compute);
    let beside = beside?;
    let mut findings = job.findings.clone();
    findings.extend(idle::told(job, plan));
    findings.append(beside.findings.clone());
    let sources = job.sources().with(beside.extras()).cut(measured).found(&findings);
    let documents =
        report::finished(plan, &sources, draft).map_err(|e| Failure::System(e.to_string()))?;
    let summary = report::summary_among(&documents);
    let outcome = report::Outcome::of(plan, &sources);
    let telling = job.telling();
    Ok(Done { documents, summary, outcome, findings, telling })
}

/// Saves a plan that did not pass, for whoever mends the program, and says where.
pub(super) fn keep_rejected(out: &Path, failed: &Failed) -> Failure {
    let saved = serde_json::to_vec_pretty(&failed.plan).ok().and_then(|bytes| {
        let document = Document { name: "rejected.json", bytes };
        folder::write(out, &[document]).ok()
    });
    let place = match saved.and_then(|paths| paths.into_iter().next()) {
        Some(path) => format!("; it was saved as {}", path.display()),
        None => String::new(),
    };
    Failure::Audit(format!(
        "the plan did not pass its audit, so nothing is shown. This is a defect of the program: \
         please report it with the job folder{place}\n{failed}"
    ))
}
