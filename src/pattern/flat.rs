//! A flat piece, and the way from millimetres in floating point to whole nanometres.

use super::mark::{Mark, MarkKind};
use crate::geometry::{Outline, OutlineError, Point};
use crate::units::{Area, Length};

/// Why a pattern cannot be made.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum PatternError {
    /// A dimension is not a number within [`Length::LIMIT`].
    #[error("a dimension of the pattern is out of range")]
    Range,
    /// A cover that ends within the hole for its branch.
    #[error("the cover is too short for the branch")]
    Short,
    /// The corners do not enclose a simple shape.
    #[error("the developed shape is not simple: {0}")]
    Shape(#[from] OutlineError),
}

/// A flat piece: a rectangle, or an outline with its bounding box.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Flat {
    /// Size across the roll.
    pub width: Length,
    /// Size along the roll.
    pub length: Length,
    /// The shape, where it is no rectangle.
    pub outline: Option<Outline>,
    /// What is drawn on it beside the outline.
    pub marks: Vec<Mark>,
}

impl Flat {
    /// A rectangle.
    #[must_use]
    pub const fn rectangle(width: Length, length: Length) -> Self {
        Self { width, length, outline: None, marks: Vec::new() }
    }

    /// An outline through corners; a rectangle where they make one.
    ///
    /// # Errors
    /// When the corners are no outline.
    pub fn through(corners: Vec<Point>) -> Result<Self, PatternError> {
        let outline = Outline::new(corners)?;
        let (width, length) = outline.size();
        let full = outline.area() == Area::of_rectangle(width, length);
        Ok(Self { width, length, outline: (!full).then_some(outline), marks: Vec::new() })
    }

    /// The same with marks, given in the corners' coordinates.
    ///
    /// # Errors
    /// When the corners are no outline.
    pub fn marked(corners: Vec<Point>, marks: Vec<Mark>) -> Result<Self, PatternError> {
        let least = |of: fn(&Point) -> Length| corners.iter().map(of).min().unwrap_or_default();
        let low = Point::new(least(|p| p.x), least(|p| p.y));
        let mut flat = Self::through(corners)?;
        flat.marks = marks
            .into_iter()
            .map(|mark| if mark.kind == MarkKind::Note { mark } else { mark.moved(low) })
            .collect();
        Ok(flat)
    }

    /// The area of one.
    #[must_use]
    pub fn area(&self) -> Area {
        match &self.outline {
            Some(outline) => outline.area(),
            None => Area::of_rectangle(self.width, self.length),
        }
    }
}

/// The nearest nanometre.
///
/// # Errors
/// When the number is out of range.
pub(super) fn near(mm: f64) -> Result<Length, PatternError> {
    Length::from_mm_f64_nearest(mm).ok_or(PatternError::Range)
}

/// The next nanometre that is not less.
///
/// # Errors
/// When the number is out of range.
pub(super) fn up(mm: f64) -> Result<Length, PatternError> {
    Length::from_mm_f64_up(mm).ok_or(PatternError::Range)
}
