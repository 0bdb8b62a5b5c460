//! `rollwright compare`: options side by side.

use super::choosing::not_chosen;
use super::effort::{self, Effort};
use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::output::{self, Loudness};
use super::progress::{Counter, Show};
use super::reading::{self, LARGEST};
use super::standing;
use super::stop::{Leaves, Stop, stoppable};
use crate::compare::{self, Choice, Comparison, Row, choice};
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::report::{CURRENCY, Telling, money, outlook};
use std::path::PathBuf;

/// Show options side by side: rules, rolls, builds, rates, the shelf
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
An option is `name: key = value; key = value`, each key once. A key is a rule (`rollwright rules`
lists them) or one of these:
  rolls = A | B             only these products
  roll = N, 10, 1200, 50 m, 640    one more product: name, thickness, width, length, price
  price.A = 700             another price; its price breaks no longer hold
  price.A = +8 %            8 % more than now (108 % says the same, and -8 % less), price breaks
                            too; price.10 mm or price.1/2 in: all of a thickness
  available.A = 6           as rolls.csv has it, none for an empty cell; so breaks.A, minimum.A,
                            per_pallet.A
  build.10+10 = 5+5+10      another build for all items of the old one
  shelf = none              without the shelf's offcuts
  labour.tie = 0.30         another rate

Examples:
  rollwright compare demo/vellmoor --set table.pull_limit='3 m' --set shelf=none
  rollwright compare JOB --option 'narrow: rolls = B5-1000 | B10-1000; table.edge_trim = 0'
  rollwright compare JOB --options options.csv --csv > options-compared.csv
  rollwright compare JOB --sensitivity       what each rule matters for the price
  rollwright compare JOB --plan JOB/out/plan.json --set shelf=none    as the nest chose there

A file of options has the columns option, key and value, one setting a line.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// An option: `name: key = value; key = value`; may be repeated
    #[arg(long, value_name = "OPTION")]
    option: Vec<String>,
    /// An option with one setting, which is its name as well; may be repeated
    #[arg(long, value_name = "KEY=VALUE")]
    set: Vec<String>,
    /// A file of options
    #[arg(long, value_name = "FILE")]
    options: Option<PathBuf>,
    /// Cut by what the nest chose for this plan; an option by whose rules that does not stand says so
    #[arg(long, value_name = "PLAN")]
    plan: Option<PathBuf>,
    /// Try every rule a little up and down, and show what matters most first
    #[arg(long)]
    sensitivity: bool,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    pub(super) loudness: Loudness,
    /// As JSON
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// As CSV
    #[arg(long)]
    csv: bool,
}

/// Counts the options that are done.
struct Count<'a> {
    stop: &'a Stop,
    counter: Counter,
}

impl compare::Told for Count<'_> {
    fn stop(&self) -> bool {
        self.stop.asked()
    }

    fn end(&self, _: usize) {
        self.counter.one_more();
    }
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let (mut choices, found) = choices(args)?;
    if choices.is_empty() && found.is_empty() && !args.sensitivity {
        return Err(Failure::Usage(
            "there is nothing to compare: give --set, --option, --options or --sensitivity".into(),
        ));
    }
    let asked = args.clone();
    let told = Show::suiting(args.loudness.quiet, args.loudness.verbose);
    let (job, found, comparison) = stoppable(Leaves::Done, move |stop| {
        let job = Job::read(&asked.job).map_err(|failure| failure.with(|| found.clone()))?;
        let found = compare::mistakes(&job.setup(), &choices, &found);
        if found.has_errors() {
            return Err(Failure::Findings(found).with(|| job.findings.clone()));
        }
        let mut found = found;
        let plan = match &asked.plan {
            Some(path) => {
                let followed = standing::followed(&job, path, "nothing is compared")?;
                found.append(followed.told);
                followed.plan
            }
            None => None,
        };
        let effort = for_options(&asked);
        let (setup, options) = (job.setup(), effort.options());
        if asked.sensitivity {
            choices.extend(compare::sensitivity(&setup));
        }
        let doing = "options are planned side by side, with the job as it stands";
        let counter = Counter::new(told, doing, choices.len() + 1);
        let count = Count { stop, counter };
        let begun = (&setup, plan.as_deref());
        let ask = || compare::compare_from(begun, &choices, &options, &count);
        let done = effort.install(ask)?;
        Ok((job, found, done?))
    })?;
    let mut findings = job.findings.clone();
    findings.append(found);
    findings.append(job.rates.remarks());
    if args.plan.is_none() {
        let figures = "all options, and the job as it stands, are planned as specified; with --plan they are \
                       compared with what a plan chose";
        not_chosen(&job, args.loudness, figures);
    }
    findings.extend(hurried(args));
    let telling = job.telling();
    output::findings(&telling.findings(&findings), args.loudness);
    show(args, &comparison, &telling)?;
    Ok(Exit::Done)
}

