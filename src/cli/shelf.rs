//! `rollwright shelf`: the ledger of offcuts.

use super::exit::{Exit, Failure};
use super::inputs::Job;
use super::reading::{self, LARGEST_OF_OURS};
use super::{audit, folder, job, output, since, standing, stop};
use crate::finding::codes::shelf as codes;
use crate::finding::{Finding, Findings, Place};
use crate::plan::set_out::as_cut;
use crate::plan::wanted::Keep;
use crate::plan::{OnHand, Plan, digest};
use crate::report::{Cell, Document, Table};
use crate::shelf::{
    BOOKINGS, Booked, Booking, Entry, HISTORY, Kept, Ledger, Lent, New, ON_SHELF, Restored,
    ShelfError, Wanted,
};
use crate::table::{nearest, quoted};
use crate::units::Length;
use clap::Subcommand;
use serde::Serialize;
use std::fmt::Write as _;
use std::path::{Path, PathBuf};

/// The ledger of offcuts that lie on the shelf
#[derive(Clone, Debug, clap::Args)]
#[command(after_help = "\
Examples:
  rollwright shelf add shelf.db --thickness 10 --width 700 --length 900 --place 'rack 2' --new-place
  rollwright shelf add shelf.db --thickness 5 --width 700 --length 900 --place 'rack 2' --name A
  rollwright shelf list shelf.db --thickness 10
  rollwright shelf lend shelf.db jobs/a
  rollwright shelf book shelf.db jobs/a jobs/a/out/plan.json --place 'rack 2'
  rollwright shelf move shelf.db S2 R7 R8 --place 'rack 3' --new-place
  rollwright shelf take shelf.db S1 --for 'patch at the boiler'
  rollwright shelf export shelf.db backup
  rollwright shelf import new.db backup

The ledger is one file. Every change holds or does not, whatever happens meanwhile.")]
pub struct Args {
    #[command(subcommand)]
    command: Command,
}

#[derive(Clone, Debug, Subcommand)]
enum Command {
    List(List),
    Add(Add),
    Take(Take),
    Move(Move),
    Lend(Lend),
    Book(Book),
    Export(Export),
    /// Read a new ledger back from the CSV files of `export`
    Import(Sheets),
}

/// List what lies on the shelf
#[derive(Clone, Debug, clap::Args)]
struct List {
    /// The ledger
    ledger: PathBuf,
    /// Only this thickness
    #[arg(long, value_parser = length)]
    thickness: Option<Length>,
    /// Only what lies at this place
    #[arg(long)]
    place: Option<String>,
    /// Also what was taken
    #[arg(long)]
    all: bool,
    /// As JSON
    #[arg(long)]
    json: bool,
}

/// Put offcuts on the shelf; makes the ledger where there is none
#[derive(Clone, Debug, clap::Args)]
struct Add {
    /// The ledger
    ledger: PathBuf,
    /// Blanket thickness, in millimetres or with a unit
    #[arg(long, value_parser = length, allow_hyphen_values = true)]
    thickness: Length,
    /// Size across the roll
    #[arg(long, value_parser = length, allow_hyphen_values = true)]
    width: Length,
    /// Size along the roll
    #[arg(long, value_parser = length, allow_hyphen_values = true)]
    length: Length,
    /// How many like it (default: 1, or as many as names are given)
    #[arg(long, value_parser = clap::value_parser!(u32).range(1..=10_000))]
    quantity: Option<u32>,
    /// Where it lies
    #[arg(long)]
    place: String,
    /// Say that the place is a new one, where nothing ever lay
    #[arg(long)]
    new_place: bool,
    /// The batch it was cut from
    #[arg(long, default_value = "")]
    batch: String,
    /// Its name; of several give each its own (--name A --name B), or only the first of a row that counts up:
    /// R7 of three is R7, R8, R9. Without one the ledger gives S1, S2, and so on
    #[arg(long)]
    name: Vec<String>,
}

