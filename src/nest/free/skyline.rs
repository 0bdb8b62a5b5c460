//! The upper contour of what is laid: level stretches from the left edge to the right.
//!
//! Nothing is ever laid below it, so it is all that the next placement has to know (Burke, Kendall
//! and Whitwell, Operations Research 52, 2004).

/// A level stretch of the contour.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stretch {
    /// Its left end.
    pub x: i64,
    /// How far along the roll it lies.
    pub y: i64,
    /// How wide it is.
    pub w: i64,
}

/// Which end of a stretch a piece is pushed to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum End {
    /// Against the left wall.
    Left,
    /// Against the right wall.
    Right,
}

/// The contour.
#[derive(Clone, Debug, Default)]
pub struct Skyline {
    stretches: Vec<Stretch>,
}

impl Skyline {
    /// Level at 0 over a width.
    pub fn reset(&mut self, width: i64) {
        self.stretches.clear();
        self.stretches.push(Stretch { x: 0, y: 0, w: width });
    }

    /// The stretches, from left to right.
    pub fn stretches(&self) -> &[Stretch] {
        &self.stretches
    }

    /// Index of the lowest stretch, the leftmost of several.
    pub fn lowest(&self) -> usize {
        let mut lowest = 0;
        for (i, s) in self.stretches.iter().enumerate() {
            if s.y < self.stretches[lowest].y {
                lowest = i;
            }
        }
        lowest
    }

    /// How far the walls left and right of a stretch rise above it; the roll's edges rise to
    /// `edge`.
    pub fn walls(&self, i: usize, edge: i64) -> (i64, i64) {
        let y = self.stretches[i].y;
        let left = if i == 0 { edge } else { self.stretches[i - 1].y };
        let right = self.stretches.get(i + 1).map_or(edge, |s| s.y);
        (left - y, right - y)
    }

    /// Lays a box on a stretch that is wide enough; gives the box's left end.
    pub fn lay(&mut self, i: usize, w: i64, h: i64, end: End) -> i64 {
        let s = self.stretches[i];
        let y = s.y + h;
        let x = if end == End::Left { s.x } else { s.x + s.w - w };
        if w == s.w {
            self.stretches[i].y = y;
            self.join(i);
            return x;
        }
        match end {
            End::Left => {
                self.stretches[i] = Stretch { x: s.x + w, y: s.y, w: s.w - w };
                match i.checked_sub(1).and_then(|before| self.stretches.get_mut(before)) {
                    Some(before) if before.y == y => before.w += w,
                    _ => self.stretches.insert(i, Stretch { x, y, w }),
                }
            }
            End::Right => {
                self.stretches[i].w = s.w - w;
                match self.stretches.get_mut(i + 1) {
                    Some(after) if after.y == y => {
                        after.x = x;
                        after.w += w;
                    }
                    _ => self.stretches.insert(i + 1, Stretch { x, y, w }),
                }
            }
        }
        x
    }

    /// Gives up what lies over a stretch up to its lower wall; gives the area lost. Nothing
    /// happens when the contour is one level stretch.
    pub fn give_up(&mut self, i: usize) -> i128 {
        let (left, right) = self.walls(i, i64::MAX / 2);
        if self.stretches.len() < 2 {
            return 0;
        }
        let rise = left.min(right);
        let lost = i128::from(self.stretches[i].w) * i128::from(rise);
        self.stretches[i].y += rise;
        self.join(i);
        lost
    }

    /// Joins a stretch with neighbours on its level.
    fn join(&mut self, i: usize) {
        let s = self.stretches[i];
        if self.stretches.get(i + 1).is_some_and(|after| after.y == s.y) {
            let after = self.stretches.remove(i + 1);
            self.stretches[i].w += after.w;
        }
        if i > 0 && self.stretches[i - 1].y == s.y {
            let here = self.stretches.remove(i);
            self.stretches[i - 1].w += here.w;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seen(sky: &Skyline) -> Vec<(i64, i64, i64)> {
        sky.stretches().iter().map(|s| (s.x, s.y, s.w)).collect()
    }

    // Expected values: drawn by hand.
    #[test]
    fn boxes_raise_the_contour_and_level_neighbours_join() {
        let mut sky = Skyline::default();
        sky.reset(10);
        assert_eq!(sky.lay(0, 4, 3, End::Left), 0);
        assert_eq!(seen(&sky), [(0, 3, 4), (4, 0, 6)]);
        assert_eq!(sky.lay(1, 2, 5, End::Right), 8);
        assert_eq!(seen(&sky), [(0, 3, 4), (4, 0, 4), (8, 5, 2)]);
        assert_eq!(sky.lowest(), 1);
        assert_eq!(sky.walls(1, 100), (3, 5));
        assert_eq!(sky.walls(0, 100), (97, -3));
        assert_eq!(sky.lay(1, 1, 3, End::Left), 4);
        assert_eq!(seen(&sky), [(0, 3, 5), (5, 0, 3), (8, 5, 2)]);
        assert_eq!(sky.lay(1, 2, 5, End::Right), 6);
        assert_eq!(seen(&sky), [(0, 3, 5), (5, 0, 1), (6, 5, 4)]);
        assert_eq!(sky.give_up(1), 3);
        assert_eq!(seen(&sky), [(0, 3, 6), (6, 5, 4)]);
        assert_eq!(sky.lay(0, 6, 2, End::Left), 0);
        assert_eq!(seen(&sky), [(0, 5, 10)]);
        assert_eq!(sky.give_up(0), 0);
    }
}
