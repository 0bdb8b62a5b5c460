//! The area that boxes cover together, each spot counted once.
//!
//! Steps: the boxes' ends along cut the plane into bands; in a band the boxes that reach through it are
//! joined by their ends across.

use super::rect::Rect;
use crate::units::{Area, Length};

/// The area of the union of boxes.
#[must_use]
pub fn covered(boxes: &[Rect]) -> Area {
    let mut ends: Vec<Length> = boxes.iter().flat_map(|rect| [rect.y, rect.far()]).collect();
    ends.sort_unstable();
    ends.dedup();
    let mut sorted: Vec<&Rect> = boxes.iter().collect();
    sorted.sort_unstable_by_key(|rect| (rect.x, rect.right()));
    let band = |(from, to): (Length, Length)| {
        let (mut wide, mut right) = (Length::ZERO, None);
        for rect in sorted.iter().filter(|rect| rect.y <= from && to <= rect.far()) {
            let start = right.map_or(rect.x, |right: Length| right.max(rect.x));
            wide += (rect.right() - start).max(Length::ZERO);
            right = Some(right.map_or(rect.right(), |right: Length| right.max(rect.right())));
        }
        Area::of_rectangle(wide, to - from)
    };
    ends.windows(2).map(|pair| band((pair[0], pair[1]))).sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rect(x: i64, y: i64, width: i64, length: i64) -> Rect {
        let nm = Length::from_nm;
        Rect { x: nm(x), y: nm(y), width: nm(width), length: nm(length) }
    }

    #[test]
    fn what_several_boxes_cover_counts_once() {
        // By hand: two of 10 by 10 that share 5 by 5, one inside the first, one apart of 3 by 2.
        let boxes = [rect(0, 0, 10, 10), rect(5, 5, 10, 10), rect(1, 1, 2, 2), rect(20, 8, 3, 2)];
        assert_eq!(covered(&boxes), Area::from_nm2(100 + 100 - 25 + 6));
        assert_eq!(covered(&[]), Area::ZERO);
    }

    proptest::proptest! {
        #[test]
        fn as_many_unit_squares_as_lie_in_some_box(
            given in proptest::collection::vec((0_i64..12, 0_i64..12, 0_i64..6, 0_i64..6), 0..8),
        ) {
            let boxes: Vec<Rect> = given.iter().map(|&(x, y, w, l)| rect(x, y, w, l)).collect();
            let inside = |x: i64, y: i64| given.iter().any(|&(left, low, w, l)| {
                (left..left + w).contains(&x) && (low..low + l).contains(&y)
            });
            let counted = (0..18).flat_map(|x| (0..18).map(move |y| (x, y)))
                .filter(|&(x, y)| inside(x, y)).count();
            proptest::prop_assert_eq!(covered(&boxes).nm2(), i128::try_from(counted).unwrap());
        }
    }
}
