//! Straight cutting: cuts from edge to edge, in turns across and along, separate all pieces
//! within the stages, or groups of curved ones with rectangles in their hollows.
//!
//! Steps: walk over the beginnings (+1) and ends (-1) of the pieces' sides in the direction that
//! is divided, ends set back by the gap; wherever the count is nothing a channel runs free from
//! edge to edge. Divide there, and go on with each part in the other direction at the next
//! stage. More cuts at a stage never hurt later ones, so taking all of them decides the question.
//! A part in which only curved pieces are left is a blank that they share: a knife follows their
//! outlines there, as it does for a single one. Rectangles may lie in it, where no straight cut parts
//! them from curved pieces: boxes that overlap are joined to the box around them until no two do, and
//! each rectangle must then be in one with a curved piece. Two rectangles there keep the gap across or
//! along, as straight cuts would; what comes nearer to an outline than the gap is found elsewhere.

use super::rolls::Placed;

/// Whether the pieces of a pull come apart; stage 1 are cross-cuts.
pub(super) fn separates(placed: &[Placed<'_>], gap: i64, stages: Option<u8>) -> bool {
    let mut parts: Vec<(Vec<&Placed>, u32, u8)> = vec![(placed.iter().collect(), 1, 0)];
    while let Some((inside, stage, in_vain)) = parts.pop() {
        if inside.len() < 2 {
            continue;
        }
        if inside.iter().all(|piece| piece.outline.is_some()) {
            continue;
        }
        let spent = stages.is_some_and(|most| stage > u32::from(most));
        if spent || in_vain == 2 {
            if !in_hollows(&inside, gap) {
                return false;
            }
            continue;
        }
        let across = stage % 2 == 1;
        let groups = divide(inside, across, gap);
        let in_vain = if groups.len() > 1 { 0 } else { in_vain + 1 };
        parts.extend(groups.into_iter().map(|g| (g, stage + 1, in_vain)));
    }
    true
}

/// Left, near, right, far.
type Span = [i64; 4];

/// Whether every rectangle of a part lies in a blank of curved pieces, and a gap from the others.
fn in_hollows(inside: &[&Placed<'_>], gap: i64) -> bool {
    if inside.iter().all(|piece| piece.outline.is_none()) {
        return false;
    }
    let span = |p: &Placed<'_>| [p.left, p.near, p.right, p.far];
    let meet = |a: Span, b: Span, by: i64| {
        a[0] < b[2].saturating_add(by)
            && b[0] < a[2].saturating_add(by)
            && a[1] < b[3].saturating_add(by)
            && b[1] < a[3].saturating_add(by)
    };
    let mut blanks: Vec<(Span, bool)> = Vec::new();
    let mut rectangles: Vec<Span> = Vec::new();
    for piece in inside {
        let (mut blank, mut curved) = (span(piece), piece.outline.is_some());
        if !curved {
            if rectangles.iter().any(|other| meet(blank, *other, gap)) {
                return false;
            }
            rectangles.push(blank);
        }
        while let Some(at) = blanks.iter().position(|(other, _)| meet(blank, *other, 0)) {
            let (other, with) = blanks.swap_remove(at);
            blank = [
                blank[0].min(other[0]),
                blank[1].min(other[1]),
                blank[2].max(other[2]),
                blank[3].max(other[3]),
            ];
            curved |= with;
        }
        blanks.push((blank, curved));
    }
    blanks.iter().all(|(_, curved)| *curved)
}

fn divide<'a, 'p>(inside: Vec<&'a Placed<'p>>, across: bool, gap: i64) -> Vec<Vec<&'a Placed<'p>>> {
    let span = |p: &Placed<'_>| if across { (p.near, p.far) } else { (p.left, p.right) };
    let mut events: Vec<(i64, i8)> = Vec::with_capacity(2 * inside.len());
    for piece in &inside {
        let (from, to) = span(piece);
        events.push((from, 1));
        events.push((to.saturating_add(gap), -1));
    }
    // Ends sort before beginnings at the same place: touching pieces are separable.
    events.sort_unstable();
    let mut open = 0_i64;
    let mut borders = Vec::new();
    for (at, change) in events {
        open += i64::from(change);
        if open == 0 {
            borders.push(at);
        }
    }
    let mut groups: Vec<Vec<&Placed>> = vec![Vec::new(); borders.len()];
    for piece in inside {
        let (from, _) = span(piece);
        let group = borders.partition_point(|&border| border <= from);
        if let Some(group) = groups.get_mut(group) {
            group.push(piece);
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: two squares of 100, the second beyond the other's corner, so far off across and along. Straight cuts
    /// need the gap of 20 one way; 15 each way are 21.2 from corner to corner, which is not enough.
    #[test]
    fn straight_cuts_take_the_gap_across_or_along() {
        for (across, along, apart) in [
            (20, 0, true),
            (0, 20, true),
            (20, -50, true),
            (15, 15, false),
            (19, 19, false),
            (-50, 19, false),
        ] {
            let piece = |left: i64, near: i64| Placed {
                code: "p",
                left,
                near,
                right: left + 100,
                far: near + 100,
                outline: None,
            };
            let pair = [piece(0, 0), piece(100 + across, 100 + along)];
            assert_eq!(separates(&pair, 20, None), apart, "{across} {along}");
        }
    }
}
