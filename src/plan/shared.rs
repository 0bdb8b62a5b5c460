//! Blanks that pieces share which no straight cut parts: curved ones that interlock or have rectangles in their
//! hollows, and in free layouts any that lie round one another: what a crew must know beyond straight cuts.
//!
//! Steps: boxes of pieces that overlap belong together, and so does whatever the box around both overlaps,
//! since no straight cut comes between them; a box around a group with a curved piece is the blank that
//! straight cuts free, and the knife then follows outlines in it. Where that is told to a crew, the pull is divided
//! by the straight cuts that it has, in their order, and groups that are left in one sheet share a blank: no cut is made
//! between them, as the gap leaves no room for one, a rectangle in a hollow reaches across, or none runs through.

use super::file::{CutKind, Piece, Placement, Pull};
use crate::geometry::{Joined, Rect, joined};
use crate::units::Length;
use std::collections::BTreeMap;

/// A blank in a pull.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Shared {
    /// Where it lies on the roll: the box round its pieces.
    pub blank: Rect,
    /// The sides of that box along which no straight cut runs, nor an end or edge of the pull.
    pub open: Vec<Side>,
    /// Its pieces: where each one's box lies, and its number among the pull's placements; from the
    /// blank's near left corner on.
    pub members: Vec<Member>,
}

/// A side of a blank, as the cutter sees it from the roll's front.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Towards the front.
    Near,
    /// To the left.
    Left,
    /// To the right.
    Right,
    /// Away from the front.
    Far,
}

/// Blanks are rounded up to what the shop cuts to, so a cut that is no further from the box round the pieces than this
/// is the blank's side. Our choice: ten times the finest step that shops cut to by hand.
const ROUNDED: Length = Length::from_mm(10);

impl Side {
    /// The sides of a box that are not sides of the sheet it lies in.
    fn within(blank: &Rect, sheet: &Rect) -> Vec<Self> {
        let off = [
            (Self::Near, blank.y - sheet.y),
            (Self::Left, blank.x - sheet.x),
            (Self::Right, sheet.right() - blank.right()),
            (Self::Far, sheet.far() - blank.far()),
        ];
        off.into_iter().filter_map(|(side, off)| (off > ROUNDED).then_some(side)).collect()
    }
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
    let mut groups = groups(&all);
    groups.retain(|group| group.members.iter().any(|m| m.curved));
    groups
}

/// Pieces whose boxes belong together, each group with the box around it.
fn groups(all: &[Member]) -> Vec<Shared> {
    let rects: Vec<Rect> = all.iter().map(|member| member.rect).collect();
    let blank = |group: Joined| Shared {
        blank: group.around,
        open: Vec::new(),
        members: group.members.into_iter().map(|at| all[at]).collect(),
    };
    joined(&rects).into_iter().map(blank).collect()
}

/// The blanks of a pull in which pieces lie together that no straight cut parts, by where they lie.
#[must_use]
pub fn shared(pull: &Pull, pieces: &BTreeMap<&str, &Piece>) -> Vec<Shared> {
    if pull.cuts.iter().all(|cut| cut.kind != CutKind::Outline) {
        return Vec::new();
    }
    let mut groups = in_sheets(pull, groups(&boxes(pull, pieces)));
    groups.retain(|group| group.members.len() > 1);
    for group in &mut groups {
        group.members.sort_unstable_by_key(|m| (m.rect.y, m.rect.x, m.number));
    }
    groups.sort_unstable_by_key(|group| (group.blank.y, group.blank.x));
    groups
}

/// Groups that lie in one of the sheets which the straight cuts of a pull leave, put together.
fn in_sheets(pull: &Pull, groups: Vec<Shared>) -> Vec<Shared> {
    let mut all: Vec<(Rect, Option<Shared>)> =
        sheets(pull, &groups).into_iter().map(|sheet| (sheet, None)).collect();
    let mut outside = Vec::new();
    for group in groups {
        let Some((_, held)) = all.iter_mut().find(|(sheet, _)| sheet.contains(&group.blank)) else {
            outside.push(group);
            continue;
        };
        *held = Some(match held.take() {
            None => group,
            Some(mut held) => {
                held.blank = held.blank.around(&group.blank);
                held.members.extend(group.members);
                held
            }
        });
    }
    let in_sheet = |(sheet, held): (Rect, Option<Shared>)| {
        held.map(|held| Shared { open: Side::within(&held.blank, &sheet), ..held })
    };
    all.into_iter().filter_map(in_sheet).chain(outside).collect()
}

