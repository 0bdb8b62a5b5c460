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
    /// Key and value of each setting, where they stand in a file.
    pub cells: Vec<[Place; 2]>,
    /// Whether all its lines could be read, so that what it comes to is known.
    pub whole: bool,
}

/// Which part of a setting is meant.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Part {
    /// What is set.
    Key,
    /// What it is set to.
    Value,
}

impl Choice {
    /// Where a part of a setting stands, by the setting's number.
    #[must_use]
    pub fn place_of(&self, setting: usize, part: Part) -> Place {
        let cell = self.cells.get(setting).map(|[key, value]| match part {
            Part::Key => key,
            Part::Value => value,
        });
        let named = |key: &str| match self.name.as_str() {
            "" => key.to_owned(),
            name => format!("{name}, {key}"),
        };
        let field = self.settings.get(setting).map(|(key, _)| named(key));
        Place { field, ..cell.unwrap_or(&self.place).clone() }
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
        Ok(Self {
            name: name.to_owned(),
            settings,
            place: Place::file(from),
            cells: Vec::new(),
            whole: true,
        })
    }
}

/// Reads a file of options. Where a finding is an error they are not to be carried out, but what else is wrong with
/// them can be told: a line without a name counts to the option before where that does not set the same yet, and one
/// without a value has an empty one.
#[must_use]
pub fn read(file: &str, bytes: &[u8]) -> (Vec<Choice>, Findings) {
    const CODES: Codes =
        Codes { missing: &codes::MISSING, unread: &codes::UNREAD, range: &codes::RANGE };
    let mut findings = Findings::new();
    let table = Table::read(file, bytes, COLUMNS, &mut findings);
    let mut choices: Vec<Choice> = Vec::new();
    let mut reader = Reader::new(CODES, &mut findings);
    for row in table.iter().flat_map(Table::rows) {
        let [option, key, value]: [Cell<'_>; 3] = row.cells;
        let name = reader.name(&option);
        let cells = [key.place(), value.place()];
        let key = reader.text(&key);
        let value = reader.text(&value);
        let known = match name {
            Some(name) => choices.iter().position(|choice| choice.name == name),
            None => choices.len().checked_sub(1).filter(|&last| {
                let set = choices.get(last).map_or(&[][..], |choice| &choice.settings);
                set.iter().all(|(before, _)| Some(before.as_str()) != key)
            }),
        };
        let at = known.unwrap_or(choices.len());
        if known.is_none() {
            choices.push(Choice {
                name: name.unwrap_or_default().to_owned(),
                settings: Vec::new(),
                place: Place::line(file, row.line),
                cells: Vec::new(),
                whole: true,
            });
        }
        let Some(choice) = choices.get_mut(at) else { continue };
        choice.whole &= name.is_some() && key.is_some() && value.is_some();
        if let Some(key) = key {
            choice.settings.push((key.to_owned(), value.unwrap_or_default().to_owned()));
            choice.cells.push(cells);
        }
    }
    (choices, findings)
}
