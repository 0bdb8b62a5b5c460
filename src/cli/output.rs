//! Printing: data on standard output, messages on standard error. No colours at all.
//!
//! A reader that closes the pipe early (`rollwright rules | head`) ends the output, not the
//! command: what was to be done is done all the same.

use super::exit::Failure;
use crate::finding::{Finding, Findings, Severity};
use crate::report::visible;
use serde::Serialize;
use std::fmt::Write as _;
use std::io::{ErrorKind, Write, stderr, stdout};

/// Writes data to standard output.
///
/// # Errors
/// What the system says, except for a closed pipe.
pub fn data(text: &str) -> Result<(), Failure> {
    let mut out = stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(e) if e.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::System(format!("standard output cannot be written: {e}")))
        }
        _ => Ok(()),
    }
}

/// Writes a value as indented JSON to standard output.
///
/// # Errors
/// As [`data`].
pub fn json<T: Serialize>(value: &T) -> Result<(), Failure> {
    let text = serde_json::to_string_pretty(value)
        .map_err(|e| Failure::System(format!("the answer has no form in JSON: {e}")))?;
    data(&(text + "\n"))
}

/// Writes a message to standard error. Nobody can be told when even that fails.
pub fn message(text: &str) {
    let _ = writeln!(stderr().lock(), "{text}");
}

/// The findings in the order in which people read files: by file, line and column.
#[must_use]
pub fn sorted(findings: &Findings) -> Vec<&Finding> {
    let mut list: Vec<&Finding> = findings.iter().collect();
    list.sort_by(|a, b| a.place.cmp(&b.place));
    list
}

/// So many errors, warnings and notes, in words.
fn count(list: &[&Finding]) -> String {
    let words =
        [(Severity::Error, "error"), (Severity::Warning, "warning"), (Severity::Note, "note")];
    let parts: Vec<String> = words
        .iter()
        .filter_map(|&(severity, word)| {
            let n = list.iter().filter(|f| f.severity() == severity).count();
            (n > 0).then(|| format!("{n} {word}{}", if n == 1 { "" } else { "s" }))
        })
        .collect();
    parts.join(", ")
}

/// Prints findings to standard error, one a line, with a count at the end.
pub fn findings(findings: &Findings, quiet: bool) {
    let all = sorted(findings);
    let shown: Vec<&Finding> =
        all.into_iter().filter(|f| !quiet || f.severity() == Severity::Error).collect();
    let Some(first) = shown.iter().find(|f| f.severity() == Severity::Error).or(shown.first())
    else {
        return;
    };
    let mut text = String::new();
    for finding in &shown {
        text.push_str(&visible(&finding.to_string()));
        text.push('\n');
    }
    let _ = write!(
        text,
        "{}; `rollwright explain {}` says more about a code",
        count(&shown),
        first.code.id
    );
    message(&text);
}