/// Take offcuts off the shelf
#[derive(Clone, Debug, clap::Args)]
struct Take {
    /// The ledger
    ledger: PathBuf,
    /// Names of the offcuts
    #[arg(required = true)]
    names: Vec<String>,
    /// What they are taken for, in a few words
    #[arg(long = "for", default_value = "taken by hand")]
    what_for: String,
}

/// Move offcuts to another place on the shelf
#[derive(Clone, Debug, clap::Args)]
struct Move {
    /// The ledger
    ledger: PathBuf,
    /// Names of the offcuts
    #[arg(required = true)]
    names: Vec<String>,
    /// Where they lie from now on
    #[arg(long)]
    place: String,
    /// Say that the place is a new one, where nothing ever lay
    #[arg(long)]
    new_place: bool,
}

/// Write what lies on the shelf into a job folder, as its offcuts.csv
#[derive(Clone, Debug, clap::Args)]
struct Lend {
    /// The ledger
    ledger: PathBuf,
    /// The job folder
    job: PathBuf,
    /// Replace an offcuts.csv that holds what this ledger does not
    #[arg(long)]
    replace: bool,
}

/// Book a finished plan: the offcuts that it used go out, those that it keeps come in
#[derive(Clone, Debug, clap::Args)]
struct Book {
    /// The ledger
    ledger: PathBuf,
    /// The job folder
    job: PathBuf,
    /// The job's plan file; it is audited first
    plan: PathBuf,
    /// Where the offcuts will lie
    #[arg(long)]
    place: String,
    /// Say that the place is a new one, where nothing ever lay
    #[arg(long)]
    new_place: bool,
    /// The batch of the rolls
    #[arg(long, default_value = "")]
    batch: String,
    /// The job was cut a second time: book another plan of the same files
    #[arg(long)]
    again: bool,
    /// No later release is cut from what is left: book a plan that leaves releases out
    #[arg(long)]
    only: bool,
    /// Offcuts that the plan used and that were taken off the ledger by hand when they were cut
    #[arg(long, value_name = "NAMES", value_delimiter = ',')]
    taken: Vec<String>,
}

/// Write the whole ledger as CSV files
#[derive(Clone, Debug, clap::Args)]
struct Export {
    #[command(flatten)]
    sheets: Sheets,
    /// Replace files that hold what this ledger does not
    #[arg(long)]
    replace: bool,
}

#[derive(Clone, Debug, clap::Args)]
struct Sheets {
    /// The ledger
    ledger: PathBuf,
    /// The folder of the CSV files (history.csv and bookings.csv hold the ledger; offcuts.csv is for jobs, and is not
    /// read back, but must say the same)
    folder: PathBuf,
}

fn length(text: &str) -> Result<Length, String> {
    Length::parse(text).map_err(|e| e.to_string())
}

/// A refusal of the ledger as the command's failure: what the user can mend is a finding.
fn told(ledger: &Path, error: &ShelfError) -> Failure {
    as_found(ledger, error, "; nothing was changed")
}

/// The same, with what is to be said behind it.
fn as_found(ledger: &Path, error: &ShelfError, more: &str) -> Failure {
    let (what, remedy) = (format!("{error}{more}"), error.remedy());
    let Some(code) = error.code() else { return Failure::System(format!("{what}; {remedy}")) };
    let mut findings = Findings::new();
    findings.push(Finding::new(code, Place::file(ledger.display().to_string()), what, remedy));
    Failure::Findings(findings)
}

/// Runs the command.
///
/// # Errors
/// The ledger's refusals, and files that cannot be read or written.
pub fn run(args: &Args) -> Result<Exit, Failure> {
    match &args.command {
        Command::List(args) => list(args),
        Command::Add(args) => add(args),
        Command::Take(args) => take(args),
        Command::Move(args) => moved(args),
        Command::Lend(args) => stop::at_once(args, lend),
        Command::Book(args) => book(args),
        Command::Export(args) => stop::at_once(args, export),
        Command::Import(args) => import(args),
    }
}

