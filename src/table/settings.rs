//! A file of settings (TOML): its entries in their order and where they stand, and what is told where it cannot be
//! taken apart.

use super::cell::quoted;
use super::text::{decode, line_and_column};
use crate::finding::codes::Code;
use crate::finding::{Finding, Findings, Place};
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeString, DeTable, DeValue, Error};

/// The largest file, in bytes; all rules together with their comments take some 10,000.
const LIMIT: usize = 1 << 20;
/// After so many faults a file hardly holds settings, and more of them tell nothing.
const MOST_FAULTS: usize = 50;
/// Characters of a key that are told.
const LONGEST_KEY: usize = 80;

/// A file of settings as text.
pub struct Settings<'f> {
    file: &'f str,
    text: String,
}

/// A key and its value.
pub type Entry<'t, 'i> = (&'t Spanned<DeString<'i>>, &'t Spanned<DeValue<'i>>);

impl<'f> Settings<'f> {
    /// Its text.
    #[must_use]
    pub fn open(file: &'f str, bytes: &[u8], findings: &mut Findings) -> Self {
        Self { file, text: decode(file, bytes, findings) }
    }

    /// What stands in it. Faults are told under `syntax` with what `remedy` says of each, and nothing is given then: what
    /// follows a fault may have been taken for something else.
    pub fn read(
        &self,
        syntax: &'static Code,
        remedy: impl Fn(Option<Bare>) -> String,
        findings: &mut Findings,
    ) -> Option<DeTable<'_>> {
        if self.text.len() > LIMIT {
            let what = format!("the file is larger than any settings ({} MB)", LIMIT >> 20);
            let remedy = "see whether it is the right file";
            findings.push(Finding::new(syntax, Place::file(self.file), what, remedy));
            return None;
        }
        let (document, found) = DeTable::parse_recoverable(&self.text);
        for Fault { start, what, bare } in faults(&self.text, found.iter().take(MOST_FAULTS)) {
            let place = self.place(&(start..start), "");
            findings.push(Finding::new(syntax, place, what, remedy(bare)));
        }
        found.is_empty().then(|| document.into_inner())
    }

    /// Where something stands; `key` is what it is told to be, if anything.
    #[must_use]
    pub fn place(&self, span: &Range<usize>, key: &str) -> Place {
        let (line, column) = line_and_column(&self.text, span.start);
        let field = (!key.is_empty()).then(|| key.chars().take(LONGEST_KEY).collect());
        Place { column: Some(column), field, ..Place::line(self.file, line) }
    }
}

/// A table's entries as they stand in the file, not by the alphabet.
#[must_use]
pub fn in_file_order<'t, 'i>(table: &'t DeTable<'i>) -> Vec<Entry<'t, 'i>> {
    let mut entries: Vec<Entry<'t, 'i>> = table.iter().collect();
    entries.sort_by_key(|(name, _)| name.span().start);
    entries
}

/// A line that cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
struct Fault {
    /// Where it stands, in bytes.
    start: usize,
    /// What is wrong.
    what: String,
    /// Where a text stands without quotes.
    bare: Option<Bare>,
}

/// A text without quotes.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Bare {
    /// Its key.
    pub key: String,
    /// What to write.
    pub remedy: String,
}

/// What is told of the faults that the reader of TOML found: one for each line with a text without quotes, which is
/// what people leave out; the reader's own words for all others.
fn faults<'e>(text: &str, found: impl IntoIterator<Item = &'e Error>) -> Vec<Fault> {
    let mut told: Vec<Fault> = Vec::new();
    for error in found {
        let at = error.span().map_or(0, |span| span.start.min(text.len()));
        let fault = bare(text, at).unwrap_or_else(|| {
            let words: Vec<&str> = error.message().split_whitespace().collect();
            let what = format!("this line cannot be read: {}", words.join(" "));
            Fault { start: at, what, bare: None }
        });
        if !told.contains(&fault) {
            told.push(fault);
        }
    }
    told
}

