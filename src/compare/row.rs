//! What matters of each option, in one row; what it costs against the base.

use super::change;
use super::choice::{Choice, Part};
use super::nests::Nests;
use super::solve::{Setup, Solved, Trouble, assembled, priced, sheets};
use crate::audit::Verified;
use crate::cost::RatesAre;
use crate::cost::rates::Kind;
use crate::cost::share;
use crate::demand::Demand;
use crate::finding::codes::cost as codes;
use crate::finding::{Finding, Findings, Place, Severity};
use crate::nest::{News, Options, Status, Watch};
use crate::plan::{Plan, Wanted};
use crate::rules::KEYS;
use crate::stock;
use crate::table::quoted;
use crate::units::{Area, Decimal, Length, Money};
use rayon::prelude::*;
use std::collections::BTreeMap;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicBool, Ordering};

/// What the job without any option is called beside the options.
pub const AS_IT_STANDS: &str = "as it stands";

/// What matters of a solved job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Figures {
    /// Rolls bought, by thickness.
    pub rolls: Vec<(Option<Length>, u64)>,
    /// Offcuts taken from the shelf.
    pub offcuts: u64,
    /// Price of the rolls.
    pub blanket: Money,
    /// Freight.
    pub freight: Money,
    /// Cutting.
    pub cutting: Money,
    /// Wrapping and ties.
    pub wrapping: Money,
    /// Whether labour is counted by rates that were given.
    pub rates: RatesAre,
    /// Everything.
    pub total: Money,
    /// Area of all rolls cut.
    pub area: Area,
    /// What of it is neither a piece that was wanted nor kept.
    pub waste: Area,
    /// Circumferential joints along all runs.
    pub joints: u64,
    /// Pieces.
    pub pieces: u64,
    /// Whether the order is proven.
    pub status: Status,
    /// The plan's value and bound, in its objective's unit.
    pub value: Decimal,
    /// See `value`.
    pub bound: Decimal,
}

/// One option's outcome.
#[derive(Clone, Debug)]
pub struct Row {
    /// The option's name.
    pub name: String,
    /// What it sets.
    pub settings: Vec<(String, String)>,
    /// What came out, or why nothing did.
    pub outcome: Result<Figures, String>,
    /// What is to be known beside the figures, in words; most often nothing.
    pub notes: Vec<String>,
}

/// Options beside the base.
#[derive(Clone, Debug)]
pub struct Comparison {
    /// The job's name.
    pub name: String,
    /// The currency as it was given; may be empty.
    pub currency: String,
    /// The job as it stands.
    pub base: Figures,
    /// What is to be known of it, such as spares that cannot be had.
    pub notes: Vec<String>,
    /// The options, in their order.
    pub rows: Vec<Row>,
}

impl Comparison {
    /// What an outcome costs beyond the base.
    #[must_use]
    pub fn against(&self, figures: &Figures) -> Money {
        figures.total - self.base.total
    }

    /// The rows, dearest change first: what matters most for the price.
    #[must_use]
    pub fn by_weight(&self) -> Vec<&Row> {
        let mut rows: Vec<&Row> = self.rows.iter().collect();
        rows.sort_by_key(|row| {
            let change = row.outcome.as_ref().map_or(-1, |f| self.against(f).micros().abs());
            std::cmp::Reverse(change)
        });
        rows
    }

    /// Whether an option comes to what the job comes to as it stands, in every figure.
    #[must_use]
    pub fn is_idle(&self, row: &Row) -> bool {
        row.notes.iter().all(|note| self.notes.contains(note))
            && row.outcome.as_ref().is_ok_and(|figures| *figures == self.base)
    }
}

