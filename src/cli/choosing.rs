//! Letting the nest choose, and deciding whether that pays.
//!
//! Steps: the job as specified is nested first; the nest chooses how items are made ([`Ways`]), then,
//! with that settled, where joints lie ([`Freedom`]), beginning with the pulls that stand; after each
//! the job is nested and compared. What is chosen stands only where it needs fewer or cheaper rolls, or
//! with as many at least a thousandth less blanket; else all stays as specified. At the end the plan as
//! specified and the one that stands are put in the order of cutting side by side and audited; the plan
//! records both. As specified it is the plan that is made where nothing may be chosen, in the order that the
//! rules weigh; only where pulls with which sliding began make it better it is not, and the record says so.
//! Where blanket is all that is saved, what the further work costs by `choose.hour_price` must not be more
//! than what is paid less for rolls.

use super::clock::Clock;
use super::effort::Effort;
use super::exit::Failure;
use super::inputs::Job;
use super::output::{self, Loudness};
use super::progress::Told;
use super::solving::{Bare, answers, assembled, audited, joints, told_without};
use super::stop::Stop;
use crate::audit::Verified;
use crate::cost::buy;
use crate::cutting::Style;
use crate::demand::{Demand, Picks, things};
use crate::finding::codes::job as codes;
use crate::finding::{Finding, Place};
use crate::nest::straight::laid;
use crate::nest::{Basis, Nesting, Options, Status, Watch};
use crate::plan::choose::{Freedom, Known, Picked};
use crate::plan::ways::Ways;
use crate::plan::{Choice, Figures, Plan, Wanted};
use crate::report;
use crate::rules::Sequence;
use crate::units::{Decimal, Length};

/// How the user asks for it.
#[derive(Clone, Copy, Debug, clap::Args)]
pub struct Choosing {
    /// Let the nest choose where the joints of straight runs lie, as `choose.joints` in the rules
    /// does; all other rules are kept
    #[arg(long)]
    pub choose: bool,
}

impl Choosing {
    /// Puts it into the job.
    pub fn apply(self, job: &mut Job) {
        job.rules.choose.joints |= self.choose;
    }
}

/// What is told of a job that goes on from a plan where the rules let the nest choose how items are made: that is
/// not chosen anew.
pub(super) fn not_when_going_on(job: &Job) -> Option<Finding> {
    let already = job.already.as_ref().filter(|_| job.rules.choose.any_making())?;
    let kept = if already.chosen.is_empty() { "" } else { "; what the plan before chose is kept" };
    let what =
        format!("this plan goes on from another, so how items are made is not chosen anew{kept}");
    let remedy = "nothing to do; new and changed items are made as specified";
    Some(Finding::new(&codes::NOT_CHOSEN, Place::file("rules.toml"), what, remedy))
}

/// A plan without an order of cutting, the answers that it is made of, and what it comes to without the
/// shelf.
type Begun<'a> = (Plan, Nested, &'a Bare);

/// Order sheets with their answers.
type Nested = Vec<(Wanted, Nesting)>;

/// Says where nothing is chosen although the rules let the nest choose, and what the figures are then.
pub fn not_chosen(job: &Job, loudness: Loudness, figures: &str) {
    if job.rules.choose.any() && !loudness.quiet {
        output::message(&output::filled(
            &format!("nothing is chosen here (`choose` in the rules): {figures}"),
            "",
            "",
        ));
    }
}

/// What a plan records that was stopped before anything could be chosen for it.
pub fn none_chosen(job: &Job, plan: &Plan) -> Choice {
    Choice { stopped: true, ..Choice::none(figures(job, plan, joints(&job.demand))) }
}

