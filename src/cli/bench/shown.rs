//! The plan that the page shows: its reports and what the page draws; always one that passed the
//! audit against the job it was made from.

use super::super::beside::{self, Beside};
use super::super::exit::Failure;
use super::super::inputs::Job;
use super::super::progress::{Board, Show, Told};
use super::super::solving::audited;
use super::super::stop::Stop;
use super::super::{audit, folder};
use super::files;
use super::state::Bench;
use crate::audit::Verified;
use crate::plan::{self, Input, Plan};
use crate::report::{self, Document};

/// A plan with all that is shown of it.
pub struct Shown {
    /// Its reports.
    pub documents: Vec<Document>,
    /// What the page draws, in JSON.
    pub view: Vec<u8>,
    /// The inputs it was made from.
    pub inputs: Vec<Input>,
}

impl Shown {
    /// Of a plan that passed the audit.
    ///
    /// # Errors
    /// None is expected: every plan has a form in JSON.
    pub fn of(plan: &Verified<Plan>, mut job: Job, beside: &Beside) -> Result<Self, Failure> {
        job.findings.append(beside.findings.clone());
        let sources = job.sources().with(beside.extras());
        let no_form = |e| Failure::System(format!("the plan has no form in JSON: {e}"));
        let mut documents =
            report::documents(plan, &sources).map_err(|e| Failure::System(e.to_string()))?;
        documents.extend(report::ticket_documents(plan, &sources));
        let view = serde_json::to_vec(&report::View::of(plan, &sources)).map_err(no_form)?;
        Ok(Self { documents, view, inputs: plan.inputs.clone() })
    }

    /// One of its reports.
    pub fn document(&self, name: &str) -> Option<&Document> {
        self.documents.iter().find(|document| document.name == name)
    }
}

/// Shows the plan that lies in the job's folder for reports, where it belongs to the job as it is
/// now and passes the audit; else shows none, and a run will make one.
pub fn at_start(bench: &Bench) {
    if let Some(shown) = found(bench) {
        bench.show(shown);
    }
}

fn found(bench: &Bench) -> Option<Shown> {
    files::all_inside(bench).ok()?;
    let path = files::inside(&bench.folder.join("out"), folder::PLAN).ok()??;
    let (plan, _) = audit::read(&path).ok()?;
    let job = Job::read(&bench.folder).ok()?;
    if plan.inputs != job.folder.inputs() {
        return None;
    }
    job.follow_plan(&plan).ok()?;
    let sheets = plan::job::wanted(&job.folder.name, job.demand(), &job.stock, &job.rules);
    let plan = audited(plan, &sheets, &job).ok()?;
    let told = (&Board::new(Show::Nothing) as &dyn Told, Show::Nothing);
    let made = (bench.folder.as_path(), &job, &*plan);
    let beside = beside::compute(made, &[], &bench.effort, told, &Stop::default());
    Shown::of(&plan, job, &beside.ok()?).ok()
}
