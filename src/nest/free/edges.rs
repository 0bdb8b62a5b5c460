//! From an order to a layout in which every cut runs from edge to edge, in any number of stages.
//!
//! 1. What is left of a roll is a list of sheets. The last of them is taken, and the best-fitting
//!    piece goes into its corner: one that fills it, else one that is as wide or as long as it, else
//!    the first in the order; the order decides between equals.
//! 2. Two cuts part the piece from its sheet. The entry says which of them runs first, right across
//!    the sheet; the sheet beside the piece that is as long or as wide as the piece itself is filled
//!    before the other.
//! 3. A sheet that is wider than long pulls may be is cut across first, where the piece ends.
//! 4. A sheet in which nothing fits is waste.
//!
//! Which piece comes next and which cut comes first is what the [search](super::search) improves
//! (recursive filling: Zhang, Kang and Deng, Computers & OR 33, 2006; both cuts on trial: Wei, Tian,
//! Zhu and Lim, EJOR 239, 2014).

use super::packer::{Entry, Packer, Spot};
use super::task::{Room, Shape};

/// Which cut parts a piece from its sheet first.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FirstCut {
    /// Across the roll, where the piece ends.
    Across,
    /// Along the roll, beside the piece.
    Along,
}

impl FirstCut {
    /// The other one.
    pub fn other(self) -> Self {
        match self {
            Self::Across => Self::Along,
            Self::Along => Self::Across,
        }
    }
}

/// A rectangle on which nothing lies.
#[derive(Clone, Copy, Debug)]
pub(super) struct Sheet {
    x: i64,
    y: i64,
    w: i64,
    h: i64,
}

impl Packer<'_> {
    /// Fills a room with what is left of the order.
    pub(super) fn cut(
        &mut self,
        order: &[Entry],
        number: u32,
        room: Room,
        go_on: &dyn Fn() -> bool,
    ) {
        self.far = 0;
        self.sheets.clear();
        self.sheets.push(Sheet { x: 0, y: 0, w: room.width, h: room.length });
        while let Some(sheet) = self.sheets.pop() {
            if self.next[0] == 0 {
                break;
            }
            let Some((before, shape)) = self.corner(order, sheet) else { continue };
            let entry = self.draw(order, before);
            self.lay(Spot { kind: entry.kind, shape, room: number, x: sheet.x, y: sheet.y });
            // What is too long for a pull still has the roll's whole width.
            let across = entry.first == FirstCut::Across || sheet.h > self.task.pull;
            let beside = Sheet {
                x: sheet.x + shape.w,
                w: sheet.w - shape.w,
                h: if across { shape.h } else { sheet.h },
                ..sheet
            };
            let beyond = Sheet {
                y: sheet.y + shape.h,
                h: sheet.h - shape.h,
                w: if across { sheet.w } else { shape.w },
                ..sheet
            };
            let (last, next) = if across { (beyond, beside) } else { (beside, beyond) };
            self.sheets.extend([last, next]);
            if self.spots.len().is_multiple_of(256) && !go_on() {
                return;
            }
        }
    }

    /// The best piece for a sheet's corner: the entry before it in the list, and its shape.
    fn corner(&mut self, order: &[Entry], sheet: Sheet) -> Option<(usize, Shape)> {
        if sheet.w < self.narrowest || sheet.h < self.shortest {
            return None;
        }
        let longest = sheet.h.min(self.task.pull);
        let fit = |shape: Shape| {
            let fits = shape.w <= sheet.w && shape.h <= longest;
            fits.then(|| (u8::from(shape.w == sheet.w) + u8::from(shape.h == sheet.h), ()))
        };
        self.best_of(order, 2, fit).map(|(before, shape, ())| (before, shape))
    }
}