/// The better of a plan as specified and those that the nest chooses.
///
/// # Errors
/// See [`super::solving::solve`].
pub fn choose(
    job: &Job,
    (specified, nested, without): Begun<'_>,
    effort: &Effort,
    (told, stop): (&dyn Told, &Stop),
) -> Result<Verified<Plan>, Failure> {
    let figures = figures(job, &specified, joints(&job.demand));
    let choice = Choice::none(figures.clone());
    let best = Standing { picks: Picks::default(), demand: job.demand.clone(), nested, figures };
    let specified = best.nested.clone();
    let clock = Clock::start(effort.seconds, stop, &|_| {});
    let mut chooser = Chooser {
        job,
        effort,
        clock,
        told,
        stop,
        ways: None,
        specified,
        best,
        choice,
        proven: None,
        without,
        stopped: false,
    };
    // A job of which a part was left out stays as specified.
    if job.up_to.is_some() {
        return chooser.as_specified(&job.rules.sequence);
    }
    // How items are made is chosen once, for the whole job.
    let things = match job.already {
        Some(_) => Vec::new(),
        None => things(&job.takeoff, &job.stock, &job.rules),
    };
    let ways = Ways::new(&things, &job.demand, (&job.stock, &job.rules));
    let sheets = chooser.best.sheets();
    let free = job.rules.choose.joints && Freedom::new(&job.demand, &sheets, job.parts()).is_some();
    if ways.is_none() && !free {
        return chooser.as_specified(&job.rules.sequence);
    }
    chooser.ways = ways.as_ref();
    if let Some(ways) = &ways {
        chooser.make(ways)?;
    }
    if job.rules.choose.joints {
        chooser.slide()?;
    }
    chooser.finish()
}

/// The best that stands by now.
struct Standing {
    picks: Picks,
    demand: Demand,
    nested: Nested,
    figures: Figures,
}

impl Standing {
    fn sheets(&self) -> Vec<Wanted> {
        sheets(&self.nested)
    }
}

/// Order sheets without their answers.
fn sheets(nested: &[(Wanted, Nesting)]) -> Vec<Wanted> {
    nested.iter().map(|(sheet, _)| sheet.clone()).collect()
}

/// What was chosen, and the pulls that it was found with.
struct Pick<'a> {
    picks: Picks,
    known: &'a Known,
    choice: Choice,
}

/// Choosing, step by step.
struct Chooser<'a> {
    job: &'a Job,
    effort: &'a Effort,
    /// All of choosing has as much time as each thickness had.
    clock: Clock<'a>,
    told: &'a dyn Told,
    stop: &'a Stop,
    ways: Option<&'a Ways<'a>>,
    /// The best answers as specified.
    specified: Nested,
    best: Standing,
    /// The record of what stands.
    choice: Choice,
    /// What all nests together are proven not to go below, whatever is chosen, where all that may be chosen was
    /// weighed at once; and what that rests on.
    proven: Option<(Decimal, Basis)>,
    without: &'a Bare,
    /// Whether a clock or Ctrl-C ended any of it.
    stopped: bool,
}

/// Points for a metre of roll used up that no order of cutting outweighs.
const KEPT: u64 = 1_000_000;

/// The share of the work that goes into each nest of pulls that are known.
const AGAIN: u64 = 5;

impl<'a> Chooser<'a> {
    /// Chooses how items are made.
    fn make(&mut self, ways: &Ways<'_>) -> Result<(), Failure> {
        let joints = self.job.rules.choose.joints;
        let (options, clock) = self.search(if joints { 3 } else { 2 });
        let found = self.effort.install(|| ways.choose(&options, &clock))?;
        self.stopped |= clock.stop();
        // Where joints lie may save what no making does.
        self.proven = found.bound.filter(|_| !joints);
        let all = found.made.len();
        for (at, made) in found.made.into_iter().enumerate() {
            if self.stop.asked() {
                break;
            }
            let picks = Picks { makings: made.makings, ..Picks::default() };
            let choice = Choice { things: made.things, ..self.choice.clone() };
            // Joints have half of what is left.
            let effort = self.part(all - at + if joints { all } else { 0 });
            self.take(Pick { picks, known: &made.known, choice }, &effort)?;
        }
        Ok(())
    }

