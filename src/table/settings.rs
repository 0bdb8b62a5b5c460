//! What is told of a file of settings (TOML) that cannot be taken apart.

use super::cell::quoted;
use toml::de::Error;

/// A line that cannot be read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Fault {
    /// Where it stands, in bytes.
    pub start: usize,
    /// What is wrong.
    pub what: String,
    /// Where a text stands without quotes.
    pub bare: Option<Bare>,
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
#[must_use]
pub fn faults<'e>(text: &str, found: impl IntoIterator<Item = &'e Error>) -> Vec<Fault> {
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
    use toml::de::DeTable;

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
}
