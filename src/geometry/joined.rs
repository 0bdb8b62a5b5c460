//! Boxes that no straight line parts.
//!
//! Steps: boxes that overlap are joined to the box around them, which may overlap others, until no two
//! do. Touching boxes stay apart. A straight line that cuts into none of the boxes has all boxes of a
//! group on one side.

use super::rect::Rect;

/// Boxes that belong together.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Joined {
    /// The box around them.
    pub around: Rect,
    /// Their numbers, increasing.
    pub members: Vec<usize>,
}

/// The groups of these boxes, by the first of each.
#[must_use]
pub fn joined(boxes: &[Rect]) -> Vec<Joined> {
    let mut groups: Vec<Joined> = Vec::new();
    for (number, rect) in boxes.iter().enumerate() {
        let mut new = Joined { around: *rect, members: vec![number] };
        while let Some(at) = groups.iter().position(|group| group.around.overlaps(&new.around)) {
            let group = groups.swap_remove(at);
            new.around = new.around.around(&group.around);
            new.members.extend(group.members);
        }
        groups.push(new);
    }
    for group in &mut groups {
        group.members.sort_unstable();
    }
    groups.sort_unstable_by_key(|group| group.members.first().copied());
    groups
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    fn rect(x: i64, y: i64, width: i64, length: i64) -> Rect {
        let nm = Length::from_nm;
        Rect { x: nm(x), y: nm(y), width: nm(width), length: nm(length) }
    }

    #[test]
    fn boxes_are_joined_by_what_lies_around_them_and_not_by_touching() {
        // The first and the fourth overlap; the box around them, 15 by 15, takes in the second, which
        // neither of them overlaps. The third touches it and overlaps the fifth.
        let boxes = [
            rect(0, 0, 10, 10),
            rect(12, 1, 2, 2),
            rect(15, 0, 5, 5),
            rect(5, 5, 10, 10),
            rect(19, 4, 9, 9),
        ];
        let found = joined(&boxes);
        let of = |members: &[usize], around| Joined { around, members: members.to_vec() };
        assert_eq!(found, [of(&[0, 1, 3], rect(0, 0, 15, 15)), of(&[2, 4], rect(15, 0, 13, 13))]);
        assert_eq!(joined(&[]), []);
    }
}
