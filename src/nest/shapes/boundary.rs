//! The boundary of a union of convex regions.
//!
//! An edge of a region bounds the union where it lies inside no other region. Steps: the regions' box is
//! halved again and again, and only what reaches into a block is looked at in its halves. A block that a
//! region covers has no boundary; in one that is small enough each edge is to be cut by the regions that
//! reach it. An edge is then cut by the regions noted for it alone, of all blocks through which it runs:
//! what they leave of it is what cutting by all would leave.

use super::forbidden::Edge;
use super::grid::{narrow, noise, numbers};
use super::minkowski::Region;
use super::sides::Sides;

/// What counts as inside: deeper than this, in nanometres.
pub const EDGE: f64 = 1e-3;

/// Blocks are halved so often at most.
const HALVINGS: usize = 12;
/// With up to so many sides a block is not worth halving.
const FEW: usize = 12;

/// A side of a region that runs through a block, and the regions that reach it: places in a list.
#[derive(Clone, Copy, Debug)]
struct Meeting {
    side: u32,
    regions: (u32, u32),
}

/// What is found by halving.
struct Meetings<'a> {
    sides: &'a Sides,
    /// Room for the noise of floating point.
    slack: f64,
    /// The sides that may count, of each block within the one before it.
    lines: Vec<u32>,
    met: Vec<u32>,
    list: Vec<Meeting>,
    /// Whether a side runs through a block that no region covers.
    open: Vec<bool>,
}

impl Meetings<'_> {
    /// Parts a block (left, near, right, far) until it is covered or small, knowing where the sides begin
    /// that run through it.
    fn part(&mut self, block: [f64; 4], halvings: usize, from: usize) {
        let middle = [0, 1].map(|k| f64::midpoint(block[k], block[k + 2]));
        let half = [0, 1].map(|k| middle[k] - block[k] + self.slack);
        let end = self.lines.len();
        let start = narrow(self.met.len());
        if let Some(region) = self.sides.narrow(middle, half, &mut self.lines, from..end) {
            self.met.push(region);
            for &side in
                self.lines[from..end].iter().filter(|&&s| self.sides.reaches(s, middle, half))
            {
                self.list.push(Meeting { side, regions: (start, start + 1) });
            }
        } else if halvings == HALVINGS || self.lines.len() - end <= FEW {
            for &side in &self.lines[end..] {
                let region = self.sides.region(side);
                if self.met.len() == start as usize || self.met.last() != Some(&region) {
                    self.met.push(region);
                }
            }
            let regions = (start, narrow(self.met.len()));
            for &side in &self.lines[end..] {
                self.list.push(Meeting { side, regions });
                self.open[side as usize] = true;
            }
        } else {
            let (mut one, mut two) = (block, block);
            let axis = usize::from(block[3] - block[1] > block[2] - block[0]);
            one[axis + 2] = middle[axis];
            two[axis] = middle[axis];
            self.part(one, halvings + 1, end);
            self.part(two, halvings + 1, end);
        }
        self.lines.truncate(end);
    }
}

/// The edges of all regions, which lie within `bounds`, where they are inside no other.
pub fn edges(regions: &[Region], bounds: [f64; 4]) -> Vec<Edge> {
    let sides = Sides::new(regions);
    let count = sides.count();
    let ends: Vec<[[f64; 2]; 2]> = regions.iter().flat_map(ends).collect();
    let mut meetings = Meetings {
        sides: &sides,
        slack: noise(&bounds),
        lines: numbers(count),
        met: Vec::new(),
        list: Vec::new(),
        open: vec![false; count],
    };
    meetings.part(bounds, 0, 0);
    let Meetings { met, mut list, open, .. } = meetings;
    list.retain(|meeting| open[meeting.side as usize]);
    list.sort_by_key(|meeting| meeting.side);
    let mut edges = Vec::new();
    let mut others: Vec<u32> = Vec::new();
    for meetings in list.chunk_by(|a, b| a.side == b.side) {
        let side = meetings[0].side;
        others.clear();
        for meeting in meetings {
            others.extend(&met[meeting.regions.0 as usize..meeting.regions.1 as usize]);
        }
        others.sort_unstable();
        others.dedup();
        others.retain(|&k| k != sides.region(side));
        let others = others.iter().map(|&k| &regions[k as usize]);
        outside(ends[side as usize], others, &mut edges);
    }
    edges
}

/// The ends of a region's sides.
fn ends(region: &Region) -> impl Iterator<Item = [[f64; 2]; 2]> {
    let corners = &region.corners;
    corners.iter().zip(corners.iter().cycle().skip(1)).map(|(&from, &to)| [from, to])
}

