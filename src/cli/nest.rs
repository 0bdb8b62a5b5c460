//! `rollwright nest`: nests bare instances.
//!
//! Steps: read every file whole; each instance in the files' order to the engine, under its own
//! clock; the answer to a plan, the plan to the audit; a line for each as it is done; plans and
//! certificates at the end, each file written in one go. A refused instance does not stop the
//! others.

use super::clock::Clock;
use super::effort::Effort;
use super::exit::{Exit, Failure};
use super::output::{self, Loudness};
use super::progress::{Board, Show, Told};
use super::reading::{self, LARGEST, LARGEST_OF_OURS};
use super::stop::{Leaves, Stop, stoppable};
use crate::audit::{self, Verified};
use crate::finding::codes::nest as codes;
use crate::finding::{Finding, Findings, Place};
use crate::nest::choose::{Group, Listing, solve_listed};
use crate::nest::{self, Choice, Entry, Instance, NestError, Nesting, Options, Watch};
use crate::plan::{self, Plan, Taken, Wanted};
use crate::report::{Cell, Table, gap_per_cent};
use certificate::Certificate;
use line::Line;
use serde::de::IgnoredAny;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::time::Instant;

mod certificate;
mod line;

/// Nest bare instances: sizes, quantities and rolls, without a job around them
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright nest instances/*.json
  rollwright nest set.json --only rolls-3 --seconds 10
  rollwright nest set.json --json > answers.jsonl
  rollwright nest set.json --plan plans.json --certificate bounds.json

A file holds one instance or a list of them:
  { \"name\": \"covers\", \"objective\": \"rolls\",
    \"rolls\":  [ { \"id\": \"A\", \"width\": 1500, \"length\": 50000, \"price\": 640, \"available\": 12 } ],
    \"pieces\": [ { \"id\": \"p\", \"width\": 600, \"length\": 420, \"quantity\": 12, \"turns\": [0, 90] },
                { \"id\": \"g\", \"outline\": [[0,0], [100,0], [50,80]], \"quantity\": 8 } ],
    \"cutting\": { \"style\": \"straight\", \"stages\": 3, \"pull_limit\": 4000, \"square_cut\": 50,
                 \"edge_trim\": 0, \"gap\": 0 } }
Lengths are millimetres, across the roll and along it. The objective is the least of rolls, price or
length (one roll; its length null, without end). Available may be left out: as many as are wanted;
and price, where the objective is another. Turns are degrees; left out: as it lies, null: any, of
which quarter turns are tried. Straight cuts go from edge to edge in 2 or 3 stages (null: in any
number), free ones anywhere; all else of cutting may be left out.

Exit code 1 means that some instance was refused; the others are nested all the same.
Ctrl-C keeps the best answer of the instance at work and leaves the rest.")]
pub struct Args {
    /// Files of instances
    #[arg(required = true, value_name = "FILE")]
    files: Vec<PathBuf>,
    #[command(flatten)]
    effort: Effort,
    /// Only instances with this name
    #[arg(long, value_name = "NAME")]
    only: Option<String>,
    /// Write the plans here, as one array in the files' order
    #[arg(long, value_name = "FILE")]
    plan: Option<PathBuf>,
    /// Write here what another program needs to check the bounds
    #[arg(long, value_name = "FILE")]
    certificate: Option<PathBuf>,
    /// One line of JSON an instance
    #[arg(long)]
    json: bool,
}

/// Runs the command.
///
/// # Errors
/// Files that cannot be read or hold no instances, an audit that failed, output that cannot be
/// written.
pub fn run(args: &Args) -> Result<Exit, Failure> {
    for out in [&args.plan, &args.certificate].into_iter().flatten() {
        if args.files.iter().any(|file| same_file(file, out)) {
            let what = format!("{} is an input and will not be overwritten", out.display());
            return Err(Failure::Usage(what));
        }
        may_lie_at(out)?;
    }
    if let (Some(plan), Some(certificate)) = (&args.plan, &args.certificate)
        && same_file(plan, certificate)
    {
        return Err(Failure::Usage(format!(
            "--plan and --certificate both name {}, and one would replace the other; name two files",
            plan.display()
        )));
    }
    may_replace(args.plan.as_deref(), "plans", ["program", "nests"])?;
    may_replace(args.certificate.as_deref(), "certificates", ["bound", "basis"])?;
    let entries = read(args)?;
    let args = args.clone();
    stoppable(Leaves::Answer, move |stop| args.effort.install(|| all(&args, &entries, stop))?)
}

/// Refuses a place where no file can be written: it would be found out when the search has ended.
fn may_lie_at(path: &Path) -> Result<(), Failure> {
    let shown = path.display();
    if path.is_dir() {
        return Err(Failure::Usage(format!("{shown} is a folder: name a file in it")));
    }
    match path.parent() {
        Some(folder) if !folder.as_os_str().is_empty() && !folder.is_dir() => {
            Err(Failure::Usage(format!(
                "{shown} cannot be written, as there is no folder {}: make it, or name another file",
                folder.display()
            )))
        }
        _ if super::folder::takes_as_it_comes(path) => Ok(()),
        _ => super::folder::can_write(super::folder::of(&super::folder::led_to(path))),
    }
}

/// Refuses a file that is there, unless it is a list of what an earlier run wrote: each with keys that nothing
/// else has.
#[expect(clippy::zero_sized_map_values, reason = "no set is read from an object")]
fn may_replace(path: Option<&Path>, what: &str, keys: [&str; 2]) -> Result<(), Failure> {
    let Some(path) = path.filter(|path| path.is_file()) else { return Ok(()) };
    let bytes = reading::file(path, LARGEST_OF_OURS)?;
    // Of what may be hundreds of megabytes only the keys are kept.
    let list: Option<Vec<BTreeMap<String, IgnoredAny>>> = serde_json::from_slice(&bytes).ok();
    let ours = |one: &BTreeMap<String, IgnoredAny>| keys.iter().all(|key| one.contains_key(*key));
    if list.is_some_and(|list| list.iter().all(ours)) {
        return Ok(());
    }
    Err(Failure::Usage(format!(
        "{} is there and holds no {what} that `rollwright nest` wrote, so it will not be overwritten: name \
         another file, or move it away",
        path.display()
    )))
}

/// Whether two paths mean one file, also one that is not there yet.
fn same_file(a: &Path, b: &Path) -> bool {
    let to_be =
        |path: &Path| Some(super::folder::of(path).canonicalize().ok()?.join(path.file_name()?));
    let whole = |path: &Path| {
        path.canonicalize().ok().or_else(|| to_be(path)).unwrap_or_else(|| path.to_owned())
    };
    whole(a) == whole(b)
}

/// All entries of all files, each with its file's name.
fn read(args: &Args) -> Result<Vec<(String, Entry)>, Failure> {
    let mut findings = Findings::new();
    let mut entries = Vec::new();
    for path in &args.files {
        let file = path.display().to_string();
        let bytes = reading::file(path, LARGEST)?;
        match nest::read(&file, &bytes) {
            Ok(read) => entries.extend(read.into_iter().map(|entry| (file.clone(), entry))),
            Err(found) => findings.append(found),
        }
    }
    if findings.has_errors() {
        return Err(Failure::Findings(findings));
    }
    if let Some(name) = &args.only {
        entries.retain(|(_, entry)| entry.name == *name);
        if entries.is_empty() {
            return Err(Failure::Usage(format!("no instance is named `{name}`")));
        }
    }
    Ok(entries)
}

/// What becomes of the instances.
#[derive(Default)]
struct Outcome {
    lines: Vec<Line>,
    plans: Vec<Verified<Plan>>,
    certificates: Vec<Certificate>,
    refused: bool,
}

fn all(args: &Args, entries: &[(String, Entry)], stop: &Stop) -> Result<Exit, Failure> {
    let mut outcome = Outcome::default();
    for (file, entry) in entries {
        if stop.asked() {
            break;
        }
        output::findings(&entry.findings, Loudness::default());
        match &entry.instance {
            Some(instance) => {
                let (choices, priced) = (entry.choices.as_slice(), entry.priced);
                let asked = Asked { file, instance, choices, priced };
                one(args, asked, stop, &mut outcome)?;
            }
            None => refuse(args, &entry.name, &mut outcome)?,
        }
    }
    if !args.json {
        output::data(&table(&outcome.lines))?;
        if let Some(taken) = taken(&outcome.lines) {
            output::data(&format!("\n{taken}"))?;
        }
    }
    if let Some(path) = &args.plan {
        let plans: Vec<&Plan> = outcome.plans.iter().map(|plan| &**plan).collect();
        save(path, &plans)?;
    }
    if let Some(path) = &args.certificate {
        save(path, &outcome.certificates)?;
    }
    Ok(match (outcome.lines.is_empty(), outcome.refused) {
        (true, _) => Exit::Stopped,
        (_, true) => Exit::Findings,
        (_, false) => Exit::Done,
    })
}

fn refuse(args: &Args, name: &str, outcome: &mut Outcome) -> Result<(), Failure> {
    outcome.refused = true;
    tell(args, Line::refused(name), outcome)
}

/// What is to be nested.
#[derive(Clone, Copy)]
struct Asked<'a> {
    file: &'a str,
    instance: &'a Instance,
    choices: &'a [Choice],
    /// Whether each of its rolls has a price.
    priced: bool,
}

/// What comes of it.
struct Answer {
    /// The instance with its choices made.
    instance: Instance,
    nesting: Nesting,
    taken: Vec<Taken>,
}

impl Asked<'_> {
    fn solve(&self, options: &Options, watch: &dyn Watch) -> Result<Answer, NestError> {
        let instance = self.instance;
        if self.choices.is_empty() {
            let nesting = nest::solve_offers(instance, options, watch)?;
            let nesting = nest::drawn_less(instance, nesting, options, watch);
            return Ok(Answer { instance: instance.clone(), nesting, taken: Vec::new() });
        }
        let groups: Vec<Group> = self.choices.iter().map(Choice::group).collect();
        let materials = std::slice::from_ref(instance);
        let listing = Listing { materials, groups: &groups, limit: 0 };
        let mut chosen = solve_listed(&listing, options, watch)?;
        let (Some(instance), Some(nesting)) = (chosen.instances.pop(), chosen.nestings.pop())
        else {
            return Err(NestError::NoRolls);
        };
        let taken = self.choices.iter().zip(&chosen.taken).flat_map(|(choice, taken)| {
            choice.ways.iter().zip(taken).filter(|&(_, &n)| n > 0).map(|(way, &quantity)| {
                let (choice, way) = (choice.id.clone(), way.id.clone());
                Taken { choice, way, quantity }
            })
        });
        Ok(Answer { taken: taken.collect(), instance, nesting })
    }
}

/// Nests one instance.
fn one(args: &Args, asked: Asked<'_>, stop: &Stop, outcome: &mut Outcome) -> Result<(), Failure> {
    let Asked { file, instance, choices, priced } = asked;
    let started = Instant::now();
    let show = Show::suiting(args.json, false);
    let board = Board::new(show);
    board.begin(&[(instance.name.clone(), instance.objective)]);
    let news = |news: &nest::News<'_>| board.news(0, news);
    let clock = Clock::start(args.effort.seconds, stop, &news);
    let answer = asked.solve(&args.effort.options(), &clock);
    board.end();
    let answer = match answer {
        Ok(answer) => answer,
        Err(why) => {
            let mut findings = Findings::new();
            let remedy = "see the rolls, the pieces and the cutting of this instance";
            let place = Place::file(file).field(instance.name.clone(), None);
            findings.push(Finding::new(&codes::NO_ANSWER, place, why.to_string(), remedy));
            output::findings(&findings, Loudness::default());
            return refuse(args, &instance.name, outcome);
        }
    };
    outcome.certificates.push(Certificate::of(&answer.instance, &answer.nesting));
    let wanted = Wanted { choices: choices.to_vec(), ..Wanted::from(instance) };
    let plan = checked(args, &wanted, answer)?;
    let line = Line::of(&plan, started.elapsed());
    tell(args, Line { price: line.price.filter(|_| priced), ..line }, outcome)?;
    if args.plan.is_some() {
        outcome.plans.push(plan);
    }
    Ok(())
}

/// The plan, audited. A plan that fails is a defect of this program and is saved.
fn checked(args: &Args, wanted: &Wanted, answer: Answer) -> Result<Verified<Plan>, Failure> {
    let program = args.effort.program();
    let nested = [(Wanted::from(&answer.instance), answer.nesting)];
    let mut plan = plan::assemble(&wanted.name, program, Vec::new(), &nested, Vec::new(), None)
        .map_err(Failure::defect)?;
    plan.taken = answer.taken;
    audit::verify(plan, std::slice::from_ref(wanted), None).map_err(|failed| {
        let folder = args.plan.as_deref().and_then(Path::parent).unwrap_or(Path::new(""));
        let path = folder.join("rejected.json");
        let place = match save(&path, &failed.plan) {
            Ok(()) => format!("; the plan was saved as {}", path.display()),
            Err(_) => String::new(),
        };
        Failure::Audit(format!(
            "the plan for `{}` did not pass its audit. This is a defect of the program: please \
             report it with the instance{place}\n{failed}",
            wanted.name
        ))
    })
}

fn tell(args: &Args, line: Line, outcome: &mut Outcome) -> Result<(), Failure> {
    if args.json {
        let text = serde_json::to_string(&line)
            .map_err(|e| Failure::System(format!("the answer has no form in JSON: {e}")))?;
        output::data(&(text + "\n"))?;
    }
    outcome.lines.push(line);
    Ok(())
}

fn table(lines: &[Line]) -> String {
    let mut table =
        Table::new(&["instance", "value", "bound", "gap %", "status", "rolls", "seconds"]);
    let text = |value: Option<String>| Cell::text(value.unwrap_or_else(|| "-".to_owned()));
    for line in lines {
        let both = line.value.zip(line.bound);
        table.push(vec![
            Cell::text(line.name.clone()),
            text(line.value.map(|v| v.to_string())),
            text(line.bound.map(|b| b.to_string())),
            text(both.and_then(|(value, bound)| gap_per_cent(value, bound))),
            Cell::text(line.status),
            text(line.rolls.map(|r| r.to_string())),
            text(line.seconds.map(|s| format!("{s:.3}"))),
        ]);
    }
    table.aligned()
}

/// The ways taken, where there were choices.
fn taken(lines: &[Line]) -> Option<String> {
    let mut table = Table::new(&["instance", "choice", "way", "things"]);
    let mut any = false;
    for line in lines {
        for taken in &line.choices {
            any = true;
            table.push(vec![
                Cell::text(line.name.clone()),
                Cell::text(taken.choice.clone()),
                Cell::text(taken.way.clone()),
                Cell::Count(taken.quantity),
            ]);
        }
    }
    any.then(|| table.aligned())
}

/// Writes JSON to a file in one go: beside it first, then under its name.
fn save<T: serde::Serialize + ?Sized>(path: &Path, value: &T) -> Result<(), Failure> {
    let text = serde_json::to_string(value)
        .map_err(|e| Failure::System(format!("{} has no form in JSON: {e}", path.display())))?;
    super::folder::save(path, (text + "\n").as_bytes())
}
