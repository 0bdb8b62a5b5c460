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
        let Some(members) = spot.members() else {
            self.wrong_kind(spot, &key, "an array of choices");
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
        let ways = self.need(&mut choice, "ways")?;
        let key = choice.key("ways");
        let Some(members) = ways.members() else {
            self.wrong_kind(ways, &key, "an array of ways");
            return None;
        };
        if members.is_empty() {
            let remedy = "give at least one way, or leave the choice away";
            self.add(&codes::NO_WAYS, ways, &key, "there is no way to make it", remedy);
            return None;
        }
        let mut names = BTreeSet::new();
        let ways: Vec<Option<NamedWay>> = members
            .into_iter()
            .enumerate()
            .map(|(number, member)| {
                self.way(member, format!("{key}[{number}]."), &mut names, index)
            })
            .collect();
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
        let parts = self.need(&mut way, "pieces")?;
        let key = way.key("pieces");
        let Some(members) = parts.members() else {
            self.wrong_kind(parts, &key, "an array of pieces");
            return None;
        };
        if members.is_empty() {
            let remedy = "name the pieces that it needs";
            self.add(&codes::NO_WAYS, parts, &key, "the way needs no piece", remedy);
            return None;
        }
        let mut pieces: BTreeMap<usize, u64> = BTreeMap::new();
        let mut whole = true;
        for (number, member) in members.into_iter().enumerate() {
            match self.part(member, format!("{key}[{number}]."), index) {
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
