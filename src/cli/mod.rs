//! Arguments, progress and exit codes; the only room that prints.
//!
//! One file a command. Every command reads what it needs, collects all findings, and returns
//! an [`Exit`] or a [`Failure`]; only here are failures turned into messages.

mod allowance;
mod audit;
mod begin;
mod bench;
mod beside;
mod choosing;
mod clock;
mod colour;
mod columns;
mod compare;
mod draw;
mod effort;
mod exit;
mod explain;
mod folder;
mod going_on;
mod idle;
mod inputs;
mod job;
mod known;
mod lock;
mod made_by;
mod manual;
mod nest;
mod number;
mod order;
mod output;
mod pieces;
mod plan;
mod price;
mod progress;
mod rates;
mod reading;
mod risk;
mod rules;
mod seams;
mod shelf;
mod since;
mod solving;
mod stacks;
mod stages;
mod standing;
mod stop;
mod tables;
mod templates;
mod tickets;
mod weights;
mod wraps;

pub use clock::Clock;
pub use exit::{Exit, Failure};
pub use stop::Stop;

use crate::table::nearest;
use clap::{CommandFactory, Parser, Subcommand};
use std::ffi::OsString;
use std::process::ExitCode;

/// From an insulation takeoff to flat blanket pieces, to rolls, to an order with its proof.
#[derive(Debug, Parser)]
#[command(name = "rollwright", version, about, after_help = AFTER_HELP, color = clap::ColorChoice::Auto)]
struct Cli {
    #[command(subcommand)]
    command: Command,
}

const AFTER_HELP: &str = "\
A job is a folder with takeoff.csv and rolls.csv, and, if wanted, offcuts.csv, rules.toml,
rates.toml and papers.toml. The tables may be workbooks instead (takeoff.xlsx, rolls.ods).

Examples:
  rollwright begin north-yard          a job folder with empty tables to fill in
  rollwright plan demo/vellmoor        nest, audit, write every report
  rollwright order demo/vellmoor       what to buy, with the proof
  rollwright explain T012              what a finding means
  rollwright COMMAND --help            options and examples of a command

Exit codes:
  0  done (a plan that was stopped early but stands is done, and says so)
  1  the inputs have errors: all are listed, nothing is written
  2  the command line is wrong
  3  a plan failed its audit
  4  stopped before there was anything to show
  5  the system would not do what was asked

Data goes to standard output, messages to standard error. There is colour on terminals only, and
none where NO_COLOR is set.";

#[derive(Debug, Subcommand)]
enum Command {
    Plan(plan::Args),
    Begin(begin::Args),
    Bench(bench::Args),
    Order(order::Args),
    Seams(seams::Args),
    Pieces(pieces::Args),
    Templates(templates::Args),
    Wraps(wraps::Args),
    Price(price::Args),
    Compare(compare::Args),
    Allowance(allowance::Args),
    Risk(risk::Args),
    Rates(rates::Args),
    Audit(audit::Args),
    Draw(draw::Args),
    Columns(columns::Args),
    Rules(rules::Args),
    Explain(explain::Args),
    Nest(nest::Args),
    Stacks(stacks::Args),
    Shelf(shelf::Args),
    Tickets(tickets::Args),
    Stages(stages::Args),
    Weights(weights::Args),
    Completions(manual::Completions),
    Man(manual::Manual),
}

/// Runs the command line and gives its exit code.
pub fn run(args: impl IntoIterator<Item = OsString>) -> ExitCode {
    let args: Vec<OsString> = args.into_iter().collect();
    let cli = match Cli::try_parse_from(&args) {
        Ok(cli) => cli,
        Err(told) => {
            let told = meant(told, args.get(1));
            return match output::of_clap(&told) {
                Ok(()) if told.use_stderr() => Exit::Usage,
                Ok(()) => Exit::Done,
                Err(failure) => tell(&failure, (false, output::Loudness::default())),
            }
            .into();
        }
    };
    let done = match &cli.command {
        Command::Plan(args) => plan::run(args),
        Command::Begin(args) => stop::at_once(args, begin::run),
        Command::Bench(args) => bench::run(args),
        Command::Order(args) => order::run(args),
        Command::Seams(args) => seams::run(args),
        Command::Pieces(args) => pieces::run(args),
        Command::Templates(args) => stop::at_once(args, templates::run),
        Command::Wraps(args) => wraps::run(args),
        Command::Price(args) => price::run(args),
        Command::Compare(args) => compare::run(args),
        Command::Allowance(args) => allowance::run(args),
        Command::Risk(args) => risk::run(args),
        Command::Rates(args) => rates::run(args),
        Command::Audit(args) => audit::run(args),
        Command::Draw(args) => stop::at_once(args, draw::run),
        Command::Columns(args) => columns::run(args),
        Command::Rules(args) => rules::run(args),
        Command::Explain(args) => explain::run(args),
        Command::Nest(args) => nest::run(args),
        Command::Stacks(args) => stacks::run(args),
        Command::Shelf(args) => shelf::run(args),
        Command::Tickets(args) => stop::at_once(args, tickets::run),
        Command::Stages(args) => stages::run(args),
        Command::Weights(args) => weights::run(args),
        Command::Completions(args) => manual::completions(args),
        Command::Man(args) => manual::manual(args),
    };
    match done {
        Ok(exit) => exit,
        Err(failure) => tell(&failure, cli.command.manner()),
    }
    .into()
}

