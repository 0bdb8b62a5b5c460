//! The specification's and the shop's rules: `rules.toml`, every key with a documented default.
//!
//! [`KEYS`] lists every key with its form, limits, meaning and source; [`read()`] works from it and
//! [`reference()`] documents from it. [`read_papers`] reads `papers.toml`, which says in what measure papers are and on what
//! sheets.

mod choose;
mod domain;
mod form;
mod keys;
mod papers;
mod read;
mod reference;
mod set;
#[cfg(test)]
mod tests;
mod value;

pub use choose::Choose;
pub use domain::{
    Elbows, Heads, JointKind, Joints, Lengths, Offcuts, Order, Rates, Releases, Resolution, Rules,
    Seam, Securement, Sequence, Table, Turning, Vertical, Wrap,
};
pub use form::{Form, Word};
pub use keys::{KEYS, Key};
pub use papers::{PAPERS, Paperwork, crooked, read_papers};
pub use read::read;
pub use reference::{ReferenceRow, reference};
pub use set::set;
