//! What is lost around curved pieces, pull by pull.
//!
//! * In straight layouts: a curved piece, or several that interlock, is cut from a blank that straight
//!   cuts free ([`crate::plan::blanks`]). What lies in the blank and in no piece is scrap around curved
//!   pieces; rectangles in its hollows are pieces.
//! * In free layouts nothing is freed straight: what lies in the box of some curved piece and in no
//!   piece, nor in an offcut that is kept, is scrap around curved pieces. Where boxes overlap, the
//!   spot counts once.
//!
//! All else inside pulls that is lost lies between pieces.

use crate::cutting::Style;
use crate::geometry::{Rect, covered};
use crate::plan::{Member, Piece, Pull, Roll, blanks, boxes};
use crate::units::Area;
use std::collections::BTreeMap;

/// The scrap around the curved pieces of a roll.
#[must_use]
pub fn scrap(roll: &Roll, style: Style, pieces: &BTreeMap<&str, &Piece>) -> Area {
    let of_pull = |pull| match style {
        Style::Straight => in_blanks(pull, pieces),
        Style::Free => in_boxes(pull, roll, pieces),
    };
    roll.pulls.iter().map(of_pull).sum()
}

/// The area of a placed piece itself.
fn plain(pull: &Pull, pieces: &BTreeMap<&str, &Piece>, member: &Member) -> Area {
    let place = pull.placements.get(member.number);
    let piece = place.and_then(|place| pieces.get(place.piece.as_str()));
    piece.map_or_else(|| member.rect.area(), |piece| piece.area())
}

fn in_blanks(pull: &Pull, pieces: &BTreeMap<&str, &Piece>) -> Area {
    let of = |blank: crate::plan::Shared| {
        let inside: Area = blank.members.iter().map(|member| plain(pull, pieces, member)).sum();
        blank.blank.area() - inside
    };
    blanks(pull, pieces).into_iter().map(of).sum()
}

fn in_boxes(pull: &Pull, roll: &Roll, pieces: &BTreeMap<&str, &Piece>) -> Area {
    let members = boxes(pull, pieces);
    if members.iter().all(|member| !member.curved) {
        return Area::ZERO;
    }
    let mut rects: Vec<Rect> = members.iter().map(|member| member.rect).collect();
    let kept = roll.offcuts.iter().filter(|offcut| offcut.keep);
    rects.extend(kept.map(|o| Rect { x: o.x, y: o.y, width: o.width, length: o.length }));
    let offcuts: Area = rects.iter().skip(members.len()).map(Rect::area).sum();
    let inside: Area = members.iter().map(|member| plain(pull, pieces, member)).sum();
    covered(&rects) - inside - offcuts
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cutting::Turns;
    use crate::geometry::{Outline, Point};
    use crate::plan::{Offcut, Placement};
    use crate::units::{Angle, Length, Money};

    fn mm(mm: i64) -> Length {
        Length::from_mm(mm)
    }

    fn piece(name: &str, width: i64, length: i64, corners: &[(i64, i64)]) -> Piece {
        let corners = corners.iter().map(|&(x, y)| Point::new(mm(x), mm(y))).collect::<Vec<_>>();
        Piece {
            piece: name.to_owned(),
            nest: 0,
            width: mm(width),
            length: mm(length),
            outline: Outline::new(corners).ok(),
            turns: Turns::Only(vec![Angle::from_degrees(0)]),
            quantity: 1,
            uses: Vec::new(),
        }
    }

    /// Two triangles of 100 by 200 that share a blank of 120 by 200, shifted by 20 so that they do not
    /// meet, and a rectangle of 50 by 50 apart.
    fn laid() -> (Pull, Roll, Vec<Piece>) {
        let pieces = vec![
            piece("near", 100, 200, &[(0, 0), (100, 0), (0, 200)]),
            piece("far", 100, 200, &[(100, 0), (100, 200), (0, 200)]),
            piece("plain", 50, 50, &[]),
        ];
        let place = |piece: &str, x: i64, y: i64| Placement {
            piece: piece.to_owned(),
            x: mm(x),
            y: mm(y),
            turn: Angle::from_degrees(0),
        };
        let placements = vec![place("near", 0, 0), place("far", 20, 0), place("plain", 300, 0)];
        let pull = Pull { y: mm(0), length: mm(200), placements, cuts: Vec::new() };
        let roll = Roll {
            squared: false,
            roll: "R".to_owned(),
            nest: 0,
            width: mm(500),
            length: Some(mm(200)),
            price: Money::ZERO,
            shelf: false,
            copies: 1,
            pulls: vec![pull.clone()],
            offcuts: Vec::new(),
        };
        (pull, roll, pieces)
    }

    /// By hand: the blank is 24,000 mm2, the triangles 10,000 each; the rectangle apart counts nothing.
    #[test]
    fn scrap_is_what_lies_in_a_blank_and_in_no_piece() {
        let (pull, mut roll, all) = laid();
        let pieces: BTreeMap<&str, &Piece> = all.iter().map(|p| (p.piece.as_str(), p)).collect();
        let expected = Area::from_nm2(4_000_000_000_000_000);
        assert_eq!(in_blanks(&pull, &pieces), expected);
        assert_eq!(in_boxes(&pull, &roll, &pieces), expected);
        // What is kept is no scrap, whether it lies in a box or not.
        let kept = |x: i64, width: i64| Offcut {
            x: mm(x),
            y: mm(0),
            width: mm(width),
            length: mm(100),
            keep: true,
        };
        roll.offcuts = vec![kept(110, 20)];
        assert_eq!(in_boxes(&pull, &roll, &pieces), Area::from_nm2(3_000_000_000_000_000));
        roll.offcuts = vec![kept(400, 100)];
        assert_eq!(in_boxes(&pull, &roll, &pieces), expected);
    }

    #[test]
    fn rectangles_alone_leave_no_scrap_around_curves() {
        let (mut pull, roll, all) = laid();
        let pieces: BTreeMap<&str, &Piece> = all.iter().map(|p| (p.piece.as_str(), p)).collect();
        pull.placements.drain(..2);
        assert_eq!(in_blanks(&pull, &pieces), Area::ZERO);
        assert_eq!(in_boxes(&pull, &roll, &pieces), Area::ZERO);
    }
}