/// How hard options are tried: they have no clock, so that they do not differ by what else the machine does.
fn for_options(args: &Args) -> Effort {
    Effort { work: args.effort.without_clock(), ..args.effort }.for_job()
}

/// Tells that options are planned with less work than a plan usually is, so that they may differ by the search alone.
fn hurried(args: &Args) -> Option<Finding> {
    let (work, usual) = (for_options(args).options().work, effort::JOB);
    (args.effort.seconds.is_some() && work < usual).then(|| {
        let what = format!(
            "each option was planned with {work} steps of work, as --seconds allows no more, where a plan has {usual}: \
             small differences may be the search's"
        );
        let place = Place::file(args.job.display().to_string());
        Finding::new(&codes::STOPPED_EARLY, place, what, "run again without --seconds where they matter")
    })
}

/// The options of command line and file, with what was found in them.
fn choices(args: &Args) -> Result<(Vec<Choice>, Findings), Failure> {
    let mut findings = Findings::new();
    let mut choices = Vec::new();
    let options = args.option.iter().map(|text| (text, "--option"));
    for (text, from) in options.chain(args.set.iter().map(|text| (text, "--set"))) {
        match Choice::parse(text, from) {
            Ok(choice) => choices.push(choice),
            Err(finding) => findings.push(*finding),
        }
    }
    if let Some(path) = &args.options {
        let bytes = reading::file(path, LARGEST)?;
        let (read, found) = choice::read(&path.display().to_string(), &bytes);
        findings.append(found);
        choices.extend(read);
    }
    // What is asked for twice is told once.
    let mut told: Vec<Choice> = Vec::with_capacity(choices.len());
    for choice in choices {
        let same = |other: &Choice| other.name == choice.name && other.settings == choice.settings;
        if !told.iter().any(same) {
            told.push(choice);
        }
    }
    Ok((told, findings))
}

fn show(args: &Args, comparison: &Comparison, telling: &Telling) -> Result<(), Failure> {
    let rows: Vec<&Row> =
        if args.sensitivity { comparison.by_weight() } else { comparison.rows.iter().collect() };
    // Data hold every row; to be read, rules that change nothing are better named together.
    let plain = !args.json && !args.csv;
    let (idle, rows): (Vec<&Row>, Vec<&Row>) =
        rows.into_iter().partition(|row| plain && args.sensitivity && comparison.is_idle(row));
    let table = outlook::options(comparison, &rows);
    if args.json {
        return output::json(&serde_json::json!({
            "name": comparison.name,
            "currency": comparison.currency,
            "options": table.json(),
        }));
    }
    if args.csv {
        let table = table.with(CURRENCY, &comparison.currency);
        return output::data(&String::from_utf8_lossy(&table.csv()));
    }
    let heading = format!(
        "{}, money {}\n\n",
        crate::report::visible(&comparison.name),
        crate::report::visible(&money::currency(&comparison.currency))
    );
    output::data(&(heading + &telling.table(table).aligned() + &unmoved(&idle)))
}

/// The rules that change nothing, with the values tried.
fn unmoved(idle: &[&Row]) -> String {
    if idle.is_empty() {
        return String::new();
    }
    let mut names: Vec<&str> = idle.iter().map(|row| row.name.as_str()).collect();
    names.sort_unstable();
    let told = format!("Nothing changes with: {}.", names.join("; "));
    format!("\n{}", output::filled(&told, "", ""))
}
