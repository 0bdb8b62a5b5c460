//! Bare instances as they stand in a file: shape only, and where everything stands.
//!
//! A value is kept as its raw text; since that text is a part of the file's text, its place in
//! the file is known without a parser of our own.

use crate::finding::Place;
use serde::de::{Deserialize, Deserializer, MapAccess, Visitor};
use serde_json::value::RawValue;
use std::borrow::Cow;
use std::cell::Cell;
use std::fmt;

/// A value where it stands.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot<'a> {
    text: &'a str,
}

/// Kinds of JSON values.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Kind {
    Null,
    Truth,
    Number,
    Text,
    Array,
    Object,
}

impl fmt::Display for Kind {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Null => "null",
            Self::Truth => "true or false",
            Self::Number => "a number",
            Self::Text => "text",
            Self::Array => "an array",
            Self::Object => "an object",
        })
    }
}

impl<'a> Spot<'a> {
    /// The whole of a file.
    ///
    /// # Errors
    /// What makes it no JSON.
    pub(super) fn parse(text: &'a str) -> Result<Self, serde_json::Error> {
        serde_json::from_str::<&RawValue>(text).map(Self::of)
    }

    fn of(raw: &'a RawValue) -> Self {
        Self { text: raw.get() }
    }

    /// As it is written.
    pub(super) const fn text(self) -> &'a str {
        self.text
    }

    pub(super) fn kind(self) -> Kind {
        match self.text.as_bytes().first() {
            Some(b'n') => Kind::Null,
            Some(b't' | b'f') => Kind::Truth,
            Some(b'"') => Kind::Text,
            Some(b'[') => Kind::Array,
            Some(b'{') => Kind::Object,
            _ => Kind::Number,
        }
    }

    /// The text without quotes and escapes, where it is text.
    pub(super) fn string(self) -> Option<String> {
        serde_json::from_str(self.text).ok()
    }

    /// The members, where it is an array.
    pub(super) fn members(self) -> Option<Vec<Self>> {
        let raw: Vec<&RawValue> = serde_json::from_str(self.text).ok()?;
        Some(raw.into_iter().map(Self::of).collect())
    }

    /// The fields, where it is an object.
    pub(super) fn fields(self) -> Option<Fields<'a>> {
        serde_json::from_str(self.text).ok()
    }
}

/// An object's fields in the file's order; keys may repeat.
#[derive(Clone, Debug)]
pub(super) struct Fields<'a>(pub(super) Vec<(Cow<'a, str>, Spot<'a>)>);

impl<'de: 'a, 'a> Deserialize<'de> for Fields<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct All;
        impl<'de> Visitor<'de> for All {
            type Value = Fields<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("an object")
            }
            fn visit_map<M: MapAccess<'de>>(self, mut map: M) -> Result<Fields<'de>, M::Error> {
                let mut all = Vec::new();
                while let Some((key, raw)) = map.next_entry::<Key<'de>, &'de RawValue>()? {
                    all.push((key.0, Spot::of(raw)));
                }
                Ok(Fields(all))
            }
        }
        deserializer.deserialize_map(All)
    }
}

/// A key, borrowed where it holds no escapes.
struct Key<'a>(Cow<'a, str>);

impl<'de: 'a, 'a> Deserialize<'de> for Key<'a> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Name;
        impl<'de> Visitor<'de> for Name {
            type Value = Key<'de>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a key")
            }
            fn visit_borrowed_str<E>(self, key: &'de str) -> Result<Key<'de>, E> {
                Ok(Key(Cow::Borrowed(key)))
            }
            fn visit_str<E>(self, key: &str) -> Result<Key<'de>, E> {
                Ok(Key(Cow::Owned(key.to_owned())))
            }
        }
        deserializer.deserialize_str(Name)
    }
}

/// A file's text, to find lines and columns in.
#[derive(Debug)]
pub(super) struct Source<'a> {
    file: &'a str,
    text: &'a str,
    /// Where each line starts.
    lines: Vec<usize>,
    /// The place told last and its column: the next is mostly behind it, and a line may be as long as the file.
    last: Cell<(usize, usize)>,
}

impl<'a> Source<'a> {
    pub(super) fn new(file: &'a str, text: &'a str) -> Self {
        let after = text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(i, _)| i + 1);
        let lines = std::iter::once(0).chain(after).collect();
        Self { file, text, lines, last: Cell::new((0, 0)) }
    }

    /// The whole file.
    pub(super) fn whole(&self) -> Place {
        Place::file(self.file)
    }

    /// The file's line and column of a value, with its key.
    pub(super) fn place(&self, spot: Spot<'_>, key: &str) -> Place {
        let at = spot.text.as_ptr().addr().saturating_sub(self.text.as_ptr().addr());
        let line = self.lines.partition_point(|&start| start <= at).max(1);
        let start = self.lines.get(line - 1).copied().unwrap_or(0);
        let (last, counted) = self.last.get();
        let (from, counted) =
            if (start..=at).contains(&last) { (last, counted) } else { (start, 0) };
        let before = self.text.get(from..at).map_or(0, |before| before.chars().count()) + counted;
        self.last.set((at, before));
        let column = before + 1;
        let number = |n: usize| u64::try_from(n).unwrap_or(u64::MAX);
        Place { column: Some(number(column)), ..Place::line(self.file, number(line)) }
            .field(key, Some(number(column)))
    }

    /// The place where reading stopped.
    pub(super) fn stopped(&self, error: &serde_json::Error) -> Place {
        let number = |n: usize| u64::try_from(n).unwrap_or(u64::MAX);
        Place {
            column: Some(number(error.column())),
            ..Place::line(self.file, number(error.line()))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Columns by hand, in characters: forward, back on the same line, and on another.
    #[test]
    fn places_are_told_in_any_order() {
        let text = "[ä, bc]\n[d]";
        let source = Source::new("f.json", text);
        for (word, line, column) in [("bc", 1, 5), ("ä", 1, 2), ("d", 2, 2), ("bc", 1, 5)] {
            let at = text.find(word).unwrap();
            let place = source.place(Spot { text: &text[at..at + word.len()] }, "k");
            assert_eq!((place.line, place.column), (Some(line), Some(column)), "{word}");
        }
    }
}
