//! Blanks that several curved pieces share: what a crew must know beyond straight cuts.
//!
//! Steps: boxes of curved pieces that overlap belong together, and so do those that either of them
//! overlaps; the box around each group is the blank that straight cuts free, and the knife then follows
//! outlines in it.

use super::file::{Piece, Placement, Pull};
use crate::geometry::Rect;
use std::collections::BTreeMap;

/// A blank in a pull.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shared {
    /// Where it lies on the roll.
    pub blank: Rect,
    /// Its pieces: where each one's box lies, and its number among the pull's placements; from the
    /// blank's near left corner on.
    pub members: Vec<(Rect, usize)>,
}

/// The blanks of a pull that more than one curved piece lies in, by where they lie.
#[must_use]
pub fn shared(pull: &Pull, pieces: &BTreeMap<&str, &Piece>) -> Vec<Shared> {
    let curved = pull.placements.iter().enumerate().filter_map(|(number, place)| {
        let outline = pieces.get(place.piece.as_str())?.outline.as_ref()?;
        Some((around(place, outline), number))
    });
    let mut groups: Vec<Shared> = Vec::new();
    for (rect, number) in curved {
        let mut joined = Shared { blank: rect, members: vec![(rect, number)] };
        groups.retain_mut(|group| {
            let meets = group.members.iter().any(|(other, _)| other.overlaps(&rect));
            if meets {
                joined.blank = joined.blank.around(&group.blank);
                joined.members.append(&mut group.members);
            }
            !meets
        });
        groups.push(joined);
    }
    groups.retain(|group| group.members.len() > 1);
    for group in &mut groups {
        group.members.sort_unstable_by_key(|&(rect, number)| (rect.y, rect.x, number));
    }
    groups.sort_unstable_by_key(|group| (group.blank.y, group.blank.x));
    groups
}

/// The box of a placed outline.
fn around(place: &Placement, outline: &crate::geometry::Outline) -> Rect {
    let corners = place.corners(outline);
    let mut rect = Rect { x: place.x, y: place.y, ..Rect::default() };
    for corner in corners {
        rect.width = rect.width.max(corner.x - rect.x);
        rect.length = rect.length.max(corner.y - rect.y);
    }
    rect
}
