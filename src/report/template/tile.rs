//! A template on sheets of paper.
//!
//! Symbols: paper `P` by `Q` less the margin `m` on every side and a footer at the bottom leaves a
//! window `u` by `v`; neighbouring windows share a strip of width `o` (the overlap), so sheets
//! follow each other at `u - o` and `v - o`. The line in the middle of the shared strip is drawn
//! dashed on both: one sheet is cut there and laid on the other, line on line, crosses on crosses.
//! The piece starts half an overlap inside the first window. Of the paper upright and lying the one
//! that needs fewer sheets is taken, upright where both need as many.

use super::draw::Drawn;
use super::footer::{self, FOOTER};
use super::{Sheet, Template};
use crate::units::Length;

/// Paper to print on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    A4,
    /// 297 by 420 mm (ISO 216).
    A3,
    /// One sheet as large as the piece: for plotters.
    Whole,
}

/// Left free on every side, because printers do not print up to the edge; common practice, no
/// source.
pub const MARGIN: Length = Length::from_mm(8);
/// The strip that neighbouring sheets share.
pub const OVERLAP: Length = Length::from_mm(12);

/// A window on the piece, in the piece's coordinates.
#[derive(Clone, Copy, Debug)]
pub(super) struct Window {
    pub left: Length,
    pub bottom: Length,
    pub width: Length,
    pub height: Length,
}

/// How a piece is divided.
pub(super) struct Grid {
    /// Paper size.
    pub width: Length,
    /// Paper size.
    pub height: Length,
    /// Sheets side by side.
    pub columns: usize,
    /// Sheets above each other.
    pub rows: usize,
}

impl Grid {
    fn of(paper: Paper, (width, length): (Length, Length)) -> Self {
        let (short, long) = match paper {
            Paper::A4 => (Length::from_mm(210), Length::from_mm(297)),
            Paper::A3 => (Length::from_mm(297), Length::from_mm(420)),
            Paper::Whole => {
                // Wide enough for the footer, and a millimetre for rounding.
                let least = Length::from_mm(170);
                let round = Length::from_mm(1);
                let across = (width + OVERLAP).max(least) + MARGIN * 2 + round;
                let along = length + OVERLAP + MARGIN * 2 + FOOTER + round;
                let (width, height) = (across.round_up_to(round), along.round_up_to(round));
                return Self { width, height, columns: 1, rows: 1 };
            }
        };
        let on = |width_of: Length, height_of: Length| {
            let (u, v) = window(width_of, height_of);
            let (columns, rows) = (count(width, u - OVERLAP), count(length, v - OVERLAP));
            Self { width: width_of, height: height_of, columns, rows }
        };
        let (upright, lying) = (on(short, long), on(long, short));
        if lying.columns * lying.rows < upright.columns * upright.rows { lying } else { upright }
    }

    /// The name of a sheet: column letter and row number, from the upper left.
    pub fn name(&self, column: usize, row: usize) -> String {
        format!("{}{}", letters(column), self.rows - row)
    }

    fn window(&self, column: usize, row: usize) -> Window {
        let (width, height) = window(self.width, self.height);
        let half = Length::from_nm(OVERLAP.nm() / 2);
        let at = |i: usize, step: Length| step * i64::try_from(i).unwrap_or(0) - half;
        let (left, bottom) = (at(column, width - OVERLAP), at(row, height - OVERLAP));
        Window { left, bottom, width, height }
    }
}

/// The window that paper leaves.
fn window(width: Length, height: Length) -> (Length, Length) {
    (width - MARGIN * 2, height - MARGIN * 2 - FOOTER)
}

/// How many steps cover a size.
fn count(size: Length, step: Length) -> usize {
    usize::try_from(size.round_up_to(step).nm() / step.nm().max(1)).unwrap_or(1).max(1)
}

/// `A` to `Z`, `AA` and on.
fn letters(mut index: usize) -> String {
    let mut text = String::new();
    loop {
        let letter = u8::try_from(index % 26).unwrap_or(0);
        text.insert(0, char::from(b'A' + letter));
        match (index / 26).checked_sub(1) {
            Some(next) => index = next,
            None => return text,
        }
    }
}

impl Template {
    /// The sheets of paper the piece needs, row by row from the upper left.
    #[must_use]
    pub fn sheets(&self, paper: Paper) -> Vec<Sheet> {
        let grid = Grid::of(paper, self.outline.size());
        let mut sheets = Vec::with_capacity(grid.columns * grid.rows);
        for row in (0..grid.rows).rev() {
            for column in 0..grid.columns {
                sheets.push(self.sheet(&grid, column, row));
            }
        }
        sheets
    }

    fn sheet(&self, grid: &Grid, column: usize, row: usize) -> Sheet {
        let only = grid.columns * grid.rows == 1;
        let mut sheet = Sheet {
            piece: self.piece.clone(),
            tile: if only { String::new() } else { grid.name(column, row) },
            width: grid.width,
            height: grid.height,
            strokes: Vec::new(),
            texts: Vec::new(),
        };
        let window = grid.window(column, row);
        let mut drawn = Drawn { window, sheet: &mut sheet };
        drawn.piece(self);
        if !only {
            drawn.joins(grid, column, row);
        }
        footer::write(&mut sheet, self, grid, column, row);
        sheet
    }
}
