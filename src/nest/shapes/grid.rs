//! A grid over a forbidden region: what of its boundary can be nearest, cell by cell.
//!
//! Blocks of cells are halved down to single ones, and of the edges and regions only those that may count
//! somewhere in a block are looked at in its halves. What a cell holds is what going through all of them for
//! each cell would tell, in the same order.

use super::forbidden::Edge;
use super::minkowski::Region;
use super::number::{index, of_count};
use super::sides::Sides;
use std::ops::Range;

/// The grid.
#[derive(Clone, Debug)]
pub struct Grid {
    /// Columns and rows.
    count: [usize; 2],
    corner: [f64; 2],
    per: [f64; 2],
    cells: Vec<Entry>,
    /// For each cell its edges, the number of its regions, and these; nothing at first.
    lists: Vec<u32>,
}

/// Where a cell's edges begin and end in the lists; small, as a search looks up one place after another in
/// many grids.
#[derive(Clone, Copy, Debug, Default)]
struct Entry {
    start: u32,
    end: u32,
    least: f32,
}

/// What is to be known in a cell. Without edges it is free.
#[derive(Clone, Copy, Debug)]
pub struct Cell<'a> {
    /// The boundary that can be nearest.
    pub edges: &'a [u32],
    /// How many regions there are, these, and what belongs to other cells.
    rest: &'a [u32],
    /// No place in the cell is less deep; above zero only where the whole cell is inside.
    pub least: f32,
}

impl Cell<'_> {
    /// The regions that reach into the cell without covering it.
    pub fn regions(&self) -> &[u32] {
        let Some((&count, list)) = self.rest.split_first() else { return &[] };
        list.get(..count as usize).unwrap_or_default()
    }

    /// Whether the whole cell is inside.
    pub const fn inside(&self) -> bool {
        self.least > 0.0
    }
}

/// Cells side by side: columns and rows from the first up to, but without, the last.
#[derive(Clone, Copy, Debug)]
struct Block {
    columns: (usize, usize),
    rows: (usize, usize),
}

impl Block {
    const fn cells(&self) -> (usize, usize) {
        (self.columns.1 - self.columns.0, self.rows.1 - self.rows.0)
    }

    /// Both halves, parted across the longer side.
    fn halves(&self, size: [f64; 2]) -> [Self; 2] {
        let (mut one, mut two) = (*self, *self);
        let (columns, rows) = self.cells();
        if of_count(columns) * size[0] >= of_count(rows) * size[1] && columns > 1 || rows == 1 {
            one.columns.1 = usize::midpoint(self.columns.0, self.columns.1);
            two.columns.0 = one.columns.1;
        } else {
            one.rows.1 = usize::midpoint(self.rows.0, self.rows.1);
            two.rows.0 = one.rows.1;
        }
        [one, two]
    }
}

/// What a grid is made of.
struct Maker<'a> {
    grid: Grid,
    all: &'a [Edge],
    sides: Sides,
    size: [f64; 2],
    /// Half of a cell's diagonal.
    reach: f64,
    /// Room for the noise of floating point.
    slack: f64,
    /// The edges that may count, of each block within the one before it, and the regions' sides.
    edges: Vec<u32>,
    lines: Vec<u32>,
    distances: Vec<f64>,
    /// The regions that reach into a cell.
    reached: Vec<u32>,
}

