//! `rollwright price`: what a job costs, and what each item really takes.

use super::clock::Clock;
use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::output::{self, Loudness};
use super::stop::stoppable;
use crate::compare::order::{self, Study};
use crate::compare::{self, Solved};
use crate::cost::{Cost, Group};
use crate::nest::News;
use crate::report::{money, outlook};
use std::fmt::Write as _;
use std::path::PathBuf;

/// Say what a job costs: rolls, freight, labour, waste, and what each item really takes of the rolls
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright price demo/vellmoor                 by kind of item
  rollwright price demo/vellmoor --by size       which sizes take more than their area
  rollwright price demo/vellmoor --by item --csv > items.csv
  rollwright price demo/vellmoor --order         the fewest rolls beside the cheapest

Rates of labour and freight stand in rates.toml (`rollwright rates` shows one); prices, price breaks,
minimum orders and pallets in rolls.csv.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// How to group items
    #[arg(long, value_enum, default_value_t = By::Kind)]
    by: By,
    /// The order instead: the fewest rolls beside the cheapest, with what one more or less means
    #[arg(long)]
    order: bool,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    loudness: Loudness,
    /// Everything as JSON
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// The table of items, or with --order of rolls, as CSV
    #[arg(long)]
    csv: bool,
}

/// How to group items.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
enum By {
    /// By item of the takeoff
    Item,
    /// By kind and size, dearest for its area first
    Size,
    /// By kind
    Kind,
    /// By line
    Line,
    /// By area of the site
    Area,
}

impl By {
    const fn heading(self) -> &'static str {
        match self {
            Self::Item => "item",
            Self::Size => "kind and size",
            Self::Kind => "kind",
            Self::Line => "line",
            Self::Area => "area",
        }
    }

    fn of(self, cost: &Cost) -> &[Group] {
        match self {
            Self::Item => &cost.items,
            Self::Size => &cost.sizes,
            Self::Kind => &cost.kinds,
            Self::Line => &cost.lines,
            Self::Area => &cost.areas,
        }
    }
}

/// What was computed.
enum Done {
    Price(Box<Solved>),
    Order(Box<Study>),
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let asked = args.clone();
    let (job, done) = stoppable(move |stop| {
        let job = Job::read(&asked.job)?;
        let effort = if asked.order { asked.effort.for_order() } else { asked.effort.for_job() };
        let quiet = |_: &News<'_>| {};
        let clock = Clock::start(effort.seconds, stop, &quiet);
        let (setup, options) = (job.setup(), effort.options());
        let done = effort.pool()?.install(|| -> Result<Done, Failure> {
            Ok(if asked.order {
                Done::Order(Box::new(order::study(&setup, &options, &clock)?))
            } else {
                Done::Price(Box::new(compare::solve(&setup, &options, &clock)?))
            })
        })?;
        Ok((job, done))
    })?;
    let mut findings = job.findings.clone();
    findings.append(job.rates.remarks());
    output::findings(&findings, args.loudness);
    match done {
        Done::Price(solved) => show_price(args, &job.folder.name, &solved)?,
        Done::Order(study) => show_order(args, &study)?,
    }
    Ok(Exit::Done)
}

fn show_order(args: &Args, study: &Study) -> Result<(), Failure> {
    let table = outlook::study(study);
    let beside = outlook::beside(study);
    let words = outlook::study_in_words(study);
    if args.json {
        return output::json(&serde_json::json!({
            "rolls": table.json(),
            "beside": beside.json(),
            "bound": study.bound,
            "proven": study.proven(),
            "remarks": words,
        }));
    }
    if args.csv {
        return output::data(&String::from_utf8_lossy(&table.csv()));
    }
    let mut out = table.aligned();
    out.push('\n');
    for sentence in words {
        out.push_str(&output::filled(&sentence, "", "  "));
    }
    if !study.beside.is_empty() {
        out.push_str("\nOne roll more or less than the cheapest order\n");
        out.push_str(&beside.aligned());
    }
    output::data(&out)
}

fn show_price(args: &Args, name: &str, solved: &Solved) -> Result<(), Failure> {
    let Solved { plan, cost, .. } = solved;
    if args.json {
        return output::json(&serde_json::json!({
            "name": name,
            "currency": cost.currency,
            "total": cost.total,
            "purchase": money::purchase(plan, cost).json(),
            "labour": money::labour(cost).json(),
            "waste": money::waste(cost).json(),
            "shares": money::shares(plan, cost).json(),
            "groups": money::everything(cost).json(),
        }));
    }
    let groups = money::groups(args.by.heading(), args.by.of(cost));
    if args.csv {
        return output::data(&String::from_utf8_lossy(&groups.csv()));
    }
    let mut out = format!(
        "{}: {} {}\n",
        crate::report::visible(name),
        cost.total.cents(),
        crate::report::visible(&money::currency(&cost.currency))
    );
    let mut section = |heading: &str, table: crate::report::Table| {
        let _ = write!(out, "\n{heading}\n{}", table.aligned());
    };
    section("Price", money::totals(cost));
    section("Rolls", money::purchase(plan, cost));
    section("Labour", money::labour(cost));
    section("Where the blanket goes", money::waste(cost));
    section("How the rolls are shared", money::shares(plan, cost));
    section("What it really costs", groups);
    out.push('\n');
    out.push_str(&output::filled(
        "`times` is how many times its plain area something takes of the rolls, by the prices at which \
         the linear programme over all layouts values its pieces.",
        "",
        "",
    ));
    output::data(&out)
}
