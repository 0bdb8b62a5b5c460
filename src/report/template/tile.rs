//! A template on sheets of paper.
//!
//! Symbols: paper `P` by `Q` less the margin `m` on every side and a footer at the bottom leaves a
//! window `u` by `v`. The piece is divided into strips from top to bottom, and every strip, from its
//! own lowest to its own highest point, into cells ([`super::cell`]), each at least [`OVERLAP`]
//! smaller than the window. A sheet shows its cell in the middle of the window, and as much of the
//! neighbours as there is room. Sides that two sheets share are drawn dashed on both: one is cut there and laid on
//! the other, line on line, crosses on crosses.
//!
//! A cell whose part shows whole on another sheet gets none. Strips are wider together than the
//! piece's box, and cells higher than their strip, so both can be shifted and made smaller
//! ([`cell::best`]): of the paper upright and lying, and of what is tried, the best by [`Merit`] is taken.

use super::cell::{self, Cell, Lie, Merit};
use super::draw::Drawn;
use super::footer::{self, FOOTER};
use super::{Sheet, Template, Text};
use crate::geometry::{Outline, Point};
use crate::units::{Length, Measure, SheetSize};
use std::collections::BTreeSet;

/// Paper to print on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Paper {
    /// 210 by 297 mm (ISO 216).
    A4,
    /// 297 by 420 mm (ISO 216).
    A3,
    /// 8 1/2 by 11 in (size A of ASME Y14.1).
    Letter,
    /// 11 by 17 in (size B of ASME Y14.1).
    Tabloid,
    /// One sheet as large as the piece: for plotters.
    Whole,
}

/// Left free on every side, because printers do not print up to the edge; common practice, no
/// source.
pub const MARGIN: Length = Length::from_mm(8);
const HALF_INCH: Length = Length::from_nm(12_700_000);
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
    /// The cells that have a sheet, strip by strip from the left, from the top.
    pub cells: Vec<Cell>,
}

impl Grid {
    /// One sheet as large as the piece: wide enough for the footer, and a millimetre for rounding.
    fn whole(outline: &Outline) -> Self {
        let (width, length) = outline.size();
        let (least, round) = (Length::from_mm(170), Length::from_mm(1));
        let across = (width + OVERLAP).max(least) + MARGIN * 2 + round;
        let along = length + OVERLAP + MARGIN * 2 + FOOTER + round;
        Self {
            width: across.round_up_to(round),
            height: along.round_up_to(round),
            cells: cell::cells(outline, Lie { first: Length::ZERO, cell: width, count: 1 }, length),
        }
    }

    /// Sheets of the paper, upright or lying, where they are fewest and the leanest is fattest.
    pub fn of(paper: Paper, outline: &Outline) -> Self {
        let (short, long) = match paper {
            Paper::A4 => SheetSize::A4.size(),
            Paper::A3 => (Length::from_mm(297), Length::from_mm(420)),
            Paper::Letter => SheetSize::Letter.size(),
            Paper::Tabloid => (HALF_INCH * 22, HALF_INCH * 34),
            Paper::Whole => return Self::whole(outline),
        };
        let (upright, first) = place(outline, (short, long));
        let (lying, second) = place(outline, (long, short));
        if second > first { lying } else { upright }
    }

    /// What a cell's sheet shows.
    pub fn window(&self, cell: &Cell) -> Window {
        cell.window(window(self.width, self.height))
    }
}

/// The best cells over a piece on this paper.
fn place(outline: &Outline, (width, height): (Length, Length)) -> (Grid, Merit) {
    let room = window(width, height);
    let most = (room.0 - OVERLAP, room.1 - OVERLAP);
    let (merit, cells) = cell::best(outline.size().0, most.0, false, |lie| {
        let cells = cell::needed(cell::cells(outline, lie, most.1), room);
        (Merit::of(&cells), cells)
    });
    (Grid { width, height, cells }, merit)
}

/// The window that paper leaves.
fn window(width: Length, height: Length) -> (Length, Length) {
    (width - MARGIN * 2, height - MARGIN * 2 - FOOTER)
}

/// `A` to `Z`, `AA` and on.
pub(super) fn letters(mut index: usize) -> String {
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
    /// The sheets of paper the piece needs, strip by strip from the left, each from the top.
    #[must_use]
    pub fn sheets(&self, paper: Paper, measure: Measure) -> Vec<Sheet> {
        let grid = Grid::of(paper, &self.outline);
        let words = super::words::words(self);
        let windows: Vec<Window> = grid.cells.iter().map(|cell| grid.window(cell)).collect();
        // Words stand where they show whole. Those that do so nowhere stand where they begin, but for what is
        // written elsewhere as well, as the code is at every foot.
        let words: Vec<(&Text, [Point; 4])> =
            words.iter().map(|text| (text, super::words::corners(text))).collect();
        let whole = |corners: &[Point; 4], window: &Window| {
            corners.iter().all(|&corner| window.holds(corner))
        };
        let mut told: BTreeSet<&str> = words
            .iter()
            .filter(|(_, corners)| windows.iter().any(|window| whole(corners, window)))
            .map(|(text, _)| text.words.as_str())
            .collect();
        told.insert(&self.piece);
        let shown = |window: &Window| -> Vec<Text> {
            let shows = |(text, corners): &&(&Text, [Point; 4])| {
                whole(corners, window) || !told.contains(text.words.as_str())
            };
            words.iter().filter(shows).map(|&(text, _)| text.clone()).collect()
        };
        let sheets = grid.cells.iter().zip(&windows);
        sheets.map(|(cell, window)| self.sheet((&grid, cell), &shown(window), measure)).collect()
    }

    fn sheet(&self, (grid, cell): (&Grid, &Cell), words: &[Text], measure: Measure) -> Sheet {
        let only = grid.cells.len() == 1;
        let mut sheet = Sheet {
            piece: self.piece.clone(),
            tile: if only { String::new() } else { cell.name() },
            width: grid.width,
            height: grid.height,
            strokes: Vec::new(),
            texts: Vec::new(),
        };
        let mut drawn = Drawn { window: grid.window(cell), sheet: &mut sheet };
        drawn.piece(self, words);
        drawn.joins(grid, cell);
        footer::write(&mut sheet, self, (grid, cell), measure);
        sheet
    }
}
