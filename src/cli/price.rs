//! `rollwright price`: what a job costs, and what each item really takes.

use super::choosing::not_chosen;
use super::clock::Clock;
use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::output::{self, Loudness};
use super::progress::{self, Show};
use super::solving::solve;
use super::stop::{Leaves, stoppable};
use super::{beside, standing};
use crate::audit::Verified;
use crate::compare::order::{self, MoreSpares, Study};
use crate::cost::{self, Cost, Group, RatesAre};
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::plan::{Measured, Plan};
use crate::report::{Telling, capital, money, outlook};
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
  rollwright price JOB --plan JOB/out/plan.json  the plan that stands, as it was cut or chosen

Where the rules let the nest choose, what is chosen is priced, as `rollwright plan` does.

Rates of labour and freight stand in rates.toml (`rollwright rates` shows one); prices, price \
breaks, minimum orders and pallets in rolls.csv.")]
pub struct Args {
    /// The job folder
    job: PathBuf,
    /// How to group items
    #[arg(long, value_enum, default_value_t = By::Kind, conflicts_with = "order")]
    by: By,
    /// This plan, audited against the job, instead of a new one
    #[arg(long, value_name = "FILE", conflicts_with = "order")]
    plan: Option<PathBuf>,
    /// The order instead: the fewest rolls beside the cheapest, with what one more or less means
    #[arg(long)]
    order: bool,
    #[command(flatten)]
    effort: Effort,
    #[command(flatten)]
    pub(super) loudness: Loudness,
    /// Everything as JSON
    #[arg(long, conflicts_with = "csv")]
    pub(super) json: bool,
    /// The table of items, or with --order of rolls, as CSV: without sums, with the currency
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
    Price(Box<(Verified<Plan>, Cost)>),
    Order(Box<Study>),
}

/// What is told of a search that was stopped.
const STOPPED: &str = "the search was stopped before its end, so a cheaper order may be found";

impl Done {
    /// Whether somebody, or the clock, ended the search that it rests on.
    fn stopped(&self) -> bool {
        match self {
            Self::Price(priced) => priced.0.stopped_early(),
            Self::Order(study) => study.stopped && !study.proven(),
        }
    }
}

/// Runs the command.
///
/// # Errors
/// See [`Failure`].
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let (asked, shown) = (args.clone(), args.loudness);
    let show = Show::suiting(shown.quiet, shown.verbose);
    let (job, changed, done) = stoppable(Leaves::Answer, move |stop| {
        let job = Job::read(&asked.job)?;
        if asked.order {
            let effort = asked.effort.for_order();
            progress::now(show, || "the cheapest order is looked for".to_owned());
            let clock = Clock::start(effort.seconds, stop, &|_| {});
            let (setup, options) = (job.setup(), effort.options());
            let study = || order::study(&setup, &options, &clock);
            let study = effort.install(study)??;
            return Ok((job, Findings::new(), Done::Order(Box::new(study))));
        }
        let effort = asked.effort.for_job();
        let (job, plan, changed) = if let Some(path) = &asked.plan {
            let stood = effort.install(|| standing::read(job, path, "it has no price"))??;
            (stood.job, stood.plan, stood.changed)
        } else {
            let plan = solve(&job, &effort, show, stop)?;
            (job, plan, Findings::new())
        };
        let cost = beside::priced(&job, (&plan, &Measured::of(&plan)), &effort)?;
        Ok((job, changed, Done::Price(Box::new((plan, cost)))))
    })?;
    let mut findings = job.findings.clone();
    findings.append(changed);
    findings.append(job.rates.remarks());
    let stopped = done.stopped();
    if stopped {
        findings.push(Finding::new(
            &codes::STOPPED_EARLY,
            Place::file(args.job.display().to_string()),
            STOPPED,
            "run again, with more --seconds or without, where the figure is to be the best",
        ));
    }
    let spares = |plan: &Plan| cost::spares(plan, &job.stock, &job.rules, &job.rates);
    match &done {
        Done::Price(priced) => findings.append(spares(&priced.0)),
        Done::Order(study) => {
            let (fewest, cheapest) = (spares(&study.fewest.plan), spares(&study.cheapest.plan));
            // What is true of both is told once, else which order it is of.
            let of = |which: &str, one: &Findings, other: &Findings| -> Vec<Finding> {
                let told = |finding: &Finding| {
                    let both = other.iter().any(|also| also == finding);
                    let what = format!("{which}: {}", finding.what);
                    if both { finding.clone() } else { Finding { what, ..finding.clone() } }
                };
                one.iter().map(told).collect()
            };
            let first = of("the order of fewest rolls", &fewest, &cheapest);
            let second = of("the cheapest order", &cheapest, &fewest);
            let second: Vec<Finding> =
                second.into_iter().filter(|one| !first.contains(one)).collect();
            findings.extend(first);
            findings.extend(second);
        }
    }
    let telling = job.telling();
    output::findings(&telling.findings(&findings), args.loudness);
    if args.order {
        let figures = "the orders, and what is proven of them, are of the pieces as specified; `rollwright order` may buy less";
        not_chosen(&job, args.loudness, figures);
    }
    match done {
        Done::Price(priced) => show_price(args, &job, (&priced.0, stopped), &priced.1)?,
        Done::Order(study) => show_order(args, &study, stopped, &telling)?,
    }
    Ok(Exit::Done)
}

