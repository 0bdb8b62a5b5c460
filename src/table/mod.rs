//! Files from outside, up to the point where their text may be trusted: decoded, and for tables
//! (comma-separated text, or a sheet of a workbook) taken apart into named cells. Knows nothing of
//! what the cells mean.
//!
//! Steps for a table: decode the bytes ([`decode_table`]); look for quotes that do not match; take the
//! text apart with the `csv` crate (of a workbook: choose the sheet, find the headings, turn the
//! cells into text); match the headings with the columns asked for; look at every
//! cell for what no cell should hold (formulas, control characters, invisible marks). All problems
//! are told. Rows are given all the same, so that whoever knows what they mean tells its own beside them.

mod book;
mod cell;
mod entry;
mod header;
mod mixed;
mod nearest;
mod origin;
mod quotes;
mod read;
mod record;
mod settings;
mod slip;
#[cfg(test)]
mod tests;
mod text;
pub mod units;
mod value;

pub use book::{ENDINGS as BOOK_ENDINGS, Listed, listed};
pub use cell::{Cell, quoted};
pub use header::Column;
pub use nearest::{nearest, nearest_or};
pub use read::{Row, Table};
pub(crate) use record::record;
pub use settings::{Bare, Settings, in_file_order};
pub use text::{decode_table, line_and_column};
pub use value::{Codes, LENGTH_REMEDY, LONGEST_NAME, Reader};
