//! Reports: functions from a plan that passed the audit to bytes.
//!
//! | file | for |
//! |---|---|
//! | `order.csv` | the purchaser: what to buy and what to take from the shelf |
//! | `pieces.csv` | every piece, for which item and layer |
//! | `cuts.csv` | every cut in cutting order |
//! | `offcuts.csv` | what is left and goes on the shelf |
//! | `joints.csv` | courses, joints and seams along every run |
//! | `summary.txt` | the summary that the terminal shows |
//! | `report.html` | all of it for people, drawn to scale, in one file |
//! | `plan.json` | the plan itself, from which `audit` can check everything again |

mod cuts;
mod drawing;
mod groups;
mod joints;
mod offcuts;
mod order;
mod page;
mod pieces;
mod proof;
#[cfg(test)]
mod sample;
mod sources;
mod summary;
mod table;
mod text;
mod waste;

pub use cuts::cuts;
pub use joints::joints;
pub use offcuts::offcuts;
pub use order::{OrderLine, lines as order_lines, order};
pub use page::page;
pub use pieces::{pieces, pieces_json, pieces_of_plan};
pub use proof::{amount, gap_per_cent, proof};
pub use sources::Sources;
pub use summary::summary;
pub use table::{Cell, Table};
pub use text::{harmless, shortened, visible};
