//! Pieces wanted.

use super::fields::{Door, Known, Object};
use super::value::Range;
use crate::cutting::{Style, Turns};
use crate::finding::codes::nest as codes;
use crate::geometry::{Outline, Point};
use crate::nest::Piece;
use crate::nest::record::{Kind, Spot};
use crate::units::{Angle, Length};
use std::collections::BTreeSet;

const KEYS: Known = Known {
    read: &[
        "id", "width", "length", "outline", "quantity", "turns", "hole", "holes", "inner", "inners",
    ],
    passed: &["note", "comment", "name"],
};

impl Door<'_> {
    /// All pieces; `None` where they are no array. Pieces with errors are left out. Where there are
    /// choices, none may be wanted of a piece beside them.
    pub(super) fn pieces<'s>(
        &mut self,
        all: &mut Object<'s>,
        style: Option<Style>,
        choices: bool,
    ) -> Option<Vec<(Spot<'s>, Piece)>> {
        let spot = self.need(all, "pieces")?;
        let key = all.key("pieces");
        let members = self.members(spot, &key, "an array of pieces")?;
        if members.is_empty() {
            self.add(&codes::NO_PIECES, spot, &key, "no piece is wanted", "add at least one piece");
        }
        let mut names = BTreeSet::new();
        let mut pieces = Vec::with_capacity(members.len());
        for (number, member) in members.into_iter().enumerate() {
            let path = format!("{key}[{number}].");
            let piece = self.piece(member, path, &mut names, (style, choices));
            pieces.extend(piece.map(|piece| (member, piece)));
        }
        Some(pieces)
    }

    fn piece(
        &mut self,
        spot: Spot<'_>,
        path: String,
        names: &mut BTreeSet<String>,
        (style, choices): (Option<Style>, bool),
    ) -> Option<Piece> {
        let mut piece = self.object(spot, path, &KEYS)?;
        let id = self.name(&mut piece, names);
        self.holes(&mut piece);
        let size = match piece.take("outline").filter(|s| s.kind() != Kind::Null) {
            Some(outline) => self.shaped(&mut piece, outline),
            None => self.rectangle(&mut piece),
        };
        let quantity = self.quantity(&mut piece, choices);
        let turns = self.turns(&mut piece, style);
        let (width, length, outline) = size?;
        Some(Piece { id: id?, width, length, outline, quantity: quantity?, turns: turns? })
    }

    fn holes(&mut self, piece: &mut Object<'_>) {
        for key in ["hole", "holes", "inner", "inners"] {
            let Some(spot) = piece.take(key).filter(|s| s.kind() != Kind::Null) else { continue };
            if spot.members().is_some_and(|m| m.is_empty()) {
                continue;
            }
            let what = "a piece cannot have holes";
            let remedy = "give the outline alone, and cut the hole on the table";
            self.add(&codes::HOLE, spot, &piece.key(key), what, remedy);
        }
    }

    fn rectangle(&mut self, piece: &mut Object<'_>) -> Option<(Length, Length, Option<Outline>)> {
        let mut side = |key: &str| {
            let spot = self.need(piece, key)?;
            self.length(spot, &piece.key(key), Range::Positive)
        };
        let (width, length) = (side("width"), side("length"));
        Some((width?, length?, None))
    }

    fn shaped(
        &mut self,
        piece: &mut Object<'_>,
        spot: Spot<'_>,
    ) -> Option<(Length, Length, Option<Outline>)> {
        let key = piece.key("outline");
        let corners = self.corners(spot, &key)?;
        let outline = match Outline::new(corners) {
            Ok(outline) => outline,
            Err(error) => {
                let remedy = "give the corners in order, each once, around the piece";
                self.add(&codes::OUTLINE, spot, &key, error.to_string(), remedy);
                return None;
            }
        };
        let (width, length) = outline.size();
        for (side, size) in [("width", width), ("length", length)] {
            let Some(given) = piece.take(side).filter(|s| s.kind() != Kind::Null) else { continue };
            let name = piece.key(side);
            let given_size = self.length(given, &name, Range::Positive);
            if let Some(given_size) = given_size.filter(|g| *g != size) {
                self.add(
                    &codes::TWO_SIZES,
                    given,
                    &name,
                    format!("{given_size} mm is given, but the outline's {side} is {size} mm"),
                    format!("leave {side} away: the outline says it"),
                );
            }
        }
        Some((width, length, (!is_rectangle(&outline)).then_some(outline)))
    }

    fn corners(&mut self, spot: Spot<'_>, key: &str) -> Option<Vec<Point>> {
        let members = self.members(spot, key, "an array of corners [x, y]")?;
        let mut corners = Vec::with_capacity(members.len());
        let mut whole = true;
        for (number, member) in members.into_iter().enumerate() {
            let name = format!("{key}[{number}]");
            let pair = member.members().filter(|p| p.len() == 2);
            let Some([x, y]) = pair.as_deref() else {
                self.wrong_kind(member, &name, "a corner [x, y]");
                whole = false;
                continue;
            };
            match (self.length(*x, &name, Range::Any), self.length(*y, &name, Range::Any)) {
                (Some(x), Some(y)) => corners.push(Point::new(x, y)),
                _ => whole = false,
            }
        }
        whole.then_some(corners)
    }

    fn quantity(&mut self, piece: &mut Object<'_>, may_be_none: bool) -> Option<u64> {
        let spot = self.need(piece, "quantity")?;
        let key = piece.key("quantity");
        let quantity = self.count(spot, &key)?;
        if quantity == 0 && !may_be_none {
            self.unwanted(spot, &key);
            return None;
        }
        Some(quantity)
    }

    /// Says that nobody wants a piece.
    pub(super) fn unwanted(&mut self, spot: Spot<'_>, key: &str) {
        let remedy = "leave the piece away, or write how many are wanted";
        self.add(&codes::QUANTITY, spot, key, "none of the piece is wanted", remedy);
    }

    /// Turns; unturned where the key is missing, any angle where it is null.
    fn turns(&mut self, piece: &mut Object<'_>, style: Option<Style>) -> Option<Turns> {
        let Some(spot) = piece.take("turns") else { return Some(Turns::none()) };
        let key = piece.key("turns");
        if spot.kind() == Kind::Null {
            return Some(if style == Some(Style::Straight) { quarters() } else { Turns::Any });
        }
        let members = self.members(spot, &key, "an array of degrees, or null for any angle")?;
        let mut turns = BTreeSet::new();
        let mut odd = 0;
        for member in members {
            let angle = match member.kind() {
                Kind::Number => Angle::parse(member.text()).ok(),
                _ => None,
            };
            let Some(angle) = angle else {
                self.wrong_kind(member, &key, "a number of degrees");
                return None;
            };
            match angle.quarter_turns() {
                Some(quarters) => {
                    turns.insert(Angle::from_degrees(90 * i64::from(quarters)));
                }
                None => odd += 1,
            }
        }
        let remedy = "allow some of 0, 90, 180 and 270 degrees";
        if turns.is_empty() {
            self.add(&codes::TURNS, spot, &key, "no turn is allowed that can be used", remedy);
            return None;
        }
        if odd > 0 {
            let what = format!("{odd} of the turns are no quarter turns and are not used");
            self.add(&codes::TURNS_UNUSED, spot, &key, what, "leave them away");
        }
        Some(Turns::Only(turns.into_iter().collect()))
    }
}

fn quarters() -> Turns {
    Turns::Only([0, 90, 180, 270].map(Angle::from_degrees).to_vec())
}

/// Whether an outline is nothing but its bounding box.
fn is_rectangle(outline: &Outline) -> bool {
    outline.area() == outline.bounds().area()
}
