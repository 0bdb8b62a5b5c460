//! A grid over a forbidden region: what of its boundary can be nearest, cell by cell.

use super::forbidden::Edge;
use super::minkowski::Region;
use super::number::{index, of_count};

/// The grid.
#[derive(Clone, Debug)]
pub struct Grid {
    count: usize,
    corner: [f64; 2],
    per: [f64; 2],
    cells: Vec<Range>,
    edges: Vec<u32>,
    regions: Vec<u32>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Range {
    edges: (u32, u32),
    regions: (u32, u32),
    least: f32,
}

/// What is to be known in a cell. Without edges it is free.
#[derive(Clone, Copy, Debug)]
pub struct Cell<'a> {
    /// The boundary that can be nearest.
    pub edges: &'a [u32],
    /// The regions that reach into the cell without covering it.
    pub regions: &'a [u32],
    /// No place in the cell is less deep; above zero only where the whole cell is inside.
    pub least: f32,
}

impl Cell<'_> {
    /// Whether the whole cell is inside.
    pub const fn inside(&self) -> bool {
        self.least > 0.0
    }
}

impl Grid {
    /// A grid over `bounds`.
    pub fn new(regions: &[Region], edges: &[Edge], bounds: [f64; 4]) -> Self {
        let count = index(4.0 * of_count(edges.len()).sqrt(), 48).max(8);
        let size =
            [(bounds[2] - bounds[0]) / of_count(count), (bounds[3] - bounds[1]) / of_count(count)];
        let mut grid = Self {
            count,
            corner: [bounds[0], bounds[1]],
            per: [1.0 / size[0], 1.0 / size[1]],
            cells: Vec::with_capacity(count * count),
            edges: Vec::new(),
            regions: Vec::new(),
        };
        let reach = size[0].hypot(size[1]) / 2.0;
        let mut distances = vec![0.0; edges.len()];
        for row in 0..count {
            for column in 0..count {
                let x = bounds[0] + (of_count(column) + 0.5) * size[0];
                let y = bounds[1] + (of_count(row) + 0.5) * size[1];
                let range = grid.fill(regions, edges, [x, y], reach, &mut distances);
                grid.cells.push(range);
            }
        }
        grid
    }

    fn fill(
        &mut self,
        regions: &[Region],
        edges: &[Edge],
        [x, y]: [f64; 2],
        reach: f64,
        distances: &mut [f64],
    ) -> Range {
        let start = (of_list(&self.edges), of_list(&self.regions));
        let mut inside = false;
        for (k, region) in regions.iter().enumerate() {
            let b = &region.bounds;
            if x <= b[0] - reach || y <= b[1] - reach || x >= b[2] + reach || y >= b[3] + reach {
                continue;
            }
            let depth = region.inside(x, y);
            if depth > reach {
                inside = true;
                self.regions.truncate(start.1 as usize);
                break;
            }
            if depth > -reach {
                self.regions.push(narrow(k));
            }
        }
        let mut least = f64::INFINITY;
        for (distance, edge) in distances.iter_mut().zip(edges) {
            let way = edge.way(x, y);
            *distance = way[0] * way[0] + way[1] * way[1];
            least = least.min(*distance);
        }
        let least = least.sqrt();
        let reached = inside || of_list(&self.regions) > start.1 || least <= reach;
        if reached {
            let near = least + 2.0 * reach + 1.0;
            let nearest = (0..edges.len()).filter(|&e| distances[e] <= near * near);
            self.edges.extend(nearest.map(narrow));
        }
        let edges = (start.0, of_list(&self.edges));
        let regions = (start.1, of_list(&self.regions));
        let least = if inside { below((least - reach).max(SOMETHING)) } else { 0.0 };
        Range { edges, regions, least }
    }

    /// The cell in which a place lies.
    #[inline]
    pub fn cell(&self, x: f64, y: f64) -> Cell<'_> {
        let column = index((x - self.corner[0]) * self.per[0], self.count - 1);
        let row = index((y - self.corner[1]) * self.per[1], self.count - 1);
        let range = &self.cells[row * self.count + column];
        Cell {
            edges: &self.edges[range.edges.0 as usize..range.edges.1 as usize],
            regions: &self.regions[range.regions.0 as usize..range.regions.1 as usize],
            least: range.least,
        }
    }
}

/// What says inside where no depth is known, in nanometres.
const SOMETHING: f64 = 1e-6;

fn of_list(list: &[u32]) -> u32 {
    narrow(list.len())
}

/// A number of the lists, which are far shorter than that.
fn narrow(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// Half as many figures, less what they may be rounded up by.
#[expect(clippy::cast_possible_truncation, reason = "rounded down beforehand")]
fn below(value: f64) -> f32 {
    (value * (1.0 - 1e-6)) as f32
}
