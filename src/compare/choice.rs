//! Options as they are given: on the command line, or in a file with one setting a line.

use crate::finding::codes::cost as codes;
use crate::finding::{Finding, Findings, Place};
use crate::table::{Cell, Codes, Column, LONGEST_NAME, Reader, Table, quoted};

/// The columns of a file of options.
pub const COLUMNS: &[Column; 3] = &[
    Column::needed("option", "name", "short table", "the option's name; its lines belong together"),
    Column::needed("key", "word", "table.pull_limit", "what is set"),
    Column::needed("value", "value", "3 m", "what it is set to"),
];

/// An option: a name and what it sets.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Choice {
    /// Its name.
    pub name: String,
    /// Keys and values, in order.
    pub settings: Vec<(String, String)>,
    /// Where it stands.
    pub place: Place,
    /// The line of each setting, where they stand in a file.
    pub lines: Vec<u64>,
}

impl Choice {
    /// Where a setting stands, by its number.
    #[must_use]
    pub fn place_of(&self, setting: usize) -> Place {
        let line = self.lines.get(setting).copied().or(self.place.line);
        let field = self.settings.get(setting).map(|(key, _)| format!("{}, {key}", self.name));
        Place { line, field, ..self.place.clone() }
    }

    /// An option written `name: key = value; key = value`, or only `key = value`, which is then its
    /// name as well; `from` is where it was written.
    ///
    /// # Errors
    /// A finding.
    pub fn parse(text: &str, from: &str) -> Result<Self, Box<Finding>> {
        let wrong = |what: String| {
            let remedy = "write `KEY=VALUE`, such as `\"table.pull_limit=3 m\"`, or several under one \
                          name: `short table: table.pull_limit = 3 m; joints.stagger = 100`";
            Box::new(Finding::new(&codes::OPTION, Place::file(from), what, remedy))
        };
        let (name, rest) = match text.split_once(':') {
            Some((name, rest)) if !name.contains('=') => (name.trim(), rest),
            _ => (text.trim(), text),
        };
        let settings: Option<Vec<(String, String)>> = rest
            .split(';')
            .filter(|part| !part.trim().is_empty())
            .map(|part| {
                let (key, value) = part.split_once('=')?;
                let (key, value) = (key.trim(), value.trim());
                (!key.is_empty() && !value.is_empty()).then(|| (key.to_owned(), value.to_owned()))
            })
            .collect();
        let settings = settings.filter(|list| !list.is_empty());
        let settings = settings.ok_or_else(|| wrong(format!("{} sets nothing", quoted(text))))?;
        if name.is_empty() || name.chars().count() > 2 * LONGEST_NAME {
            return Err(wrong(format!("{} is no name for an option", quoted(name))));
        }
        Ok(Self { name: name.to_owned(), settings, place: Place::file(from), lines: Vec::new() })
    }
}

/// Reads a file of options; `None` where any finding is an error.
#[must_use]
pub fn read(file: &str, bytes: &[u8]) -> (Option<Vec<Choice>>, Findings) {
    const CODES: Codes =
        Codes { missing: &codes::MISSING, unread: &codes::UNREAD, range: &codes::RANGE };
    let mut findings = Findings::new();
    let table = Table::read(file, bytes, COLUMNS, &mut findings);
    let mut choices: Vec<Choice> = Vec::new();
    let mut reader = Reader::new(CODES, &mut findings);
    for row in table.iter().flat_map(Table::rows) {
        let [option, key, value]: [Cell<'_>; 3] = row.cells;
        let name = reader.name(&option);
        let key = reader.text(&key);
        let value = reader.text(&value);
        let (Some(name), Some(key), Some(value)) = (name, key, value) else { continue };
        let setting = (key.to_owned(), value.to_owned());
        match choices.iter_mut().find(|choice| choice.name == name) {
            Some(choice) => {
                choice.settings.push(setting);
                choice.lines.push(row.line);
            }
            None => choices.push(Choice {
                name: name.to_owned(),
                settings: vec![setting],
                place: Place::line(file, row.line),
                lines: vec![row.line],
            }),
        }
    }
    (if findings.has_errors() { None } else { Some(choices) }, findings)
}