#[derive(Serialize)]
struct Listed<'a> {
    offcut: &'a str,
    thickness: Length,
    width: Length,
    length: Length,
    place: &'a str,
    batch: &'a str,
    added: &'a str,
    age_days: i64,
    came_from: &'a str,
    taken: Option<&'a str>,
    taken_for: Option<&'a str>,
}

fn list(args: &List) -> Result<Exit, Failure> {
    let ledger = Ledger::open_existing(&args.ledger).map_err(|e| told(&args.ledger, &e))?;
    if let Some(place) = &args.place {
        ledger.know_place(place, false).map_err(|e| as_found(&args.ledger, &e, ""))?;
    }
    let wanted =
        Wanted { thickness: args.thickness, place: args.place.clone(), taken_too: args.all };
    let entries = ledger.list(&wanted).map_err(|e| told(&args.ledger, &e))?;
    let ages = ledger.ages(&entries).map_err(|e| told(&args.ledger, &e))?;
    if args.json {
        let rows: Vec<Listed<'_>> =
            entries.iter().zip(&ages).map(|(entry, &age)| listed(entry, age)).collect();
        output::json(&rows)?;
        return Ok(Exit::Done);
    }
    if entries.is_empty() {
        output::message("nothing of that kind lies on the shelf");
        return Ok(Exit::Done);
    }
    let mut table = Table::new(&[
        "offcut",
        "thickness mm",
        "width mm",
        "length mm",
        "place",
        "batch",
        "added",
        "age in days",
        "from",
        "taken",
    ]);
    for (entry, age) in entries.iter().zip(ages) {
        let taken = entry.taken.as_ref();
        table.push(vec![
            Cell::text(&entry.name),
            Cell::text(entry.thickness.to_string()),
            Cell::text(entry.width.to_string()),
            Cell::text(entry.length.to_string()),
            Cell::text(&entry.place),
            Cell::text(&entry.batch),
            Cell::text(&entry.added),
            Cell::text(age.to_string()),
            Cell::text(&entry.came_from),
            taken.map_or(Cell::Empty, |(day, what)| Cell::text(format!("{day} for {what}"))),
        ]);
    }
    output::data(&table.aligned())?;
    Ok(Exit::Done)
}

fn listed(entry: &Entry, age_days: i64) -> Listed<'_> {
    let taken = entry.taken.as_ref();
    Listed {
        offcut: &entry.name,
        thickness: entry.thickness,
        width: entry.width,
        length: entry.length,
        place: &entry.place,
        batch: &entry.batch,
        added: &entry.added,
        age_days,
        came_from: &entry.came_from,
        taken: taken.map(|(day, _)| day.as_str()),
        taken_for: taken.map(|(_, what)| what.as_str()),
    }
}

fn add(args: &Add) -> Result<Exit, Failure> {
    let names = names(&args.name, args.quantity)?;
    let new = |name| New {
        name,
        thickness: args.thickness,
        width: args.width,
        length: args.length,
        place: args.place.clone(),
        batch: args.batch.clone(),
    };
    let offcuts: Vec<New> = names.into_iter().map(new).collect();
    // Before a ledger is made: a refusal leaves nothing behind.
    offcuts.iter().try_for_each(New::check).map_err(|e| told(&args.ledger, &e))?;
    let mut ledger = Ledger::open(&args.ledger).map_err(|e| told(&args.ledger, &e))?;
    let day = ledger.today().map_err(|e| told(&args.ledger, &e))?;
    if !args.new_place {
        ledger.know_place(&args.place, true).map_err(|e| told(&args.ledger, &e))?;
    }
    let names = ledger.add(&day, &offcuts).map_err(|e| told(&args.ledger, &e))?;
    output::after(output::data(&(names.join("\n") + "\n")), || on_shelf(&names))?;
    Ok(Exit::Done)
}

