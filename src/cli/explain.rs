//! `rollwright explain`: what a finding's code means.

use super::exit::{Exit, Failure};
use super::known::Known;
use super::output;
use crate::finding::Severity;
use crate::finding::codes::{self, Code};
use crate::report::{Cell, Table};
use crate::table::quoted;
use serde::Serialize;
use std::fmt::Write;

/// Say what a finding's code means and how to mend it; without a code, list them all
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright explain T012
  rollwright explain
  rollwright explain --json > codes.json")]
pub struct Args {
    /// A finding's code, such as T012
    #[arg(value_parser = Known(|| codes::all().map(|code| code.id).collect()), hide_possible_values = true)]
    code: Option<String>,
    /// As JSON
    #[arg(long)]
    json: bool,
}

/// A code as other programs read it.
#[derive(Serialize)]
struct CodeOut {
    code: &'static str,
    severity: Severity,
    title: &'static str,
    explanation: &'static str,
}

impl From<&'static Code> for CodeOut {
    fn from(code: &'static Code) -> Self {
        let Code { id, severity, title, explanation } = code;
        Self { code: id, severity: *severity, title, explanation }
    }
}

/// Runs the command.
///
/// # Errors
/// A code that does not exist.
pub fn run(args: &Args) -> Result<Exit, Failure> {
    let Some(id) = &args.code else {
        if args.json {
            output::json(&codes::all().map(CodeOut::from).collect::<Vec<_>>())?;
        } else {
            output::data(&list())?;
        }
        return Ok(Exit::Done);
    };
    let code = codes::find(id).ok_or_else(|| {
        let wrong = |code: &Code| strsim::osa_distance(code.id, &id.to_uppercase());
        let near = codes::all().filter(|code| wrong(code) <= 2).min_by_key(|code| wrong(code));
        let hint = near.map_or_else(String::new, |c| format!("; the nearest is {}", c.id));
        Failure::Usage(format!(
            "there is no code {}{hint} (`rollwright explain` lists them)",
            quoted(id)
        ))
    })?;
    if args.json {
        output::json(&CodeOut::from(code))?;
    } else {
        output::data(&text(code))?;
    }
    Ok(Exit::Done)
}

fn text(code: &Code) -> String {
    let mut out = format!("{} ({}): {}\n\n", code.id, code.severity, code.title);
    let mut used = 0;
    for word in code.explanation.split_whitespace() {
        let length = word.chars().count();
        let gap = usize::from(used > 0);
        if used > 0 && used + gap + length > 78 {
            out.push('\n');
            used = 0;
        } else if used > 0 {
            out.push(' ');
            used += 1;
        }
        let _ = write!(out, "{word}");
        used += length;
    }
    out.push('\n');
    out
}

fn list() -> String {
    let mut table = Table::new(&["code", "severity", "what"]);
    for code in codes::all() {
        table.push(vec![
            Cell::text(code.id),
            Cell::text(code.severity.to_string()),
            Cell::text(code.title),
        ]);
    }
    table.aligned()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_code_is_listed_and_explained_in_lines_of_a_terminal() {
        let all = list();
        let mut count = 0;
        for code in codes::all() {
            count += 1;
            assert!(all.contains(code.id) && all.contains(code.title));
            let text = text(code);
            assert!(text.lines().skip(1).all(|line| line.chars().count() <= 78), "{text}");
            assert!(code.explanation.split_whitespace().all(|word| text.contains(word)));
        }
        assert!(count > 0);
    }
}
