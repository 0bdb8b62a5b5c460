//! Where one outline must not lie because of another, and how deep it lies there.
//!
//! With outline `a` fixed, the places of `b` at which both overlap are the union of the
//! Minkowski differences of their convex parts (the no-fit polygon; Bennell and Oliveira,
//! European Journal of Operational Research 184, 2008). Steps: each difference's edges are cut
//! by all other differences; what lies inside none of them bounds the union, holes and exact
//! fits included. The depth of a place is its distance to that boundary: the least move that
//! parts the two (Imamichi, Yagiura and Nagamochi, Discrete Optimization 6, 2009). A grid over
//! the union lists for each cell the boundary that can be nearest, so a depth costs a few
//! distances.

use super::form::Form;
use super::grid::{Cell, Grid};
use super::minkowski::{Region, difference};
use super::number::{index, of_count};

/// What counts as inside: deeper than this, in nanometres.
const EDGE: f64 = 1e-3;

/// A piece of the boundary: start, unit direction (the inside to its left), length.
#[derive(Clone, Copy, Debug)]
pub struct Edge {
    /// Start.
    pub start: [f64; 2],
    /// Unit direction.
    pub along: [f64; 2],
    /// Length.
    pub size: f64,
}

impl Edge {
    /// The way from a point to the nearest point of the edge.
    #[inline]
    pub fn way(&self, x: f64, y: f64) -> [f64; 2] {
        let (vx, vy) = (self.start[0] - x, self.start[1] - y);
        let t = (-vx * self.along[0] - vy * self.along[1]).clamp(0.0, self.size);
        [vx + t * self.along[0], vy + t * self.along[1]]
    }

    /// The square of the distance of a point.
    #[inline]
    fn square(&self, x: f64, y: f64) -> f64 {
        let (vx, vy) = (x - self.start[0], y - self.start[1]);
        let along = vx * self.along[0] + vy * self.along[1];
        let across = vx * self.along[1] - vy * self.along[0];
        let beyond = along - along.max(0.0).min(self.size);
        across * across + beyond * beyond
    }
}

/// The places of one form that another forbids, grown by the gap.
#[derive(Clone, Debug)]
pub struct Forbidden {
    regions: Vec<Region>,
    edges: Vec<Edge>,
    bounds: [f64; 4],
    grid: Grid,
    /// Whether some boundary has the inside on both sides: an exact fit.
    exact_fit: bool,
}

impl Forbidden {
    /// What `a` at the origin forbids to `b`.
    pub fn new(a: &Form, b: &Form, gap: i64) -> Self {
        let regions = without_covered(
            a.parts.iter().flat_map(|p| b.parts.iter().map(|q| difference(p, q, gap))).collect(),
        );
        let edges = boundary(&regions);
        let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        let bounds = regions.iter().fold(start, |all, r| {
            let b = r.bounds;
            [all[0].min(b[0]), all[1].min(b[1]), all[2].max(b[2]), all[3].max(b[3])]
        });
        let grid = Grid::new(&regions, &edges, bounds);
        let mut forbidden = Self { regions, edges, bounds, grid, exact_fit: true };
        forbidden.exact_fit = forbidden.edges.iter().any(|edge| {
            let middle = [0, 1].map(|k| edge.start[k] + edge.along[k] * edge.size / 2.0);
            let beyond = [edge.along[1] * 4.0 * EDGE, -edge.along[0] * 4.0 * EDGE];
            edge.size > 1.0 && forbidden.inside(middle[0] + beyond[0], middle[1] + beyond[1])
        });
        forbidden
    }

