//! A run: the same way as `rollwright plan`, in a thread of its own, told to the page as it goes.
//!
//! Only one runs at a time. Steps: read the job from the folder; nest, under the stop that the
//! page can pull; audit; write the reports to `out`, or of a plan that goes on from another to the folder of its number;
//! show the plan.

use super::super::beside::{self, Also};
use super::super::choosing::not_when_going_on;
use super::super::effort::Effort;
use super::super::exit::Failure;
use super::super::folder;
use super::super::inputs::Job;
use super::super::plan::keep_rejected;
use super::super::progress::{MADE, Show, Told};
use super::super::solving::solve_told;
use super::super::stop::{STACK, Stop};
use super::ground::{self, Ground};
use super::shown::Shown;
use super::state::Bench;
use super::{answer, files, options};
use crate::cutting::Objective;
use crate::nest::{News, Status};
use crate::plan::{Measured, Nest, wanted};
use crate::report::{self, gap_per_cent};
use crate::units::Decimal;
use serde_json::{Value, json};
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::Arc;
use std::time::Instant;

/// A run, present or last.
#[derive(Default)]
pub struct Run {
    /// Counts runs, so that the page sees that another has begun.
    number: u64,
    /// When it began, while it runs.
    began: Option<Instant>,
    stop: Stop,
    lines: Vec<Line>,
    /// What values and bounds count; the engine may count rolls by a price of one.
    counts: &'static str,
    /// What goes on, in words; empty where nothing more is to be said.
    doing: &'static str,
    /// Which of how many options is worked on, and its name.
    step: Option<(usize, usize, String)>,
    /// Whether options are compared and no plan is made.
    compares: bool,
    /// How it ended.
    ended: Option<Ended>,
}

/// How one nest stands.
struct Line {
    name: String,
    objective: Objective,
    value: Option<Decimal>,
    bound: Decimal,
}

/// How a run ended.
struct Ended {
    done: bool,
    what: String,
    findings: Value,
    seconds: f64,
}

impl Run {
    /// Whether it still runs.
    pub const fn runs(&self) -> bool {
        self.began.is_some()
    }

    /// How many have begun.
    pub const fn number(&self) -> u64 {
        self.number
    }

    /// Asks it to wind up.
    pub fn stop(&self) {
        let _ = self.stop.ask();
    }

    /// What is to be least.
    pub const fn counting(&mut self, objective: Objective) {
        self.counts = match objective {
            Objective::Rolls => "rolls",
            Objective::Price => "in price",
            Objective::Length => "mm",
        };
    }

    /// An option begins; it has nests of its own.
    pub fn step(&mut self, number: usize, of: usize, (name, objective): &(String, Objective)) {
        self.counting(*objective);
        self.step = Some((number, of, name.clone()));
        self.lines.clear();
    }

    /// A plan of a job of this name was made. What its nests come to is not what the engine told last, where whole
    /// orders are chosen, or choices made, around it.
    fn made(&mut self, job: &str, nests: &[Nest]) {
        let line = |nest: &Nest| Line {
            name: wanted::nest_name(job, nest.thickness),
            objective: nest.objective,
            value: Some(nest.value),
            bound: nest.bound,
        };
        self.lines = nests.iter().map(line).collect();
    }

    /// News of a nest that may not be known yet.
    pub fn news(&mut self, news: &News<'_>) {
        let known = self.lines.iter().position(|line| line.name == news.instance);
        let at = known.unwrap_or_else(|| {
            self.lines.push(Line::new(news.instance, news.objective));
            self.lines.len() - 1
        });
        if let Some(line) = self.lines.get_mut(at) {
            line.take(news);
        }
    }

    /// As the page reads it.
    pub fn told(&self) -> Value {
        let nests: Vec<Value> = self.lines.iter().map(Line::told).collect();
        let state = match (&self.began, &self.ended) {
            (Some(_), _) if self.stop.asked() => "stopping",
            (Some(_), _) => "running",
            (None, Some(ended)) if ended.done => "done",
            (None, Some(_)) => "failed",
            (None, None) => "none",
        };
        let seconds = match (&self.began, &self.ended) {
            (Some(began), _) => began.elapsed().as_secs_f64(),
            (None, Some(ended)) => ended.seconds,
            (None, None) => 0.0,
        };
        let (what, findings) = self
            .ended
            .as_ref()
            .map_or((Value::Null, Value::Null), |e| (json!(e.what), e.findings.clone()));
        let step = self.step.as_ref().filter(|_| self.began.is_some());
        let step = step.map(|(at, of, name)| json!({ "at": at, "of": of, "name": name }));
        json!({ "number": self.number, "state": state, "seconds": (seconds * 10.0).round() / 10.0,
                "nests": nests, "counts": self.counts, "doing": self.doing, "step": step, "what": what,
                "findings": findings, "compares": self.compares })
    }
}

impl Line {
    fn new(name: &str, objective: Objective) -> Self {
        Self { name: name.to_owned(), objective, value: None, bound: Decimal::ZERO }
    }

    fn take(&mut self, news: &News<'_>) {
        self.value = news.value.map(|value| self.objective.decimal(value));
        self.bound = self.bound.max(self.objective.decimal(news.bound));
    }

