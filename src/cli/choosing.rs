//! Letting the nest choose, and deciding whether that pays.
//!
//! Steps: the plan as specified is made and audited first; the nest chooses how items are made
//! ([`Ways`]), then, with that settled, where joints lie ([`Freedom`]); after each the job is nested
//! and compared. What is chosen stands only where it needs fewer or cheaper rolls, or with as many at
//! least a thousandth less blanket; else all stays as specified. Either way the plan records both.

use super::clock::Clock;
use super::effort::Effort;
use super::exit::Failure;
use super::inputs::Job;
use super::progress::Told;
use super::solving::{answers, assembled, audited};
use super::stop::Stop;
use crate::audit::Verified;
use crate::demand::{Demand, FreeRun, Picks, expand_chosen, things};
use crate::nest::{Basis, Nesting, Status};
use crate::plan::choose::{Freedom, Known};
use crate::plan::ways::Ways;
use crate::plan::{self, Choice, Figures, Plan, Wanted};
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

/// The better of a plan as specified and those that the nest chooses.
///
/// # Errors
/// See [`super::solving::solve`].
pub fn choose(
    job: &Job,
    specified: Verified<Plan>,
    sheets: &[Wanted],
    effort: &Effort,
    (told, stop): (&dyn Told, &Stop),
) -> Result<Verified<Plan>, Failure> {
    // A job of which a part was left out or is on hand already stays as specified.
    let (whole, _) = expand_chosen(&job.takeoff, &job.stock, &job.rules, &Picks::default());
    if whole.is_none_or(|whole| whole.pieces != job.demand.pieces) {
        return Ok(specified);
    }
    let things = things(&job.takeoff, &job.stock, &job.rules);
    let ways = Ways::new(&things, &job.demand, (&job.stock, &job.rules));
    let free = job.rules.choose.joints && Freedom::new(&job.demand, sheets, job.parts()).is_some();
    if ways.is_none() && !free {
        return Ok(specified);
    }
    let figures = Figures::of(&specified, joints(&job.demand));
    let mut chooser = Chooser {
        job,
        effort,
        told,
        stop,
        ways: ways.as_ref(),
        specified: figures.clone(),
        best: Standing {
            picks: Picks::default(),
            demand: job.demand.clone(),
            sheets: sheets.to_vec(),
            figures,
            plan: None,
        },
    };
    if let Some(ways) = &ways {
        chooser.make(ways)?;
    }
    if job.rules.choose.joints {
        chooser.slide()?;
    }
    chooser.finish(specified)
}

/// The best that stands by now.
struct Standing {
    picks: Picks,
    demand: Demand,
    sheets: Vec<Wanted>,
    figures: Figures,
    /// Absent while all is as specified.
    plan: Option<Plan>,
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
    told: &'a dyn Told,
    stop: &'a Stop,
    ways: Option<&'a Ways<'a>>,
    /// The best plan as specified.
    specified: Figures,
    best: Standing,
}

