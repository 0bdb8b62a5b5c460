//! Going on from an earlier plan: `--from PLAN --done FILE`.
//!
//! Steps: read the earlier plan; read what was done by it; what is on hand then, with what the
//! takeoff changed; take that off the job's demand and put the rest of the rolls on its shelf.

use super::audit;
use super::exit::Failure;
use super::folder::PLAN;
use super::inputs::Job;
use super::output::word;
use super::reading::{self, LARGEST};
use super::{since, standing};
use crate::cost::{Purchase, buy};
use crate::done::{self, Done, Ground};
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Findings, Place};
use crate::plan::{self, Plan, digest};
use crate::stock::Roll;
use crate::table::quoted;
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;

/// Files that are written together differ by less.
const AT_ONCE: Duration = Duration::from_secs(2);

/// Where to go on from.
#[derive(Clone, Debug, Default, clap::Args)]
pub struct From {
    /// Go on from this plan of the job: what is cut stays cut, what is left of its rolls is used
    #[arg(id = "from", long = "from", value_name = "PLAN")]
    plan: Option<PathBuf>,
    /// What was done by that plan (CSV: ticket, what, pull, from, to, length, piece, quantity, note)
    #[arg(long, value_name = "FILE", requires = "from")]
    done: Option<PathBuf>,
    /// Rolls of that plan are bought as they are begun (with spares and what a minimum order adds); the
    /// others are not bought yet
    #[arg(long, requires = "from")]
    as_needed: bool,
}

impl From {
    /// From this plan, by this report of what was done.
    pub const fn of(plan: PathBuf, done: PathBuf) -> Self {
        Self { plan: Some(plan), done: Some(done), as_needed: false }
    }

    /// Whether anything is to be gone on from.
    #[must_use]
    pub const fn is_given(&self) -> bool {
        self.plan.is_some()
    }

    /// Checks that what is written into a folder does not replace the plan that is gone on from: the new one rests
    /// on it, and the shop cuts by its tickets.
    ///
    /// # Errors
    /// It would.
    pub fn is_kept(&self, out: &Path, job: &Path) -> Result<(), Failure> {
        let Some(plan) = &self.plan else { return Ok(()) };
        let same = plan.canonicalize().ok().zip(out.join(PLAN).canonicalize().ok());
        if same.is_none_or(|(from, there)| from != there) {
            return Ok(());
        }
        let free =
            (2..=999_u32).map(|number| job.join(format!("out{number}"))).find(|f| !f.exists());
        let free = free.map_or_else(String::new, |free| format!(", such as --out {}", word(&free)));
        Err(Failure::Usage(format!(
            "{} holds the plan that is gone on from, which a new one would replace together with the tickets that the \
             shop cuts by: name another folder{free}",
            out.display()
        )))
    }

    /// Checks that a plan that has another ground was not made with `--as-needed` where that is left out, or the
    /// other way round.
    ///
    /// # Errors
    /// It was.
    pub fn as_it_was_made(&self, job: Job, plan: &Plan) -> Result<(), Failure> {
        let other = Self { as_needed: !self.as_needed, ..self.clone() };
        // The plan was looked at when it was applied as it is named.
        if other.gone_on(job, |_, _, _| None)?.already != plan.already {
            return Ok(());
        }
        Err(Failure::Usage(if self.as_needed {
            "the plan was made without --as-needed: leave it out here as well".to_owned()
        } else {
            "the plan was made with --as-needed: give it here as well".to_owned()
        }))
    }

    /// The job as it stands after what was done; as it was where nothing is named.
    ///
    /// # Errors
    /// A plan that cannot be read, or findings on what was done.
    pub fn apply(&self, job: Job) -> Result<Job, Failure> {
        self.gone_on(job, does_not_stand)
    }

