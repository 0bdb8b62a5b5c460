//! All documents of a plan, by name.

use super::lists::{Lists, Priced};
use super::papers::Papers;
use super::sources::Sources;
use super::{page, pdf, sequence, summary, ticket_page, workbook};
use crate::audit::Verified;
use crate::plan::Plan;
use rayon::prelude::*;

/// A file to be written.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Document {
    /// Its name; ours, never made from an input.
    pub name: &'static str,
    /// What stands in it.
    pub bytes: Vec<u8>,
}

/// The name of the summary.
const SUMMARY: &str = "summary.txt";

/// The names of all documents.
pub const NAMES: &[&str] = &[
    SUMMARY,
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
    /// A drawing for a cutting table.
    #[error("a drawing has no form in DXF: {0}")]
    Dxf(#[from] dxf::DxfError),
}

/// The names of what is there beside them where everything that is ordered has a price.
pub const PRICED_NAMES: &[&str] = &["price.csv", "items.csv", "waste.csv"];

/// What of a plan's documents rests on the plan alone: it can be made before all else is computed.
pub struct Draft {
    page: page::Draft,
    lists: [Vec<u8>; 7],
    book: Option<workbook::Draft>,
    json: serde_json::Result<Vec<u8>>,
}

/// Drafts the documents of a plan that passed the audit; nothing that was computed beside it is looked at.
#[must_use]
pub fn draft(plan: &Verified<Plan>, sources: &Sources<'_>) -> Draft {
    // The page and the workbook take longest, so they are made side by side.
    let (page, ((lists, book), json)) = rayon::join(
        || page::draft(plan, sources),
        || {
            let lists = || {
                let lists = Lists::of(plan, sources);
                let book = workbook::draft(plan, sources, &lists);
                (lists.csv(), book)
            };
            rayon::join(lists, || serde_json::to_vec(&**plan))
        },
    );
    Draft { page, lists, book, json }
}

/// The summary among the documents of a plan.
#[must_use]
pub fn summary_among(documents: &[Document]) -> String {
    let summary = documents.iter().find(|document| document.name == SUMMARY);
    summary.map(|text| String::from_utf8_lossy(&text.bytes).into_owned()).unwrap_or_default()
}

/// All documents of a plan that passed the audit.
///
/// # Errors
/// None is expected: every plan has a form in JSON and as a workbook.
pub fn documents(
    plan: &Verified<Plan>,
    sources: &Sources<'_>,
) -> Result<Vec<Document>, DocumentError> {
    finished(plan, sources, draft(plan, sources))
}

/// All documents of a plan that passed the audit, from their draft.
///
/// # Errors
/// As [`documents`].
pub fn finished(
    plan: &Verified<Plan>,
    sources: &Sources<'_>,
    draft: Draft,
) -> Result<Vec<Document>, DocumentError> {
    let Draft { page, lists, book, json } = draft;
    let priced = sources.extras.cost.map(|cost| Priced::of(plan, cost));
    let (workbook, (page, summary)) = rayon::join(
        || workbook::workbook(plan, sources, priced.as_ref(), book),
        || rayon::join(|| page::page(plan, sources, page), || summary::summary(plan, sources)),
    );
    let mut json = json?;
    json.push(b'\n');
    let [order, pieces, cuts, offcuts, joints, schedule, sequence] = lists;
    let bytes = [
        summary.into_bytes(),
        order,
        pieces,
        cuts,
        offcuts,
        joints,
        schedule,
        sequence,
        page,
        workbook?,
        json,
    ];
    let mut documents: Vec<Document> =
        NAMES.iter().zip(bytes).map(|(&name, bytes)| Document { name, bytes }).collect();
    let priced = priced.iter().flat_map(Priced::csv);
    let priced = PRICED_NAMES.iter().zip(priced);
    documents.extend(priced.map(|(&name, bytes)| Document { name, bytes }));
    Ok(documents)
}

/// The names of what the shop cuts by.
pub const TICKET_NAMES: &[&str] =
    &["tickets.html", "tickets.pdf", "labels.html", "labels.pdf", "kits.csv", "labels.csv"];

/// Those of them that are PDF files, in words, and those in which every letter can be read.
pub const TICKETS_PDF: &str = "tickets.pdf and labels.pdf";
/// See [`TICKETS_PDF`].
pub const TICKETS_PAGE: &str = "what a browser prints of tickets.html and labels.html";

/// Whether a file of one of the names of tickets and price lists is one that this program wrote, by how
/// it begins or who it says made it.
#[must_use]
pub fn is_ours(name: &str, bytes: &[u8]) -> bool {
    let begins = |headings: &str| bytes.starts_with(headings.as_bytes());
    let says = |word: &str| bytes.windows(word.len()).any(|part| part == word.as_bytes());
    match name {
        "kits.csv" => begins("\"kit\",\"release\",\"area\","),
        "labels.csv" => begins("\"identity\",\"piece\",\"thickness\","),
        "price.csv" => begins("\"what\",\"thickness mm\","),
        "items.csv" => begins("\"by\",\"name\",\"pieces\","),
        "waste.csv" => begins("\"thickness mm\",\"told apart by\","),
        "tickets.html" | "labels.html" => says("<meta name=\"generator\" content=\"rollwright "),
        "tickets.pdf" | "labels.pdf" => says("/Producer(rollwright "),
        _ => false,
    }
}

/// What the shop cuts by: tickets, kit lists and labels.
#[must_use]
pub fn ticket_documents(plan: &Verified<Plan>, sources: &Sources<'_>) -> Vec<Document> {
    let papers = Papers::of(plan, sources);
    let make: [&(dyn Fn() -> Vec<u8> + Sync); 6] = [
        &|| ticket_page::tickets_page(plan, &papers),
        &|| pdf::tickets_pdf(plan, &papers),
        &|| ticket_page::labels_page(plan, &papers),
        &|| pdf::labels_pdf(plan, &papers),
        &|| sequence::kits(&papers.kits).csv(),
        &|| sequence::labels(papers.labels.iter().map(|(label, _)| label)).csv(),
    ];
    let made: Vec<Vec<u8>> = make.into_par_iter().map(|make| make()).collect();
    TICKET_NAMES.iter().zip(made).map(|(&name, bytes)| Document { name, bytes }).collect()
}