    /// Chooses where joints lie.
    fn slide(&mut self) -> Result<(), Failure> {
        let (demand, sheets) = (self.best.demand.clone(), self.best.sheets());
        let Some(freedom) = Freedom::new(&demand, &sheets, self.job.parts()) else { return Ok(()) };
        let (options, clock) = self.search(2);
        let known = known(&self.best.nested);
        let picked = self.effort.install(|| freedom.choose(&known, &options, &clock))?;
        self.stopped |= clock.stop();
        let before = self.best.picks.clone();
        let picked = picked.filter(|picked| !picked.choices.is_empty());
        if let Some(picked) = picked {
            // As it was, with the pulls that the sliding began with: what they save is not its merit.
            let again = |effort: Effort| Effort {
                work: Some((options.work / AGAIN).max(1).min(effort.options().work)),
                ..effort
            };
            let choice = self.choice.clone();
            if picked.specified != known {
                let known = &picked.specified;
                self.take(Pick { picks: before.clone(), known, choice }, &again(self.part(4)))?;
            }
            self.take_courses((&freedom, &picked), &before, (&again(self.part(3)), &clock))?;
        }
        if self.stop.asked() || !self.may_save(&freedom) {
            return Ok(());
        }
        let (options, clock) = self.search(2);
        let few = self.effort.install(|| freedom.few(&options, &clock))?;
        self.stopped |= clock.stop();
        let Some((picked, bound)) = few else { return Ok(()) };
        self.proven = Some(bound).filter(|_| self.ways.is_none());
        if !picked.choices.is_empty() {
            self.take_courses((&freedom, &picked), &before, (&self.part(1), &clock))?;
        }
        Ok(())
    }

    /// The effort of one step, which has this part of the time that is left.
    fn part(&self, parts: usize) -> Effort {
        let Some(left) = self.clock.left() else { return *self.effort };
        let parts = i64::try_from(parts.max(1)).unwrap_or(i64::MAX);
        let seconds = Decimal::from_millionths((left.millionths() / parts).max(1));
        self.effort.within(seconds)
    }

    /// What a search may do in this part of the time that is left, and its clock.
    fn search(&self, parts: usize) -> (Options, Clock<'a>) {
        let part = self.part(parts);
        (part.options(), Clock::start(part.seconds, self.stop, &|_| {}))
    }

