//! Letting the nest choose joints, and deciding whether that pays.
//!
//! Steps: the plan as specified is made and audited first; the nest chooses; the job follows the
//! choice, is nested and compared. What is chosen stands only where it needs fewer or cheaper rolls,
//! or with as many at least a thousandth less blanket; else joints stay as specified. Either way the
//! plan records both.

use super::clock::Clock;
use super::effort::Effort;
use super::exit::Failure;
use super::inputs::Job;
use super::progress::Told;
use super::solving::{answers, audited};
use super::stop::Stop;
use crate::audit::Verified;
use crate::demand::{Choices, Demand, FreeRun, expand_chosen};
use crate::nest::{Basis, Nesting, Status};
use crate::plan::choose::{Freedom, Known};
use crate::plan::{self, Choice, Figures, Plan, Wanted};

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

/// The better of a plan as specified and one with joints chosen by the nest.
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
    let defect = |what: String| Failure::Audit(format!("{what}; this is a defect of the program"));
    // A job of which a part was left out or is on hand already stays as specified.
    let (whole, _) = expand_chosen(&job.takeoff, &job.stock, &job.rules, &Choices::new());
    if whole.is_none_or(|whole| whole.pieces != job.demand.pieces) {
        return Ok(specified);
    }
    let Some(freedom) = Freedom::new(&job.demand, sheets, (&job.stock, &job.rules)) else {
        return Ok(specified);
    };
    let before = Figures::of(&specified, joints(&job.demand));
    let as_it_was = |specified: Verified<Plan>| {
        let mut plan = specified.into_inner();
        plan.choice = Some(Choice { specified: before.clone(), runs: Vec::new() });
        audited(plan, sheets, job).map_err(Failure::Rejected)
    };
    let clock = Clock::start(effort.seconds, stop, &|_| {});
    let picked = effort.pool()?.install(|| freedom.choose(&effort.options(), &clock));
    let Some(picked) = picked.filter(|picked| !picked.choices.is_empty() && !stop.asked()) else {
        return as_it_was(specified);
    };
    let nested = |sheets: &[Wanted], demand: &Demand, known: &Known| -> Result<Plan, Failure> {
        let mut nested = answers(job, (sheets, known), effort, told, stop)?;
        bounded(&mut nested, &freedom);
        let made = plan::assemble(
            &job.folder.name,
            effort.program(),
            job.folder.inputs(),
            &nested,
            demand.joints.clone(),
            Some(&job.rules.sequence),
        );
        made.map_err(|e| defect(e.to_string()))
    };
    // As specified, with the pulls that the choosing began with: what they save is not its merit.
    let again = nested(sheets, &job.demand, &picked.specified)?;
    let again = audited(again, sheets, job).map_err(Failure::Rejected)?;
    let again = Figures::of(&again, before.joints);
    let compared = if again.better_than(&before) { again } else { before.clone() };
    let (demand, _) = expand_chosen(&job.takeoff, &job.stock, &job.rules, &picked.choices);
    let demand = demand.ok_or_else(|| defect("the nest chose what breaks the rules".to_owned()))?;
    let other = plan::job::wanted(&job.folder.name, &demand, &job.stock, &job.rules);
    let mut made = nested(&other, &demand, &picked.chosen)?;
    let after = Figures::of(&made, joints(&demand));
    if !after.better_than(&compared) {
        return as_it_was(specified);
    }
    job.follow(&picked.choices)?;
    made.choice = Some(Choice { specified: compared, runs: picked.runs });
    audited(made, &other, job).map_err(Failure::Rejected)
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

/// Gives every nest a bound that holds whatever is chosen.
fn bounded(nested: &mut [(Wanted, Nesting)], freedom: &Freedom<'_>) {
    let bounds = freedom.bounds();
    for (sheet, nesting) in nested {
        let at = freedom.thicknesses().iter().position(|t| Some(*t) == sheet.thickness);
        let bound = at.and_then(|at| bounds.get(at).copied().flatten()).unwrap_or(0);
        let bound = bound.min(nesting.value);
        (nesting.bound, nesting.basis, nesting.certificate) = (bound, Basis::Area, None);
        nesting.status = match nesting.status {
            _ if nesting.value <= bound => Status::Proven,
            Status::Proven => Status::Feasible,
            other => other,
        };
    }
}
