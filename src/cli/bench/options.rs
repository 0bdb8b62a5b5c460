//! Options side by side: the job under each option of `options.csv`, as a table.

use super::super::beside::OPTIONS;
use super::super::clock::Clock;
use super::super::effort::Effort;
use super::super::exit::Failure;
use super::super::inputs::Job;
use super::super::stop::Stop;
use super::files;
use super::state::Bench;
use crate::compare::{self, Row, choice};
use crate::nest::News;
use crate::report::outlook;
use serde_json::{Value, json};

/// Compares the saved options; gives the table, and how many there were.
///
/// # Errors
/// Findings in the job or its options; see [`Failure`].
pub fn compared(bench: &Bench, effort: &Effort, stop: &Stop) -> Result<(Value, usize), Failure> {
    files::all_inside(bench)?;
    let job = Job::read(&bench.folder)?;
    let Some(bytes) = files::read(bench, OPTIONS)? else {
        return Err(Failure::Refused("there are no options yet: add lines and save them".into()));
    };
    let (choices, found) = choice::read(OPTIONS, &bytes);
    let Some(choices) = choices else { return Err(Failure::Findings(found)) };
    let quiet = |_: &News<'_>| {};
    let effort = effort.for_job();
    let clock = Clock::start(effort.seconds, stop, &quiet);
    let (setup, options) = (job.setup(), effort.options());
    let ask = || compare::compare(&setup, &choices, &options, &clock);
    let comparison = effort.pool()?.install(ask)?;
    let rows: Vec<&Row> = comparison.rows.iter().collect();
    let table = outlook::options(&comparison, &rows);
    let plain = |row: &Vec<_>| row.iter().map(crate::report::Cell::rounded).collect::<Vec<_>>();
    let rows: Vec<Vec<String>> = table.rows.iter().map(plain).collect();
    Ok((json!({ "headings": table.headings, "rows": rows }), choices.len()))
}
