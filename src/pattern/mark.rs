//! What is drawn on a flat piece beside its outline, so that a wrapper can lay it: where it meets
//! its neighbours, what its edges are, and dimensions by which it can be set out by hand.
//!
//! Positions are in the coordinates of the pattern until [`super::Flat::marked`] moves them with the
//! outline; marks never change a piece's shape or size.

use super::flat::{PatternError, near};
use crate::geometry::Point;
use crate::units::{Length, Measure};
use std::borrow::Cow;

/// What a mark is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum MarkKind {
    /// A tick from the edge at `from` into the piece, to `to`: it meets the tick of the same word
    /// on the neighbouring piece.
    Match,
    /// The edge from `from` to `to` is what the word says: a seam, a joint, a rim.
    Edge,
    /// The distance between `from` and `to`, where the word says.
    Size,
    /// Words about the whole piece; the places mean nothing.
    Note,
}

/// One mark.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mark {
    /// What it is.
    pub kind: MarkKind,
    /// Where it starts.
    pub from: Point,
    /// Where it ends.
    pub to: Point,
    /// What is written beside it; of a note with `#` for each of its lengths, `@` for their unit.
    pub word: Cow<'static, str>,
    /// The lengths that a note tells.
    pub lengths: Vec<Length>,
}

/// How far a match mark reaches into the piece, mm.
pub(super) const TICK: f64 = 12.0;

impl Mark {
    /// A mark between two points of the pattern.
    pub(super) fn new(
        kind: MarkKind,
        from: Point,
        to: Point,
        word: impl Into<Cow<'static, str>>,
    ) -> Self {
        Self { kind, from, to, word: word.into(), lengths: Vec::new() }
    }

    /// Words about the whole piece, with the lengths, in millimetres, for which `#` stands in them.
    pub(super) fn note(
        word: impl Into<Cow<'static, str>>,
        lengths: &[f64],
    ) -> Result<Self, PatternError> {
        let lengths = lengths.iter().map(|&length| near(length)).collect::<Result<_, _>>()?;
        let note = Self::new(MarkKind::Note, Point::default(), Point::default(), word);
        Ok(Self { lengths, ..note })
    }

    /// Its words with their lengths; millimetres always to a tenth.
    #[must_use]
    pub fn in_words(&self, measure: Measure) -> String {
        let mut text = self.word.replace('@', measure.unit());
        for &length in &self.lengths {
            let mut words = measure.words(length);
            if measure == Measure::Millimetres && !words.contains('.') {
                words.push_str(".0");
            }
            text = text.replacen('#', &words, 1);
        }
        text
    }

    /// Moved with the outline.
    pub(super) fn moved(self, by: Point) -> Self {
        let to = |p: Point| Point::new(p.x - by.x, p.y - by.y);
        Self { from: to(self.from), to: to(self.to), ..self }
    }
}
