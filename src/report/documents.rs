//! All documents of a plan, by name.

use super::lists::{Lists, Priced};
use super::sources::Sources;
use super::{page, pdf, sequence, summary, ticket, ticket_page, workbook};
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
    "sequence.csv",
    "report.html",
    "plan.xlsx",
    "plan.json",
];

/// Why a document could not be made.
#[derive(Debug, thiserror::Error)]
pub enum DocumentError {
    /// The plan file.
    #[error("the plan has no form in JSON: {0}")]
    Json(#[from] serde_json::Error),
    /// The workbook.
    #[error("the plan has no form as a workbook: {0}")]
    Workbook(#[from] rust_xlsxwriter::XlsxError),
}

/// The names of what is there beside them where everything that is ordered has a price.
pub const PRICED_NAMES: &[&str] = &["price.csv", "items.csv", "waste.csv"];

/// All documents of a plan that passed the audit.
///
/// # Errors
/// None is expected: every plan has a form in JSON and as a workbook.
pub fn documents(
    plan: &Verified<Plan>,
    sources: &Sources<'_>,
) -> Result<Vec<Document>, DocumentError> {
    // The page and the workbook take longest, so they are made side by side.
    let (page, (lists, workbook)) = rayon::join(
        || page::page(plan, sources),
        || {
            let lists = Lists::of(plan, sources);
            let workbook = workbook::workbook(plan, sources, &lists);
            (lists, workbook)
        },
    );
    let mut json = serde_json::to_vec(&**plan)?;
    json.push(b'\n');
    let bytes = [
        summary::summary(plan, sources).into_bytes(),
        lists.order.csv(),
        lists.pieces.csv(),
        lists.cuts.csv(),
        lists.offcuts.csv(),
        lists.joints.csv(),
        lists.schedule.csv(),
        lists.sequence.csv(),
        page,
        workbook?,
        json,
    ];
    let mut documents: Vec<Document> =
        NAMES.iter().zip(bytes).map(|(&name, bytes)| Document { name, bytes }).collect();
    if let Some(Priced { price, items, waste }) = &lists.priced {
        let tables = [price, items, waste];
        let named = PRICED_NAMES.iter().zip(tables);
        documents.extend(named.map(|(&name, table)| Document { name, bytes: table.csv() }));
    }
    Ok(documents)
}

/// The names of what the shop cuts by.
pub const TICKET_NAMES: &[&str] =
    &["tickets.html", "tickets.pdf", "labels.html", "labels.pdf", "kits.csv", "labels.csv"];

/// What the shop cuts by: tickets, kit lists and labels.
#[must_use]
pub fn ticket_documents(plan: &Verified<Plan>, sources: &Sources<'_>) -> Vec<Document> {
    let tickets = ticket::tickets(plan, sources);
    let bytes = [
        ticket_page::tickets_page(plan, sources),
        pdf::tickets_pdf(plan, sources),
        ticket_page::labels_page(plan, sources),
        pdf::labels_pdf(plan, sources),
        sequence::kits(&ticket::kits(plan, sources)).csv(),
        sequence::labels(plan, &tickets, sources).csv(),
    ];
    TICKET_NAMES.iter().zip(bytes).map(|(&name, bytes)| Document { name, bytes }).collect()
}