    /// The same, and what `looked` finds of the plan.
    fn gone_on(
        &self,
        mut job: Job,
        looked: impl FnOnce(&Path, &Plan, &Job) -> Option<Finding>,
    ) -> Result<Job, Failure> {
        let Some(path) = &self.plan else { return Ok(job) };
        let (plan, bytes) = audit::read(path)?;
        of_the_job(path, &plan, &job)?;
        let wrong = looked(path, &plan, &job);
        let done = match &self.done {
            Some(file) => read_done(file, &plan)?,
            None => Done::default(),
        };
        let (bought, spares) = if self.as_needed {
            // As many could be had as before that plan.
            let mut rolls = job.stock.rolls.clone();
            if let Some(already) = &plan.already {
                plan::left_to_buy(&mut rolls, &already.bought);
            }
            let (purchase, bought) = as_begun(&plan, &done, (&rolls, &job));
            (bought, purchase.spares())
        } else {
            (done::ordered(&plan), done::spares(&plan))
        };
        let ground = Ground {
            digest: &digest(&bytes),
            rules: &job.rules,
            measure: job.papers.measure,
            bought: &bought,
            spares: &spares,
        };
        let mut already = done::on_hand(&plan, &done, &ground);
        already.chosen = job.chosen_by(&plan);
        job.keep_chosen(&mut already.chosen);
        already.told.extend(changed(&plan, &job));
        let withdrawn = withdrawn(&job, &bought);
        let mut job = job.going_on(already);
        job.findings.extend(withdrawn);
        job.findings.extend(wrong);
        job.findings.extend(since::unfinished(path));
        let by_age = self.done.as_ref().filter(|_| !done.marked);
        job.findings.extend(by_age.and_then(|done| older(done, path)));
        job.before = Some(Arc::new((plan, done)));
        Ok(job)
    }
}

/// Tells that a plan does not stand though nothing has changed since it was made, by this version.
fn does_not_stand(path: &Path, plan: &Plan, job: &Job) -> Option<Finding> {
    if plan.program.version != env!("CARGO_PKG_VERSION") || !since::unchanged(plan, job) {
        return None;
    }
    let mut then = job.clone();
    then.keep_up_to(plan.up_to);
    let failures = standing::checked(&then.of_plan(plan), plan.clone()).err()?;
    let first = failures.first().map_or("", |sentence| sentence.trim_end_matches('.'));
    let more = failures.len().saturating_sub(1);
    let more = if more > 0 { format!(", and {more} more") } else { String::new() };
    let path = path.display().to_string();
    let what = format!(
        "it does not stand, though nothing that it was made from has changed: {first}{more}"
    );
    let remedy = "take the plan as it was made, or make what is on hand a shelf of its own in offcuts.csv; `rollwright audit` \
                  on it tells all";
    Some(Finding::new(&codes::GROUND_WRONG, Place::file(path), what, remedy))
}

/// Tells that a report was changed last before its plan was written, which may have replaced the one it is of.
fn older(done: &Path, plan: &Path) -> Option<Finding> {
    is_older(done, plan).then(|| {
        let what = format!(
            "it was changed last before {} was written, which may have replaced the plan that was cut by",
            word(plan)
        );
        let remedy = "check that its tickets are those of that plan; where the takeoff, rolls or rules changed in between, \
                      name the plan that was cut by, or write the report anew";
        Finding::new(&codes::OLDER_THAN_PLAN, Place::file(done.display().to_string()), what, remedy)
    })
}

/// Whether a report was changed last before its plan was written.
pub(super) fn is_older(done: &Path, plan: &Path) -> bool {
    let written = |path: &Path| std::fs::metadata(path).ok()?.modified().ok();
    let (Some(plan), Some(done)) = (written(plan), written(done)) else { return false };
    plan.duration_since(done).is_ok_and(|since| since > AT_ONCE)
}