    fn told(&self) -> Value {
        let (value, bound) = (self.value, self.bound);
        let gap = value.and_then(|value| gap_per_cent(value, bound));
        let proven = value.is_some_and(|value| value <= bound);
        json!({ "name": self.name, "value": value.map(|v| v.to_string()),
                "bound": bound.to_string(), "gap": gap, "proven": proven })
    }
}

/// Tells the bench how nests come along.
struct Teller<'a>(&'a Bench);

impl Told for Teller<'_> {
    fn begin(&self, nests: &[(String, Objective)]) {
        let line = |(name, objective): &(String, Objective)| Line::new(name, *objective);
        self.0.run().lines = nests.iter().map(line).collect();
    }

    fn news(&self, at: usize, news: &News<'_>) {
        if let Some(line) = self.0.run().lines.get_mut(at) {
            line.take(news);
        }
    }

    fn end(&self) {}

    fn step(&self, what: &'static str) {
        self.0.run().doing = what;
    }
}

/// What a run does.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Work {
    /// Makes a plan and its reports, with these sections beside the usual ones.
    Plan(Vec<Also>),
    /// Makes the plan that goes on from an earlier one after what was done of it.
    GoOn,
    /// Compares options; writes nothing.
    Options,
}

/// Starts a run; false where one is running.
///
/// # Errors
/// Where no thread can be started.
pub fn start(bench: &Arc<Bench>, effort: Effort, what: Work) -> Result<bool, Failure> {
    let stop = Stop::default();
    {
        let mut run = bench.run();
        if run.runs() {
            return Ok(false);
        }
        *run = Run {
            number: run.number + 1,
            began: Some(Instant::now()),
            stop: stop.clone(),
            compares: matches!(what, Work::Options),
            ..Run::default()
        };
    }
    let own = Arc::clone(bench);
    let started =
        std::thread::Builder::new().name("run".to_owned()).stack_size(STACK).spawn(move || {
            let done = catch_unwind(AssertUnwindSafe(|| work(&own, &effort, &what, &stop)));
            end(&own, done.unwrap_or_else(|_| Err(Failure::given_way("run"))));
        });
    started.map(|_| true).map_err(|e| {
        let failure = Failure::System(format!("no thread can be started: {e}"));
        end(bench, Err(Failure::System(failure.to_string())));
        failure
    })
}

fn work(bench: &Bench, effort: &Effort, what: &Work, stop: &Stop) -> Result<String, Failure> {
    match what {
        Work::Plan(also) => planned(bench, effort, (also, None), stop),
        Work::GoOn => planned(bench, effort, (&[], Some(ground::of_job(bench)?)), stop),
        Work::Options => {
            let (table, count) = options::compared(bench, effort, stop)?;
            *bench.compared() = table;
            let options = if count == 1 { "option" } else { "options" };
            Ok(format!("{count} {options} compared with the job as it is"))
        }
    }
}

fn planned(
    bench: &Bench,
    effort: &Effort,
    (also, ground): (&[Also], Option<Ground>),
    stop: &Stop,
) -> Result<String, Failure> {
    files::all_inside(bench)?;
    let into = ground.as_ref().map_or_else(|| files::OUT.to_owned(), |ground| ground.to.clone());
    let out = bench.folder.join(&into);
    let names = [report::NAMES, report::PRICED_NAMES, report::TICKET_NAMES].concat();
    folder::may_write(&out, &bench.folder, &names)?;
    bench.run().doing = "the job is read";
    let mut job = Job::read(&bench.folder)?;
    if let Some(ground) = &ground {
        job = ground.from(bench).apply(job)?;
        let chosen_before = not_when_going_on(&job);
        job.findings.extend(chosen_before);
    }
    beside::check(&bench.folder, &job, also)?;
    folder::can_write(&out)?;
    bench.run().counting(job.rules.order.objective);
    bench.run().doing = "pieces are laid on rolls";
    let plan = match solve_told(&job, effort, &Teller(bench), stop) {
        Err(Failure::Rejected(failed)) => return Err(keep_rejected(&out, &failed)),
        other => other?,
    };
    bench.run().made(&job.folder.name, &plan.nests);
    bench.run().doing = MADE;
    let told = (&Teller(bench) as &dyn Told, Show::Nothing);
    let (all, measured) = ((&*bench.folder, &job, &*plan), Measured::of(&plan));
    let beside = beside::compute(all, also, effort, told, (stop, &measured))?;
    let shown = Shown::of((&plan, measured), &job, &beside, &into)?;
    let paths = folder::write_plan(&out, &shown.documents)?.paths;
    let how = match plan.status {
        Status::Proven => "proven: no plan for this cutting style needs less",
        Status::Feasible => "a plan that can be cut, not proven to be the least",
        Status::Stopped => "stopped early; a plan that can be cut, not proven to be the least",
    };
    bench.show(shown);
    Ok(format!("{how}; it passed the audit. {} files are in the folder {into}", paths.len()))
}

fn end(bench: &Bench, done: Result<String, Failure>) {
    let mut run = bench.run();
    let seconds = run.began.take().map_or(0.0, |began| began.elapsed().as_secs_f64());
    run.ended = Some(match done {
        Ok(what) => Ended { done: true, what, findings: Value::Null, seconds },
        Err(failure) => {
            let (what, findings) = answer::told(&failure);
            Ended { done: false, what, findings, seconds }
        }
    });
}