impl Maker<'_> {
    /// Fills a block's cells, knowing where the edges and sides begin that may count in any of them, and
    /// whether a region covers it all.
    fn fill(&mut self, block: Block, edges: usize, lines: usize, inside: bool) {
        let (columns, rows) = block.cells();
        let middle = |(from, to): (usize, usize)| of_count(from + to) / 2.0;
        let x = self.grid.corner[0] + middle(block.columns) * self.size[0];
        let y = self.grid.corner[1] + middle(block.rows) * self.size[1];
        let (edges, lines) = (edges..self.edges.len(), lines..self.lines.len());
        if (columns, rows) == (1, 1) {
            let cell = block.rows.0 * self.grid.count[0] + block.columns.0;
            self.grid.cells[cell] = self.cell([x, y], edges, lines, inside);
            return;
        }
        // From the middle to the middle of the farthest cell, and as far as a cell reaches.
        let half = |cells: usize, size: f64| of_count(cells - 1) / 2.0 * size;
        let reach = half(columns, self.size[0]).hypot(half(rows, self.size[1])) + self.reach;
        let near = self.nearest([x, y], edges.clone()) + 2.0 * reach + 1.0 + self.slack;
        for (k, e) in edges.clone().enumerate() {
            if self.distances[k] <= near * near {
                self.edges.push(self.edges[e]);
            }
        }
        let half = self.half((columns, rows));
        let inside =
            inside || self.sides.narrow([x, y], half, &mut self.lines, lines.clone()).is_some();
        if inside {
            self.lines.truncate(lines.end);
        }
        for half in block.halves(self.size) {
            self.fill(half, edges.end, lines.end, inside);
        }
        self.edges.truncate(edges.end);
        self.lines.truncate(lines.end);
    }

    /// Half the size of so many cells, and room.
    fn half(&self, (columns, rows): (usize, usize)) -> [f64; 2] {
        let half = |cells: usize, size: f64| of_count(cells) / 2.0 * size + self.slack;
        [half(columns, self.size[0]), half(rows, self.size[1])]
    }

    /// The distance from a place to the nearest of these edges; the squares of all are left behind.
    fn nearest(&mut self, [x, y]: [f64; 2], edges: Range<usize>) -> f64 {
        self.distances.clear();
        for &e in &self.edges[edges] {
            let way = self.all[e as usize].way(x, y);
            self.distances.push(way[0] * way[0] + way[1] * way[1]);
        }
        self.distances.iter().copied().fold(f64::INFINITY, f64::min).sqrt()
    }

    /// One cell, by its middle.
    fn cell(
        &mut self,
        [x, y]: [f64; 2],
        edges: Range<usize>,
        lines: Range<usize>,
        inside: bool,
    ) -> Entry {
        let reach = self.reach;
        let half = self.half((1, 1));
        let inside =
            inside || self.sides.narrow([x, y], half, &mut self.lines, lines.clone()).is_some();
        self.reached.clear();
        if !inside {
            let regions = self.lines[lines.end..].iter().map(|&side| self.sides.region(side));
            self.reached.extend(regions);
            self.reached.dedup();
        }
        self.lines.truncate(lines.end);
        let least = self.nearest([x, y], edges.clone());
        if !inside && self.reached.is_empty() && least > reach {
            return Entry::default();
        }
        let near = least + 2.0 * reach + 1.0;
        let distances = self.distances.iter().zip(&self.edges[edges]);
        let nearest = distances.filter(|(d, _)| **d <= near * near).map(|(_, &e)| e);
        let start = narrow(self.grid.lists.len());
        self.grid.lists.extend(nearest);
        let end = narrow(self.grid.lists.len());
        self.grid.lists.push(narrow(self.reached.len()));
        self.grid.lists.extend(&self.reached);
        let least = if inside { below((least - reach).max(SOMETHING)) } else { 0.0 };
        Entry { start, end, least }
    }
}

impl Grid {
    /// A grid over `bounds`.
    pub fn new(regions: &[Region], edges: &[Edge], bounds: [f64; 4]) -> Self {
        let count = index(4.0 * of_count(edges.len()).sqrt(), 48).max(8);
        let (width, length) = (bounds[2] - bounds[0], bounds[3] - bounds[1]);
        // As many cells, about as wide as long.
        let longer = (width / length).sqrt().clamp(1.0 / of_count(count), of_count(count));
        let columns = index((of_count(count) * longer).round(), count * count).max(1);
        let rows = index((of_count(count) / longer).round(), count * count).max(1);
        let size = [width / of_count(columns), length / of_count(rows)];
        let grid = Self {
            count: [columns, rows],
            corner: [bounds[0], bounds[1]],
            per: [1.0 / size[0], 1.0 / size[1]],
            cells: vec![Entry::default(); columns * rows],
            lists: vec![0],
        };
        let reach = size[0].hypot(size[1]) / 2.0;
        let mut maker = Maker {
            grid,
            all: edges,
            sides: Sides::new(regions),
            size,
            reach,
            slack: noise(&bounds),
            edges: numbers(edges.len()),
            lines: Vec::new(),
            distances: Vec::new(),
            reached: Vec::new(),
        };
        maker.lines = numbers(maker.sides.count());
        maker.fill(Block { columns: (0, columns), rows: (0, rows) }, 0, 0, false);
        maker.grid
    }

    /// The cell in which a place lies.
    #[inline]
    pub fn cell(&self, x: f64, y: f64) -> Cell<'_> {
        let column = index((x - self.corner[0]) * self.per[0], self.count[0] - 1);
        let row = index((y - self.corner[1]) * self.per[1], self.count[1] - 1);
        let entry = &self.cells[row * self.count[0] + column];
        Cell {
            edges: &self.lists[entry.start as usize..entry.end as usize],
            rest: &self.lists[entry.end as usize..],
            least: entry.least,
        }
    }
}

/// What says inside where no depth is known, in nanometres.
const SOMETHING: f64 = 1e-6;

/// Room for what distances to places within these bounds may be rounded by.
pub fn noise(bounds: &[f64; 4]) -> f64 {
    bounds.iter().fold(0.0, |most: f64, b| most.max(b.abs())) * 1e-12 + 1.0
}

/// From 0 up to, but without, a number.
pub fn numbers(end: usize) -> Vec<u32> {
    (0..narrow(end)).collect()
}

/// A number of the lists, which are far shorter than that.
pub fn narrow(number: usize) -> u32 {
    u32::try_from(number).unwrap_or(u32::MAX)
}

/// Half as many figures, less what they may be rounded up by.
#[expect(clippy::cast_possible_truncation, reason = "rounded down beforehand")]
fn below(value: f64) -> f32 {
    (value * (1.0 - 1e-6)) as f32
}
