//! `rollwright rules`: every key of `rules.toml`.

use super::exit::{Exit, Failure};
use super::output;
use crate::rules::reference;
use std::fmt::Write;

/// Say what can stand in rules.toml: every key with its default, unit, limits and meaning
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright rules
  rollwright rules | grep -A3 stagger
  rollwright rules --json > rules.json

None of the rules replaces the project's insulation specification, local codes or licensed
practice.")]
pub struct Args {
    /// As JSON
    #[arg(long)]
    json: bool,
}

/// How a rule is written down.
const HOW: &str = "\
In rules.toml a rule stands below its section. Lengths are millimetres, or text with a unit:

[joints]
stagger = 75
smallest_piece = \"4 in\"

These are the rules with their defaults; only those that differ need be written.

What people hold with a tape in hand (tickets, labels, kit lists, wrapping schedule, drawings
of pulls, templates) is in inches where a file papers.toml beside rules.toml says

lengths = \"inches\"

It is no rule: plans, lists, JSON and files for machines stay in millimetres, and no plan
changes.

";

/// Runs the command.
///
/// # Errors
/// What the system says.
pub fn run(args: &Args) -> Result<Exit, Failure> {
    if args.json {
        output::json(&reference())?;
        return Ok(Exit::Done);
    }
    let mut out = String::from(HOW);
    for row in reference() {
        let unit = if row.unit.is_empty() { String::new() } else { format!(", in {}", row.unit) };
        let _ = writeln!(out, "{} = {}", row.key, row.default);
        out.push_str(&output::filled(&format!("{}.", row.meaning), "    ", "    "));
        let limits = if row.range.is_empty() { String::new() } else { format!("; {}", row.range) };
        let _ = writeln!(out, "    {}{unit}{limits}", row.form);
        let _ = writeln!(out, "    Source of the default: {}\n", row.source);
    }
    output::data(&out)?;
    Ok(Exit::Done)
}
