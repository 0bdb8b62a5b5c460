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
use super::ground::Lying;
use super::state::Bench;
use super::{files, ground};
use crate::audit::Verified;
use crate::plan::{Input, Measured, Plan, digest};
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
    /// The digest of its file there.
    pub digest: String,
}

impl Shown {
    /// Of a plan that passed the audit.
    ///
    /// # Errors
    /// None is expected: every plan has a form in JSON.
    pub fn of(
        (plan, measured): (&Verified<Plan>, Measured<'_>),
        job: &Job,
        beside: &Beside,
        folder: &str,
    ) -> Result<Self, Failure> {
        let mut findings = job.findings.clone();
        findings.append(beside.findings.clone());
        findings.extend(idle::told(job, plan));
        let sources = job.sources().with(beside.extras()).cut(measured).found(&findings);
        let no_form = |e| Failure::System(format!("the plan has no form in JSON: {e}"));
        let mut documents =
            report::documents(plan, &sources).map_err(|e| Failure::System(e.to_string()))?;
        documents.extend(report::ticket_documents(plan, &sources));
        let view = serde_json::to_vec(&report::View::of(plan, &sources)).map_err(no_form)?;
        let own = documents.iter().find(|document| document.name == PLAN);
        let digest = own.map(|document| digest(&document.bytes)).unwrap_or_default();
        let (inputs, folder) = (plan.inputs.clone(), folder.to_owned());
        Ok(Self { documents, view, inputs, folder, digest })
    }

    /// Whether another plan lies in its folder by now, or none.
    pub fn elsewhere(&self, bench: &Bench) -> bool {
        let lying = ground::lying(bench, &self.folder).ok().flatten();
        lying.is_none_or(|lying| lying.digest != self.digest)
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
    let fits = |lying: Lying| standing(bench, job.clone(), &lying);
    plans.filter(|lying| lying.plan.inputs == job.folder.inputs()).find_map(fits)
}

/// Shows the last plan in the job's folders where another run put one there since, of another window, bench or
/// command line, and it belongs to the job as it is now; else what is shown stays. Looks once for plans and files
/// as they are.
pub fn look_again(bench: &Bench) {
    let number = {
        let run = bench.run();
        if run.runs() {
            return;
        }
        run.number()
    };
    let Some(mut looked) = bench.looked() else { return };
    let Ok(plans) = ground::plans(bench) else { return };
    let last = plans.last().map(|lying| &lying.digest);
    if last.is_none() || bench.shown().as_deref().map(|shown| &shown.digest) == last {
        return;
    }
    let Ok(now) = lies(bench) else { return };
    if *looked == now {
        return;
    }
    let found = found(bench);
    // What was moved or replaced meanwhile says nothing of what lies there next.
    if lies(bench).is_ok_and(|then| then == now) {
        *looked = now;
    }
    let Some(shown) = found else { return };
    let run = bench.run();
    if !run.runs() && run.number() == number {
        bench.show(shown);
    }
}

/// Digests of the job's plans and versions of its files, as one text.
fn lies(bench: &Bench) -> Result<String, Failure> {
    let (plans, files) = (ground::plans(bench)?, files::versions(bench));
    let digests = plans.iter().map(|lying| lying.digest.as_str());
    Ok(digests.chain(files.values().map(String::as_str)).collect::<Vec<_>>().join(" "))
}

/// The plan of a folder, as the job stands for it.
fn standing(bench: &Bench, job: Job, lying: &Lying) -> Option<Shown> {
    let path = bench.folder.join(&lying.folder).join(PLAN);
    let plan = (*lying.plan).clone();
    let mut job = job.of_plan(&plan);
    job.findings.extend(since::unchecked_ground(&path, &plan));
    job.follow_plan(&plan).ok()?;
    let plan = audited(plan, &job.sheets(), &job).ok()?;
    let told = (&Board::new(Show::Nothing) as &dyn Told, Show::Nothing);
    let made = (bench.folder.as_path(), &job, &*plan);
    let (measured, stop) = (Measured::of(&plan), Stop::default());
    let beside = beside::compute(made, &[], &bench.effort, told, (&stop, &measured)).ok()?;
    let shown = Shown::of((&plan, measured), &job, &beside, &lying.folder).ok()?;
    Some(Shown { digest: lying.digest.clone(), ..shown })
}
