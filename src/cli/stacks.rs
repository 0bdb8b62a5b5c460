//! `rollwright stacks`: orders open-stacks instances.

use super::exit::{Exit, Failure};
use super::reading::{self, LARGEST};
use super::{Clock, output, stop};
use crate::finding::Findings;
use crate::nest::Watch as _;
use crate::report::{Cell, Table};
use crate::sequence::{self, Instance};
use crate::units::Decimal;
use serde::Serialize;
use std::path::PathBuf;
use std::time::Instant;

/// Order products so that few customers are open at a time, with a proof
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright stacks set.json
  rollwright stacks set.json --json --seconds 30

A file holds one instance or a list of them:
  {\"name\": \"…\", \"customers\": 2, \"products\": 3, \"matrix\": [\"110\", \"011\"]}
with a text of 0 and 1 for each customer, one character for each product.")]
pub struct Args {
    /// Files of instances
    #[arg(required = true)]
    files: Vec<PathBuf>,
    /// Seconds for each instance
    #[arg(long, default_value = "60", value_parser = seconds)]
    seconds: Decimal,
    /// Only the instance with this name
    #[arg(long)]
    only: Option<String>,
    /// One line of JSON an instance
    #[arg(long)]
    json: bool,
}

fn seconds(text: &str) -> Result<Decimal, String> {
    let value = Decimal::parse(text).map_err(|e| e.to_string())?;
    if value > Decimal::ZERO { Ok(value) } else { Err("give more than 0 seconds".to_owned()) }
}

/// Nodes searched for each connected part before giving up where no clock stops it first.
const WORK: u64 = 1 << 40;

#[derive(Serialize)]
struct Line<'a> {
    name: &'a str,
    value: usize,
    bound: usize,
    status: &'static str,
    seconds: f64,
    order: Vec<usize>,
}

/// Runs the command.
///
/// # Errors
/// Findings on the files, a file that cannot be read, or output that cannot be written.
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let mut findings = Findings::new();
    let mut instances = Vec::new();
    for path in &args.files {
        let bytes = reading::file(path, LARGEST)?;
        let (read, found) = sequence::read(&path.display().to_string(), &bytes);
        findings.append(found);
        instances.extend(read);
    }
    if findings.has_errors() {
        return Err(Failure::Findings(findings));
    }
    if let Some(name) = &args.only {
        instances.retain(|instance| instance.name == *name);
        if instances.is_empty() {
            return Err(Failure::Usage(format!("no instance is named `{name}`")));
        }
    }
    let args = args.clone();
    stop::stoppable(stop::Leaves::Answer, move |stop| solve_all(&args, &instances, stop))
}

fn solve_all(args: &Args, instances: &[Instance], stop: &super::Stop) -> Result<Exit, Failure> {
    let mut table = Table::new(&["instance", "open at most", "bound", "status", "seconds"]);
    for instance in instances {
        let clock = Clock::start(Some(args.seconds), stop, &|_| {});
        let started = Instant::now();
        let answer = sequence::solve(instance, WORK, &|| clock.stop());
        let seconds = started.elapsed().as_secs_f64();
        let proven = answer.value == answer.bound;
        let status = match (proven, stop.asked()) {
            (true, _) => "proven",
            (false, true) => "stopped",
            (false, false) => "feasible",
        };
        let line = Line {
            name: &instance.name,
            value: answer.value,
            bound: answer.bound,
            status,
            seconds,
            order: answer.order.0,
        };
        if args.json {
            let text = serde_json::to_string(&line)
                .map_err(|e| Failure::System(format!("the answer has no form in JSON: {e}")))?;
            output::data(&(text + "\n"))?;
        } else {
            table.push(vec![
                Cell::text(line.name),
                Cell::text(line.value.to_string()),
                Cell::text(line.bound.to_string()),
                Cell::text(line.status),
                Cell::text(format!("{seconds:.3}")),
            ]);
        }
        if stop.asked() {
            break;
        }
    }
    if !args.json {
        output::data(&table.aligned())?;
    }
    Ok(Exit::Done)
}