impl Figures {
    /// The figures of a solved job.
    #[must_use]
    pub fn of(setup: &Setup, solved: &Solved) -> Self {
        let Solved { plan, cost, demand, .. } = solved;
        let mut rolls: Vec<(Option<Length>, u64)> =
            plan.nests.iter().map(|nest| (nest.thickness, 0)).collect();
        for line in &cost.purchase.lines {
            if let Some(sum) = rolls.get_mut(line.nest) {
                sum.1 += line.count();
            }
        }
        let shelf = |name: &str| setup.stock.offcuts.iter().any(|offcut| offcut.id == name);
        let quantity: BTreeMap<&str, u64> =
            setup.takeoff.items.iter().map(|item| (item.id.as_str(), item.quantity)).collect();
        let many = |run: &crate::demand::RunJoints| {
            let each = quantity.get(run.item.as_str()).copied().unwrap_or(1);
            run.joints.len() as u64 * each
        };
        let items = || cost.items.iter().map(|item| item.amounts);
        let parts = cost.waste.iter().flat_map(|nest| &nest.parts);
        let names = crate::cost::waste::PARTS;
        let useful = [names[0], names[7]];
        Self {
            rolls,
            offcuts: plan.rolls.iter().filter(|r| shelf(&r.roll)).map(|r| r.copies).sum(),
            blanket: cost.purchase.rolls(),
            freight: cost.purchase.freight(),
            cutting: items().map(|amounts| amounts.cutting).sum(),
            rates: RatesAre::of(&cost.labour),
            wrapping: items().map(|amounts| amounts.wrapping).sum(),
            total: cost.total,
            area: cost.waste.iter().map(|nest| nest.rolls).sum(),
            waste: parts.filter(|part| !useful.contains(&part.what)).map(|part| part.area).sum(),
            joints: demand.joints.iter().map(many).sum(),
            pieces: plan.pieces.iter().map(|piece| piece.quantity).sum(),
            status: plan.status,
            value: plan.value,
            bound: plan.bound,
        }
    }

    /// All rolls bought.
    #[must_use]
    pub fn count(&self) -> u64 {
        self.rolls.iter().map(|(_, count)| count).sum()
    }

    /// The waste as a part of the area of all rolls, in per cent.
    #[must_use]
    pub fn waste_per_cent(&self) -> f64 {
        self.waste.over(self.area) * 100.0
    }
}

/// A job with an option's settings carried out.
///
/// # Errors
/// A finding on each setting that cannot be. A setting without a value is left out: that is told where it is read.
pub fn changed(base: &Setup, choice: &Choice) -> Result<Setup, Findings> {
    let mut setup = base.clone();
    let mut findings = Findings::new();
    // Names of rolls that were to be added and could not be: that they are not there is told with that.
    let mut missing: Vec<&str> = Vec::new();
    for (at, (key, value)) in choice.settings.iter().enumerate() {
        if key != "roll" && choice.settings.iter().take(at).any(|(before, _)| before == key) {
            let place = choice.place_of(at, Part::Key);
            let what = format!("{} is set twice in one option", quoted(key));
            let remedy = "leave one of the two away, or make two options of them";
            findings.push(Finding::new(&codes::OPTION, place, what, remedy));
            continue;
        }
        let part = change::at_fault(&setup, key);
        if value.is_empty() && part == Part::Value {
            continue;
        }
        if change::names(key, value).iter().any(|name| missing.contains(name)) {
            continue;
        }
        if let Err((what, remedy)) = change::set(&mut setup, key, value) {
            missing.extend(change::added(key, value));
            let place = choice.place_of(at, part);
            findings.push(Finding::new(&codes::OPTION, place, what, remedy));
        }
    }
    if !choice.whole {
        return if findings.is_empty() { Ok(setup) } else { Err(findings) };
    }
    for roll in &setup.stock.rolls {
        let least = roll.terms.minimum;
        let Some(most) = roll.available.filter(|&most| most > 0 && most < least) else { continue };
        let place = choice.place.field(choice.name.clone(), None);
        let name = quoted(&roll.id);
        let what = format!("no fewer than {least} of {name} are sold, and only {most} can be had");
        let remedy = format!("set `minimum.{0}` or `available.{0}` as well", roll.id);
        findings.push(Finding::new(&codes::OPTION, place, what, remedy));
    }
    // A roll may have taken the name of an offcut. What is only odd, such as an offcut wider than the rolls, is
    // odd in the job as it stands, and no fault of the option.
    let (rolls, offcuts) = (setup.stock.rolls.clone(), setup.stock.offcuts.clone());
    let (_, clashes) = stock::combine(rolls, offcuts);
    let clashes = clashes.iter().filter(|clash| clash.severity() == Severity::Error);
    findings.extend(clashes.map(|clash| {
        let place = choice.place.field(choice.name.clone(), None);
        Finding::new(&codes::OPTION, place, clash.what.clone(), clash.remedy.clone())
    }));
    if findings.is_empty() { Ok(setup) } else { Err(findings) }
}

