//! From a job to a plan that passed the audit.
//!
//! Steps: an order sheet a thickness; every sheet to the engine, several at once, each under its
//! own clock; the answers, in the order of the sheets, to one plan, in an order of cutting that is sought
//! under a clock of its own; the plan to the audit.

use super::choosing::{choose, none_chosen};
use super::clock::Clock;
use super::effort::Effort;
use super::exit::Failure;
use super::inputs::{Job, PiecesByItem};
use super::job::ROLLS;
use super::progress::{Board, Show, Told};
use super::since;
use super::stop::Stop;
use crate::audit::{self, Courses, Record, Verified};
use crate::cost::{buy, market};
use crate::demand::{self, Choices, Demand, FreeRun};
use crate::done;
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::nest::{self, Instance, NestError, Nesting, News, Status, Watch};
use crate::plan::choose::Known;
use crate::plan::{self, Choice, ChosenThing, Ordered, Plan, Wanted, WithoutShelf};
use crate::report::of_thickness;
use crate::rules::Sequence;
use crate::sequence::shop;
use crate::stock::Roll;
use crate::table::quoted;
use crate::units::{Area, joined};
use rayon::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

/// Makes a plan.
///
/// # Errors
/// Findings where the rolls on offer cannot hold the pieces; [`Failure::Rejected`] where the plan
/// does not pass the audit.
pub fn solve(
    job: &Job,
    effort: &Effort,
    show: Show,
    stop: &Stop,
) -> Result<Verified<Plan>, Failure> {
    let board = Board::new(show);
    let solved = solve_told(job, effort, &board, stop);
    board.end();
    solved
}

/// As [`solve`], and somebody of the caller's is told how it comes along.
///
/// What the thicknesses for which the shelf has something would come to without it is nested at the same
/// time, and while the plan is assembled. Where the answers with the shelf tell that ([`plan::spared`]),
/// it is taken from them, and the nests without the shelf end.
///
/// # Errors
/// As [`solve`].
pub fn solve_told(
    job: &Job,
    effort: &Effort,
    told: &dyn Told,
    stop: &Stop,
) -> Result<Verified<Plan>, Failure> {
    if stop.asked() {
        return Err(Failure::Stopped);
    }
    let effort = &effort.for_job();
    let sheets = job.sheets();
    let choosing = job.lets_choose();
    let _held = choosing.then(nest::shapes::library::remember);
    let needless = Stop::default();
    let shelf = |&at: &usize| sheets[at].rolls.iter().any(|roll| roll.shelf);
    let bare: Vec<usize> = match job.already {
        Some(_) => Vec::new(),
        None => (0..sheets.len()).filter(shelf).collect(),
    };
    let with_shelf = || {
        let nested = each(job, (&sheets, &Known::new()), effort, (told, stop));
        let spared = nested.as_ref().ok().map(|nested| {
            let one = |&at: &usize| plan::spared(&nested[at].0, &nested[at].1);
            bare.iter().map(one).collect::<Vec<_>>()
        });
        if spared.as_ref().is_none_or(|all| all.iter().all(Option::is_some)) {
            let _ = needless.ask();
        }
        let nested = nested?;
        told.step("pieces are laid on rolls; pulls are put in the order of cutting");
        let shop = (!choosing || stop.asked()).then_some(&job.rules.sequence);
        let made = assemble(job, &job.demand, &nested, shop, (effort, stop))?;
        Ok::<_, Failure>((made, nested, spared.unwrap_or_default(), shop.is_some()))
    };
    let one = |&at: &usize| without_shelf(job, &sheets[at], effort, (stop, &needless));
    let without = || bare.par_iter().map(one).collect::<Vec<_>>();
    let (solved, without) = effort.install(|| rayon::join(with_shelf, without))?;
    let (mut made, nested, spared, ordered) = solved?;
    let without = bare.iter().zip(spared).zip(without);
    let without = without.filter_map(|((&at, spared), without)| Some((at, spared.or(without)?)));
    let without: Bare = without.collect();
    told_without(&mut made, &without);
    if !ordered {
        let all = (made, nested, &without);
        return effort.install(|| choose(job, all, effort, (told, stop)))?;
    }
    if choosing && job.up_to.is_none() {
        made.choice = Some(none_chosen(job, &made));
    }
    told.step("the plan is audited");
    effort.install(|| audited(made, &sheets, job))?.map_err(Failure::Rejected)
}