    /// How deep a place lies inside; 0 where it is free. Where it is as deep as `enough`, that or
    /// anything between may be told.
    pub fn depth(&self, x: f64, y: f64, enough: f64) -> f64 {
        if self.beyond(x, y) {
            return 0.0;
        }
        let cell = self.grid.cell(x, y);
        if f64::from(cell.least) >= enough {
            return f64::from(cell.least);
        }
        let Some((square, edge)) = self.nearest(&cell, x, y) else { return 0.0 };
        let inside = cell.inside() || self.beside(&cell, edge, edge.way(x, y), [x, y]);
        if inside { square.sqrt() } else { 0.0 }
    }

    /// The nearest edge of those in the place's cell, with the square of its distance; none where it is
    /// touched.
    #[inline]
    fn nearest(&self, cell: &Cell<'_>, x: f64, y: f64) -> Option<(f64, &Edge)> {
        let mut best = (f64::INFINITY, None);
        for &e in cell.edges {
            let edge = &self.edges[e as usize];
            let square = edge.square(x, y);
            if square < best.0 {
                best = (square, Some(edge));
            }
        }
        let (square, edge) = best;
        Some((square, edge?)).filter(|_| square >= EDGE * EDGE)
    }

    /// Whether a place lies beyond the region's box, or on its rim.
    #[inline]
    fn beyond(&self, x: f64, y: f64) -> bool {
        let b = &self.bounds;
        x <= b[0] || y <= b[1] || x >= b[2] || y >= b[3]
    }

    /// Whether a place is inside, `way` from the nearest edge in a cell that is not all inside.
    fn beside(&self, cell: &Cell<'_>, edge: &Edge, way: [f64; 2], [x, y]: [f64; 2]) -> bool {
        let beside = edge.along[0] * way[1] - edge.along[1] * way[0];
        let square = way[0] * way[0] + way[1] * way[1];
        // Straight across from an edge its direction tells; at its ends the regions do.
        if beside * beside > square * (1.0 - 1e-9) && !self.exact_fit {
            beside < 0.0
        } else {
            cell.regions.iter().any(|&r| self.regions[r as usize].inside(x, y) > EDGE)
        }
    }

    /// The least move that frees a place; none where it is free.
    pub fn way_out(&self, x: f64, y: f64) -> Option<[f64; 2]> {
        if self.beyond(x, y) {
            return None;
        }
        let cell = self.grid.cell(x, y);
        let (_, edge) = self.nearest(&cell, x, y)?;
        let way = edge.way(x, y);
        let inside = cell.inside() || self.beside(&cell, edge, way, [x, y]);
        inside.then_some(way)
    }

    /// Half-planes that keep a place free, one for each convex region within reach: unit normal, and how
    /// far the place falls short of it (less than 0 beyond it). Tells how many regions there are.
    pub fn sides(&self, [x, y]: [f64; 2], reach: f64, list: &mut Vec<[f64; 3]>) -> usize {
        let way = self.way_out(x, y).unwrap_or([0.0, 0.0]);
        let free = [x + way[0], y + way[1]];
        for region in &self.regions {
            let b = &region.bounds;
            if x <= b[0] - reach || y <= b[1] - reach || x >= b[2] + reach || y >= b[3] + reach {
                continue;
            }
            let beyond = |s: &[f64; 4]| (s[0] - free[0]) * s[2] + (s[1] - free[1]) * s[3];
            let best = region.sides.iter().max_by(|a, b| beyond(a).total_cmp(&beyond(b)));
            if let Some(side) = best.filter(|side| beyond(side) < reach) {
                let short = (x - side[0]) * side[2] + (y - side[1]) * side[3];
                list.push([-side[2], -side[3], short]);
            }
        }
        self.regions.len()
    }

    /// The boundary's corner at this share of all.
    pub fn corner(&self, share: f64) -> Option<[f64; 2]> {
        let last = self.edges.len().checked_sub(1)?;
        Some(self.edges[index(share * of_count(self.edges.len()), last)].start)
    }

    /// Whether a place is inside.
    fn inside(&self, x: f64, y: f64) -> bool {
        !self.beyond(x, y) && {
            let cell = self.grid.cell(x, y);
            cell.inside()
                || cell.regions.iter().any(|&r| self.regions[r as usize].inside(x, y) > EDGE)
        }
    }

