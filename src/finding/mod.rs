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
use std::collections::BTreeSet;
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
pub struct Findings {
    list: Vec<Finding>,
    /// Lines and cells of which the cause of all that is wrong there is told already.
    #[serde(skip)]
    closed: BTreeSet<Place>,
}

impl Findings {
    /// None yet.
    #[must_use]
    pub const fn new() -> Self {
        Self { list: Vec::new(), closed: BTreeSet::new() }
    }

    /// Adds one; no error or warning on a line or cell of which the cause is told already.
    pub fn push(&mut self, finding: Finding) {
        let place = &finding.place;
        let told = || {
            self.closed.contains(&place.whole_line())
                || (place.column.is_some() && self.closed.contains(&place.bare()))
        };
        if self.closed.is_empty() || finding.severity() == Severity::Note || !told() {
            self.list.push(finding);
        }
    }

    /// Adds one that is the cause of whatever else is wrong on its line: errors and warnings that
    /// are found there later are left out.
    pub fn push_for_line(&mut self, finding: Finding) {
        let line = finding.place.whole_line();
        self.push(finding);
        self.closed.insert(line);
    }

    /// Adds one that is the cause of whatever else is wrong in its cell: errors and warnings that
    /// are found there later are left out.
    pub fn push_for_cell(&mut self, finding: Finding) {
        let cell = finding.place.bare();
        self.push(finding);
        self.closed.insert(cell);
    }

    /// Leaves out errors and warnings that are found later in a cell: their cause is told already.
    pub fn close_cell(&mut self, place: &Place) {
        self.closed.insert(place.bare());
    }

    /// Adds several.
    pub fn extend(&mut self, findings: impl IntoIterator<Item = Finding>) {
        findings.into_iter().for_each(|finding| self.push(finding));
    }

    /// Adds all of another list.
    pub fn append(&mut self, other: Self) {
        self.extend(other.list);
        self.closed.extend(other.closed);
    }

    /// Whether any of them is an error.
    #[must_use]
    pub fn has_errors(&self) -> bool {
        self.list.iter().any(|f| f.severity() == Severity::Error)
    }

    /// Whether there is none.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.list.is_empty()
    }

    /// How many.
    #[must_use]
    pub const fn len(&self) -> usize {
        self.list.len()
    }

    /// Says each in other words.
    pub fn reword(&mut self, words: impl Fn(Finding) -> Finding) {
        self.list = std::mem::take(&mut self.list).into_iter().map(words).collect();
    }

    /// All of them.
    pub fn iter(&self) -> std::slice::Iter<'_, Finding> {
        self.list.iter()
    }
}

impl<'a> IntoIterator for &'a Findings {
    type Item = &'a Finding;
    type IntoIter = std::slice::Iter<'a, Finding>;
    fn into_iter(self) -> Self::IntoIter {
        self.iter()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_cause_is_told_once() {
        let at = |line, column| Place { column, ..Place::line("t.csv", line) };
        let error = |place| Finding::new(&codes::files::RAGGED, place, "it is wrong", "mend it");
        let note = |place| Finding::new(&codes::files::ROWS_ABOVE, place, "so it is", "look");
        let mut found = Findings::new();
        found.push_for_line(error(at(2, None)));
        found.push_for_cell(error(at(3, Some(4)).field("size", Some(4))));
        found.push(error(at(2, Some(1))));
        found.push(error(at(3, Some(4)).field("size2", Some(4))));
        assert_eq!(found.len(), 2);
        let mut later = Findings::new();
        later.push(error(at(2, Some(7))));
        found.append(later);
        assert_eq!(found.len(), 2);
        found.push(error(at(3, Some(5))));
        found.push(error(at(3, None)));
        found.push(note(at(2, None)));
        found.push(error(Place::line("u.csv", 2)));
        assert_eq!(found.len(), 6);
    }
}