/// A text without quotes in the line in which a fault lies: `pull_limit = 8 ft`.
fn bare(text: &str, at: usize) -> Option<Fault> {
    let before = text.get(..at)?;
    let from = before.rfind('\n').map_or(0, |end| end + 1);
    let line = text[from..].lines().next().unwrap_or_default();
    let (key, value) = line.split_once('=')?;
    let start = from + key.len() + 1 + (value.len() - value.trim_start().len());
    let value = value.split('#').next().unwrap_or_default().trim();
    let key = key.trim();
    let is_name = |c: char| c.is_ascii_alphanumeric() || c == '_' || c == '-';
    let begins = value.chars().next().is_some_and(|c| c.is_alphanumeric() || c == '.');
    // Without a mark or a letter it is a number that is written wrongly, and quotes do not help.
    let is_text = value.chars().any(|c| c.is_alphabetic() || "\"'%".contains(c));
    if key.is_empty() || !key.chars().all(is_name) || !begins || !is_text {
        return None;
    }
    let escaped = value.replace('"', "\\\"");
    Some(Fault {
        start,
        what: format!("{} stands without quotes", quoted(value)),
        bare: Some(Bare {
            key: key.to_owned(),
            remedy: format!(
                "write `{key} = \"{escaped}\"`: numbers, true and false alone stand without them"
            ),
        }),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::codes::rules::SYNTAX;

    fn told(text: &str) -> Vec<(usize, String, Option<String>)> {
        let (_, errors) = DeTable::parse_recoverable(text);
        let remedy = |fault: Fault| (fault.start, fault.what, fault.bare.map(|bare| bare.remedy));
        faults(text, &errors).into_iter().map(remedy).collect()
    }

    #[test]
    fn a_text_without_quotes_is_told_once_with_what_to_write() {
        let found =
            told("[table]\npull_limit = 8 ft # of the table\nedge_trim=6\"\nlengths = inches\n");
        let expected = [
            (21, "`8 ft` stands without quotes", "pull_limit = \"8 ft\""),
            (51, "`6\"` stands without quotes", "edge_trim = \"6\\\"\""),
            (64, "`inches` stands without quotes", "lengths = \"inches\""),
        ];
        assert_eq!(found.len(), expected.len(), "{found:?}");
        for ((start, what, remedy), (at, words, line)) in found.iter().zip(expected) {
            assert_eq!((*start, what.as_str()), (at, words), "{found:?}");
            let remedy = remedy.as_ref().unwrap();
            assert!(remedy.contains(&format!("write `{line}`")), "{remedy}");
            let written = remedy.split('`').nth(1).unwrap();
            assert!(DeTable::parse(written).is_ok(), "{written}");
        }
    }

    #[test]
    fn other_faults_keep_the_words_of_the_reader() {
        for text in ["[table\n", "gap\n", "gap = \"3\n", "gap = 1,5\n", "gap = [1, x\n", "gap =\n"]
        {
            let found = told(text);
            assert!(
                !found.is_empty()
                    && found.iter().all(|(_, what, remedy)| {
                        what.starts_with("this line cannot be read: ") && remedy.is_none()
                    }),
                "{text}: {found:?}"
            );
        }
    }

    /// Every fault is told, those of a file that is no settings at all in one line.
    #[test]
    fn all_faults_are_told_and_a_huge_file_is_not_read() {
        let told = |text: &str| {
            let mut findings = Findings::new();
            let settings = Settings::open("rules.toml", text.as_bytes(), &mut findings);
            let read = settings.read(&SYNTAX, |_| String::new(), &mut findings).is_some();
            let places = findings.iter().map(|finding| finding.place.line).collect::<Vec<_>>();
            (read, places)
        };
        assert_eq!(told("a = 1\n[b]\nc = 2\n"), (true, Vec::new()));
        assert_eq!(told("a =\nb =\n"), (false, vec![Some(1), Some(2)]));
        let huge = "a b\n".repeat(LIMIT / 4 + 1);
        assert_eq!(told(&huge), (false, vec![None]));
        assert_eq!(told(&huge[..400]).1.len(), MOST_FAULTS);
    }
}