/// The names of so many offcuts: one each, or one from which they count up, or those that the ledger gives.
fn names(given: &[String], quantity: Option<u32>) -> Result<Vec<Option<String>>, Failure> {
    let many = quantity.map_or(given.len().max(1), |quantity| quantity as usize);
    if given.is_empty() {
        return Ok(vec![None; many]);
    }
    if given.len() == many {
        return Ok(given.iter().cloned().map(Some).collect());
    }
    let row = match given {
        [first] => counted_up(first, many),
        _ => None,
    };
    row.map(|row| row.into_iter().map(Some).collect()).ok_or_else(|| {
        let names = if given.len() == 1 { "1 name".into() } else { format!("{} names", given.len()) };
        let offcuts = if many == 1 { "offcut" } else { "offcuts" };
        Failure::Usage(format!(
            "{names} for {many} {offcuts}: give as many, each with --name, or one that ends in a number, such \
             as R7, from which they count up"
        ))
    })
}

/// So many names from one that ends in a number, with as many digits where that begins with a nought.
fn counted_up(first: &str, many: usize) -> Option<Vec<String>> {
    let stem = first.trim_end_matches(|c: char| c.is_ascii_digit());
    let digits = &first[stem.len()..];
    let from: u64 = digits.parse().ok()?;
    let last = from.checked_add(many as u64)?;
    Some((from..last).map(|at| format!("{stem}{at:0width$}", width = digits.len())).collect())
}

/// So many names are told where they could not be shown; `shelf list` has all of them.
const TOLD: usize = 20;

/// That these offcuts are on the shelf, in words.
fn on_shelf(names: &[String]) -> String {
    let mut list = names.iter().take(TOLD).map(String::as_str).collect::<Vec<_>>().join(", ");
    if let Some(more @ 1..) = names.len().checked_sub(TOLD) {
        let _ = write!(list, " and {more} more");
    }
    let (are, their) = if names.len() == 1 { ("is", "its name") } else { ("are", "their names") };
    format!(
        "{list} {are} on the shelf; write {their} on, and do not add again (`shelf list` shows all)"
    )
}

fn take(args: &Take) -> Result<Exit, Failure> {
    let mut ledger = Ledger::open_existing(&args.ledger).map_err(|e| told(&args.ledger, &e))?;
    let day = ledger.today().map_err(|e| told(&args.ledger, &e))?;
    if let Err(error) = ledger.take(&day, &args.what_for, &args.names) {
        return Err(gone(&args.ledger, &ledger, &error));
    }
    output::message(&format!("{} taken off the shelf", args.names.len()));
    Ok(Exit::Done)
}

fn moved(args: &Move) -> Result<Exit, Failure> {
    let mut ledger = Ledger::open_existing(&args.ledger).map_err(|e| told(&args.ledger, &e))?;
    if !args.new_place {
        ledger.know_place(&args.place, true).map_err(|e| told(&args.ledger, &e))?;
    }
    if let Err(error) = ledger.put(&args.place, &args.names) {
        return Err(gone(&args.ledger, &ledger, &error));
    }
    output::message(&format!("{} moved to {}", args.names.len(), quoted(&args.place)));
    Ok(Exit::Done)
}

/// As [`told`]; of an offcut that never was there with the name of one that is, where it is near. Of one that was
/// taken no other is named: another hand has it, and who looks for it must know.
fn gone(file: &Path, ledger: &Ledger, error: &ShelfError) -> Failure {
    let all = Wanted { thickness: None, place: None, taken_too: false };
    let there = ledger.list(&all).unwrap_or_default();
    let names = there.iter().map(|entry| entry.name.as_str());
    let near = match error {
        ShelfError::Gone(name) => nearest(name, names),
        _ => None,
    };
    let Some(near) = near else { return told(file, error) };
    let mut findings = Findings::new();
    findings.push(Finding::new(
        &codes::GONE,
        Place::file(file.display().to_string()),
        format!("{error}; nothing was changed"),
        format!("write {} if that is meant", quoted(near)),
    ));
    Failure::Findings(findings)
}