impl Chooser<'_> {
    /// Chooses how items are made.
    fn make(&mut self, ways: &Ways<'_>) -> Result<(), Failure> {
        let clock = Clock::start(self.effort.seconds, self.stop, &|_| {});
        let options = self.effort.options();
        let all = self.effort.pool()?.install(|| ways.choose(&options, &clock));
        for made in all {
            if self.stop.asked() {
                break;
            }
            let picks = Picks { makings: made.makings, ..Picks::default() };
            let bound = (!self.job.rules.choose.joints).then_some(made.bound);
            let choice = Choice {
                specified: self.specified.clone(),
                things: made.things,
                runs: Vec::new(),
                joints: 0,
                bound,
            };
            self.take(Pick { picks, known: &made.known, choice })?;
        }
        Ok(())
    }

    /// Chooses where joints lie.
    fn slide(&mut self) -> Result<(), Failure> {
        let (demand, sheets) = (self.best.demand.clone(), self.best.sheets.clone());
        let Some(freedom) = Freedom::new(&demand, &sheets, self.job.parts()) else { return Ok(()) };
        let clock = Clock::start(self.effort.seconds, self.stop, &|_| {});
        let options = self.effort.options();
        let picked = self.effort.pool()?.install(|| freedom.choose(&options, &clock));
        let picked = picked.filter(|picked| !picked.choices.is_empty() && !self.stop.asked());
        let Some(picked) = picked else { return Ok(()) };
        // As it was, with the pulls that the sliding began with: what they save is not its merit.
        let before = self.best.picks.clone();
        let choice = self.recorded();
        let known = &picked.specified;
        self.take(Pick { picks: before.clone(), known, choice: choice.clone() })?;
        let picks = Picks { courses: picked.choices, ..before };
        let choice = Choice { runs: picked.runs, ..choice };
        self.take(Pick { picks, known: &picked.chosen, choice })
    }

    /// The record of what stands by now.
    fn recorded(&self) -> Choice {
        let choice = self.best.plan.as_ref().and_then(|plan| plan.choice.clone());
        choice.unwrap_or_else(|| Choice {
            specified: self.specified.clone(),
            things: Vec::new(),
            runs: Vec::new(),
            joints: self.best.figures.joints,
            bound: None,
        })
    }

    /// Nests a choice and keeps it where it is better than what stands. As specified, it only betters
    /// the figures to be compared with.
    fn take(&mut self, pick: Pick<'_>) -> Result<(), Failure> {
        let Pick { picks, known, choice } = pick;
        let job = self.job;
        let (demand, _) = expand_chosen(&job.takeoff, &job.stock, &job.rules, &picks);
        let demand =
            demand.ok_or_else(|| Failure::defect("the nest chose what breaks the rules"))?;
        let sheets = plan::job::wanted(&job.folder.name, &demand, &job.stock, &job.rules);
        let mut nested = answers(job, (&sheets, known), self.effort, self.told, self.stop)?;
        let joint = self.bounded(&mut nested, &demand, &sheets);
        let mut made = assembled(job, &demand, &nested, &job.rules.sequence, self.effort)?;
        let figures = Figures::of(&made, joints(&demand));
        if !figures.better_than(&self.best.figures, &job.rules) {
            return Ok(());
        }
        if picks.is_empty() {
            self.specified = figures.clone();
            self.best.figures = figures;
            return Ok(());
        }
        let bound = choice.bound.into_iter().chain(joint).max();
        made.bound_together(bound);
        let (bound, joints) = (bound.filter(|b| *b == made.bound), figures.joints);
        made.choice = Some(Choice { bound, joints, ..choice });
        self.best = Standing { picks, demand, sheets, figures, plan: Some(made) };
        Ok(())
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
        let (bounds, joint): (Vec<(Length, i64)>, _) = if let Some((each, joint)) = over_ways {
            (each, Some(joint))
        } else {
            let freedom = Freedom::new(demand, sheets, self.job.parts());
            (freedom.map(|freedom| freedom.bounds()).unwrap_or_default(), None)
        };
        for (sheet, nesting) in nested {
            let own = bounds.iter().find(|(thickness, _)| Some(*thickness) == sheet.thickness);
            let bound = own.map_or(0, |(_, bound)| *bound).min(nesting.value);
            (nesting.bound, nesting.basis, nesting.certificate) = (bound, Basis::Area, None);
            nesting.status = match nesting.status {
                _ if nesting.value <= bound => Status::Proven,
                Status::Proven => Status::Feasible,
                other => other,
            };
        }
        joint
    }

    /// The plan that stands, audited, with its record.
    fn finish(self, specified: Verified<Plan>) -> Result<Verified<Plan>, Failure> {
        let record = Choice { specified: self.specified.clone(), ..self.recorded() };
        let (mut plan, sheets) = match self.best.plan {
            Some(plan) => (plan, self.best.sheets),
            None => (specified.into_inner(), self.job.sheets()),
        };
        self.job.follow(&self.best.picks)?;
        plan.choice = Some(record);
        audited(plan, &sheets, self.job).map_err(Failure::Rejected)
    }
}

/// Joints along the free runs.
fn joints(demand: &Demand) -> u64 {
    let choices = demand.choices(&demand.joints);
    let of = |run: &FreeRun| {
        let key = (run.item.clone(), run.run);
        let courses = choices.get(&key).unwrap_or(&run.specified);
        FreeRun::joints(courses).saturating_mul(run.quantity)
    };
    demand.free.iter().map(of).fold(0, u64::saturating_add)
}
