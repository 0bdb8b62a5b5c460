//! All documents of a plan, by name.

use super::sources::Sources;
use super::{cuts, joints, offcuts, order, page, pieces, schedule, summary};
use crate::audit::Verified;
use crate::plan::Plan;

/// A file to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    /// Its name; ours, never made from an input.
    pub name: &'static str,
    /// What stands in it.
    pub bytes: Vec<u8>,
}

/// The names of all documents.
pub const NAMES: &[&str] = &[
    "summary.txt",
    "order.csv",
    "pieces.csv",
    "cuts.csv",
    "offcuts.csv",
    "joints.csv",
    "schedule.csv",
    "report.html",
    "plan.json",
];

/// All documents of a plan that passed the audit.
///
/// # Errors
/// None is expected: every plan has a form in JSON.
pub fn documents(
    plan: &Verified<Plan>,
    sources: &Sources<'_>,
) -> Result<Vec<Document>, serde_json::Error> {
    let mut json = serde_json::to_vec(&**plan)?;
    json.push(b'\n');
    let bytes = [
        summary::summary(plan, sources).into_bytes(),
        order::order(plan, sources).csv(),
        pieces::pieces_of_plan(plan, sources).csv(),
        cuts::cuts(plan, sources.rules.table.square_cut).csv(),
        offcuts::offcuts(plan).csv(),
        joints::joints(plan).csv(),
        schedule::schedule(plan, sources).csv(),
        page::page(plan, sources),
        json,
    ];
    Ok(NAMES.iter().zip(bytes).map(|(&name, bytes)| Document { name, bytes }).collect())
}
