//! `rollwright wraps`: the wrap factor from measured wraps, and what it is worth on a job.
//!
//! Steps: read the job and the file of wraps; fit a factor for each thickness; expand the takeoff
//! again with the fitted factors and compare; with `--rolls` nest it both ways as well.

use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::output::{self, Loudness};
use super::progress::Show;
use super::reading;
use super::solving::{solve, stopped_early};
use super::stop::{Leaves, Stop, stoppable};
use crate::cutting::Objective;
use crate::finding::Findings;
use crate::measured::{self, Wrap};
use crate::pattern::fit::Fitted;
use crate::plan::{Plan, Status};
use crate::report::{self, Cell, Table};
use std::path::PathBuf;

/// Fit the wrap factor to measured wraps and say what it is worth on a job
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Wrap a scrap round the pipe, mark where it meets its own edge, lay it flat and measure. Write each
wrap as a line of a CSV file with the columns size, layer, thickness, length and, where the layers
beneath differ in thickness, beneath (such as 5+10). Three wraps a thickness are the least.

Examples:
  rollwright wraps wraps.csv demo/vellmoor
  rollwright wraps wraps.csv JOB --rolls       nests the job with both factors
  rollwright wraps wraps.csv JOB --csv         every wrap against the fit, as CSV

Prints the lines to put into rules.toml; changes no file.")]
pub struct Args {
    /// The measured wraps, a CSV file
    wraps: PathBuf,
    /// The job folder
    job: PathBuf,
    /// Nest the job by the rules and as fitted, and compare the rolls to buy
    #[arg(long, conflicts_with = "csv")]
    rolls: bool,
    /// Only how every wrap agrees, as CSV
    #[arg(long)]
    csv: bool,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    pub(super) loudness: Loudness,
}

/// The largest file that is read: 4 MB, some ten thousand wraps.
const LARGEST: u64 = 4 << 20;

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let asked = args.clone();
    let show = Show::suiting(args.loudness.quiet, args.loudness.verbose);
    let (text, findings) = stoppable(Leaves::Nothing, move |stop| answer(&asked, show, stop))?;
    output::findings(&findings, args.loudness);
    output::data(&text)?;
    Ok(Exit::Done)
}

fn answer(args: &Args, show: Show, stop: &Stop) -> Result<(String, Findings), Failure> {
    let job = Job::read(&args.job)?;
    let (wraps, mut findings) = read(args, &job)?;
    let used = job.demand().pieces.iter().map(|p| p.thickness).collect();
    let (fitted, found) = measured::fit(&wraps, &used);
    findings.append(found);
    if args.csv {
        let table = report::wraps(&wraps, &fitted);
        return Ok((String::from_utf8_lossy(&table.csv()).into_owned(), findings));
    }
    let changed = job.with_rules(measured::with_factors(&job.rules, &fitted))?;
    let mut text = words(&job, &changed, &wraps, &fitted);
    if args.rolls {
        let by_the_rules = solve(&job, &args.effort, show, stop)?;
        match solve(&changed, &args.effort, show, stop) {
            Ok(as_fitted) => {
                let plans = [by_the_rules, as_fitted];
                let searches = plans.iter().flat_map(|plan| plan.stopped());
                let so = "the rolls of both ways may be more than are needed";
                findings.extend(stopped_early(searches, so));
                text.push_str("\nRolls, nested both ways\n");
                text.push_str(&rolls(&plans[0], &plans[1]).aligned());
            }
            // What was fitted stands, whether or not the rolls on offer hold the job then.
            Err(Failure::Findings(found)) => {
                text.push_str(
                    "\nBy the rules the job can be cut from the rolls on offer; as fitted it cannot:\n",
                );
                for finding in &found {
                    text.push_str(&output::filled(&finding.what, "  ", "  "));
                }
            }
            Err(other) => return Err(other),
        }
    }
    text.push_str("\nFor rules.toml\n");
    text.push_str(&report::wrap_rule_lines(&changed.rules));
    Ok((text, findings))
}

/// The file of wraps, through its door.
fn read(args: &Args, job: &Job) -> Result<(Vec<Wrap>, Findings), Failure> {
    let path = &args.wraps;
    if path.is_dir() {
        let shown = path.display();
        return Err(Failure::Usage(format!("{shown} is a folder: name a CSV file of wraps")));
    }
    let bytes = reading::file(path, LARGEST)?;
    let name = path.file_name().map_or_else(String::new, |n| n.to_string_lossy().into_owned());
    match measured::read(&name, &bytes, &job.rules) {
        (Some(wraps), findings) => Ok((wraps, findings)),
        (None, findings) => Err(Failure::Findings(findings)),
    }
}

fn words(job: &Job, changed: &Job, wraps: &[Wrap], fitted: &[Fitted]) -> String {
    let telling = job.telling();
    format!(
        "Measured wraps\n{}\nWrap factors (0 inner face, 0.5 middle, 1 outer face)\n{}\n\
         What it is worth on {}\n{}",
        telling.table(report::wraps(wraps, fitted)).aligned(),
        telling.table(report::wrap_factors(fitted, &job.rules)).aligned(),
        job.folder.name,
        telling.table(report::wrap_worth(job.demand(), changed.demand(), &job.stock)).aligned()
    )
}

/// Rolls to buy, thickness by thickness.
fn rolls(now: &Plan, then: &Plan) -> Table {
    // Where the order is the cheapest, that is what is proven.
    let by_price = now.nests.iter().any(|nest| nest.objective == Objective::Price);
    let price = ["price by the rules", "price as fitted"];
    let headings = ["thickness mm", "rolls by the rules", "rolls as fitted"].into_iter();
    let headings = headings.chain(price.into_iter().filter(|_| by_price)).chain(["proven"]);
    let mut table = Table::new(&headings.collect::<Vec<_>>());
    for (at, (a, b)) in now.nests.iter().zip(&then.nests).enumerate() {
        let proven = match (a.status, b.status) {
            (Status::Proven, Status::Proven) => "both",
            (Status::Proven, _) => "by the rules only",
            (_, Status::Proven) => "as fitted only",
            _ => "neither",
        };
        let mut row = vec![a.thickness.map_or(Cell::Empty, Cell::Millimetres)];
        row.extend([now, then].map(|plan| Cell::Count(plan.bought_for(at))));
        if by_price {
            row.extend([a, b].map(|nest| Cell::Number(nest.value.to_string())));
        }
        row.push(Cell::text(proven));
        table.push(row);
    }
    table
}