/// Refuses a plan that cuts for none of the job's items.
fn of_the_job(path: &Path, plan: &Plan, job: &Job) -> Result<(), Failure> {
    let mut items = plan.kits().into_keys().peekable();
    let own: BTreeSet<&str> = job.takeoff.items.iter().map(|item| item.id.as_str()).collect();
    if items.peek().is_none() || items.any(|item| own.contains(item)) {
        return Ok(());
    }
    let what = format!(
        "it is the plan of {}, and cuts for none of the items of this job",
        quoted(&plan.name)
    );
    let remedy = "name a plan of this job; where all items were renamed, give one its old name; what another job left is \
                  entered in offcuts.csv";
    let mut findings = Findings::new();
    let place = Place::file(path.display().to_string());
    findings.push(Finding::new(&codes::OTHER_ITEMS, place, what, remedy));
    Err(Failure::Findings(findings))
}

/// Tells products that were bought and are no longer on offer, so that no course is laid out for them, where
/// narrower ones of their thickness are.
fn withdrawn(job: &Job, bought: &BTreeMap<String, u64>) -> Vec<Finding> {
    let rolls = &job.stock.rolls;
    // Courses are as wide as the widest on offer, or for any where there is none.
    let narrower = |than: &Roll| {
        let offered = rolls.iter().filter(|r| r.is_laid_out_for() && r.thickness == than.thickness);
        offered.map(|r| r.width).max().is_some_and(|widest| widest < than.width)
    };
    let gone = |roll: &&Roll| !roll.offered && roll.courses && narrower(roll);
    let had = |roll: &Roll| bought.get(&roll.id).copied().filter(|count| *count > 0);
    let told = |(roll, count): (&Roll, u64)| {
        let what = format!(
            "{count} of {} were bought, and with 0 available courses are laid out for narrower rolls: pieces have other \
             sizes than those that are cut",
            quoted(&roll.id)
        );
        let remedy = format!(
            "write {count} into `available`, which buys no more and leaves the courses as they are; leave 0 where \
             none of it is to be used"
        );
        Finding::new(&codes::ON_HAND_NOT_LAID, roll.place.field("available", None), what, remedy)
    };
    rolls.iter().filter(gone).filter_map(|roll| Some((roll, had(roll)?))).map(told).collect()
}

/// What is bought where rolls of a plan are bought as they are begun, from what was on offer for it; and
/// how many of each product that is, those included that are no longer on offer.
pub(super) fn as_begun(
    plan: &Plan,
    done: &Done,
    (rolls, job): (&[Roll], &Job),
) -> (Purchase, BTreeMap<String, u64>) {
    let begun = done::begun(plan, done);
    let spares = job.rules.order.spare_rolls;
    let purchase = buy::purchase_of(plan, &begun, rolls, (spares, &job.rates));
    let mut bought: BTreeMap<String, u64> =
        purchase.lines.iter().map(|line| (line.roll.clone(), line.count())).collect();
    for ((_, name), count) in begun {
        bought.entry(name.to_owned()).or_insert(count);
    }
    (purchase, bought)
}

/// What the takeoff changed of what a plan is for, and which products it ordered that rolls.csv has no more.
pub(super) fn changed(plan: &Plan, job: &Job) -> Vec<String> {
    let mut job = job.clone();
    job.keep_up_to(plan.up_to);
    let mut told = done::differences(plan, &job.demand);
    let earlier = plan.already.iter().flat_map(|already| already.bought.keys().map(String::as_str));
    let names: BTreeSet<&str> =
        plan.order.iter().map(|line| line.roll.as_str()).chain(earlier).collect();
    let known = |name: &&str| job.stock.rolls.iter().any(|roll| roll.id == *name);
    let gone: Vec<&str> = names.into_iter().filter(|name| !known(name)).collect();
    if !gone.is_empty() {
        told.push(format!(
            "ordered before and no longer in rolls.csv: {} (where a product was only renamed, what was \
             bought of it no longer counts against its `available`: write how many can still be had)",
            gone.join(", ")
        ));
    }
    told
}

fn read_done(file: &Path, plan: &Plan) -> Result<Done, Failure> {
    let bytes = reading::file(file, LARGEST)?;
    let (done, findings) = done::read(&file.display().to_string(), &bytes, plan);
    done.ok_or(Failure::Findings(findings))
}
