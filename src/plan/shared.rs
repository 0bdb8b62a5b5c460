//! Blanks that curved pieces share with one another, or with rectangles in their hollows: what a crew must
//! know beyond straight cuts.
//!
//! Steps: boxes of pieces that overlap belong together, and so does whatever the box around both overlaps,
//! since no straight cut comes between them; a box around a group with a curved piece is the blank that
//! straight cuts free, and the knife then follows outlines in it.

use super::file::{Piece, Placement, Pull};
use crate::geometry::{Joined, Rect, joined};
use std::collections::BTreeMap;

/// A blank in a pull.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shared {
    /// Where it lies on the roll.
    pub blank: Rect,
    /// Its pieces: where each one's box lies, and its number among the pull's placements; from the
    /// blank's near left corner on.
    pub members: Vec<Member>,
}

/// A piece in a shared blank.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Member {
    /// Where its box lies on the roll.
    pub rect: Rect,
    /// Its number among the pull's placements.
    pub number: usize,
    /// Whether it is cut along an outline; else it is a rectangle.
    pub curved: bool,
}

/// Where the boxes of a pull's pieces lie, in the order of its placements.
#[must_use]
pub fn boxes(pull: &Pull, pieces: &BTreeMap<&str, &Piece>) -> Vec<Member> {
    let member = |(number, place): (usize, &Placement)| {
        let piece = pieces.get(place.piece.as_str())?;
        let curved = piece.outline.is_some();
        Some(Member { rect: around(place, piece), number, curved })
    };
    pull.placements.iter().enumerate().filter_map(member).collect()
}

/// The blanks of a pull from which curved pieces are cut, by the first piece in each: what straight
/// cuts cannot part, one curved piece alone among them.
#[must_use]
pub fn blanks(pull: &Pull, pieces: &BTreeMap<&str, &Piece>) -> Vec<Shared> {
    let all = boxes(pull, pieces);
    if all.iter().all(|member| !member.curved) {
        return Vec::new();
    }
    let rects: Vec<Rect> = all.iter().map(|member| member.rect).collect();
    let blank = |group: Joined| Shared {
        blank: group.around,
        members: group.members.into_iter().map(|at| all[at]).collect(),
    };
    let mut groups: Vec<Shared> = joined(&rects).into_iter().map(blank).collect();
    groups.retain(|group| group.members.iter().any(|m| m.curved));
    groups
}

/// The blanks of a pull in which a curved piece lies with others, by where they lie.
#[must_use]
pub fn shared(pull: &Pull, pieces: &BTreeMap<&str, &Piece>) -> Vec<Shared> {
    let mut groups = blanks(pull, pieces);
    groups.retain(|group| group.members.len() > 1);
    for group in &mut groups {
        group.members.sort_unstable_by_key(|m| (m.rect.y, m.rect.x, m.number));
    }
    groups.sort_unstable_by_key(|group| (group.blank.y, group.blank.x));
    groups
}

/// The box of a placed piece: of its outline, where it has one.
fn around(place: &Placement, piece: &Piece) -> Rect {
    let Some(outline) = &piece.outline else {
        let turned = place.turn.quarter_turns().is_some_and(|quarters| quarters % 2 == 1);
        let (width, length) =
            if turned { (piece.length, piece.width) } else { (piece.width, piece.length) };
        return Rect { x: place.x, y: place.y, width, length };
    };
    let mut rect = Rect { x: place.x, y: place.y, ..Rect::default() };
    for corner in place.corners(outline) {
        rect.width = rect.width.max(corner.x - rect.x);
        rect.length = rect.length.max(corner.y - rect.y);
    }
    rect
}