fn show_order(args: &Args, study: &Study, stopped: bool, telling: &Telling) -> Result<(), Failure> {
    let table = outlook::study(study);
    let beside = outlook::beside(study);
    let words = outlook::study_in_words(study);
    if args.json {
        return output::json(&serde_json::json!({
            "currency": study.cheapest.cost.currency,
            "rolls": table.json(),
            "beside": beside.json(),
            "bound": study.bound,
            "proven": study.proven(),
            "more_spares_ruled_out": study.more_spares == MoreSpares::RuledOut,
            "stopped": study.stopped,
            "ways_not_looked_at": study.unseen.is_some(),
            "remarks": words,
        }));
    }
    if args.csv {
        return output::data(&String::from_utf8_lossy(&outlook::study_alone(study).csv()));
    }
    let mut out = telling.table(table).aligned();
    out.push('\n');
    if stopped {
        out.push_str(&output::filled(&capital(&format!("{STOPPED}.")), "", "  "));
    }
    for sentence in words {
        out.push_str(&output::filled(&telling.text(&sentence), "", "  "));
    }
    if !study.beside.is_empty() {
        out.push_str("\nOne roll more or less than the cheapest order\n");
        out.push_str(&telling.table(beside).aligned());
    }
    output::data(&out)
}

fn show_price(
    args: &Args,
    job: &Job,
    (plan, stopped): (&Plan, bool),
    cost: &Cost,
) -> Result<(), Failure> {
    let (name, telling) = (&job.folder.name, job.telling());
    if args.json {
        return output::json(&serde_json::json!({
            "name": name,
            "currency": cost.currency,
            "total": cost.total,
            "left_out": money::going_on(plan),
            "stopped": stopped,
            "purchase": money::purchase(plan, cost).json(),
            "labour": money::labour(cost).json(),
            "waste": money::waste(cost).json(),
            "shares": money::shares(plan, cost).json(),
            "groups": money::everything(cost).json(),
        }));
    }
    let (heading, groups) = (args.by.heading(), args.by.of(cost));
    if args.csv {
        let table = money::groups_alone(heading, groups, &cost.currency)
            .with(RatesAre::HEADING, RatesAre::of(&cost.labour).word());
        return output::data(&String::from_utf8_lossy(&table.csv()));
    }
    let groups = money::groups(heading, groups, telling.area_step());
    let mut out = format!(
        "{}: {} {}\n",
        crate::report::visible(name),
        cost.total.cents(),
        crate::report::visible(&money::currency(&cost.currency))
    );
    if stopped {
        out.push_str(&output::filled(&capital(&format!("{STOPPED}.")), "", ""));
    }
    if let Some(release) = plan.up_to {
        let words = format!("For releases up to {release}; what later ones take is not in it.");
        out.push_str(&output::filled(&words, "", ""));
    }
    if let Some(words) = money::going_on(plan) {
        out.push_str(&output::filled(&words, "", ""));
    }
    let mut section = |heading: &str, table: crate::report::Table| {
        let _ = write!(out, "\n{heading}\n{}", telling.table(table).aligned());
    };
    let bought = !cost.purchase.lines.is_empty();
    section("Price", money::totals(cost));
    if bought {
        section("Rolls", money::purchase(plan, cost));
    }
    section("Labour", money::labour(cost));
    section("Where the blanket goes", money::waste_shown(cost, telling.area_step()));
    if bought {
        section("How the rolls are shared", money::shares(plan, cost));
    }
    section("What it really costs", groups);
    out.push('\n');
    if !bought {
        out.push_str(&output::filled(money::NOTHING_BOUGHT, "", ""));
        return output::data(&out);
    }
    out.push_str(&output::filled(
        "`times` is how many times its plain area something takes of the rolls, by the prices at which \
         the linear programme over layouts values its pieces.",
        "",
        "",
    ));
    for words in money::bases(plan, cost) {
        out.push_str(&output::filled(&words, "", ""));
    }
    output::data(&out)
}
