//! Keys of an object: known, unknown, missing, twice.

use crate::finding::codes::Code;
use crate::finding::codes::nest as codes;
use crate::finding::{Finding, Findings};
use crate::nest::record::{Kind, Source, Spot};
use std::borrow::Cow;

/// What an objective may be.
pub(super) const OBJECTIVES: &str = "rolls, price or length";
/// What a cutting style may be.
pub(super) const STYLES: &str = "straight or free";

/// What belongs to a key that must be there.
fn wanted(key: &str) -> String {
    let words = |words: &str| format!("one of the words {words}, in quotes");
    let text = match key {
        "objective" => return words(OBJECTIVES),
        "style" => return words(STYLES),
        "cutting" => return format!("{{ \"style\": ... }}, the style being {}", words(STYLES)),
        "id" | "name" => "a name in quotes",
        "piece" => "the name of a piece, in quotes",
        "width" => "a length such as 1500 or \"48 in\"; a bare number is millimetres",
        "length" => {
            "a length such as 900 or \"3 m\"; a bare number is millimetres (of a roll null: without end)"
        }
        "quantity" => "how many are wanted, a whole number",
        "rolls" => "an array of rolls: { \"id\": ..., \"width\": ..., \"length\": ... }",
        "pieces" => {
            "an array of pieces, { \"id\": ..., \"width\": ..., \"length\": ..., \"quantity\": ... }"
        }
        _ => "an array with at least one member",
    };
    text.to_owned()
}

/// Keys that an object may have.
pub(super) struct Known {
    /// Those that mean something.
    pub(super) read: &'static [&'static str],
    /// Those that are for people.
    pub(super) passed: &'static [&'static str],
}

/// An object whose fields are taken one by one.
pub(super) struct Object<'a> {
    pub(super) spot: Spot<'a>,
    path: String,
    fields: Vec<(Cow<'a, str>, Spot<'a>)>,
}

impl<'a> Object<'a> {
    /// Takes a field's value, if it is there.
    pub(super) fn take(&mut self, key: &str) -> Option<Spot<'a>> {
        let at = self.fields.iter().position(|(k, _)| k == key)?;
        Some(self.fields.swap_remove(at).1)
    }

    /// Whether a field is there and not null.
    pub(super) fn has(&self, key: &str) -> bool {
        self.fields.iter().any(|(k, spot)| k == key && spot.kind() != Kind::Null)
    }

    /// A key as it is shown: with the way to it.
    pub(super) fn key(&self, key: &str) -> String {
        format!("{}{key}", self.path)
    }
}

/// Where findings are collected while a file comes through.
pub(super) struct Door<'a> {
    pub(super) source: &'a Source<'a>,
    pub(super) findings: Findings,
    /// Every roll so far has a price.
    pub(super) priced: bool,
}

impl<'a> Door<'a> {
    pub(super) fn new(source: &'a Source<'a>) -> Self {
        Self { source, findings: Findings::new(), priced: true }
    }

    pub(super) fn add(
        &mut self,
        code: &'static Code,
        spot: Spot<'_>,
        key: &str,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        self.findings.push(Finding::new(code, self.source.place(spot, key), what, remedy));
    }

    /// An object with known keys; `path` leads to it and ends with a point.
    pub(super) fn object<'s>(
        &mut self,
        spot: Spot<'s>,
        path: String,
        known: &Known,
    ) -> Option<Object<'s>> {
        let Some(fields) = spot.fields() else {
            self.wrong_kind(spot, path.trim_end_matches('.'), "an object");
            return None;
        };
        let mut object = Object { spot, path, fields: Vec::with_capacity(fields.0.len()) };
        for (key, value) in fields.0 {
            let name = object.key(&key);
            if object.fields.iter().any(|(k, _)| *k == key) {
                let what = format!("`{key}` stands a second time");
                self.add(&codes::TWICE, value, &name, what, "leave one of the two away");
            } else if known.read.contains(&key.as_ref()) {
                object.fields.push((key, value));
            } else if !known.passed.contains(&key.as_ref()) {
                self.unknown(&key, value, &name, known);
            }
        }
        Some(object)
    }

    fn unknown(&mut self, key: &str, spot: Spot<'_>, name: &str, known: &Known) {
        let near = known.read.iter().min_by_key(|k| strsim::osa_distance(k, key));
        let near = near.filter(|k| strsim::osa_distance(k, key) <= 2);
        let remedy = match near {
            Some(near) => format!("write `{near}` if that is meant, or leave it away"),
            None => "leave it away".to_owned(),
        };
        self.add(&codes::UNKNOWN_KEY, spot, name, format!("`{key}` is not read"), remedy);
    }

    /// A field that must be there.
    pub(super) fn need<'s>(&mut self, object: &mut Object<'s>, key: &str) -> Option<Spot<'s>> {
        let found = object.take(key);
        if found.is_none() {
            let name = object.key(key);
            let what = format!("`{key}` is missing");
            let remedy = format!("add `{key}`: {}", wanted(key));
            self.add(&codes::MISSING, object.spot, &name, what, remedy);
        }
        found
    }

    /// The members of an array.
    pub(super) fn members<'s>(
        &mut self,
        spot: Spot<'s>,
        key: &str,
        wanted: &str,
    ) -> Option<Vec<Spot<'s>>> {
        let members = spot.members();
        if members.is_none() {
            self.wrong_kind(spot, key, wanted);
        }
        members
    }

    pub(super) fn wrong_kind(&mut self, spot: Spot<'_>, key: &str, wanted: &str) {
        let mut shown: String = spot.text().chars().take(24).collect();
        if shown.len() < spot.text().len() {
            shown.push('…');
        }
        let what = match spot.kind() {
            Kind::Null => format!("this is null where {wanted} belongs"),
            kind => format!("this is {kind}, {shown}, where {wanted} belongs"),
        };
        self.add(&codes::WRONG_KIND, spot, key, what, format!("write {wanted}"));
    }

    /// Text that must be there.
    pub(super) fn text_at<'s>(
        &mut self,
        object: &mut Object<'s>,
        key: &str,
    ) -> Option<(Spot<'s>, String)> {
        let spot = self.need(object, key)?;
        let text = spot.string();
        if text.is_none() {
            self.wrong_kind(spot, &object.key(key), "text in quotes");
        }
        text.map(|t| (spot, t))
    }

    /// Text that must be there and not be empty.
    pub(super) fn text(&mut self, object: &mut Object<'_>, key: &str) -> Option<String> {
        let (spot, text) = self.text_at(object, key)?;
        if text.trim().is_empty() {
            self.wrong_kind(spot, &object.key(key), "a name");
            return None;
        }
        Some(text)
    }
}
