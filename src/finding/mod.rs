//! Findings: what is wrong, or worth knowing, about an input; all of them, never only the first.
//!
//! A [`Finding`] has a code (listed in [`codes`], explained by `rollwright explain CODE`), a
//! severity, a place (file, line, column), what is the matter, and what to do about it.

pub mod codes;
mod place;
mod printable;

pub use place::{Place, letters};
pub use printable::{is_invisible, printable};

use codes::Code;
use serde::Serialize;
use std::fmt;

/// How much a finding matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Severity {
    /// Nothing can be planned until it is mended.
    Error,
    /// The plan stands, but somebody should look.
    Warning,
    /// Something done that the reader may want to know.
    Note,
}

impl fmt::Display for Severity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(match self {
            Self::Error => "error",
            Self::Warning => "warning",
            Self::Note => "note",
        })
    }
}

/// One thing found.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct Finding {
    /// Its code and, with it, its severity.
    pub code: &'static Code,
    /// Where.
    pub place: Place,
    /// What is the matter, in one sentence without a full stop.
    pub what: String,
    /// What to do about it, in one sentence without a full stop.
    pub remedy: String,
}

impl Finding {
    /// A finding; its texts are made [`printable()`], whatever of an input they quote.
    pub fn new(
        code: &'static Code,
        place: Place,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) -> Self {
        let (sheet, field) = (place.sheet.map(printable), place.field.map(printable));
        let place = Place { sheet, field, ..place };
        Self { code, place, what: printable(what.into()), remedy: printable(remedy.into()) }
    }

    /// How much it matters.
    #[must_use]
    pub const fn severity(&self) -> Severity {
        self.code.severity
    }
}

impl fmt::Display for Finding {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { code, place, what, remedy } = self;
        write!(f, "{place}: {} {}: {what}; {remedy}", code.severity, code.id)
    }
}

/// A list of findings, in the order in which they were found.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(transparent)]
pub struct Findings(Vec<Finding>);

impl Findings {
    /// None yet.
    #[must_use]
    pub const fn new() -> Self {
        Self(Vec::new())
    }

    /// Adds one.
    pub fn push(&mut self, finding: Finding) {
        self.0.push(finding);
    }

    /// Adds several.
    pub fn extend(&mut self, findings: impl IntoIterator<Item = Finding>) {
        self.0.extend(findings);
    }

    /// Adds all of another list.
    pub fn append(&mut self, other: Self) {
        self.0.extend(other.0);
    }

    /// Whether any of them is an error.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.0.iter().any(|f| f.severity() == Severity::Error)
    }

    /// Whether there is none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.0.is_empty()
    }

    /// How many.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.0.len()
    }

    /// All of them.
    pub fn iter(&self) -> std::slice::Iter<'_, Finding> {
        self.0.iter()
    }
}

impl<'a> IntoIterator for &'a Findings {
    type Item = &'a Finding;
    type IntoIter = std::slice::Iter<'a, Finding>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}
