//! Cut pieces on more rolls than they need.
//!
//! Spares are of the roll of which most is cut, so an order may be one only where pieces that others could hold lie on
//! a roll of their own. What is moved is the end of a pull, behind a line across it that meets no piece: cut square
//! there, it lies on another roll as it lay on its own, and the pull that it leaves stays one.

use super::super::{Instance, Layout, Placement, Pull};
use crate::units::{Angle, Length};

/// Layouts of the same pieces on so many more rolls `k`: first what lies behind others on such rolls moves to new ones,
/// then what fits there from other rolls. No roll is emptied. `None` where there is not enough to move.
pub(super) fn more(
    instance: &Instance,
    layouts: &[Layout],
    k: usize,
    rolls: u64,
) -> Option<Vec<Layout>> {
    let (own, others): (Vec<&Layout>, Vec<&Layout>) =
        layouts.iter().partition(|layout| layout.roll == k);
    let (mut missing, mut spread) = (rolls, Vec::with_capacity(layouts.len() + 1));
    for layout in own.into_iter().chain(others) {
        let mut left = layout.clone();
        while missing > 0
            && let Some((rest, moved)) = without_end(instance, &left, k)
        {
            let copies = missing.min(left.copies);
            missing -= copies;
            let on_its_own = Layout { roll: k, copies, pulls: vec![moved] };
            spread.push(on_its_own);
            let rest = Layout { copies, ..rest };
            left.copies -= copies;
            if left.copies > 0 {
                // No more are asked for.
                spread.push(rest);
            } else {
                left = rest;
            }
        }
        spread.push(left);
    }
    (missing == 0).then_some(spread)
}

/// A roll's layout without the end of one of its pulls, and that end where it lies at the front of a roll `k`; the
/// hindmost that fits there.
fn without_end(instance: &Instance, layout: &Layout, k: usize) -> Option<(Layout, Pull)> {
    (0..layout.pulls.len()).rev().find_map(|at| {
        let pull = &layout.pulls[at];
        let extents: Option<Vec<Extent>> =
            pull.placements.iter().map(|placement| extent(instance, placement)).collect();
        let from = end(extents?).filter(|from| *from > pull.y || layout.pulls.len() > 1)?;
        let (last, first): (Vec<Placement>, Vec<Placement>) =
            pull.placements.iter().partition(|placement| placement.y >= from);
        let front = instance.cutting.square_cut;
        let length = pull.y + pull.length - from;
        let moved = Pull { y: from, length, placements: last }.moved(front - from);
        if !fits(instance, &moved, k) {
            return None;
        }
        let reach = first.iter().filter_map(|placement| Some(extent(instance, placement)?.1)).max();
        let mut pulls = layout.pulls[..at].to_vec();
        // What follows moves up by what is gone.
        let by = match reach {
            Some(reach) => pull.y + pull.length - reach,
            None => layout.pulls.get(at + 1).map_or(Length::ZERO, |next| next.y - pull.y),
        };
        if let Some(reach) = reach {
            pulls.push(Pull { y: pull.y, length: reach - pull.y, placements: first });
        }
        pulls.extend(layout.pulls[at + 1..].iter().map(|pull| pull.moved(-by)));
        Some((Layout { pulls, ..layout.clone() }, moved))
    })
}

/// Where a placed piece's box begins and ends along the roll.
type Extent = (Length, Length);

/// Of a piece in its turn; `None` where that is no quarter turn.
fn extent(instance: &Instance, placement: &Placement) -> Option<Extent> {
    let size = size(instance, placement)?;
    Some((placement.y, placement.y + size.1))
}

/// A placed piece's box, across and along the roll; `None` where it is not turned by quarters.
fn size(instance: &Instance, placement: &Placement) -> Option<(Length, Length)> {
    let piece = &instance.pieces[placement.piece];
    let upright = [Angle::ZERO, Angle::from_degrees(180)].contains(&placement.turn);
    let sideways = [Angle::QUARTER, Angle::from_degrees(270)].contains(&placement.turn);
    match (upright, sideways) {
        (true, _) => Some((piece.width, piece.length)),
        (_, true) => Some((piece.length, piece.width)),
        _ => None,
    }
}

/// Where the pieces begin that lie behind the hindmost line across all of them that meets none.
fn end(mut extents: Vec<Extent>) -> Option<Length> {
    extents.sort_unstable();
    let mut reach = Length::ZERO;
    let mut from = None;
    for (begin, end) in extents {
        if begin >= reach {
            from = Some(begin);
        }
        reach = reach.max(end);
    }
    from
}

/// Whether a pull at the front of a roll lies within it.
fn fits(instance: &Instance, pull: &Pull, k: usize) -> bool {
    let roll = &instance.rolls[k];
    let across = |placement: &Placement| {
        size(instance, placement)
            .is_some_and(|size| placement.x + size.0 + instance.cutting.edge_trim <= roll.width)
    };
    roll.length.is_none_or(|length| pull.y + pull.length <= length)
        && pull.placements.iter().all(across)
}