    /// Keeps courses where they are better than what stands.
    fn take_courses(
        &mut self,
        (freedom, picked): (&Freedom<'_>, &Picked),
        before: &Picks,
        (effort, clock): (&Effort, &Clock<'_>),
    ) -> Result<(), Failure> {
        let picks = Picks { courses: picked.choices.clone(), ..before.clone() };
        let pick = Pick { picks, known: &picked.chosen, choice: self.choice.clone() };
        if self.take(pick, effort)? {
            let price = || freedom.runs(picked, &self.effort.options(), clock);
            self.choice.runs = self.effort.install(price)?;
        }
        Ok(())
    }

    /// Whether what stands lies above what is known to hold wherever joints lie.
    fn may_save(&self, freedom: &Freedom<'_>) -> bool {
        let bounds = freedom.bounds();
        let of = |(sheet, nesting): &(Wanted, Nesting)| {
            let own = bounds.iter().find(|(thickness, _)| Some(*thickness) == sheet.thickness);
            let value = sheet.instance().objective.decimal(nesting.value);
            own.is_none_or(|(_, bound)| value > *bound)
        };
        self.best.nested.iter().any(of)
    }

    /// Nests a choice and keeps it where it is better than what stands. As specified, it only betters
    /// the figures to be compared with.
    fn take(&mut self, pick: Pick<'_>, effort: &Effort) -> Result<bool, Failure> {
        let Pick { picks, known, choice } = pick;
        let job = self.job;
        let demand = job
            .expanded(&picks)
            .map_err(|_| Failure::defect("the nest chose what breaks the rules"))?;
        let sheets = job.sheets_of(&demand);
        let nested = match answers(job, (&sheets, known), effort, self.told, self.stop) {
            Ok(nested) => nested,
            // No way was found to cut this choice, in time or at all: what stands stays.
            Err(Failure::Findings(_) | Failure::Stopped) => return Ok(false),
            Err(failure) => return Err(failure),
        };
        let made = assembled(job, &demand, &nested, None, (self.effort, self.stop))?;
        let figures = figures(job, &made, joints(&demand));
        if !figures.better_than(&self.best.figures, &job.rules) {
            return Ok(false);
        }
        if picks.is_empty() {
            self.specified.clone_from(&nested);
            self.choice.again = true;
        } else {
            self.choice = Choice { again: self.choice.again, ..choice };
        }
        self.best = Standing { picks, demand, nested, figures };
        Ok(true)
    }

    /// Gives every nest a bound that holds whatever is chosen; the bound on all together, where items
    /// may be made in several ways.
    fn bounded(
        &self,
        nested: &mut [(Wanted, Nesting)],
        demand: &Demand,
        sheets: &[Wanted],
    ) -> Option<Decimal> {
        let over_ways = self.ways.map(Ways::bounds_by_area);
        let (bounds, joint): (Vec<(Length, Decimal)>, _) = if let Some((each, joint)) = over_ways {
            (each, Some(joint))
        } else {
            let freedom = Freedom::new(demand, sheets, self.job.parts());
            (freedom.map(|freedom| freedom.bounds()).unwrap_or_default(), None)
        };
        for (sheet, nesting) in nested {
            let own = bounds.iter().find(|(thickness, _)| Some(*thickness) == sheet.thickness);
            // What is chosen among all thicknesses counts them alike, a nest may count by itself.
            let objective = sheet.instance().objective;
            let bound = own.map_or(0, |(_, bound)| objective.raw_from(*bound)).min(nesting.value);
            (nesting.bound, nesting.basis, nesting.certificate) = (bound, Basis::Area, None);
            nesting.status = match nesting.status {
                _ if nesting.value <= bound => Status::Proven,
                Status::Proven => Status::Feasible,
                other => other,
            };
        }
        joint
    }

    /// What nothing that may be chosen can go below, all thicknesses together, where all as specified comes to
    /// `value`: what is proven of the pieces as specified says nothing of others.
    fn least(&self, value: Decimal) -> Decimal {
        let mut nested = self.specified.clone();
        let joint = self.bounded(&mut nested, &self.job.demand, &sheets(&self.specified));
        // Where offcuts lie on the shelf, the engine counts rolls as money.
        let bound = |(sheet, nesting): &(Wanted, Nesting)| {
            sheet.instance().objective.decimal(nesting.bound)
        };
        let each = nested.iter().map(|nest| bound(nest).millionths());
        let all = Decimal::from_millionths(each.fold(0, i64::saturating_add));
        let proven = self.proven.map(|(bound, _)| bound);
        joint.into_iter().chain(proven).fold(all, Decimal::max).min(value)
    }

    /// What counts in the order of cutting: where blanket is all that is saved, it is not used up again
    /// for fewer open kits.
    fn shop(&self) -> Sequence {
        let rules = &self.job.rules.sequence;
        let fewer = self.best.figures.value() < self.choice.specified.value();
        let kept = !self.best.picks.is_empty() && !fewer;
        let blanket = if kept { KEPT } else { rules.blanket };
        Sequence { blanket, ..rules.clone() }
    }

    /// The plan as specified in the order of cutting by these rules, audited.
    fn as_specified(&self, shop: &Sequence) -> Result<Verified<Plan>, Failure> {
        let (job, nested) = (self.job, &self.specified);
        let mut made = assembled(job, &job.demand, nested, Some(shop), (self.effort, self.stop))?;
        told_without(&mut made, self.without);
        audited(made, &sheets(nested), job).map_err(Failure::Rejected)
    }

    /// The plan that stands, in the order of cutting, with its bounds; not audited.
    fn as_chosen(&self) -> Result<Plan, Failure> {
        let Standing { demand, nested, .. } = &self.best;
        let mut nested = nested.clone();
        let joint = self.bounded(&mut nested, demand, &self.best.sheets());
        let mut made =
            assembled(self.job, demand, &nested, Some(&self.shop()), (self.effort, self.stop))?;
        // Of one thickness what holds for all together is its own bound; not where another is cut as specified.
        if let ([nest], Some((bound, basis))) = (&mut made.nests[..], self.proven)
            && bound > nest.bound
            && self.specified.iter().all(|(sheet, _)| sheet.thickness == nest.thickness)
        {
            (nest.bound, nest.basis) = (bound.min(nest.value), basis);
            if nest.value <= nest.bound {
                nest.status = Status::Proven;
            }
        }
        let proven = self.proven.map(|(bound, _)| bound);
        let bound = proven.into_iter().chain(joint).max();
        made.bound_together(bound);
        let each = made.nests.iter().map(|nest| nest.bound.millionths());
        let each = Decimal::from_millionths(each.fold(0, i64::saturating_add));
        let bound = bound.filter(|b| *b == made.bound && *b > each);
        let joints = self.best.figures.joints;
        made.choice = Some(Choice { bound, joints, ..self.choice.clone() });
        Ok(made)
    }

    /// The plan that stands, audited, with its record.
    fn finish(self) -> Result<Verified<Plan>, Failure> {
        let chosen = !self.best.picks.is_empty();
        let rules = &self.job.rules;
        // As it is made where nothing may be chosen; and in the order in which the choice is cut, so that what
        // another order saves is not put down to it.
        let shop = self.shop();
        let plain = || self.as_specified(&rules.sequence);
        let kept = || (shop != rules.sequence).then(|| self.as_specified(&shop)).transpose();
        let ((specified, kept), made) = rayon::join(
            || rayon::join(plain, kept),
            || chosen.then(|| self.as_chosen()).transpose(),
        );
        let (specified, kept, made) = (specified?, kept?, made?);
        let of = |plan: &Plan, joints: u64| {
            let at_table = report::at_table(plan, &self.job.sources());
            Figures { at_table, ..figures(self.job, plan, joints) }
        };
        let specified_joints = joints(&self.job.demand);
        let figures = of(&specified, specified_joints);
        let kept = kept.map(|kept| of(&kept, specified_joints));
        let better = |made: &Plan| {
            let mine = of(made, self.best.figures.joints);
            let all = std::iter::once(&figures).chain(&kept);
            all.into_iter().all(|other| mine.better_than(other, rules))
                && mine.pays(&figures, rules)
        };
        let stopped = self.stopped || self.stop.asked();
        let record =
            |choice: Choice| Some(Choice { specified: figures.clone(), stopped, ..choice });
        // The order of cutting may use up what choosing had saved.
        let Some(mut made) = made.filter(better) else {
            let joints = figures.joints;
            let (things, runs) = (Vec::new(), Vec::new());
            let least = Some(self.least(specified.value));
            let none = Choice { things, runs, bound: None, least, joints, ..self.choice };
            let plan = Plan { choice: record(none), ..specified.into_inner() };
            return audited(plan, &self.job.sheets(), self.job).map_err(Failure::Rejected);
        };
        made.choice = made.choice.take().and_then(record);
        self.job.follow(&self.best.picks)?;
        audited(made, &self.best.sheets(), self.job).map_err(Failure::Rejected)
    }
}

/// The pulls of answers, as far as they are of two or three stages and hold rectangles.
fn known(nested: &[(Wanted, Nesting)]) -> Known {
    let all = nested.iter().map(|(sheet, nesting)| (sheet.thickness, sheet.instance(), nesting));
    let plain = all.filter(|(_, instance, _)| {
        let cutting = &instance.cutting;
        cutting.style == Style::Straight
            && cutting.stages.is_some()
            && instance.pieces.iter().all(|piece| piece.outline.is_none())
    });
    plain
        .map(|(thickness, instance, nesting)| (thickness, laid(&instance, &nesting.layouts)))
        .collect()
}

/// What a plan is compared by, priced as it would be bought.
fn figures(job: &Job, plan: &Plan, joints: u64) -> Figures {
    let Job { stock, rules, rates, .. } = job;
    buy::figures(plan, joints, &stock.rolls, rules.order.spare_rolls, rates)
}
