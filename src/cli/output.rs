//! Printing: data on standard output, never coloured; messages on standard error, with colour on a
//! terminal only.
//!
//! A reader that closes the pipe early (`rollwright rules | head`) ends the output, not the
//! command: what was to be done is done all the same.

use super::colour;
use super::exit::{Failure, said};
use crate::finding::{Finding, Findings, Place, Severity};
pub use crate::report::filled;
use crate::report::{counted, visible};
use serde::Serialize;
use std::fmt::Write as _;
use std::io::{ErrorKind, Write, stderr, stdout};

/// Writes data to standard output.
///
/// # Errors
/// What the system says, except for a closed pipe.
pub fn data(text: &str) -> Result<(), Failure> {
    let mut out = stdout().lock();
    written(out.write_all(text.as_bytes()).and_then(|()| out.flush()))
}

/// What became of writing to standard output.
fn written(done: std::io::Result<()>) -> Result<(), Failure> {
    match done {
        Err(e) if e.kind() != ErrorKind::BrokenPipe => {
            Err(Failure::System(format!("standard output cannot be written: {}", said(&e))))
        }
        _ => Ok(()),
    }
}

/// What clap says: help and version, which are asked for, on standard output, slips on standard error.
///
/// # Errors
/// As [`data`]; nobody can be told of a slip when standard error cannot be written.
pub fn of_clap(told: &clap::Error) -> Result<(), Failure> {
    let done = told.print().and_then(|()| stdout().flush());
    if told.use_stderr() { Ok(()) } else { written(done) }
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

/// What was shown after something was done for good: a failure to show it also says what was done, since
/// a command that failed is tried again.
///
/// # Errors
/// The failure to show it, with what was done.
pub fn after(shown: Result<(), Failure>, done: impl FnOnce() -> String) -> Result<(), Failure> {
    shown.map_err(|failure| Failure::System(format!("{failure}; done before that: {}", done())))
}

/// A path as a word of a command that can be copied into a shell: in quotes where it needs them.
#[must_use]
pub fn word(path: &std::path::Path) -> String {
    let text = path.display().to_string();
    let plain =
        |c: char| c.is_alphanumeric() || "/._-+:,@%".contains(c) || (cfg!(windows) && c == '\\');
    if !text.is_empty() && text.chars().all(plain) {
        text
    } else if cfg!(windows) {
        format!("\"{text}\"")
    } else {
        format!("'{}'", text.replace('\'', "'\\''"))
    }
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
    let words = [
        (Severity::Error, "error", "errors"),
        (Severity::Warning, "warning", "warnings"),
        (Severity::Note, "note", "notes"),
    ];
    let parts: Vec<String> = words
        .iter()
        .filter_map(|&(severity, one, many)| {
            let n = list.iter().filter(|f| f.severity() == severity).count();
            (n > 0).then(|| counted(n as u64, one, many))
        })
        .collect();
    parts.join(", ")
}

/// How much is told.
#[derive(Clone, Copy, Debug, Default, clap::Args)]
pub struct Loudness {
    /// Tell nothing but errors
    #[arg(long, short, conflicts_with = "verbose")]
    pub quiet: bool,
    /// Tell notes as well, and progress where standard error is no terminal
    #[arg(long, short)]
    pub verbose: bool,
}

impl Loudness {
    const fn tells(self, severity: Severity) -> bool {
        match severity {
            Severity::Error => true,
            Severity::Warning => !self.quiet,
            Severity::Note => self.verbose,
        }
    }
}

/// Prints findings to standard error, one a line, with a count at the end: errors always,
/// warnings unless quiet, notes if asked for. The count is of all.
pub fn findings(findings: &Findings, loudness: Loudness) {
    let all = sorted(findings);
    let told = |f: &&Finding| loudness.tells(f.severity());
    let shown: Vec<&Finding> = all.iter().copied().filter(told).collect();
    let mut text = String::new();
    let coloured = colour::wanted();
    for finding in &shown {
        let line = visible(&finding.to_string());
        let line = if coloured { colour::line(&line, finding.severity()) } else { line };
        text.push_str(&line);
        text.push('\n');
    }
    let worst = shown.iter().min_by_key(|f| f.severity());
    if let Some(worst) = worst {
        let others = match (shown.len() < all.len(), loudness.quiet) {
            (false, _) => "",
            (true, true) => " (without --quiet they are told as well)",
            (true, false) => " (notes are told with --verbose)",
        };
        let _ = write!(
            text,
            "{}{others}; `rollwright explain {}` says more about a code",
            count(&all),
            worst.code.id
        );
        message(&text);
    } else if !all.is_empty() && !loudness.quiet {
        message(&format!("{} (told with --verbose, and in the report)", count(&all)));
    }
}

/// A finding as other programs read it.
#[derive(Debug, Serialize)]
pub struct FindingOut<'a> {
    code: &'static str,
    severity: Severity,
    #[serde(flatten)]
    place: &'a Place,
    what: &'a str,
    remedy: &'a str,
}

/// Findings as other programs read them, in the order in which people read files.
#[must_use]
pub fn findings_out(findings: &Findings) -> Vec<FindingOut<'_>> {
    sorted(findings)
        .into_iter()
        .map(|f| FindingOut {
            code: f.code.id,
            severity: f.severity(),
            place: &f.place,
            what: &f.what,
            remedy: &f.remedy,
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::word;
    use std::path::Path;

    #[cfg(unix)]
    #[test]
    fn paths_are_words_of_a_shell() {
        let told = |path: &str| word(Path::new(path));
        assert_eq!(told("jobs/north-2"), "jobs/north-2");
        assert_eq!(told("jobs/Zürich"), "jobs/Zürich");
        assert_eq!(told("north yard"), "'north yard'");
        assert_eq!(told("Bob's; rm $HOME"), "'Bob'\\''s; rm $HOME'");
    }
}