/// Puts into a plan what some thicknesses would come to without the shelf.
pub fn told_without(plan: &mut Plan, without: &Bare) {
    for (at, without) in without {
        if let Some(nest) = plan.nests.get_mut(*at) {
            nest.without_shelf = Some(*without);
        }
    }
}

/// A job's plan from its nests, where `demand` is what is made; not yet audited, and without an order
/// of cutting where no rules for it are given.
///
/// # Errors
/// A defect of the program.
pub fn assembled(
    job: &Job,
    demand: &Demand,
    nested: &[(Wanted, Nesting)],
    shop: Option<&Sequence>,
    (effort, stop): (&Effort, &Stop),
) -> Result<Plan, Failure> {
    effort.install(|| assemble(job, demand, nested, shop, (effort, stop)))?
}

/// [`assembled`], on the threads that are there.
fn assemble(
    job: &Job,
    demand: &Demand,
    nested: &[(Wanted, Nesting)],
    shop: Option<&Sequence>,
    (effort, stop): (&Effort, &Stop),
) -> Result<Plan, Failure> {
    let clock = Clock::start_after(effort.seconds, stop, &|_| {});
    let sign = || clock.stop();
    let shop = shop.map(|rules| (rules, &sign as shop::Stop<'_>));
    let (inputs, joints) = (job.folder.inputs(), demand.joints.clone());
    let (name, program) = (&job.folder.name, effort.program());
    let made = plan::assemble(name, program, inputs, nested, joints, shop);
    let made = made.map_err(Failure::defect)?;
    let (rules, already) = (job.written.clone(), job.already.clone());
    let mut plan = Plan { rules, already, up_to: job.up_to, ..made };
    plan.order = order(job, &plan);
    Ok(plan)
}

/// What is bought for a plan of a job.
fn order(job: &Job, plan: &Plan) -> Vec<Ordered> {
    let spares = job.rules.order.spare_rolls;
    buy::purchase(plan, &job.stock.rolls, spares, &job.rates).order()
}

/// A job's plan from its nests, in an order of cutting by these rules, that passed the audit.
///
/// # Errors
/// As [`assembled`] and [`audited`].
pub fn checked(
    job: &Job,
    sheets: &[Wanted],
    nested: &[(Wanted, Nesting)],
    rules: &Sequence,
    (effort, stop): (&Effort, &Stop),
) -> Result<Verified<Plan>, Failure> {
    effort.install(|| {
        let made = assemble(job, job.demand(), nested, Some(rules), (effort, stop))?;
        audited(made, sheets, job).map_err(Failure::Rejected)
    })?
}

/// Tells which searches of a command's plans the clock ended, and what follows from it for what is shown.
pub fn stopped_early(searches: impl IntoIterator<Item = String>, so: &str) -> Option<Finding> {
    let all: BTreeSet<String> = searches.into_iter().collect();
    let all: Vec<String> = all.into_iter().collect();
    (!all.is_empty()).then(|| {
        let what = format!("the search was stopped before its end for {}, so {so}", joined(&all));
        let remedy = "run again, with more --seconds or without, where it matters";
        Finding::new(&codes::STOPPED_EARLY, Place::file("--seconds"), what, remedy)
    })
}

/// Checks a plan against the job alone.
///
/// # Errors
/// All that is wrong with it.
pub fn audited(
    made: Plan,
    sheets: &[Wanted],
    job: &Job,
) -> Result<Verified<Plan>, Box<audit::Failed>> {
    let stagger = job.rules.joints.stagger;
    let releases = job.rules.sequence.release;
    let choices = job.demand().choices(&job.demand().joints);
    let joints = &job.demand().joints;
    let most = job.rules.choose.joints_beyond(job.demand().free_joints());
    let further = (job.demand().further_joints(&choices), most);
    let by_item = made.choice.as_ref().map(|_| job.pieces_by_item()).unwrap_or_default();
    let pieces = |all: &BTreeMap<String, u64>| all.values().map(|&n| i128::from(n)).sum::<i128>();
    let [specified, as_made] = [&by_item[0], &by_item[1]].map(pieces);
    let most = job.rules.choose.pieces_beyond(u64::try_from(specified).unwrap_or(u64::MAX));
    let further_pieces = (as_made - specified, most);
    let order = order(job, &made);
    let record = made.choice.as_ref().map(|choice| record(job, &choices, choice, &by_item));
    let courses = Courses {
        joints,
        covers: &job.demand().covers,
        step: job.rules.resolution.cut,
        stagger,
        releases,
        order: Some(&order),
        chosen: Some(&choices),
        record: record.as_ref(),
        further,
        unchanged: since::unchanged(&made, job),
        further_pieces,
    };
    audit::verify(made, sheets, Some(&courses))
}

/// For each thing that is chosen how many pieces more than specified it takes: its own items, and those of its
/// line for which nothing is chosen, as they may follow from it.
fn further_by_thing(job: &Job, choice: &Choice, [specified, made]: &PiecesByItem) -> Vec<i64> {
    let more = |item: &str| {
        let of = |all: &BTreeMap<String, u64>| {
            i64::try_from(all.get(item).copied().unwrap_or(0)).unwrap_or(i64::MAX)
        };
        of(made) - of(specified)
    };
    let leaders = demand::leaders(&job.takeoff);
    let leaders = job.takeoff.items.iter().zip(leaders);
    let leaders: BTreeMap<&str, usize> =
        leaders.map(|(item, leader)| (item.id.as_str(), leader)).collect();
    let makings = choice.makings();
    let mut rest: BTreeMap<usize, i64> = BTreeMap::new();
    for (item, leader) in leaders.iter().filter(|(item, _)| !makings.contains_key(**item)) {
        *rest.entry(*leader).or_default() += more(item);
    }
    let of = |thing: &ChosenThing| {
        let own: i64 = thing.items.iter().map(|chosen| more(&chosen.item)).sum();
        let line = thing.items.first().and_then(|chosen| leaders.get(chosen.item.as_str()));
        own + line.and_then(|line| rest.get(line)).copied().unwrap_or(0)
    };
    choice.things.iter().map(of).collect()
}

/// What the record of choices must say, of a job as it is made.
fn record(job: &Job, choices: &Choices, choice: &Choice, by_item: &PiecesByItem) -> Record {
    let (specified, made) = (&job.demand, job.demand());
    let further = |run: &FreeRun| {
        let courses = choices.get(&(run.item.clone(), run.run))?;
        let joints = |courses| i64::try_from(run.joints_of_all(courses)).unwrap_or(i64::MAX);
        Some(((run.item.clone(), run.run), joints(courses) - joints(&run.specified)))
    };
    Record {
        joints_specified: joints(specified),
        pieces_specified: specified.pieces.iter().map(|piece| piece.quantity).sum(),
        joints: joints(made),
        runs: made.free.iter().filter_map(further).collect(),
        things: further_by_thing(job, choice, by_item),
    }
}

/// Joints along the free runs of a demand.
pub fn joints(demand: &Demand) -> u64 {
    let choices = demand.choices(&demand.joints);
    let of = |run: &FreeRun| {
        let key = (run.item.clone(), run.run);
        let courses = choices.get(&key).unwrap_or(&run.specified);
        run.joints_of_all(courses)
    };
    demand.free.iter().map(of).fold(0, u64::saturating_add)
}

/// The engine's answer to every sheet; where length or rolls count, no worse than pulls that are known.
///
/// # Errors
/// Findings where the rolls on offer cannot hold the pieces.
pub fn answers(
    job: &Job,
    (sheets, known): (&[Wanted], &Known),
    effort: &Effort,
    told: &dyn Told,
    stop: &Stop,
) -> Result<Vec<(Wanted, Nesting)>, Failure> {
    effort.install(|| each(job, (sheets, known), effort, (told, stop)))?
}

/// [`answers`], on the threads that are there.
fn each(
    job: &Job,
    (sheets, known): (&[Wanted], &Known),
    effort: &Effort,
    (told, stop): (&dyn Told, &Stop),
) -> Result<Vec<(Wanted, Nesting)>, Failure> {
    let instances: Vec<Instance> = sheets.iter().map(Wanted::instance).collect();
    let names: Vec<_> = instances.iter().map(|i| (i.name.clone(), i.objective)).collect();
    told.begin(&names);
    let options = effort.options();
    let one = |(at, sheet): (usize, &Wanted)| {
        let tell = |news: &News<'_>| told.news(at, news);
        let clock = Clock::start(effort.seconds, stop, &tell);
        let known = known.get(&sheet.thickness).map_or(&[][..], Vec::as_slice);
        let market = (&job.stock, &job.rates);
        let answer = market::nested_from((sheet, known), market, &options, &clock);
        (answer, clock.stop())
    };
    let answers: Vec<(Result<Nesting, NestError>, bool)> =
        sheets.par_iter().enumerate().map(one).collect();
    told.end();
    let mut findings = Findings::new();
    let mut nested = Vec::with_capacity(sheets.len());
    let mut stopped = false;
    for (sheet, (answer, ended)) in sheets.iter().zip(answers) {
        match no_worse_than_before(job, sheet, answer, (effort, stop)) {
            Ok(nesting) => nested.push((sheet.clone(), nesting)),
            // What was ended says nothing about whether the rolls are enough.
            Err(NestError::NotEnoughRolls { missing }) if ended && !too_few(sheet) => {
                stopped |= stop.asked();
                findings.push(late(sheet, job, missing, effort));
            }
            Err(why) => {
                let enough = enough(sheet, job, (effort, stop), &why);
                findings.push(refusal(sheet, job, &why, enough.as_deref()));
            }
        }
    }
    match findings {
        found if found.is_empty() => Ok(nested),
        found if stopped && found.iter().all(|f| f.code.id == codes::OUT_OF_TIME.id) => {
            Err(Failure::Stopped)
        }
        found => Err(Failure::Findings(found)),
    }
}

/// Whether the rolls on offer have less area than the pieces.
fn too_few(sheet: &Wanted) -> bool {
    let pieces = sheet.pieces.iter().map(|piece| piece.area() * i128::from(piece.quantity));
    let roll = |roll: &plan::wanted::Roll| {
        Some(Area::of_rectangle(roll.width, roll.length?) * i128::from(roll.available?))
    };
    let rolls: Option<Vec<Area>> = sheet.rolls.iter().map(roll).collect();
    rolls.is_some_and(|rolls| pieces.sum::<Area>() > rolls.into_iter().sum())
}

/// That time ran out before there was a plan for a thickness.
fn late(sheet: &Wanted, job: &Job, missing: u64, effort: &Effort) -> Finding {
    let thickness = of_thickness(sheet.thickness);
    let seconds = effort.seconds.map_or_else(String::new, |s| format!(" of {s} s (--seconds)"));
    Finding::new(
        &codes::OUT_OF_TIME,
        Place::file(job.folder.name_of(ROLLS)),
        format!(
            "{thickness}the time{seconds} ran out before a way was found to cut all pieces from the \
             rolls on offer; the best try left {missing} over, and more time may find a way"
        ),
        "give more --seconds, or leave it away, so that the work limit ends the search; with more rolls \
         on offer (`available`) a way is found sooner",
    )
}

/// The share of the work that goes into pieces that the plan before does not give.
const OF_MISSING: u64 = 5;

/// An answer, or what is left of the plan that the job goes on from, with what it does not give, where that costs less.
fn no_worse_than_before(
    job: &Job,
    sheet: &Wanted,
    answer: Result<Nesting, NestError>,
    (effort, stop): (&Effort, &Stop),
) -> Result<Nesting, NestError> {
    let Some(before) = &job.before else { return answer };
    let (plan, done) = &**before;
    if answer.as_ref().is_ok_and(|answer| answer.status == Status::Proven) {
        return answer;
    }
    let missing = |missing: &Wanted| {
        let clock = Clock::start_after(effort.seconds, stop, &|_| {});
        let options = effort.options();
        let options = nest::Options { work: options.work / OF_MISSING, ..options };
        nest::solve_offers(&missing.instance(), &options, &clock).ok()
    };
    let Some(layouts) = done::standing(plan, done, sheet).completed(sheet, missing) else {
        return answer;
    };
    let old = Nesting::known(&sheet.instance(), layouts);
    Ok(Nesting::no_worse_than(answer, old))
}

/// What some thicknesses, by number, come to without the shelf.
pub type Bare = Vec<(usize, WithoutShelf)>;

/// What a thickness would come to without the shelf; `None` where the rolls on offer cannot hold it.
fn without_shelf(
    job: &Job,
    sheet: &Wanted,
    effort: &Effort,
    (stop, needless): (&Stop, &Stop),
) -> Option<WithoutShelf> {
    let rolls = sheet.rolls.iter().filter(|roll| !roll.shelf).cloned().collect();
    let sheet = Wanted { rolls, ..sheet.clone() };
    let clock = Clock::start(effort.seconds, stop, &|_| {});
    let watch = Unless { clock, needless };
    let market = (&job.stock, &job.rates);
    let nesting = market::valued((&sheet, &[]), market, &effort.options(), &watch).ok()?;
    let objective = sheet.instance().objective;
    let decimal = |value| objective.decimal(value);
    let (value, bound) = (decimal(nesting.value), decimal(nesting.bound));
    Some(WithoutShelf { value, bound })
}

/// A clock that stops as well when its nest is needed no more.
struct Unless<'a> {
    clock: Clock<'a>,
    needless: &'a Stop,
}

impl Watch for Unless<'_> {
    fn stop(&self) -> bool {
        self.needless.asked() || self.clock.stop()
    }

    fn news(&self, news: &News<'_>) {
        self.clock.news(news);
    }

    fn gone(&self) -> f64 {
        self.clock.gone()
    }
}

