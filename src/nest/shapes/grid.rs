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
    edges: Vec<usize>,
    regions: Vec<usize>,
}

#[derive(Clone, Copy, Debug, Default)]
struct Range {
    edges: (usize, usize),
    regions: (usize, usize),
    inside: bool,
}

/// What is to be known in a cell. Without edges it is free.
#[derive(Clone, Copy, Debug)]
pub struct Cell<'a> {
    /// The boundary that can be nearest.
    pub edges: &'a [usize],
    /// The regions that reach into the cell without covering it.
    pub regions: &'a [usize],
    /// Whether the whole cell is inside.
    pub inside: bool,
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
        let start = (self.edges.len(), self.regions.len());
        let mut inside = false;
        for (k, region) in regions.iter().enumerate() {
            let b = &region.bounds;
            if x <= b[0] - reach || y <= b[1] - reach || x >= b[2] + reach || y >= b[3] + reach {
                continue;
            }
            let depth = region.inside(x, y);
            if depth > reach {
                inside = true;
                self.regions.truncate(start.1);
                break;
            }
            if depth > -reach {
                self.regions.push(k);
            }
        }
        let mut least = f64::INFINITY;
        for (distance, edge) in distances.iter_mut().zip(edges) {
            let way = edge.way(x, y);
            *distance = way[0] * way[0] + way[1] * way[1];
            least = least.min(*distance);
        }
        let least = least.sqrt();
        let reached = inside || self.regions.len() > start.1 || least <= reach;
        if reached {
            let near = least + 2.0 * reach + 1.0;
            self.edges.extend((0..edges.len()).filter(|&e| distances[e] <= near * near));
        }
        Range { edges: (start.0, self.edges.len()), regions: (start.1, self.regions.len()), inside }
    }

    /// The cell in which a place lies.
    pub fn cell(&self, x: f64, y: f64) -> Cell<'_> {
        let column = index((x - self.corner[0]) * self.per[0], self.count - 1);
        let row = index((y - self.corner[1]) * self.per[1], self.count - 1);
        let range = &self.cells[row * self.count + column];
        Cell {
            edges: &self.edges[range.edges.0..range.edges.1],
            regions: &self.regions[range.regions.0..range.regions.1],
            inside: range.inside,
        }
    }
}