#[cfg(test)]
mod tests {
    use super::super::super::{Options, Piece, Quiet, Roll, made, solve, used};
    use super::*;
    use crate::cutting::{Cutting, Objective, Style, Turns};
    use crate::units::Money;
    use proptest::prelude::*;

    fn mm(mm: i64) -> Length {
        Length::from_mm(mm)
    }

    fn instance(sizes: &[(i64, i64, u64)], gap: i64, pull: Option<i64>) -> Instance {
        let roll = |(id, width, length): (&str, i64, i64)| Roll {
            id: id.to_owned(),
            width: mm(width),
            length: Some(mm(length)),
            price: Money::from_units(1),
            available: None,
        };
        let piece = |(at, &(width, length, quantity)): (usize, &(i64, i64, u64))| Piece {
            id: format!("P{at}"),
            width: mm(width),
            length: mm(length),
            outline: None,
            quantity,
            turns: Turns::Any,
        };
        let cutting = Cutting {
            gap: mm(gap),
            edge_trim: mm(10),
            square_cut: mm(30),
            pull_limit: pull.map(mm),
            ..Cutting::plain(Style::Straight, Some(3))
        };
        Instance {
            name: "spread".to_owned(),
            objective: Objective::Rolls,
            cutting,
            rolls: [("A", 1000, 6000), ("B", 700, 2500)].map(roll).to_vec(),
            pieces: sizes.iter().enumerate().map(piece).collect(),
            published: None,
        }
    }

    /// Whether pieces lie within their pulls and rolls, and as far from each other as asked.
    fn sound(instance: &Instance, layouts: &[Layout]) -> bool {
        let cutting = &instance.cutting;
        let apart = |a: Extent, b: Extent| a.1 + cutting.gap <= b.0 || b.1 + cutting.gap <= a.0;
        layouts.iter().all(|layout| {
            let roll = &instance.rolls[layout.roll];
            let reach = layout.pulls.iter().map(|pull| pull.y + pull.length).max();
            let within = roll.length.is_some_and(|length| reach <= Some(length));
            let pulls = layout.pulls.windows(2).all(|two| two[0].y + two[0].length <= two[1].y);
            let boxes = layout.pulls.iter().flat_map(|pull| {
                pull.placements.iter().map(move |placement| {
                    let size = size(instance, placement).unwrap();
                    let (x, y) = (placement.x, placement.y);
                    let inside = pull.y <= y && y + size.1 <= pull.y + pull.length;
                    (inside, (x, x + size.0), (y, y + size.1))
                })
            });
            let boxes: Vec<(bool, Extent, Extent)> = boxes.collect();
            let room = (cutting.edge_trim, roll.width - cutting.edge_trim);
            let one = |(inside, x, y): &(bool, Extent, Extent)| {
                *inside && x.0 >= room.0 && x.1 <= room.1 && y.0 >= cutting.square_cut
            };
            let two = |a: &(bool, Extent, Extent), b: &(bool, Extent, Extent)| {
                apart(a.1, b.1) || apart(a.2, b.2)
            };
            let mut pairs = boxes
                .iter()
                .enumerate()
                .flat_map(|(at, a)| boxes[..at].iter().map(move |b| (a, b)));
            let clear = pairs.all(|(a, b)| two(a, b));
            layout.copies > 0 && within && pulls && clear && boxes.iter().all(one)
        })
    }

    /// Eleven pieces lie behind one another on a roll: ten can move, and each takes a roll of its own.
    #[test]
    fn no_roll_is_emptied() {
        let instance = instance(&[(680, 500, 11)], 0, None);
        let nesting = solve(&instance, &Options::default(), &Quiet).unwrap();
        assert_eq!(used(&nesting.layouts, 2), [1, 0]);
        let counts = |rolls| more(&instance, &nesting.layouts, 1, rolls).map(|l| used(&l, 2));
        assert_eq!((counts(1), counts(10)), (Some(vec![1, 1]), Some(vec![1, 10])));
        assert_eq!(counts(11), None);
    }

    proptest! {
        /// The same pieces lie on so many more rolls, and on no fewer others.
        #[test]
        fn pieces_lie_on_as_many_rolls_as_asked(
            sizes in proptest::collection::vec((60_i64..600, 60_i64..900, 1_u64..30), 1..5),
            gap in 0_i64..12,
            pull in prop_oneof![Just(None), (900_i64..3000).prop_map(Some)],
            k in 0_usize..2,
            rolls in 1_u64..6,
        ) {
            let instance = instance(&sizes, gap, pull);
            let options = Options { work: 20_000, ..Options::default() };
            let nesting = solve(&instance, &options, &Quiet).unwrap();
            prop_assert!(sound(&instance, &nesting.layouts));
            let before = used(&nesting.layouts, 2);
            let Some(spread) = more(&instance, &nesting.layouts, k, rolls) else { return Ok(()) };
            prop_assert!(sound(&instance, &spread), "{spread:#?}");
            prop_assert_eq!(made(&spread, sizes.len()), made(&nesting.layouts, sizes.len()));
            let after = used(&spread, 2);
            prop_assert_eq!(after[k], before[k] + rolls);
            prop_assert_eq!(after[1 - k], before[1 - k]);
        }
    }
}