/// Somebody who follows a comparison: 0 is the job as it stands, the options count from 1. Several are at work
/// side by side.
pub trait Told: Sync {
    /// Whether to wind up: see [`Watch::stop`].
    fn stop(&self) -> bool;
    /// It begins, with these options.
    fn begin(&self, _options: &[&str]) {}
    /// One of the nests of an option has a better answer or bound.
    fn news(&self, _at: usize, _news: &News<'_>) {}
    /// An option is done.
    fn end(&self, _at: usize) {}
}

/// Any watch follows a comparison, whichever option it is at.
impl<T: Watch> Told for T {
    fn stop(&self) -> bool {
        Watch::stop(self)
    }

    fn news(&self, _: usize, news: &News<'_>) {
        Watch::news(self, news);
    }
}

/// The watch of one option.
struct Following<'a> {
    told: &'a dyn Told,
    at: usize,
    /// Whether the job as it stands has no answer, so that nobody waits for the options.
    hopeless: &'a AtomicBool,
}

impl Watch for Following<'_> {
    fn stop(&self) -> bool {
        self.told.stop() || self.hopeless.load(Ordering::Relaxed)
    }

    fn news(&self, news: &News<'_>) {
        self.told.news(self.at, news);
    }
}

/// Everything that is wrong with options on a job, in their order: what was found when they were read, and what keeps
/// them from being carried out.
#[must_use]
pub fn mistakes(base: &Setup, choices: &[Choice], read: &Findings) -> Findings {
    let mut all = read.clone();
    for (at, choice) in choices.iter().enumerate() {
        all.extend(name_taken(choice, &choices[..at]));
        if let Err(found) = changed(base, choice) {
            all.append(found);
        }
    }
    let mut sorted: Vec<Finding> = all.iter().cloned().collect();
    sorted.sort_by_key(|finding| (finding.place.line, finding.place.column));
    let mut findings = Findings::new();
    findings.extend(sorted);
    findings
}

/// Solves the base and every option, side by side. What several options share is made once: their nests, and
/// their plans. What was not done to the end when somebody stopped it says so in its row.
///
/// # Errors
/// Findings where an option cannot be understood (all of them at once); any trouble with the base.
/// An option that has no answer says so in its row.
pub fn compare(
    base: &Setup,
    choices: &[Choice],
    options: &Options,
    told: &dyn Told,
) -> Result<Comparison, Trouble> {
    compare_from((base, None), choices, options, told)
}