/// The parts of a side that lie inside none of these regions.
fn outside<'a>(
    [p, q]: [[f64; 2]; 2],
    others: impl Iterator<Item = &'a Region>,
    edges: &mut Vec<Edge>,
) {
    let mut covered: Vec<(f64, f64)> = Vec::new();
    for region in others {
        let b = &region.bounds;
        let apart = p[0].max(q[0]) <= b[0]
            || p[0].min(q[0]) >= b[2]
            || p[1].max(q[1]) <= b[1]
            || p[1].min(q[1]) >= b[3];
        if apart {
            continue;
        }
        if let Some(range) = within(p, q, region) {
            if range.0 <= 0.0 && range.1 >= 1.0 {
                return;
            }
            covered.push(range);
        }
    }
    covered.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let size = (q[0] - p[0]).hypot(q[1] - p[1]);
    let along = [(q[0] - p[0]) / size, (q[1] - p[1]) / size];
    let mut free = |from: f64, to: f64| {
        let start = [p[0] + along[0] * from * size, p[1] + along[1] * from * size];
        edges.push(Edge { start, along, size: (to - from) * size });
    };
    let mut from = 0.0_f64;
    for (low, high) in covered {
        if low > from {
            free(from, low);
        }
        from = from.max(high);
    }
    if from < 1.0 {
        free(from, 1.0);
    }
}

/// The range of `0..1` in which a segment lies strictly inside a region.
fn within(p: [f64; 2], q: [f64; 2], region: &Region) -> Option<(f64, f64)> {
    let (mut low, mut high) = (0.0_f64, 1.0_f64);
    for side in &region.sides {
        let at = |c: [f64; 2]| (c[0] - side[0]) * side[2] + (c[1] - side[1]) * side[3] - EDGE;
        let (a, b) = (at(p), at(q));
        if a <= 0.0 && b <= 0.0 {
            return None;
        }
        if a < 0.0 {
            low = low.max(a / (a - b));
        } else if b < 0.0 {
            high = high.min(a / (a - b));
        }
    }
    (low < high).then_some((low, high))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::shapes::form::Form;
    use crate::nest::shapes::lot::Lot;
    use crate::nest::shapes::minkowski::difference;
    use crate::nest::shapes::number::{of_count, whole};

    /// Every side cut by every other region.
    fn plain(regions: &[Region]) -> Vec<Edge> {
        let mut edges = Vec::new();
        for (k, region) in regions.iter().enumerate() {
            for side in ends(region) {
                let others = regions.iter().enumerate().filter(|(l, _)| *l != k);
                outside(side, others.map(|(_, other)| other), &mut edges);
            }
        }
        edges
    }

    /// An outline around a middle, with corners at these shares of a size.
    fn around(shares: &[f64], width: f64, length: f64) -> Form {
        let corner = |(i, share): (usize, &f64)| {
            let (sin, cos) =
                (std::f64::consts::TAU * of_count(i) / of_count(shares.len())).sin_cos();
            (whole(cos * share * width), whole(sin * share * length))
        };
        Form::new(shares.iter().enumerate().map(corner).collect())
    }

    /// Outlines of all kinds: by lot, gears, gores with hollow flanks, combs, and blocks that fit into
    /// them exactly.
    fn outlines() -> Vec<Form> {
        let mut lot = Lot::new(7, 1);
        let mut forms = Vec::new();
        for count in [5, 9, 14, 24] {
            let shares: Vec<f64> = (0..count).map(|_| lot.between(0.2, 1.0)).collect();
            forms.push(around(&shares, 300_000.0, lot.between(50_000.0, 900_000.0)));
        }
        let teeth: Vec<f64> = (0..40).map(|i| if i % 2 == 0 { 1.0 } else { 0.8 }).collect();
        forms.push(around(&teeth, 200_000.0, 200_000.0));
        let half = |up: f64| {
            (0..=24).map(move |i| {
                let at = of_count(i) / 12.0 - 1.0;
                let wide = 60_000.0 + 50_000.0 * (std::f64::consts::PI * at).cos();
                (whole(up * wide), whole(up * 1_000_000.0 * at))
            })
        };
        forms.push(Form::new(half(1.0).chain(half(-1.0)).collect()));
        let comb = |k: i64| [(k, 0), (k, 30), (k + 10, 30), (k + 10, 0)].map(|(x, y)| (x, 30 - y));
        let mut corners: Vec<(i64, i64)> = vec![(0, -10), (70, -10)];
        corners.extend((0..4).rev().flat_map(|k| comb(20 * k)).map(|(x, y)| (70 - x, y)).rev());
        corners.dedup();
        forms.push(Form::new(corners));
        forms.push(Form::new(vec![(0, 0), (10, 0), (10, 30), (0, 30)]));
        forms.push(Form::new(vec![(0, 0), (1, 0), (900_000, 2), (900_000, 3)]));
        forms
    }

    #[test]
    fn halving_blocks_finds_the_edges_that_cutting_by_all_regions_leaves() {
        let forms = outlines();
        let mut found = 0;
        for (i, a) in forms.iter().enumerate() {
            for (j, b) in forms.iter().enumerate() {
                for gap in [0, 5_000] {
                    let parts = a.parts.iter().flat_map(|p| b.parts.iter().map(move |q| (p, q)));
                    let regions: Vec<Region> =
                        parts.map(|(p, q)| Region::new(difference(p, q, gap))).collect();
                    let start =
                        [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
                    let bounds = regions.iter().flat_map(|r| &r.corners).fold(start, |b, c| {
                        [b[0].min(c[0]), b[1].min(c[1]), b[2].max(c[0]), b[3].max(c[1])]
                    });
                    let fast = edges(&regions, bounds);
                    assert_eq!(fast, plain(&regions), "outlines {i} and {j}, gap {gap}");
                    found += fast.len();
                }
            }
        }
        assert!(found > 1_000, "{found}");
    }
}