fn lend(args: &Lend) -> Result<Exit, Failure> {
    let ledger = Ledger::open_existing(&args.ledger).map_err(|e| told(&args.ledger, &e))?;
    let sheets = ledger.export().map_err(|e| told(&args.ledger, &e))?;
    if !args.job.is_dir() {
        return Err(Failure::no_job(&args.job));
    }
    if let Some(book) = job::names_of(job::OFFCUTS)
        .into_iter()
        .skip(1)
        .find(|book| folder::there(&args.job.join(book)))
    {
        return Err(Failure::Refused(format!(
            "{} is there already, and a job has only one list of offcuts: move it away first",
            args.job.join(book).display()
        )));
    }
    let documents = [Document { name: ON_SHELF, bytes: sheets.on_shelf }];
    if !args.replace {
        only_earlier(&ledger, (&args.ledger, &args.job), &documents)?;
    }
    folder::write(&args.job, &documents)?;
    output::message(&format!("{} written from the shelf", args.job.join(ON_SHELF).display()));
    Ok(Exit::Done)
}

/// So many rolls and offcuts are entered at once, at most.
const MOST: u64 = 100_000;

fn book(args: &Book) -> Result<Exit, Failure> {
    let job = Job::read(&args.job)?;
    let (plan, bytes) = audit::read(&args.plan)?;
    made_from(&job, &plan, args)?;
    let ground = since::unchecked_ground(&args.plan, &plan);
    let left = plan.left_over();
    let (from_shelf, drawn) = (from_shelf(&job, &plan), drawn_before(&job, &plan, &left));
    let job = job.of_plan(&plan);
    let plan = standing::checked(&job, plan).map_err(|failures| {
        let list = crate::audit::summed(&failures, 10).join("\n");
        Failure::Audit(format!("the plan does not stand, so it is not booked\n{list}"))
    })?;
    for_all(&plan, args)?;
    let all = left.iter().fold(0, |sum: u64, stock| sum.saturating_add(stock.quantity));
    if all > MOST {
        return Err(Failure::Refused(format!(
            "the plan leaves {all} rolls and offcuts, and no more than {MOST} are entered at once: its file was changed, or \
             takes too much for a shelf"
        )));
    }
    let (rests, whole) = rests(&left, Keep::from(&job.rules.offcuts), args);
    let mut ledger = Ledger::open_existing(&args.ledger).map_err(|e| told(&args.ledger, &e))?;
    let day = ledger.today().map_err(|e| told(&args.ledger, &e))?;
    if !args.new_place {
        ledger.know_place(&args.place, true).map_err(|e| told(&args.ledger, &e))?;
    }
    let booked = ledger
        .book(&Booking {
            plan: &as_cut(&plan, &job.rules, job.papers.measure),
            digest: &digest(&bytes),
            again: args.again,
            by_hand: &args.taken,
            from_shelf: &from_shelf,
            taken_before: &drawn,
            rests: &rests,
            place: &args.place,
            batch: &args.batch,
            day: &day,
        })
        .map_err(|e| told(&args.ledger, &e))?;
    let mut findings = Findings::new();
    findings.extend(ground);
    output::findings(&findings, output::Loudness::ALL);
    let table = in_and_out(&booked, whole).aligned();
    output::after(output::data(&table), || {
        format!("the plan is booked, and is not booked again:\n{}", table.trim_end())
    })?;
    if let [Kept { name, .. }, _, ..] = booked.kept.as_slice() {
        output::message(&format!(
            "all that came in is booked at {}; for what is put elsewhere: rollwright shelf move {} {} --place PLACE",
            quoted(&args.place),
            output::word(&args.ledger),
            output::word(Path::new(name)),
        ));
    }
    Ok(Exit::Done)
}

