//! `rollwright allowance`: what waste to allow before the detailed takeoff.

use super::beside::{JOBS, simulated};
use super::clock::Simulation;
use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::job::{PAPERS, ROLLS, RULES, file_in, name_there};
use super::number;
use super::output::{self, Loudness};
use super::progress::{Counter, Show};
use super::reading::{self, LARGEST};
use super::stop::{Leaves, Stop, stoppable};
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::forecast::allowance::Question;
use crate::forecast::{self, Allowance, Quantity, Shop, quantities};
use crate::report::{Telling, outlook};
use crate::rules::{self, Rules};
use crate::stock::{self, Roll, Stock};
use crate::units::Decimal;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// The file of quantities in a job folder.
pub(super) const QUANTITIES: &str = "quantities.csv";

/// Work for each simulated nest, where the user gives none: a good layout, not a proof.
pub(super) const WORK: u64 = 100_000;

/// Say what waste to allow, from quantities by size and kind, by simulating detailed takeoffs
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
FILE is like takeoff.csv, but a pipe's length is a total, and item may be left out. Three columns \
say how its runs are spread: run (mean, 4 m where empty), spread (per cent of the mean, 60 where \
empty) and law (lognormal, exponential or fixed). rolls.csv and rules.toml beside it are used. FILE may also \
be a job folder: its takeoff is then summed up by size, with the spread of its own runs, also where \
quantities.csv lies beside it.

Examples:
  rollwright allowance demo/vellmoor/quantities.csv
  rollwright allowance demo/vellmoor --handbook 12 --jobs 500
  rollwright allowance FILE --sizes 0.5,1,2 --csv > allowance.csv")]
pub struct Args {
    /// The quantities, or a job folder
    file: PathBuf,
    /// The folder of rolls.csv and rules.toml [default: FILE's own]
    #[arg(long, value_name = "DIR")]
    with: Option<PathBuf>,
    /// Simulated jobs of each size
    #[arg(long, value_name = "N", default_value_t = JOBS, value_parser = clap::value_parser!(u32).range(10..=100_000))]
    jobs: u32,
    /// Sizes of the job, as multiples of the quantities
    #[arg(long, value_name = "LIST", value_delimiter = ',', default_value = "0.25,0.5,1,2", value_parser = size)]
    sizes: Vec<Decimal>,
    /// An allowance from a handbook or from habit, per cent, to look at beside
    #[arg(long, value_name = "PERCENT", value_parser = percent)]
    handbook: Option<Decimal>,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    pub(super) loudness: Loudness,
    /// As JSON
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// The allowance by size of job, as CSV
    #[arg(long)]
    csv: bool,
}

/// A multiple between 0.01 and 100.
fn size(text: &str) -> Result<Decimal, String> {
    number::within(text, 10_000..=100_000_000, "must be from 0.01 to 100")
}

/// A number of per cent, at most 1000.
fn percent(text: &str) -> Result<Decimal, String> {
    number::per_cent_within(text, 0..=1_000_000_000, "must be from 0 to 1000")
}

/// Quantities of a job.
pub(super) struct List {
    /// Where they come from, for people.
    source: String,
    quantities: Vec<Quantity>,
}

/// Quantities and what they are cut from.
struct Inputs {
    quantities: Vec<Quantity>,
    /// Where they come from, for people.
    source: String,
    stock: Stock,
    rules: Rules,
    findings: Findings,
    /// How people are told.
    telling: Telling,
}

/// What says that quantities come from a takeoff.
const OF_TAKEOFF: &str = "the takeoff, summed up by size";

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let asked = args.clone();
    let (inputs, allowance) = stoppable(Leaves::Nothing, move |stop| {
        let inputs = read(&asked)?;
        let show = Show::suiting(asked.loudness.quiet, asked.loudness.verbose);
        let effort = asked.effort;
        let options = simulated(&effort);
        let shop = Shop { stock: &inputs.stock, rules: &inputs.rules, options, chosen: None };
        let question = Question {
            jobs: asked.jobs,
            seed: effort.seed,
            sizes: asked.sizes.clone(),
            handbook: asked.handbook,
            thorough: effort.thorough(),
            source: inputs.source.clone(),
        };
        let done = simulate(&inputs.quantities, &shop, &question, (&effort, show), stop)?;
        Ok((inputs, done))
    })?;
    output::findings(&inputs.findings, args.loudness);
    show(args, &allowance, &inputs.telling)?;
    Ok(Exit::Done)
}