/// What the straight cuts of a pull leave when they are made in their order, each through the sheets that it divides
/// from edge to edge.
fn sheets(pull: &Pull, groups: &[Shared]) -> Vec<Rect> {
    let straight = pull.cuts.iter().filter(|cut| cut.kind != CutKind::Outline);
    let right = groups.iter().map(|group| group.blank.right());
    let right = right.chain(straight.clone().map(|cut| cut.from.x.max(cut.to.x))).max();
    let mut all = vec![Rect {
        x: Length::ZERO,
        y: pull.y,
        width: right.unwrap_or_default(),
        length: pull.length,
    }];
    for cut in straight {
        let (x, y) = (cut.from.x.min(cut.to.x), cut.from.y.min(cut.to.y));
        let (right, far) = (cut.from.x.max(cut.to.x), cut.from.y.max(cut.to.y));
        for at in 0..all.len() {
            let sheet = all[at];
            let along = x == right && sheet.x < x && x < sheet.right();
            let across = y == far && sheet.y < y && y < sheet.far();
            if along && y <= sheet.y && far >= sheet.far() {
                all[at].width = x - sheet.x;
                all.push(Rect { x, width: sheet.right() - x, ..sheet });
            } else if across && x <= sheet.x && right >= sheet.right() {
                all[at].length = y - sheet.y;
                all.push(Rect { y, length: sheet.far() - y, ..sheet });
            }
        }
    }
    all
}

/// The box of a placed piece: of its outline, where it has one.
fn around(place: &Placement, piece: &Piece) -> Rect {
    let Some(outline) = &piece.outline else { return place.blank(piece) };
    let mut rect = Rect { x: place.x, y: place.y, ..Rect::default() };
    for corner in place.corners(outline) {
        rect.width = rect.width.max(corner.x - rect.x);
        rect.length = rect.length.max(corner.y - rect.y);
    }
    rect
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::Turns;
    use crate::geometry::Point;
    use crate::plan::Cut;
    use crate::units::Angle;

    fn mm(mm: i64) -> Length {
        Length::from_mm(mm)
    }

    fn cut(kind: CutKind, from: (i64, i64), to: (i64, i64)) -> Cut {
        let at = |(x, y)| Point::new(mm(x), mm(y));
        Cut { kind, from: at(from), to: at(to), piece: None }
    }

    /// Four rectangles of 60 by 40 round one of 20 by 20, which no line from edge to edge parts, and beside them one
    /// of 50 by 100 that a rip frees. By hand; the blank of the five begins at 100 along the roll.
    #[test]
    fn rectangles_round_one_another_share_a_blank_and_what_a_rip_frees_does_not() {
        let sizes = [("long", 60, 40), ("upright", 40, 60), ("small", 20, 20), ("free", 50, 100)];
        let piece = |&(name, width, length): &(&str, i64, i64)| Piece {
            piece: name.to_owned(),
            nest: 0,
            width: mm(width),
            length: mm(length),
            outline: None,
            turns: Turns::none(),
            quantity: 1,
            uses: Vec::new(),
        };
        let all: Vec<Piece> = sizes.iter().map(piece).collect();
        let pieces: BTreeMap<&str, &Piece> = all.iter().map(|p| (p.piece.as_str(), p)).collect();
        let place = |piece: &str, x: i64, y: i64| Placement {
            piece: piece.to_owned(),
            x: mm(x),
            y: mm(y),
            turn: Angle::ZERO,
        };
        let placements = vec![
            place("long", 0, 100),
            place("upright", 60, 100),
            place("long", 40, 160),
            place("upright", 0, 140),
            place("small", 40, 140),
            place("free", 100, 100),
        ];
        let cuts = vec![
            cut(CutKind::Cross, (0, 200), (150, 200)),
            cut(CutKind::Rip, (100, 100), (100, 200)),
            cut(CutKind::Outline, (60, 100), (60, 160)),
            cut(CutKind::Outline, (40, 160), (100, 160)),
            cut(CutKind::Outline, (40, 140), (40, 200)),
            cut(CutKind::Outline, (0, 140), (60, 140)),
        ];
        let pull = Pull { y: mm(100), length: mm(100), placements, cuts };
        let found = shared(&pull, &pieces);
        assert_eq!(found.len(), 1);
        let blank = Rect { x: mm(0), y: mm(100), width: mm(100), length: mm(100) };
        assert_eq!(found[0].blank, blank);
        assert_eq!(found[0].open, [], "each side is the pull's, the roll's, or the rip's");
        let members: Vec<usize> = found[0].members.iter().map(|member| member.number).collect();
        assert_eq!(members, [0, 1, 3, 4, 2]);
        assert!(blanks(&pull, &pieces).is_empty(), "nothing is curved");
        // Without the rip the fifth is in the same box, and to its right the roll goes on uncut.
        let mut wider = pull.clone();
        wider.placements.pop();
        wider.cuts.remove(1);
        assert_eq!(shared(&wider, &pieces)[0].open, [Side::Right]);
        // Parted by a rip, two of them have sheets of their own.
        let mut parted = pull;
        parted.placements.truncate(2);
        parted.cuts.truncate(2);
        parted.cuts.push(cut(CutKind::Rip, (60, 100), (60, 200)));
        parted.cuts.push(cut(CutKind::Outline, (0, 140), (60, 140)));
        assert!(shared(&parted, &pieces).is_empty());
    }
}
