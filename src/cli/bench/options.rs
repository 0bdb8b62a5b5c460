//! Options side by side: the job under each option of `options.csv`, as a table.

use super::super::beside::{self, OPTIONS};
use super::super::clock::Clock;
use super::super::effort::Effort;
use super::super::exit::Failure;
use super::super::inputs::Job;
use super::super::job::name_there;
use super::super::stop::Stop;
use super::files;
use super::state::Bench;
use crate::compare::{self, Choice, Row, Setup};
use crate::cutting::Objective;
use crate::nest::{News, Watch};
use crate::report::outlook;
use serde_json::{Value, json};
use std::sync::{Mutex, MutexGuard, PoisonError};

/// Tells the bench how the comparison comes along.
struct Teller<'a> {
    bench: &'a Bench,
    clock: Clock<'a>,
    /// What is worked on: the job as it stands, then the options. Several are at work side by side; the first
    /// that is not done is shown.
    steps: Vec<(String, Objective)>,
    done: Mutex<Vec<bool>>,
}

/// The steps, and what is to be least in each.
fn steps(setup: &Setup, choices: &[Choice]) -> Vec<(String, Objective)> {
    let least = |setup: &Setup| setup.rules.order.objective;
    let option = |choice: &Choice| {
        let changed = compare::changed(setup, choice);
        (choice.name.clone(), changed.map_or_else(|_| least(setup), |changed| least(&changed)))
    };
    let base = ("the job as it stands".to_owned(), least(setup));
    [base].into_iter().chain(choices.iter().map(option)).collect()
}

impl Teller<'_> {
    /// Which of the steps are done.
    fn done(&self) -> MutexGuard<'_, Vec<bool>> {
        self.done.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Shows a step.
    fn show(&self, at: usize) {
        if let Some(step) = self.steps.get(at) {
            self.bench.run().step(at + 1, self.steps.len(), step);
        }
    }
}

/// The first step that is not done.
fn first_open(done: &[bool]) -> usize {
    done.iter().position(|done| !done).unwrap_or(done.len())
}

impl compare::Told for Teller<'_> {
    fn stop(&self) -> bool {
        Watch::stop(&self.clock)
    }

    fn begin(&self, _: &[&str]) {
        self.show(0);
    }

    fn news(&self, at: usize, news: &News<'_>) {
        let done = self.done();
        if first_open(&done) == at {
            self.bench.run().news(news);
        }
    }

    fn end(&self, at: usize) {
        let mut done = self.done();
        let before = first_open(&done);
        if let Some(one) = done.get_mut(at) {
            *one = true;
        }
        let now = first_open(&done);
        if now != before {
            self.show(now);
        }
    }
}

/// Compares the saved options; gives the table, and how many there were.
///
/// # Errors
/// Findings in the job or its options; see [`Failure`].
pub fn compared(bench: &Bench, effort: &Effort, stop: &Stop) -> Result<(Value, usize), Failure> {
    files::all_inside(bench)?;
    let versions = files::versions(bench);
    let job = Job::read(&bench.folder)?;
    let setup = job.setup();
    if name_there(&bench.folder, OPTIONS).is_none() {
        return Err(Failure::Refused("there are no options yet: add lines and save them".into()));
    }
    let (choices, _) = beside::options(&bench.folder, &setup)?;
    let quiet = |_: &News<'_>| {};
    let effort = effort.for_job();
    let options = effort.options();
    // As on the command line: each option has the same work, whatever the time.
    let clock = Clock::start(None, stop, &quiet);
    let steps = steps(&setup, &choices);
    let done = Mutex::new(vec![false; steps.len()]);
    let teller = Teller { bench, clock, steps, done };
    let ask = || compare::compare(&setup, &choices, &options, &teller);
    let comparison = effort.install(ask)??;
    let rows: Vec<&Row> = comparison.rows.iter().collect();
    let table = outlook::options(&comparison, &rows);
    let plain = |row: &Vec<_>| row.iter().map(crate::report::Cell::rounded).collect::<Vec<_>>();
    let rows: Vec<Vec<String>> = table.rows.iter().map(plain).collect();
    let told = json!({ "headings": table.headings, "rows": rows, "currency": comparison.currency,
                       "versions": versions });
    Ok((told, choices.len()))
}