/// With how many rolls there is a plan where `available` limits none of them, in words; `None` where
/// that was not the trouble, or none is found.
fn enough(
    sheet: &Wanted,
    job: &Job,
    (effort, stop): (&Effort, &Stop),
    why: &NestError,
) -> Option<String> {
    if !matches!(why, NestError::NotEnoughRolls { .. }) {
        return None;
    }
    let mut free = sheet.clone();
    for roll in free.rolls.iter_mut().filter(|roll| !roll.shelf) {
        roll.available = None;
    }
    let clock = Clock::start(effort.seconds, stop, &|_| {});
    let nesting = nest::solve(&free.instance(), &effort.options(), &clock).ok()?;
    let of = |at: usize| -> u64 {
        nesting.layouts.iter().filter(|layout| layout.roll == at).map(|layout| layout.copies).sum()
    };
    // `available` counts what was bought before.
    let bought = |id: &str| -> u64 {
        job.already.as_ref().and_then(|already| already.bought.get(id)).copied().unwrap_or(0)
    };
    let rolls = free.rolls.iter().enumerate().filter(|(_, roll)| !roll.shelf);
    let needed: Vec<(u64, &str)> = rolls
        .map(|(at, roll)| (of(at), roll.id.as_str()))
        .filter(|(count, _)| *count > 0)
        .collect();
    let words: Vec<String> =
        needed.iter().map(|(count, id)| format!("{} of {id}", count + bought(id))).collect();
    let in_all = if needed.iter().any(|(_, id)| bought(id) > 0) {
        ", those bought before among them,"
    } else {
        ""
    };
    Some(format!(" ({}{in_all} would do)", words.join(" and ")))
}