    /// The forbidden ranges on a line: across (axis 0) at `fixed = y`, along (axis 1) at
    /// `fixed = x`. Ranges that only touch stay apart: what is between them is an exact fit.
    pub fn spans(&self, axis: usize, fixed: f64, list: &mut Vec<(f64, f64)>) {
        let other = 1 - axis;
        if fixed <= self.bounds[other] || fixed >= self.bounds[other + 2] {
            return;
        }
        let mut crossings: Vec<f64> = Vec::new();
        for edge in &self.edges {
            let from = edge.start[other] - fixed;
            let rise = edge.along[other];
            let to = from + rise * edge.size;
            if from.min(to) > 0.0 || from.max(to) < 0.0 {
                continue;
            }
            if rise.abs() < 1e-9 {
                crossings.push(edge.start[axis]);
                crossings.push(edge.start[axis] + edge.along[axis] * edge.size);
            } else {
                crossings.push(edge.start[axis] - edge.along[axis] * from / rise);
            }
        }
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.windows(2) {
            let middle = f64::midpoint(pair[0], pair[1]);
            let (x, y) = if axis == 0 { (middle, fixed) } else { (fixed, middle) };
            if pair[1] - pair[0] > EDGE && self.inside(x, y) {
                list.push((pair[0], pair[1]));
            }
        }
    }

    /// The direction that leads out across the nearest boundary, wherever the place is.
    pub fn outward(&self, x: f64, y: f64) -> [f64; 2] {
        let square = |edge: &Edge| {
            let way = edge.way(x, y);
            way[0] * way[0] + way[1] * way[1]
        };
        let nearest = self.edges.iter().min_by(|a, b| square(a).total_cmp(&square(b)));
        nearest.map_or([0.0, 1.0], |edge| [edge.along[1], -edge.along[0]])
    }
}

/// The largest first, and without those that lie in another.
fn without_covered(mut regions: Vec<Region>) -> Vec<Region> {
    let size = |r: &Region| (r.bounds[2] - r.bounds[0]) * (r.bounds[3] - r.bounds[1]);
    regions.sort_by(|a, b| size(b).total_cmp(&size(a)));
    let mut kept: Vec<Region> = Vec::new();
    for region in regions {
        let b = &region.bounds;
        let covered = kept.iter().any(|k| {
            k.bounds[0] <= b[0]
                && k.bounds[1] <= b[1]
                && k.bounds[2] >= b[2]
                && k.bounds[3] >= b[3]
                && region.corners.iter().all(|c| k.inside(c[0], c[1]) >= 0.0)
        });
        if !covered {
            kept.push(region);
        }
    }
    kept
}

/// The edges of all regions where they lie inside no other.
fn boundary(regions: &[Region]) -> Vec<Edge> {
    let mut edges = Vec::new();
    for (k, region) in regions.iter().enumerate() {
        let corners = &region.corners;
        for (i, &p) in corners.iter().enumerate() {
            let q = corners[(i + 1) % corners.len()];
            for (from, to) in outside(p, q, k, regions) {
                let size = (q[0] - p[0]).hypot(q[1] - p[1]);
                let along = [(q[0] - p[0]) / size, (q[1] - p[1]) / size];
                let start = [p[0] + along[0] * from * size, p[1] + along[1] * from * size];
                edges.push(Edge { start, along, size: (to - from) * size });
            }
        }
    }
    edges
}

