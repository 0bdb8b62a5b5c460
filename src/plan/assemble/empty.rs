//! Rectangles worth keeping that lie free among pieces which no straight cut separates.
//!
//! Steps: keep the list of all largest free rectangles (each touches something on all four
//! sides), at first the whole region; every obstacle splits those that it overlaps into up to
//! four, and what is too small to keep or lies within another is dropped at once. Then take the
//! largest as an offcut, let it be an obstacle itself, and go on until none is left.

use crate::geometry::Rect;
use crate::plan::wanted::Keep;

/// Disjoint free rectangles worth keeping, largest first.
pub(super) fn rectangles(region: Rect, obstacles: &[Rect], keep: Keep) -> Vec<Rect> {
    let mut free = vec![region];
    for obstacle in obstacles {
        block(&mut free, *obstacle, keep);
    }
    let mut found = Vec::new();
    let by_area = |r: &Rect| (r.area(), std::cmp::Reverse((r.y, r.x)));
    while let Some(best) = free.iter().copied().max_by_key(by_area) {
        if !keep.worth(best.width, best.length) {
            break;
        }
        found.push(best);
        block(&mut free, best, keep);
    }
    found
}

fn block(free: &mut Vec<Rect>, obstacle: Rect, keep: Keep) {
    let mut parts = Vec::new();
    free.retain(|rect| {
        if !rect.overlaps(&obstacle) {
            return true;
        }
        let (x, y, width, length) = (rect.x, rect.y, rect.width, rect.length);
        let right = obstacle.right();
        let far = obstacle.far();
        parts.extend([
            Rect { x, y, width: obstacle.x - x, length },
            Rect { x: right, y, width: rect.right() - right, length },
            Rect { x, y, width, length: obstacle.y - y },
            Rect { x, y: far, width, length: rect.far() - far },
        ]);
        false
    });
    parts.retain(|r| keep.worth(r.width, r.length));
    for (i, part) in parts.iter().enumerate() {
        let within = |other: &Rect| other.contains(part);
        let twin = parts[..i].iter().any(within);
        let inside = parts[i + 1..].iter().any(|o| within(o) && o != part);
        if !twin && !inside && !free.iter().any(within) {
            free.push(*part);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::Length;

    fn rect(x: i64, y: i64, width: i64, length: i64) -> Rect {
        let mm = Length::from_mm;
        Rect { x: mm(x), y: mm(y), width: mm(width), length: mm(length) }
    }

    #[test]
    fn the_hole_of_a_pinwheel_is_found() {
        // Four 2 x 1 rectangles turn about a 1 x 1 hole in a 3 x 3 square (in units of 400 mm).
        let u = 400;
        let blades = [
            rect(0, 0, 2 * u, u),
            rect(2 * u, 0, u, 2 * u),
            rect(u, 2 * u, 2 * u, u),
            rect(0, u, u, 2 * u),
        ];
        let mm = Length::from_mm;
        let keep = Keep { width: mm(300), length: mm(300) };
        let found = rectangles(rect(0, 0, 3 * u, 3 * u), &blades, keep);
        assert_eq!(found, [rect(u, u, u, u)]);
        let strict = Keep { width: mm(401), length: mm(300) };
        assert_eq!(rectangles(rect(0, 0, 3 * u, 3 * u), &blades, strict), []);
    }
}