/// As [`compare()`]; with a plan of the job, which stands for it, nothing that asks for the same nests as the job comes
/// to more than that plan.
///
/// # Errors
/// As [`compare()`].
pub fn compare_from(
    (base, plan): (&Setup, Option<&Plan>),
    choices: &[Choice],
    options: &Options,
    told: &dyn Told,
) -> Result<Comparison, Trouble> {
    let findings = mistakes(base, choices, &Findings::new());
    if findings.has_errors() {
        return Err(Trouble::Findings(findings));
    }
    let changed = choices.iter().map(|choice| changed(base, choice));
    let setups: Vec<Setup> = changed.collect::<Result<_, _>>().map_err(Trouble::Findings)?;
    let names: Vec<&str> = choices.iter().map(|choice| choice.name.as_str()).collect();
    told.begin(&names);
    let all: Vec<&Setup> = [base].into_iter().chain(&setups).collect();
    let stands = sheets(base)?;
    let others: Vec<Result<(Demand, Vec<Wanted>), Trouble>> =
        setups.par_iter().map(sheets).collect();
    let asked: Vec<_> = [Ok(stands)].into_iter().chain(others).collect();
    let with_sheets = all.iter().zip(&asked).map(|(&setup, asked)| {
        (setup, asked.as_ref().map_or(&[] as &[Wanted], |(_, sheets)| sheets.as_slice()))
    });
    let nests = Nests::new(&with_sheets.collect::<Vec<_>>()).beginning_with(plan);
    let alike = alike(&all, &asked, &nests);
    let hopeless = AtomicBool::new(false);
    let watch = |at: usize| Following { told, at, hopeless: &hopeless };
    let outcomes: Vec<OnceLock<Result<Done, Trouble>>> =
        all.iter().map(|_| OnceLock::new()).collect();
    nests.make(options, watch, |at| {
        let members = &alike[at];
        if let (Ok(first), false) = (&asked[at], members.is_empty()) {
            let plan = planned(all[at], first, (&nests, at), options, &watch(at));
            members.par_iter().for_each(|&member| {
                let done = asked[member]
                    .clone()
                    .and_then(|asked| done((base, all[member]), asked, plan.clone()?));
                if member == 0 && done.is_err() {
                    hopeless.store(true, Ordering::Relaxed);
                }
                // Every option is done once.
                let _ = outcomes[member].set(done);
                told.end(member);
            });
        } else if asked[at].is_err() {
            told.end(at);
        }
    });
    let mut outcomes = outcomes.into_iter().zip(asked).map(|(done, asked)| {
        asked.and_then(|_| done.into_inner().unwrap_or(Err(Trouble::Stopped)))
    });
    let stands = outcomes.next().unwrap_or(Err(Trouble::Stopped))?;
    let row = |(choice, done): (&Choice, Result<Done, Trouble>)| {
        let mut notes = breaks_dropped(base, choice);
        notes.extend(in_vain(choice));
        let outcome = match done {
            Ok(done) => {
                notes.extend(done.notes);
                Ok(done.figures)
            }
            Err(Trouble::Stopped) => Err("stopped before it was done".to_owned()),
            Err(trouble) => Err(trouble.to_string()),
        };
        Row { name: choice.name.clone(), settings: choice.settings.clone(), outcome, notes }
    };
    Ok(Comparison {
        name: base.name.clone(),
        currency: stands.currency,
        base: stands.figures,
        notes: stands.notes,
        rows: choices.iter().zip(outcomes).map(row).collect(),
    })
}

/// For each option those that have the same plan, itself among them; none where an earlier one has it, too.
/// What they differ in counts for the price alone.
fn alike(
    setups: &[&Setup],
    asked: &[Result<(Demand, Vec<Wanted>), Trouble>],
    nests: &Nests<'_>,
) -> Vec<Vec<usize>> {
    let mut alike: Vec<Vec<usize>> = vec![Vec::new(); setups.len()];
    for (at, one) in asked.iter().enumerate() {
        let Ok((demand, _)) = one else { continue };
        let rules = &setups[at].rules;
        let same = |&first: &usize| {
            let Some(Ok((other, _))) = asked.get(first) else { return false };
            let beside = &setups[first].rules;
            nests.same(first, at)
                && demand.joints == other.joints
                && rules.sequence == beside.sequence
                && rules.joints.stagger == beside.joints.stagger
        };
        let first = (0..at).filter(|&first| !alike[first].is_empty()).find(same);
        alike[first.unwrap_or(at)].push(at);
    }
    alike
}

