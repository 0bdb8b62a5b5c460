//! `rollwright columns`: every column of the tables that people write.

use super::exit::{Exit, Failure};
use super::known::Known;
use super::output;
use super::tables::{FORMS, Form, named};
use crate::table::{nearest_or, quoted};
use std::fmt::Write;

/// Say what can stand in takeoff, rolls and the other tables: every column with an example
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright columns                     every table
  rollwright columns takeoff             one of them
  rollwright columns rolls --json")]
pub struct Args {
    /// The table: takeoff, rolls, offcuts, options, uncertainty, quantities, done or wraps; all of
    /// them where it is left out
    #[arg(value_parser = Known(|| FORMS.iter().map(|form| form.name).collect()), hide_possible_values = true)]
    table: Option<String>,
    /// As JSON
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// There is no such table; what the system says.
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let forms: Vec<&Form> = match &args.table {
        None => FORMS.iter().collect(),
        Some(name) => vec![named(name).ok_or_else(|| unknown(name))?],
    };
    if args.json {
        output::json(&forms)?;
        return Ok(Exit::Done);
    }
    let parts: Vec<String> = forms.iter().map(|form| told(form)).collect();
    output::data(&parts.join("\n"))?;
    Ok(Exit::Done)
}

fn unknown(name: &str) -> Failure {
    let names: Vec<&str> = FORMS.iter().map(|form| form.name).collect();
    let remedy = nearest_or(name, names.iter().copied(), format!("use {}", names.join(", ")));
    Failure::Usage(format!("there is no table {}; {remedy}", quoted(name)))
}

/// A table in words: a column a paragraph.
fn told(form: &Form) -> String {
    let mut out = format!("{}.csv: {}\n\n", form.name, form.holds);
    for column in form.columns {
        let needed = if column.needed { ", needed" } else { "" };
        let _ =
            writeln!(out, "{}  ({}{needed}; such as {})", column.name, column.form, column.example);
        out.push_str(&output::filled(&format!("{}.", column.meaning), "    ", "    "));
    }
    out
}