/// The ranges of `0..1` in which a segment lies inside no region but its own.
fn outside(p: [f64; 2], q: [f64; 2], own: usize, regions: &[Region]) -> Vec<(f64, f64)> {
    let mut covered: Vec<(f64, f64)> = Vec::new();
    for (k, region) in regions.iter().enumerate() {
        let b = &region.bounds;
        let apart = p[0].max(q[0]) <= b[0]
            || p[0].min(q[0]) >= b[2]
            || p[1].max(q[1]) <= b[1]
            || p[1].min(q[1]) >= b[3];
        if k == own || apart {
            continue;
        }
        if let Some(range) = within(p, q, region) {
            if range.0 <= 0.0 && range.1 >= 1.0 {
                return Vec::new();
            }
            covered.push(range);
        }
    }
    covered.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let (mut free, mut from) = (Vec::new(), 0.0_f64);
    for (low, high) in covered {
        if low > from {
            free.push((from, low));
        }
        from = from.max(high);
    }
    if from < 1.0 {
        free.push((from, 1.0));
    }
    free
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
    use crate::nest::shapes::exact::conflict;

    const ALL: f64 = f64::INFINITY;

    fn form(corners: &[(i64, i64)]) -> Form {
        Form::new(corners.to_vec())
    }

    #[test]
    fn the_depth_in_a_rectangle_is_the_way_to_its_nearest_side() {
        let a = form(&[(0, 0), (400, 0), (400, 200), (0, 200)]);
        let forbidden = Forbidden::new(&a, &a, 0);
        // The union is the box from (-400, -200) to (400, 200).
        assert!((forbidden.depth(350.0, 0.0, ALL) - 50.0).abs() < 1e-6);
        assert!((forbidden.depth(0.0, -120.0, ALL) - 80.0).abs() < 1e-6);
        assert!(forbidden.depth(400.0, 0.0, ALL) <= 0.0 && forbidden.depth(0.0, 300.0, ALL) <= 0.0);
        let with_gap = Forbidden::new(&a, &a, 10);
        assert!((with_gap.depth(350.0, 0.0, ALL) - 60.0).abs() < 1e-6);
        assert!((with_gap.depth(404.0, 0.0, ALL) - 6.0).abs() < 1e-6);
        let out = with_gap.way_out(404.0, 0.0).unwrap();
        assert!((out[0] - 6.0).abs() < 1e-6 && out[1].abs() < 1e-6);
    }

    #[test]
    fn a_slot_of_exact_width_is_free() {
        // A block of 100 x 100 fits the slot of a U of 100 to the nanometre.
        let u = form(&[
            (0, 0),
            (300, 0),
            (300, 300),
            (200, 300),
            (200, 100),
            (100, 100),
            (100, 300),
            (0, 300),
        ]);
        let block = form(&[(0, 0), (100, 0), (100, 100), (0, 100)]);
        let forbidden = Forbidden::new(&u, &block, 0);
        assert!(forbidden.depth(100.0, 150.0, ALL) <= 0.0);
        assert!((forbidden.depth(110.0, 150.0, ALL) - 10.0).abs() < 0.01);
        assert!(!conflict(&u, &block, 100, 150, 0) && conflict(&u, &block, 101, 150, 0));
    }

    #[test]
    fn depth_agrees_with_the_exact_test_on_a_lattice() {
        // The oracle is the separating axis test in whole numbers.
        let l = form(&[(0, 0), (90, 0), (90, 30), (30, 30), (30, 90), (0, 90)]);
        let z = form(&[(0, 0), (50, 10), (60, 60), (100, 70), (40, 80), (30, 20)]);
        for (a, b) in [(&l, &z), (&z, &l), (&l, &l), (&z, &z)] {
            let forbidden = Forbidden::new(a, b, 0);
            let mut inside = 0;
            for dx in (-110..110).step_by(3) {
                for dy in (-110..110).step_by(3) {
                    let deep = forbidden.depth(f64::from(dx), f64::from(dy), ALL) > 0.0;
                    let truth = conflict(a, b, i64::from(dx), i64::from(dy), 0);
                    assert_eq!(deep, truth, "at {dx}, {dy}");
                    inside += usize::from(deep);
                }
            }
            assert!(inside > 100);
        }
    }
}
