//! The documentation of `rules.toml`, written from the table of keys.

use super::{Form, KEYS, Rules};
use serde::Serialize;

/// One row of the documentation of `rules.toml`.
#[derive(Clone, Debug, PartialEq, Eq, Serialize)]
pub struct ReferenceRow {
    /// `[section] key`.
    pub key: String,
    /// What to write.
    pub form: String,
    /// The unit of a bare number.
    pub unit: &'static str,
    /// The default, as it would be written.
    pub default: String,
    /// The limits.
    pub range: String,
    /// What it means, and what each word chooses.
    pub meaning: String,
    /// Where the default comes from.
    pub source: &'static str,
}

/// The documentation of `rules.toml`, a row for each key.
#[must_use]
pub fn reference() -> Vec<ReferenceRow> {
    let defaults = Rules::default();
    KEYS.iter()
        .map(|key| {
            let mut meaning = key.meaning.to_owned();
            if let Form::Word(words) = &key.form {
                let list: Vec<String> =
                    words.iter().map(|w| format!("`{}` {}", w.text, w.meaning)).collect();
                meaning = format!("{meaning}: {}", list.join("; "));
            }
            ReferenceRow {
                key: format!("[{}] {}", key.section, key.name),
                form: key.form.text(),
                unit: key.form.unit(),
                default: key.form.show(&defaults),
                range: key.form.range(),
                meaning,
                source: key.source,
            }
        })
        .collect()
}
