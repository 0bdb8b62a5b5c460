//! Printing: data on standard output, never coloured; messages on standard error, with colour on a
//! terminal only.
//!
//! A reader that closes the pipe early (`rollwright rules | head`) ends the output, not the
//! command: what was to be done is done all the same.

use super::colour;
use super::exit::{Failure, said};
use crate::finding::{Finding, Findings, Place, Severity};
pub use crate::report::filled;
use crate::report::{Outcome, counted, visible};
use crate::table::quoted;
use crate::units::{few, kind_of};
use serde::Serialize;
use std::collections::BTreeMap;
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

/// What a plan comes to, with all that was found on the way.
#[derive(Serialize)]
struct Found<'a> {
    #[serde(flatten)]
    outcome: &'a Outcome,
    findings: Vec<FindingOut<'a>>,
}

/// Writes what a plan comes to as JSON, and all findings with it.
///
/// # Errors
/// As [`data`].
pub fn outcome(outcome: &Outcome, findings: &Findings) -> Result<(), Failure> {
    json(&Found { outcome, findings: findings_out(findings) })
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

/// Names told at most of those that a PDF file cannot show.
const NAMED: usize = 5;

/// Tells which words stand in PDF files as numbers, as no face there has their letters, and where they can be
/// read instead.
pub fn in_numbers(words: &[String], files: &str, instead: &str) {
    if words.is_empty() {
        return;
    }
    let words: Vec<String> = words.iter().map(|word| quoted(word)).collect();
    message(&format!(
        "{files}: {} have letters that no face of this program has, such as Chinese, Japanese and Korean ones; they \
         stand there as numbers, as in [U+4E2D], and {instead} has them as they are",
        few(&words, NAMED)
    ));
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
    /// Everything, for commands that have no other way to tell it.
    pub const ALL: Self = Self { quiet: false, verbose: true };

    const fn tells(self, severity: Severity) -> bool {
        match severity {
            Severity::Error => true,
            Severity::Warning => !self.quiet,
            Severity::Note => self.verbose,
        }
    }
}

/// So many alike findings are told one by one, and the others counted.
const FIRST: usize = 10;

/// Prints findings to standard error, one a line, with a count at the end: errors always,
/// warnings unless quiet, notes if asked for. Of many that are alike the first are told and the others counted, unless
/// notes are asked for. The count is of all.
pub fn findings(findings: &Findings, loudness: Loudness) {
    if let Some(text) = told(findings, loudness, colour::wanted()) {
        message(&text);
    }
}

/// What [`findings`] prints.
fn told(findings: &Findings, loudness: Loudness, coloured: bool) -> Option<String> {
    let all = sorted(findings);
    let tells = |f: &&Finding| loudness.tells(f.severity());
    let shown: Vec<&Finding> = all.iter().copied().filter(tells).collect();
    let mut text = String::new();
    for (line, severity) in lines(&shown, loudness.verbose) {
        let line = visible(&line);
        text.push_str(&if coloured { colour::line(&line, severity) } else { line });
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
        Some(text)
    } else if !all.is_empty() && !loudness.quiet {
        Some(format!("{} (told with --verbose)", count(&all)))
    } else {
        None
    }
}

/// A line for each finding; of those that are alike (one code, one column of one list, one sentence but for figures and
/// names) the first few, and where the next would stand how many more there are and on which lines. One more
/// is told itself.
fn lines(shown: &[&Finding], whole: bool) -> Vec<(String, Severity)> {
    let alike = |finding: &Finding| {
        let Place { file, sheet, field, .. } = finding.place.clone();
        (finding.code.id, file, sheet, field, kind_of(&finding.what))
    };
    // By kind, those of it and how many of them are told or counted.
    let mut kinds: BTreeMap<_, (Vec<&Finding>, usize)> = BTreeMap::new();
    let keys: Vec<_> = shown.iter().map(|finding| alike(finding)).collect();
    for (key, &finding) in keys.iter().zip(shown) {
        kinds.entry(key).or_default().0.push(finding);
    }
    let mut told = Vec::with_capacity(shown.len());
    for (key, &finding) in keys.iter().zip(shown) {
        let Some((of_kind, at)) = kinds.get_mut(key) else { continue };
        *at += 1;
        if whole || *at <= FIRST || of_kind.len() == FIRST + 1 {
            told.push((finding.to_string(), finding.severity()));
        } else if *at == FIRST + 1 {
            let rest = of_kind.get(FIRST..).unwrap_or_default();
            let line = |finding: Option<&&Finding>| finding.and_then(|f| f.place.line);
            let lines = match (line(rest.first()), line(rest.last())) {
                (Some(first), Some(last)) if first < last => format!(", lines {first} to {last}"),
                (Some(first), _) => format!(", line {first}"),
                _ => String::new(),
            };
            let place = Place { line: None, column: None, ..finding.place.clone() };
            let (severity, code) = (finding.severity(), finding.code.id);
            let more = rest.len();
            let text = format!(
                "{place}: {severity} {code}: and {more} more like it{lines}; --verbose tells them one by one"
            );
            told.push((text, severity));
        }
    }
    told
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
    use super::{Loudness, findings_out, told, word};
    use crate::finding::codes::takeoff as codes;
    use crate::finding::{Finding, Findings, Place};
    use std::path::Path;

    /// So many slips of a kind in column `kind`, from line 2 on, and one of another kind on line 5.
    fn slips(count: u64) -> Findings {
        let mut all = Findings::new();
        for line in 2..2 + count {
            let place = Place::line("takeoff.csv", line).field("kind", Some(2));
            let what = format!("`pip{line}` is not known as `kind`");
            all.push(Finding::new(&codes::UNREAD, place, what, "write `pipe`"));
        }
        let place = Place::line("takeoff.csv", 5).field("size", Some(3));
        all.push(Finding::new(&codes::SIZE, place, "`6` is not a size", "write `NPS 6`"));
        all
    }

    #[test]
    fn alike_findings_are_summed_up() {
        let few = told(&slips(11), Loudness::default(), false).unwrap();
        assert_eq!(few.lines().count(), 13, "{few}");
        let many = slips(10_000);
        let text = told(&many, Loudness::default(), false).unwrap();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines.len(), 13, "{text}");
        assert!(
            lines[4].contains("5:3 (size): error T005") && lines[10].contains(":11:2 (kind)"),
            "{text}"
        );
        assert_eq!(
            lines[11],
            "takeoff.csv (kind): error T002: and 9990 more like it, lines 12 to 10001; --verbose tells them one by one"
        );
        assert!(lines[12].starts_with("10001 errors;"), "{text}");
        let whole = Loudness { verbose: true, ..Loudness::default() };
        assert_eq!(told(&many, whole, false).unwrap().lines().count(), 10_002);
        assert_eq!(findings_out(&many).len(), 10_001);
    }

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
