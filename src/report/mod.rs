//! Reports: functions from a plan that passed the audit to bytes.
//!
//! | file | for |
//! |---|---|
//! | `order.csv` | the purchaser: what to buy and what to take from the shelf |
//! | `pieces.csv` | every piece, for which item and layer |
//! | `cuts.csv` | every cut in cutting order |
//! | `offcuts.csv` | what is left and goes on the shelf |
//! | `joints.csv` | courses, joints and seams along every run |
//! | `schedule.csv` | the crew: which pieces go on in which order, item by item |
//! | `sequence.csv` | the shop: every pull in the order of cutting |
//! | `tickets.html`, `labels.html` (and as `.pdf`), `kits.csv`, `labels.csv` | the shop, by `rollwright tickets` |
//! | `summary.txt` | the summary that the terminal shows |
//! | `report.html` | all of it for people, drawn to scale, in one file |
//! | `plan.xlsx` | all lists in one workbook |
//! | `price.csv` | rolls, freight and labour with their money; where everything ordered has a price |
//! | `items.csv` | what every area, line, kind, size and item takes and costs |
//! | `waste.csv` | where the blanket goes, in area and money |
//! | `plan.json` | the plan itself, from which `audit` can check everything again |

mod bar;
mod changes;
pub mod charts;
mod choice;
mod cuts;
mod cutting;
mod cutting_files;
mod developed;
mod documents;
mod drawing;
mod joints;
mod lists;
pub mod money;
mod offcuts;
mod order;
mod outcome;
mod outlines;
pub mod outlook;
mod page;
mod papers;
pub mod pdf;
mod pieces;
mod proof;
mod room;
mod schedule;
pub mod seams;
mod sequence;
mod sheets;
mod sources;
mod summary;
mod table;
mod telling;
pub mod template;
mod text;
pub mod ticket;
pub mod ticket_page;
mod view;
mod waste;
mod words;
mod workbook;
mod wraps;

pub use cutting::{all_work, at_table};
pub use cutting_files::{
    CuttingFile, LIST as DRAWINGS, Shows, cutting_files, is_ours as is_drawing,
};
pub use documents::{
    Document, DocumentError, Draft, NAMES, PRICED_NAMES, TICKET_NAMES, TICKETS_PAGE, TICKETS_PDF,
    documents, draft, finished, is_ours, summary_among, ticket_documents,
};
pub use lists::CURRENCY;
pub use outcome::Outcome;
pub use papers::illegible;
pub use pieces::{pieces, pieces_out, pieces_shown};
pub use proof::{amount, counted, gap_per_cent, of_thickness, rolls_and_offcuts};
pub use sequence::open_kits;
pub use sources::{Extras, Sources, Stage};
pub use summary::filled;
pub use table::{Cell, Table};
pub use telling::Telling;
pub use text::{shortened, visible};
pub use view::View;
pub use words::capital;
pub use wraps::{
    factors as wrap_factors, rule_lines as wrap_rule_lines, worth as wrap_worth, wraps,
};

use crate::audit::Verified;
use crate::plan::Plan;

/// The order with its proofs, for a terminal.
#[must_use]
pub fn order_text(plan: &Verified<Plan>, sources: &Sources<'_>) -> String {
    summary::order(plan, sources)
}

/// The order as CSV.
#[must_use]
pub fn order_csv(plan: &Verified<Plan>, sources: &Sources<'_>) -> Vec<u8> {
    order::order(plan, sources).with(lists::CURRENCY, sources.currency()).csv()
}