/// Reads the quantities and what stands beside them; the shelf is left out.
fn read(args: &Args) -> Result<Inputs, Failure> {
    if args.file.is_dir() {
        if args.with.is_some() {
            let what = "a job folder has rolls and rules of its own, which --with does not replace: leave it away, \
                        or name a file of quantities";
            return Err(Failure::Usage(what.to_owned()));
        }
        let job = Job::read(&args.file)?;
        let telling = job.telling();
        let Job { takeoff, stock, rules, findings, .. } = job;
        let stock = Stock { offcuts: Vec::new(), ..stock };
        let source = name_there(&args.file, QUANTITIES).map_or_else(
            || OF_TAKEOFF.to_owned(),
            |name| {
                let file = crate::report::visible(&output::word(&args.file.join(&name)));
                format!(
                    "{OF_TAKEOFF}; for those of {name} name the file: rollwright allowance {file}"
                )
            },
        );
        let quantities = quantities::of_takeoff(&takeoff);
        return Ok(Inputs { quantities, source, stock, rules, findings, telling });
    }
    let beside = args.file.parent().map(Path::to_owned).unwrap_or_default();
    let beside = args.with.clone().unwrap_or(beside);
    let text = reading::file(&args.file, LARGEST)?;
    let mut findings = Findings::new();
    let rules = match reading::if_there(&beside.join(RULES), LARGEST)? {
        Some(bytes) => {
            let (rules, found) = rules::read(RULES, &bytes);
            findings.append(found);
            rules
        }
        None => Some(Rules::default()),
    };
    let rolls = match file_in(&beside, ROLLS) {
        Err(Failure::Findings(found)) => {
            findings.append(found);
            None
        }
        read => rolls_of(read?, &beside, &mut findings),
    };
    let papers = match reading::if_there(&beside.join(PAPERS), LARGEST)? {
        Some(bytes) => {
            let (papers, found) = rules::read_papers(PAPERS, &bytes);
            findings.append(found);
            papers
        }
        None => None,
    };
    let assumed = rules.clone().unwrap_or_default();
    let name = args.file.display().to_string();
    let (quantities, found) = quantities::read(&name, &text, &assumed);
    findings.append(found);
    match (rules, rolls, quantities) {
        (Some(rules), Some(rolls), Some(quantities)) if !findings.has_errors() => {
            let stock = Stock { rolls, offcuts: Vec::new() };
            findings.append(stock::check_against_rules(&stock, &rules));
            if findings.has_errors() {
                return Err(Failure::Findings(findings));
            }
            let source = crate::report::visible(&name);
            let telling = Telling::new(papers.unwrap_or_default().measure, &stock.rolls, &[]);
            let findings = telling.findings(&findings);
            Ok(Inputs { quantities, source, stock, rules, findings, telling })
        }
        _ => Err(Failure::Findings(findings)),
    }
}

/// The rolls of a file, or what is found where there is none.
fn rolls_of(
    file: Option<(String, Vec<u8>)>,
    folder: &Path,
    findings: &mut Findings,
) -> Option<Vec<Roll>> {
    let Some((name, bytes)) = file else {
        let folder = super::folder::here(folder).display();
        let what = format!("there is no such file in the folder {folder}");
        let remedy = "put a list of the rolls that can be bought there, or name the folder of one with --with";
        findings.push(Finding::new(&codes::MISSING_FILE, Place::file(ROLLS), what, remedy));
        return None;
    };
    let (rolls, found) = stock::read_rolls(&name, &bytes);
    findings.append(found);
    rolls
}

