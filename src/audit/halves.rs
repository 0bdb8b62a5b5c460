//! Straight cuts as a tree of sheets: each divides one in two, and is listed as what it is.
//!
//! Steps: once all cuts are made, every sheet knows the pieces on it and the offcuts that are kept of it.
//! A cut whose sheet holds none of them frees nothing. It is a trim where no piece lies on one of its sides,
//! else a cross-cut across the roll and a rip along it. What takes waste off runs along an edge of what it
//! leaves, or is a trim of the roll's edge, or of its front; only curved pieces that share a blank may be
//! left with some waste beside them, since the blank is rounded up, and are so once on each side.

use super::rolls::Placed;
use crate::plan::CutKind;
use std::ops::Range;

/// A straight cut that divides a sheet.
pub(super) struct Straight {
    /// Its number in the pull, from 0.
    pub(super) number: usize,
    /// What it is listed as.
    pub(super) kind: CutKind,
    /// Whether it runs across the roll.
    pub(super) across: bool,
    /// Where, in nanometres: along the roll where it runs across it, else across.
    pub(super) at: i64,
    /// The node of the half nearer to the roll's front or left edge; the other half is the next.
    pub(super) first: usize,
}

/// What lies on a sheet at the end.
#[derive(Clone, Copy, Default)]
struct Held {
    pieces: usize,
    /// Offcuts that are kept.
    kept: usize,
    curved: bool,
    /// Near, left, far and right ends of all of it, in nanometres; meaningless where there is none.
    reach: [i64; 4],
}

impl Held {
    const fn things(&self) -> usize {
        self.pieces + self.kept
    }

    fn with(self, other: Self) -> Self {
        match (self.things(), other.things()) {
            (0, _) => other,
            (_, 0) => self,
            _ => {
                let ([a, b, c, d], [e, f, g, h]) = (self.reach, other.reach);
                Self {
                    pieces: self.pieces + other.pieces,
                    kept: self.kept + other.kept,
                    curved: self.curved || other.curved,
                    reach: [a.min(e), b.min(f), c.max(g), d.max(h)],
                }
            }
        }
    }

    /// Whether it is a blank that curved pieces share.
    const fn shared(&self) -> bool {
        self.curved && self.things() > 1
    }
}

/// Sheets as a tree: the whole at 0, then the two halves of each cut. Halves stand behind what they were cut
/// from.
pub(super) struct Halves {
    pub(super) cuts: Vec<Straight>,
    /// For each node what it was cut from.
    from: Vec<Option<usize>>,
    /// For each node what lies on it, not counting what lies on its halves.
    held: Vec<Held>,
    /// From where to where the whole reaches along the roll.
    whole: Range<i64>,
}

impl Halves {
    /// The whole alone, which reaches so far along the roll.
    pub(super) fn new(whole: Range<i64>) -> Self {
        Self { cuts: Vec::new(), from: vec![None], held: vec![Held::default()], whole }
    }

    /// Adds the halves of a sheet and gives the first.
    pub(super) fn divide(&mut self, node: usize) -> usize {
        let first = self.from.len();
        self.from.extend([Some(node); 2]);
        self.held.extend([Held::default(); 2]);
        first
    }

    /// A piece, or an offcut that is kept, lies on a sheet at the end.
    pub(super) fn hold(&mut self, node: usize, thing: &Placed<'_>, is_piece: bool) {
        let one = Held {
            pieces: usize::from(is_piece),
            kept: usize::from(!is_piece),
            curved: thing.outline.is_some(),
            reach: [thing.near, thing.left, thing.far, thing.right],
        };
        self.held[node] = self.held[node].with(one);
    }

    /// Each cut frees something and is listed as what it is. `edges` are the places of the roll's edge
    /// trims, `near` is where the pull begins.
    ///
    /// # Errors
    /// What is not so of the first that is not, in words.
    pub(super) fn listed(&mut self, edges: [i64; 2], near: i64) -> Result<(), String> {
        for node in (1..self.from.len()).rev() {
            if let Some(from) = self.from[node] {
                self.held[from] = self.held[from].with(self.held[node]);
            }
        }
        // For each node whether the same things are trimmed again, by its four sides.
        let mut again = vec![[false; 4]; self.from.len()];
        let mut wrong = None;
        for cut in self.cuts.iter().rev() {
            let [one, other] = [self.held[cut.first], self.held[cut.first + 1]];
            let number = cut.number + 1;
            let right = match (one.pieces > 0 && other.pieces > 0, cut.across) {
                (false, _) => CutKind::Trim,
                (true, true) => CutKind::Cross,
                (true, false) => CutKind::Rip,
            };
            let (side, left, waste) = match (one.things(), other.things(), cut.across) {
                (0, 0, _) => {
                    wrong =
                        Some(format!("cut {number} frees neither a piece nor an offcut to keep"));
                    continue;
                }
                (0, _, true) => (0, cut.first + 1, true),
                (0, _, false) => (1, cut.first + 1, true),
                (_, 0, true) => (2, cut.first, true),
                (_, 0, false) => (3, cut.first, true),
                _ => (0, cut.first, false),
            };
            if waste {
                let held = self.held[left];
                let of_the_roll = if cut.across {
                    cut.at == near && near > self.whole.start
                } else {
                    edges.contains(&cut.at)
                };
                let rounded = held.shared() && !again[left][side];
                if held.reach[side] != cut.at && !of_the_roll && !rounded {
                    wrong = Some(format!("cut {number} trims nothing to its size"));
                }
                if let Some(from) = self.from[left] {
                    again[from] = again[left];
                    again[from][side] = true;
                }
            }
            if cut.kind != right {
                let [told, is] = [cut.kind, right].map(in_words);
                wrong = Some(format!("cut {number} is listed as {told} and is {is}"));
            }
        }
        wrong.map_or(Ok(()), Err)
    }
}

const fn in_words(kind: CutKind) -> &'static str {
    match kind {
        CutKind::Cross => "a cross-cut",
        CutKind::Rip => "a rip",
        CutKind::Trim => "a trim",
        CutKind::Outline => "an outline cut",
    }
}
