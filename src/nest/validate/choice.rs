//! Choices: things that can be made in one of several ways.

use super::fields::{Door, Known, Object};
use crate::finding::codes::nest as codes;
use crate::nest::record::{Kind, Spot};
use crate::nest::{Choice, NamedWay, Piece};
use std::collections::{BTreeMap, BTreeSet};

const CHOICE: Known =
    Known { read: &["id", "quantity", "ways"], passed: &["note", "comment", "name"] };
const WAY: Known = Known { read: &["id", "pieces"], passed: &["note", "comment", "name"] };
const PART: Known = Known { read: &["piece", "quantity"], passed: &["note", "comment"] };

/// Pieces by their names.
type Index<'p> = BTreeMap<&'p str, usize>;

impl Door<'_> {
    /// All choices over these pieces; none where the key is missing. Those with errors are left out.
    pub(super) fn choices(&mut self, all: &mut Object<'_>, pieces: &[Piece]) -> Vec<Choice> {
        let Some(spot) = all.take("choices").filter(|s| s.kind() != Kind::Null) else {
            return Vec::new();
        };
        let key = all.key("choices");
        let Some(members) = self.members(spot, &key, "an array of choices") else {
            return Vec::new();
        };
        let index: Index<'_> =
            pieces.iter().enumerate().map(|(at, piece)| (piece.id.as_str(), at)).collect();
        let mut names = BTreeSet::new();
        let choice = |(number, member): (usize, Spot<'_>)| {
            self.choice(member, format!("{key}[{number}]."), &mut names, &index)
        };
        members.into_iter().enumerate().filter_map(choice).collect()
    }

    fn choice(
        &mut self,
        spot: Spot<'_>,
        path: String,
        names: &mut BTreeSet<String>,
        index: &Index<'_>,
    ) -> Option<Choice> {
        let mut choice = self.object(spot, path, &CHOICE)?;
        let id = self.name(&mut choice, names);
        let quantity = self.at_least_one(&mut choice);
        let remedy = "give at least one way, or leave the choice away";
        let none = ("there is no way to make it", remedy);
        let ways = self.some_of(&mut choice, ("ways", "an array of ways"), none)?;
        let mut names = BTreeSet::new();
        let ways: Vec<Option<NamedWay>> =
            ways.into_iter().map(|(path, way)| self.way(way, path, &mut names, index)).collect();
        Some(Choice {
            id: id?,
            quantity: quantity?,
            ways: ways.into_iter().collect::<Option<_>>()?,
        })
    }

    fn way(
        &mut self,
        spot: Spot<'_>,
        path: String,
        names: &mut BTreeSet<String>,
        index: &Index<'_>,
    ) -> Option<NamedWay> {
        let mut way = self.object(spot, path, &WAY)?;
        let id = self.name(&mut way, names);
        let none = ("the way needs no piece", "name the pieces that it needs");
        let parts = self.some_of(&mut way, ("pieces", "an array of pieces"), none)?;
        let mut pieces: BTreeMap<usize, u64> = BTreeMap::new();
        let mut whole = true;
        for (path, part) in parts {
            match self.part(part, path, index) {
                Some((piece, quantity)) => {
                    let held = pieces.entry(piece).or_default();
                    *held = held.saturating_add(quantity);
                }
                None => whole = false,
            }
        }
        Some(NamedWay { id: id.filter(|_| whole)?, pieces: pieces.into_iter().collect() })
    }

    fn part(&mut self, spot: Spot<'_>, path: String, index: &Index<'_>) -> Option<(usize, u64)> {
        let mut part = self.object(spot, path, &PART)?;
        let quantity = self.at_least_one(&mut part);
        let (spot, name) = self.text_at(&mut part, "piece")?;
        let Some(&piece) = index.get(name.as_str()) else {
            if self.findings.has_errors() {
                // It may be a piece that did not come through.
                return None;
            }
            let what = format!("no piece is named `{name}`");
            let remedy = "name a piece of this instance; it may have quantity 0 there";
            self.add(&codes::UNKNOWN_PIECE, spot, &part.key("piece"), what, remedy);
            return None;
        };
        Some((piece, quantity?))
    }

    /// The members of an array with their paths; an error where there are none.
    fn some_of<'s>(
        &mut self,
        object: &mut Object<'s>,
        (name, wanted): (&str, &str),
        (what, remedy): (&str, &str),
    ) -> Option<Vec<(String, Spot<'s>)>> {
        let spot = self.need(object, name)?;
        let key = object.key(name);
        let members = self.members(spot, &key, wanted)?;
        if members.is_empty() {
            self.add(&codes::NO_WAYS, spot, &key, what, remedy);
            return None;
        }
        let path = |(number, member)| (format!("{key}[{number}]."), member);
        Some(members.into_iter().enumerate().map(path).collect())
    }

    /// A quantity from one on; 1 where the key is missing.
    fn at_least_one(&mut self, object: &mut Object<'_>) -> Option<u64> {
        let Some(spot) = object.take("quantity") else { return Some(1) };
        let key = object.key("quantity");
        let quantity = self.count(spot, &key)?;
        if quantity == 0 {
            let remedy = "leave it away, or write how many";
            self.add(&codes::QUANTITY, spot, &key, "none of it is wanted", remedy);
            return None;
        }
        Some(quantity)
    }
}
