//! The plan that the page shows: its reports and what the page draws; always one that passed the
//! audit against the job it was made from.

use super::super::beside::{self, Beside};
use super::super::exit::Failure;
use super::super::folder::PLAN;
use super::super::idle;
use super::super::inputs::Job;
use super::super::progress::{Board, Show, Told};
use super::super::since;
use super::super::solving::audited;
use super::super::stop::Stop;
use super::state::Bench;
use super::{files, ground};
use crate::audit::Verified;
use crate::plan::{Input, Plan};
use crate::report::{self, Document};

/// A plan with all that is shown of it.
pub struct Shown {
    /// Its reports.
    pub documents: Vec<Document>,
    /// What the page draws, in JSON.
    pub view: Vec<u8>,
    /// The inputs it was made from.
    pub inputs: Vec<Input>,
    /// The folder in which its reports lie, inside the job's.
    pub folder: String,
}

impl Shown {
    /// Of a plan that passed the audit.
    ///
    /// # Errors
    /// None is expected: every plan has a form in JSON.
    pub fn of(
        plan: &Verified<Plan>,
        mut job: Job,
        beside: &Beside,
        folder: &str,
    ) -> Result<Self, Failure> {
        job.findings.append(beside.findings.clone());
        job.findings.extend(idle::told(&job, plan));
        let sources = job.sources().with(beside.extras());
        let no_form = |e| Failure::System(format!("the plan has no form in JSON: {e}"));
        let mut documents =
            report::documents(plan, &sources).map_err(|e| Failure::System(e.to_string()))?;
        documents.extend(report::ticket_documents(plan, &sources));
        let view = serde_json::to_vec(&report::View::of(plan, &sources)).map_err(no_form)?;
        Ok(Self { documents, view, inputs: plan.inputs.clone(), folder: folder.to_owned() })
    }

    /// One of its reports.
    pub fn document(&self, name: &str) -> Option<&Document> {
        self.documents.iter().find(|document| document.name == name)
    }
}

/// Shows the last plan in the job's folders for reports that belongs to the job as it is now and passes the
/// audit; else shows none, and a run will make one.
pub fn at_start(bench: &Bench) {
    if let Some(shown) = found(bench) {
        bench.show(shown);
    }
}

fn found(bench: &Bench) -> Option<Shown> {
    files::all_inside(bench).ok()?;
    let job = Job::read(&bench.folder).ok()?;
    let plans = ground::plans(bench).ok()?.into_iter().rev();
    let fits = |(plan, folder): (Plan, String)| standing(bench, job.clone(), plan, &folder);
    plans.filter(|(plan, _)| plan.inputs == job.folder.inputs()).find_map(fits)
}

/// The plan of a folder, as the job stands for it.
fn standing(bench: &Bench, job: Job, plan: Plan, folder: &str) -> Option<Shown> {
    let path = bench.folder.join(folder).join(PLAN);
    let mut job = job.of_plan(&plan);
    job.findings.extend(since::unchecked_ground(&path, &plan));
    job.follow_plan(&plan).ok()?;
    let plan = audited(plan, &job.sheets(), &job).ok()?;
    let told = (&Board::new(Show::Nothing) as &dyn Told, Show::Nothing);
    let made = (bench.folder.as_path(), &job, &*plan);
    let beside = beside::compute(made, &[], &bench.effort, told, &Stop::default());
    Shown::of(&plan, job, &beside.ok()?, folder).ok()
}