/// Refuses a plan that was not made from the job's files as they are now.
fn made_from(job: &Job, plan: &Plan, args: &Book) -> Result<(), Failure> {
    if plan.inputs == job.folder.inputs() {
        return Ok(());
    }
    let mut findings = Findings::new();
    findings.push(Finding::new(
        &codes::OTHER_JOB,
        Place::file(args.plan.display().to_string()),
        format!(
            "it was not made from the files that now stand in {}; nothing was changed",
            args.job.display()
        ),
        "put the files back as they were when it was made; where the takeoff has changed since, go on from it \
         (`rollwright plan JOB --from PLAN --done FILE`) and book that plan; plan anew only what is not cut yet",
    ));
    Err(Failure::Findings(findings))
}

/// Refuses a plan that leaves releases out: the plan of a later one may cut what this one would put on the shelf.
fn for_all(plan: &Plan, args: &Book) -> Result<(), Failure> {
    let Some(last) = plan.up_to.filter(|_| !args.only) else { return Ok(()) };
    let mut findings = Findings::new();
    findings.push(Finding::new(
        &codes::PART,
        Place::file(args.plan.display().to_string()),
        format!(
            "it leaves out what comes after release {last}, whose plan may cut what it would put on the shelf; nothing \
             was changed"
        ),
        "book the job's last plan, once, with what all of them left; add --only where nothing goes on from this one",
    ));
    Err(Failure::Findings(findings))
}

/// The offcuts of the job's own list, which are the ledger's; not those on hand from an earlier plan that bear
/// such names.
fn from_shelf(job: &Job, plan: &Plan) -> Vec<String> {
    let on_hand: Vec<&str> =
        plan.already.iter().flat_map(|a| &a.stock).map(|s| s.name.as_str()).collect();
    let listed = job.stock.offcuts.iter().filter(|offcut| !on_hand.contains(&offcut.id.as_str()));
    listed.map(|offcut| offcut.id.clone()).collect()
}

/// The offcuts that earlier plans of the job took from the shelf and that do not lie there untouched.
fn drawn_before(job: &Job, plan: &Plan, left: &[OnHand]) -> Vec<Lent> {
    let stays = |name: &str| left.iter().any(|stock| stock.lies_on_shelf() && stock.name == name);
    let drawn = plan.already.iter().flat_map(|a| a.from_shelf.keys());
    let lent = |name: &String| {
        let listed = job.stock.offcuts.iter().find(|offcut| offcut.id == *name);
        let size = listed.map(|offcut| [offcut.thickness, offcut.width, offcut.length]);
        Lent { name: name.clone(), size }
    };
    drawn.filter(|name| !stays(name)).map(lent).collect()
}

/// What went out of the ledger and what came in, the last `whole` of it whole rolls.
fn in_and_out(booked: &Booked, whole: usize) -> Table {
    let headings =
        ["offcut", "what", "on its label", "thickness mm", "width mm", "length mm", "place"];
    let mut table = Table::new(&headings);
    for name in &booked.used {
        let mut row = vec![Cell::Empty; headings.len()];
        row[0] = Cell::text(name);
        row[1] = Cell::text("used, taken off the shelf");
        table.push(row);
    }
    let begun = booked.kept.len().saturating_sub(whole);
    for (at, Kept { name, label, new }) in booked.kept.iter().enumerate() {
        let what =
            if at < begun { "kept: write this name on it" } else { "a whole roll, not begun" };
        table.push(vec![
            Cell::text(name),
            Cell::text(what),
            label.as_ref().map_or(Cell::Empty, Cell::text),
            Cell::text(new.thickness.to_string()),
            Cell::text(new.width.to_string()),
            Cell::text(new.length.to_string()),
            Cell::text(&new.place),
        ]);
    }
    table
}