/// Why there is no plan for a thickness, as a finding on the rolls.
fn refusal(sheet: &Wanted, job: &Job, why: &NestError, enough: Option<&str>) -> Finding {
    let thickness = sheet.thickness.map_or_else(String::new, |t| format!("{t} mm: "));
    let (code, remedy) = match why {
        NestError::NotEnoughRolls { .. } => {
            (&codes::NOT_ENOUGH_ROLLS, job.stock.more(sheet.thickness, enough.unwrap_or_default()))
        }
        _ => (
            &codes::CANNOT_NEST,
            "see the rolls of this thickness and the table's rules".to_owned(),
        ),
    };
    let place = match (why, job.stock.limit(sheet.thickness)) {
        (NestError::NotEnoughRolls { .. }, Some(place)) => place,
        _ => Place::file(job.folder.name_of(ROLLS)),
    };
    let mut what = format!("{thickness}{why}");
    if let (NestError::NotEnoughRolls { .. }, Some(already)) = (why, &job.already) {
        let bought = |roll: &Roll| already.bought.get(&roll.id).copied().filter(|&n| n > 0);
        let limited = job
            .stock
            .rolls
            .iter()
            .filter(|roll| Some(roll.thickness) == sheet.thickness && roll.available.is_some());
        for (roll, bought) in limited.filter_map(|roll| Some((roll, bought(roll)?))) {
            let name = quoted(&roll.id);
            let left = roll.available.unwrap_or(0);
            let _ = write!(
                what,
                "; of {name} {bought} were bought before (`available` counts them), and {left} can be had"
            );
        }
    }
    Finding::new(code, place, what, remedy)
}
