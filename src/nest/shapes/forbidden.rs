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

use super::boundary::{self, EDGE};
use super::form::Form;
use super::grid::{Cell, Grid};
use super::minkowski::{Hull, Region, difference};
use super::number::{index, of_count};

/// A piece of the boundary: start, unit direction (the inside to its left), length.
#[derive(Clone, Copy, Debug, PartialEq)]
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
        let start = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        let bounds = regions.iter().fold(start, |all, r| {
            let b = r.bounds;
            [all[0].min(b[0]), all[1].min(b[1]), all[2].max(b[2]), all[3].max(b[3])]
        });
        let edges = boundary::edges(&regions, bounds);
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
            cell.regions().iter().any(|&r| self.regions[r as usize].inside(x, y) > EDGE)
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
                || cell.regions().iter().any(|&r| self.regions[r as usize].inside(x, y) > EDGE)
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
fn without_covered(mut hulls: Vec<Hull>) -> Vec<Region> {
    let size = |h: &Hull| (h.bounds[2] - h.bounds[0]) * (h.bounds[3] - h.bounds[1]);
    hulls.sort_by(|a, b| size(b).total_cmp(&size(a)));
    let mut boxes: Vec<[f64; 4]> = Vec::new();
    let mut kept: Vec<Region> = Vec::new();
    for hull in hulls {
        let b = &hull.bounds;
        let around = |k: &[f64; 4]| k[0] <= b[0] && k[1] <= b[1] && k[2] >= b[2] && k[3] >= b[3];
        let covered = boxes.iter().zip(&kept).any(|(bounds, k)| {
            around(bounds) && hull.corners.iter().all(|c| k.inside(c[0], c[1]) >= 0.0)
        });
        if !covered {
            boxes.push(hull.bounds);
            kept.push(Region::new(hull));
        }
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::nest::shapes::exact::conflict;

    const ALL: f64 = f64::INFINITY;

    fn form(corners: &[(i64, i64)]) -> Form {
        Form::new(corners.to_vec())
    }

    /// A U with a slot of 100.
    fn slotted() -> Form {
        form(&[
            (0, 0),
            (300, 0),
            (300, 300),
            (200, 300),
            (200, 100),
            (100, 100),
            (100, 300),
            (0, 300),
        ])
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
        let u = slotted();
        let block = form(&[(0, 0), (100, 0), (100, 100), (0, 100)]);
        let forbidden = Forbidden::new(&u, &block, 0);
        assert!(forbidden.depth(100.0, 150.0, ALL) <= 0.0);
        assert!((forbidden.depth(110.0, 150.0, ALL) - 10.0).abs() < 0.01);
        assert!(!conflict(&u, &block, 100, 150, 0) && conflict(&u, &block, 101, 150, 0));
    }

    #[test]
    fn the_grid_tells_what_all_edges_and_regions_tell() {
        // A gear, a slanted bar, and a U that takes the block exactly; the plain way is the oracle.
        let tooth = |i: i32| if i % 2 == 0 { 1.0 } else { 0.7 };
        let corner = |i: i32| {
            let (sin, cos) = (std::f64::consts::TAU * f64::from(i) / 32.0).sin_cos();
            let of = |share: f64| super::super::number::whole(share * tooth(i) * 100_000.0);
            (of(cos), of(2.0 * sin))
        };
        let forms = [
            form(&(0..32).map(corner).collect::<Vec<_>>()),
            form(&[(0, 0), (10_000, 0), (90_000, 300_000), (80_000, 300_000)]),
            slotted(),
            form(&[(0, 0), (100, 0), (100, 100), (0, 100)]),
        ];
        let mut lot = crate::nest::shapes::lot::Lot::new(3, 3);
        let (mut deep, mut free) = (0, 0);
        for (a, b) in forms.iter().flat_map(|a| forms.iter().map(move |b| (a, b))) {
            let forbidden = Forbidden::new(a, b, 0);
            let bounds = forbidden.bounds;
            for _ in 0..2_000 {
                let (x, y) = (lot.between(bounds[0], bounds[2]), lot.between(bounds[1], bounds[3]));
                let squares = forbidden.edges.iter().map(|edge| edge.square(x, y));
                let nearest = squares.fold(ALL, f64::min).sqrt();
                let inside = forbidden.regions.iter().any(|r| r.inside(x, y) > EDGE);
                if nearest < 2.0 * EDGE {
                    continue;
                }
                let truth = if inside { nearest } else { 0.0 };
                let depth = forbidden.depth(x, y, ALL);
                assert!((depth - truth).abs() <= 0.0, "{depth} for {truth} at {x}, {y}");
                assert_eq!(forbidden.inside(x, y), inside);
                let way = forbidden.way_out(x, y).map_or(0.0, |way| way[0].hypot(way[1]));
                assert!((way - truth).abs() <= 1e-9 * truth);
                let enough = lot.between(0.0, 2.0 * nearest);
                let told = forbidden.depth(x, y, enough);
                assert!(told <= truth && (told >= enough || (told - truth).abs() <= 0.0));
                (deep, free) = (deep + usize::from(inside), free + usize::from(!inside));
            }
        }
        assert!(deep > 5_000 && free > 2_000, "{deep}, {free}");
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