/// What is left on hand and comes to the shelf: rests worth keeping, then whole rolls, and how many these are.
fn rests(left: &[OnHand], keep: Keep, args: &Book) -> (Vec<(Option<String>, New)>, usize) {
    let ours = |stock: &&OnHand| {
        let begun = stock.place.starts_with("left of");
        (begun || stock.of.is_some()) && stock.is_kept(keep)
    };
    let of = |whole: bool| {
        let some = left.iter().filter(ours).filter(move |stock| stock.of.is_some() == whole);
        some.flat_map(|stock| (0..stock.quantity).map(move |_| stock))
    };
    let new = |stock: &OnHand| New {
        name: None,
        thickness: stock.thickness,
        width: stock.width,
        length: stock.length,
        place: args.place.clone(),
        batch: args.batch.clone(),
    };
    let unlabelled = |stock: &OnHand| format!("no label ({})", stock.name);
    let labelled = |stock: &OnHand| {
        let label = stock.label().map(str::to_owned);
        let begun = stock.of.is_none();
        (label.or_else(|| begun.then(|| unlabelled(stock))), new(stock))
    };
    (of(false).chain(of(true)).map(labelled).collect(), of(true).count())
}

/// Refuses to replace files that are not earlier exports of the ledger, or hold what it does not.
fn only_earlier(
    ledger: &Ledger,
    (file, into): (&Path, &Path),
    documents: &[Document],
) -> Result<(), Failure> {
    let into = folder::meant(into);
    for Document { name, .. } in documents {
        let path = into.join(name);
        if !folder::there(&path) {
            continue;
        }
        let there = reading::file(&path, LARGEST_OF_OURS)?;
        if !ledger.has_all_of(name, &there).map_err(|e| told(file, &e))? {
            return Err(Failure::Refused(format!(
                "{} holds something that this ledger does not, so it is no earlier export of it: \
                 move it away, or add --replace where it is not needed",
                path.display()
            )));
        }
    }
    Ok(())
}

fn export(args: &Export) -> Result<Exit, Failure> {
    let Export { sheets: args, replace } = args;
    if let Some(input) = job::input_in(&folder::meant(&args.folder)) {
        return Err(Failure::Refused(format!(
            "{} holds a {input}, so it is a job folder, which would read {ON_SHELF} as its own: name \
             another folder, or lend it the offcuts with `rollwright shelf lend`",
            args.folder.display()
        )));
    }
    let ledger = Ledger::open_existing(&args.ledger).map_err(|e| told(&args.ledger, &e))?;
    let sheets = ledger.export().map_err(|e| told(&args.ledger, &e))?;
    let documents = [
        Document { name: ON_SHELF, bytes: sheets.on_shelf },
        Document { name: HISTORY, bytes: sheets.history },
        Document { name: BOOKINGS, bytes: sheets.bookings },
    ];
    if !replace {
        only_earlier(&ledger, (&args.ledger, &args.folder), &documents)?;
    }
    for path in folder::write(&args.folder, &documents)? {
        output::message(&path.display().to_string());
    }
    Ok(Exit::Done)
}

fn import(args: &Sheets) -> Result<Exit, Failure> {
    let read = |name: &str| -> Result<(String, Vec<u8>), Failure> {
        let path = args.folder.join(name);
        Ok((path.display().to_string(), reading::file(&path, LARGEST_OF_OURS)?))
    };
    let (history, bookings) = (read(HISTORY)?, read(BOOKINGS)?);
    let there = folder::there(&args.folder.join(ON_SHELF));
    let on_shelf = there.then(|| read(ON_SHELF)).transpose()?;
    let mut findings = Findings::new();
    let restored = Restored::read(
        (&history.0, &history.1),
        (&bookings.0, &bookings.1),
        on_shelf.as_ref().map(|(file, bytes)| (file.as_str(), bytes.as_slice())),
        &mut findings,
    );
    let Some(restored) = restored else { return Err(Failure::Findings(findings)) };
    output::findings(&findings, output::Loudness::ALL);
    let mut ledger = Ledger::open(&args.ledger).map_err(|e| told(&args.ledger, &e))?;
    let count = ledger.import(&restored).map_err(|e| told(&args.ledger, &e))?;
    output::message(&format!("{count} offcuts read into {}", args.ledger.display()));
    Ok(Exit::Done)
}
