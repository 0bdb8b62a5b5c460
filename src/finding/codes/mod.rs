//! Every finding's code, its severity and what it means.
//!
//! One file a room; a room may only raise codes of its own file. Codes are never renumbered.
//!
//! | letter | raised by |
//! |---|---|
//! | `J` | the job folder |
//! | `F` | reading a file, whatever is in it |
//! | `T` | the takeoff |
//! | `S` | stock: rolls and offcuts |
//! | `R` | rules |
//! | `D` | expanding the takeoff into pieces |
//! | `W` | measured wraps |
//! | `N` | a bare instance |
//! | `K` | an open-stacks instance |
//! | `P` | a plan file |
//! | `L` | the ledger of offcuts |
//! | `G` | what the shop reports as done |
//! | `C` | prices, rates, uncertainties and options |

pub mod cost;
pub mod demand;
pub mod done;
pub mod files;
pub mod job;
pub mod measured;
pub mod nest;
pub mod plan;
pub mod rules;
pub mod sequence;
pub mod shelf;
pub mod stock;
pub mod takeoff;

use super::Severity;
use serde::{Serialize, Serializer};

/// A kind of finding.
#[derive(Debug, PartialEq, Eq)]
pub struct Code {
    /// What is printed: a letter for the room and three digits.
    pub id: &'static str,
    /// How much it matters.
    pub severity: Severity,
    /// The kind in a few words.
    pub title: &'static str,
    /// What it means, why it matters and how to mend it, for `rollwright explain`.
    pub explanation: &'static str,
}

impl Code {
    /// A code that stops the work.
    #[must_use]
    pub const fn error(id: &'static str, title: &'static str, explanation: &'static str) -> Self {
        Self { id, severity: Severity::Error, title, explanation }
    }

    /// A code that somebody should look at.
    #[must_use]
    pub const fn warning(id: &'static str, title: &'static str, explanation: &'static str) -> Self {
        Self { id, severity: Severity::Warning, title, explanation }
    }

    /// A code that only tells.
    #[must_use]
    pub const fn note(id: &'static str, title: &'static str, explanation: &'static str) -> Self {
        Self { id, severity: Severity::Note, title, explanation }
    }
}

impl Serialize for Code {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(self.id)
    }
}

/// Every code there is, by room.
pub fn all() -> impl Iterator<Item = &'static Code> {
    [
        job::ALL,
        files::ALL,
        takeoff::ALL,
        stock::ALL,
        rules::ALL,
        demand::ALL,
        measured::ALL,
        cost::ALL,
        nest::ALL,
        plan::ALL,
        sequence::ALL,
        shelf::ALL,
        done::ALL,
    ]
    .into_iter()
    .flatten()
    .copied()
}

/// The code with this id, in either case.
#[must_use]
pub fn find(id: &str) -> Option<&'static Code> {
    all().find(|code| code.id.eq_ignore_ascii_case(id.trim()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    #[test]
    fn ids_are_unique_and_well_formed() {
        let mut seen = BTreeSet::new();
        for code in all() {
            assert!(seen.insert(code.id), "{} stands twice", code.id);
            let (letter, number) = code.id.split_at(1);
            assert!(letter.bytes().all(|b| b.is_ascii_uppercase()), "{}", code.id);
            assert!(number.len() == 3 && number.bytes().all(|b| b.is_ascii_digit()), "{}", code.id);
            assert!(!code.title.is_empty() && !code.explanation.is_empty(), "{}", code.id);
        }
    }
}