/// The job's quantities, where it has a file of them, with what was found in it.
///
/// # Errors
/// They have errors, are there twice, or cannot be read.
pub(super) fn of_file(path: &Path, rules: &Rules) -> Result<(Option<List>, Findings), Failure> {
    let Some((name, bytes)) = file_in(path, QUANTITIES)? else {
        return Ok((None, Findings::new()));
    };
    let (read, found) = quantities::read(&name, &bytes, rules);
    match read {
        Some(quantities) => Ok((Some(List { source: name, quantities }), found)),
        None => Err(Failure::Findings(found)),
    }
}

/// The allowance for a report: from the job's quantities where it has some, else from its takeoff.
pub(super) fn of_job(
    path: &Path,
    job: &Job,
    (jobs, effort, show): (u32, &Effort, Show),
    stop: &Stop,
) -> Result<(Allowance, Findings), Failure> {
    let (list, findings) = of_file(path, &job.rules)?;
    let List { source, quantities } = list.unwrap_or_else(|| List {
        source: OF_TAKEOFF.to_owned(),
        quantities: quantities::of_takeoff(&job.takeoff),
    });
    let stock = Stock { offcuts: Vec::new(), ..job.stock.clone() };
    let options = simulated(effort);
    let shop = Shop { stock: &stock, rules: &job.rules, options, chosen: None };
    let sizes = [250_000, 500_000, 1_000_000, 2_000_000].map(Decimal::from_millionths).to_vec();
    let thorough = effort.thorough();
    let question = Question { jobs, seed: effort.seed, sizes, handbook: None, thorough, source };
    Ok((simulate(&quantities, &shop, &question, (effort, show), stop)?, findings))
}

fn simulate(
    quantities: &[Quantity],
    shop: &Shop<'_>,
    question: &Question,
    (effort, show): (&Effort, Show),
    stop: &Stop,
) -> Result<Allowance, Failure> {
    if let Some(finding) = quantities::too_many_runs(quantities, &question.sizes) {
        let mut findings = Findings::new();
        findings.push(finding);
        return Err(Failure::Findings(findings));
    }
    let jobs = usize::try_from(question.jobs).unwrap_or(0) * question.sizes.len();
    let counter = Counter::new(show, "simulated jobs", jobs);
    let watch = Simulation { stop, counter: &counter };
    let done = effort.install(|| forecast::allowance(quantities, shop, question, &watch))?;
    Ok(done?)
}

fn show(args: &Args, allowance: &Allowance, telling: &Telling) -> Result<(), Failure> {
    if args.json {
        return output::json(allowance);
    }
    let table = outlook::allowance(allowance);
    if args.csv {
        return output::data(&String::from_utf8_lossy(&table.csv()));
    }
    let mut out = output::filled(&format!("Quantities: {}.", allowance.source), "", "");
    if let Some(words) = outlook::allowance_in_words(allowance) {
        out.push('\n');
        out.push_str(&output::filled(&telling.text(&words), "", ""));
        out.push('\n');
    }
    let _ = write!(
        out,
        "Waste allowance, per cent of the pieces' plain area, from {} simulated jobs of each size\n\
         (seed {}). In 50, 80 and 90 % of them it is enough:\n\n",
        allowance.jobs, allowance.seed
    );
    out.push_str(&telling.table(table).aligned());
    out.push_str("\nRolls\n");
    out.push_str(&telling.table(outlook::allowance_rolls(allowance)).aligned());
    out.push_str("\nBy kind, at the size nearest to 1\n");
    out.push_str(&telling.table(outlook::allowance_kinds(allowance)).aligned());
    out.push('\n');
    for words in outlook::allowance_runs(allowance) {
        out.push_str(&output::filled(&telling.text(&words), "", "  "));
    }
    out.push_str(&output::filled(outlook::ALLOWANCE_NOTE, "", ""));
    if let Some(laid) = outlook::allowance_laid(allowance) {
        out.push('\n');
        out.push_str(&output::filled(&telling.text(&laid), "", ""));
    }
    output::data(&out)
}