/// An option's plan, from the answers to its sheets; none where they were cut short.
fn planned(
    setup: &Setup,
    (demand, sheets): &(Demand, Vec<Wanted>),
    (nests, at): (&Nests<'_>, usize),
    options: &Options,
    watch: &dyn Watch,
) -> Result<Verified<Plan>, Trouble> {
    if watch.stop() {
        return Err(Trouble::Stopped);
    }
    let answers = nests.answers(at)?;
    let nested: Vec<_> = sheets.iter().cloned().zip(answers).collect();
    let plan = assembled(setup, (demand, sheets), &nested, options, watch)?;
    // An order of cutting that was cut short would make its hours unlike those of the others.
    if watch.stop() { Err(Trouble::Stopped) } else { Ok(plan) }
}

/// An option's outcome. Only sums are wanted, so the linear programme behind the shares is left out, and all blanket
/// counts as rounding.
fn done(
    (base, setup): (&Setup, &Setup),
    asked: (Demand, Vec<Wanted>),
    plan: Verified<Plan>,
) -> Result<Done, Trouble> {
    let shares = share::unshared(&plan, &asked.1);
    let solved = priced(setup, asked, plan, shares)?;
    let mut notes = without_freight(base, setup, &solved);
    let short = crate::cost::spares(&solved.plan, &setup.stock, &setup.rules, &setup.rates);
    notes.extend(short.iter().map(|finding| finding.what.clone()));
    Ok(Done { figures: Figures::of(setup, &solved), notes, currency: solved.cost.currency })
}

/// What is kept of a solved job.
struct Done {
    figures: Figures,
    notes: Vec<String>,
    currency: String,
}

/// That an option has the name of the base, or of another that sets something else: their rows could not
/// be told apart.
fn name_taken(choice: &Choice, before: &[Choice]) -> Option<Finding> {
    let same = |other: &&Choice| other.name == choice.name && other.settings != choice.settings;
    if choice.name.is_empty() {
        return None;
    }
    let what = if choice.name.eq_ignore_ascii_case(AS_IT_STANDS) {
        format!("{} is what the job without any option is called", quoted(&choice.name))
    } else {
        before.iter().find(same)?;
        format!("there are two options called {}", quoted(&choice.name))
    };
    let remedy = "give it another name";
    Some(Finding::new(&codes::OPTION, choice.place.clone(), what, remedy))
}

/// Products whose price breaks an option's own price drops.
fn breaks_dropped(base: &Setup, choice: &Choice) -> Vec<String> {
    let mut notes = Vec::new();
    for (key, value) in &choice.settings {
        let Some(name) = key.strip_prefix("price.").filter(|_| !value.ends_with('%')) else {
            continue;
        };
        let had = base.stock.rolls.iter().any(|r| r.id == name && !r.terms.breaks.is_empty());
        let given =
            choice.settings.iter().any(|(key, _)| key.strip_prefix("breaks.") == Some(name));
        if had && !given {
            notes.push(format!("{name} without its price breaks"));
        }
    }
    notes
}

/// Products of an option that are bought and for which no freight is counted, where it is for others and
/// has a price; those without it in the job as it stands are not told.
fn without_freight(base: &Setup, setup: &Setup, solved: &Solved) -> Vec<String> {
    let counted = |roll: &stock::Roll| roll.terms.per_pallet.is_some();
    if setup.rates.of(Kind::Pallet).each == Money::ZERO || !base.stock.rolls.iter().any(counted) {
        return Vec::new();
    }
    let bought = |roll: &&stock::Roll| solved.cost.purchase.lines.iter().any(|l| l.roll == roll.id);
    let new = |roll: &&stock::Roll| {
        !base.stock.rolls.iter().any(|known| known.id == roll.id && !counted(known))
    };
    let rolls = setup.stock.rolls.iter().filter(|roll| !counted(roll)).filter(new).filter(bought);
    rolls.map(|roll| format!("no freight counted for {}: it has no per_pallet", roll.id)).collect()
}

/// The rules of what the nest may choose, which nothing here lets it do.
const CHOOSING: &str = "choose";

/// Rules that an option sets in vain, as a job is compared as specified, or as it was chosen before.
fn in_vain(choice: &Choice) -> Vec<String> {
    let keys = choice.settings.iter().map(|(key, _)| key.as_str());
    let vain: Vec<&str> = keys.filter(|key| key.split('.').next() == Some(CHOOSING)).collect();
    if vain.is_empty() {
        return Vec::new();
    }
    let vain = vain.join(", ");
    vec![format!("nothing is chosen in a comparison, so {vain} changes nothing here")]
}

/// An option for every rule and every value near its present one. What lengths in the takeoff mean is no matter of
/// choice, and what the nest may choose does not count here.
#[must_use]
pub fn sensitivity(base: &Setup) -> Vec<Choice> {
    let rules = KEYS.iter().filter(|key| !["takeoff", CHOOSING].contains(&key.section));
    rules
        .flat_map(|key| {
            key.neighbours(&base.rules).into_iter().map(|value| Choice {
                name: format!("{} = {value}", key.full()),
                settings: vec![(key.full(), value)],
                place: Place::file("--sensitivity"),
                cells: Vec::new(),
                whole: true,
            })
        })
        .collect()
}
