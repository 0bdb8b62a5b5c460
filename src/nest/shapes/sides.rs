//! The sides of convex regions, narrowed down from a block of places to its parts.
//!
//! A block that none of a region's sides runs through lies inside it or outside. One that some run through
//! is parted by these alone: from a place outside, the way to one inside crosses a side within the block.
//! So the sides that can matter are few in a small block.

use super::minkowski::Region;
use std::ops::Range;

/// A side: a point on it, the unit normal that points inward, and its box.
#[derive(Clone, Copy, Debug)]
struct Side {
    at: [f64; 2],
    normal: [f64; 2],
    low: [f64; 2],
    high: [f64; 2],
}

/// All sides of all regions, one behind another.
pub struct Sides {
    list: Vec<Side>,
    /// The region of each.
    of: Vec<u32>,
}

impl Sides {
    /// The sides of regions, in their order.
    pub fn new(regions: &[Region]) -> Self {
        let side = |r: &Region, i: usize| {
            let (p, q) = (r.corners[i], r.corners[(i + 1) % r.corners.len()]);
            let low = [p[0].min(q[0]), p[1].min(q[1])];
            let high = [p[0].max(q[0]), p[1].max(q[1])];
            Side { at: p, normal: [r.sides[i][2], r.sides[i][3]], low, high }
        };
        let list = regions.iter().flat_map(|r| (0..r.sides.len()).map(move |i| side(r, i)));
        let of = regions.iter().zip(0..).flat_map(|(r, k)| r.sides.iter().map(move |_| k));
        Self { list: list.collect(), of: of.collect() }
    }

    /// How many there are.
    pub const fn count(&self) -> usize {
        self.of.len()
    }

    /// The region of a side.
    pub fn region(&self, side: u32) -> u32 {
        self.of[side as usize]
    }

    /// Whether a side's box reaches into a box, known by its middle and half its size.
    pub fn reaches(&self, side: u32, middle: [f64; 2], half: [f64; 2]) -> bool {
        self.list[side as usize].beyond(middle, half) <= 0.0
    }

    /// Of the sides at these places of a list, in the regions' order, puts those behind it that run through a
    /// box, known by its middle and half its size; they were all that run through a larger one. Tells the first
    /// region that covers the box, where there is one.
    pub fn narrow(
        &self,
        middle: [f64; 2],
        half: [f64; 2],
        list: &mut Vec<u32>,
        places: Range<usize>,
    ) -> Option<u32> {
        let mut end = list.len();
        // Room for all of them: a side is written in any case, and counted where it is kept.
        list.resize(end + places.len(), 0);
        let mut covering = None;
        let mut at = places.start;
        while at < places.end {
            let region = self.of[list[at] as usize];
            let start = end;
            let (mut least, mut out) = (f64::INFINITY, false);
            while at < places.end && self.of[list[at] as usize] == region {
                let number = list[at];
                at += 1;
                let side = &self.list[number as usize];
                let inside = (middle[0] - side.at[0]) * side.normal[0]
                    + (middle[1] - side.at[1]) * side.normal[1];
                let by = side.normal[0].abs() * half[0] + side.normal[1].abs() * half[1];
                out |= inside <= -by;
                least = least.min(inside);
                list[end] = number;
                end += usize::from((inside - by).max(side.beyond(middle, half)) <= 0.0);
            }
            if out {
                end = start;
            } else if end == start && least > 0.0 {
                covering = Some(region);
                break;
            }
        }
        list.truncate(end);
        covering
    }
}

impl Side {
    /// How far the side's box lies beyond a box; not above zero where it reaches into it.
    #[inline]
    fn beyond(&self, middle: [f64; 2], half: [f64; 2]) -> f64 {
        let along = |k: usize| {
            let low = self.low[k] - (middle[k] + half[k]);
            low.max(middle[k] - half[k] - self.high[k])
        };
        along(0).max(along(1))
    }
}