/// Names the option that was most likely meant by one that is not known, where clap does not.
fn meant(mut told: clap::Error, command: Option<&OsString>) -> clap::Error {
    use clap::error::{ContextKind, ContextValue, ErrorKind};
    let Some(ContextValue::String(typed)) = told.get(ContextKind::InvalidArg) else { return told };
    let wrong = told.kind() == ErrorKind::UnknownArgument && typed.starts_with("--");
    if !wrong || told.get(ContextKind::SuggestedArg).is_some() {
        return told;
    }
    let all = Cli::command();
    let of = command.and_then(|name| name.to_str()).and_then(|name| all.find_subcommand(name));
    let Some(of) = of else { return told };
    let longs: Vec<&str> = of.get_arguments().filter_map(clap::Arg::get_long).collect();
    let typed = typed.trim_start_matches('-').to_owned();
    let near = nearest(&typed, longs.iter().copied());
    let near = near.or_else(|| {
        longs.iter().copied().filter(|long| inside(long, &typed)).max_by_key(|l| l.len())
    });
    if let Some(name) = near.map(|name| format!("--{name}")) {
        // Its own tip, to pass the word on as a value, helps nobody here.
        told.remove(ContextKind::Suggested);
        told.insert(ContextKind::SuggestedArg, ContextValue::String(name));
    }
    told
}

/// Whether all letters of a name of three and more stand in what was typed, in their order.
fn inside(name: &str, typed: &str) -> bool {
    let mut letters = typed.chars();
    name.len() >= 3 && name.chars().all(|wanted| letters.any(|letter| letter == wanted))
}

impl Command {
    /// Whether the answer is wanted in JSON, and how much of the findings is told.
    fn manner(&self) -> (bool, output::Loudness) {
        match self {
            Self::Plan(args) => (args.json, args.loudness),
            Self::Order(args) => (args.json, args.loudness),
            Self::Seams(args) => (args.json, args.loudness),
            Self::Pieces(args) => (args.json, args.loudness),
            Self::Price(args) => (args.json, args.loudness),
            Self::Compare(args) => (args.json, args.loudness),
            Self::Allowance(args) => (args.json, args.loudness),
            Self::Risk(args) => (args.json, args.loudness),
            Self::Audit(args) => (args.json, args.loudness),
            Self::Stages(args) => (args.json, args.loudness),
            Self::Weights(args) => (args.json, args.loudness),
            Self::Draw(args) => (args.json, args.loudness),
            Self::Templates(args) => (false, args.loudness),
            Self::Wraps(args) => (false, args.loudness),
            Self::Tickets(args) => (false, args.loudness),
            Self::Begin(_)
            | Self::Bench(_)
            | Self::Columns(_)
            | Self::Rules(_)
            | Self::Rates(_)
            | Self::Explain(_)
            | Self::Nest(_)
            | Self::Stacks(_)
            | Self::Shelf(_)
            | Self::Completions(_)
            | Self::Man(_) => (false, output::Loudness::default()),
        }
    }
}

/// Says why a command could not be carried out; in words, as loud as was asked.
fn tell(failure: &Failure, (json, loudness): (bool, output::Loudness)) -> Exit {
    match failure {
        Failure::Findings(findings) if json => {
            #[derive(serde::Serialize)]
            struct Refused<'a> {
                status: &'static str,
                findings: Vec<output::FindingOut<'a>>,
            }
            let refused = Refused { status: "refused", findings: output::findings_out(findings) };
            if let Err(worse) = output::json(&refused) {
                output::message(&format!("rollwright: {worse}"));
            }
        }
        Failure::Findings(findings) => output::findings(findings, loudness),
        other => {
            let lines: Vec<String> =
                other.to_string().lines().map(crate::report::visible).collect();
            output::message(&format!("rollwright: {}", lines.join("\n")));
        }
    }
    failure.exit()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Help is 100 wide where no terminal says otherwise: a line laid by hand that is longer is broken, and
    /// its rest stands alone. Paragraphs of one line are broken as they should be.
    #[test]
    fn lines_laid_by_hand_in_help_are_not_broken() {
        let mut whole = Cli::command();
        whole.build();
        let (mut commands, mut seen) = (vec![whole], 0);
        while let Some(command) = commands.pop() {
            let text = command.get_after_help().map(ToString::to_string).unwrap_or_default();
            for block in text.split("\n\n").filter(|block| block.contains('\n')) {
                for line in block.lines() {
                    assert!(line.chars().count() <= 100, "{}: {line}", command.get_name());
                    seen += 1;
                }
            }
            commands.extend(command.get_subcommands().cloned());
        }
        assert!(seen > 100, "only {seen} lines");
    }
}
