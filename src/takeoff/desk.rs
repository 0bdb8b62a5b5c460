//! What every kind of item needs when its line is read: sizes, angles, dimensions that are
//! measured or stand in a table.

use super::domain::Size;
use super::weak::Weak;
use crate::finding::codes::takeoff as codes;
use crate::rules::Rules;
use crate::standards::Figure;
use crate::table::{Cell, Codes, Reader, quoted};
use crate::units::{Angle, Length};
use std::ops::RangeInclusive;

/// The takeoff's codes for values.
pub(super) const CODES: Codes =
    Codes { missing: &codes::MISSING, unread: &codes::UNREAD, range: &codes::RANGE };

/// A measured dimension of a fitting: 1 mm to 20 m.
const DIMENSION: RangeInclusive<Length> = Length::from_mm(1)..=Length::from_mm(20_000);

/// Reads cells, tells findings, remembers weak figures.
pub(super) struct Desk<'d, 'f> {
    pub(super) reader: Reader<'f>,
    pub(super) rules: &'d Rules,
    pub(super) weak: Weak,
}

impl Desk<'_, '_> {
    /// A pipe size.
    pub(super) fn size(&mut self, cell: &Cell<'_>) -> Option<Size> {
        let text = self.reader.text(cell)?;
        match Size::parse(text, self.rules.diameters) {
            Ok((size, figure)) => {
                if let Some(figure) = figure {
                    self.weak.note(&figure, "outside diameter", &size.text, cell);
                }
                Some(size)
            }
            Err(error) => {
                let what = format!("{} is not a size: {error}", quoted(text));
                self.reader.tell(&codes::SIZE, cell, what, error.remedy());
                None
            }
        }
    }

    /// An angle in a range that `limits` names; 90 degrees where the cell is empty.
    pub(super) fn angle(
        &mut self,
        cell: &Cell<'_>,
        range: &RangeInclusive<Angle>,
        limits: &str,
    ) -> Option<Angle> {
        if cell.is_empty() {
            return Some(Angle::QUARTER);
        }
        let remedy = "write degrees as a plain number, such as 45 or 22.5";
        let angle = self.reader.read(cell, Angle::parse(cell.text()), "an angle", remedy)?;
        if !range.contains(&angle) {
            let what = format!("an angle of {angle} degrees is not possible here");
            self.reader.tell(&codes::ANGLE, cell, what, format!("give an angle {limits}"));
            return None;
        }
        Some(angle)
    }

    /// A dimension that has to be measured, if nothing else gives it.
    pub(super) fn measured(&mut self, cell: &Cell<'_>) -> Option<Length> {
        self.reader.length(cell, &DIMENSION)
    }

    /// A dimension: the measured one where it is given, else the table's; where neither is there
    /// it is asked for. `name` is the dimension's, `of` the thing's.
    pub(super) fn dimension(
        &mut self,
        cell: &Cell<'_>,
        figure: Option<Figure>,
        name: &str,
        of: &str,
    ) -> Option<Length> {
        if !cell.is_empty() {
            return self.measured(cell);
        }
        if let Some(figure) = figure {
            self.weak.note(&figure, name, of, cell);
            return Some(figure.value);
        }
        let what = format!("the tables hold no {name} of {of}");
        let remedy = format!("measure it and fill in `{}`", cell.name());
        self.reader.tell(&codes::MEASURE, cell, what, remedy);
        None
    }

    /// Tells that two dimensions do not go together, unless they do.
    pub(super) fn agree(&mut self, cell: &Cell<'_>, good: bool, what: impl Fn() -> String) -> bool {
        if !good {
            let remedy = "check both, their columns and their units";
            self.reader.tell(&codes::UNLIKELY, cell, what(), remedy);
        }
        good
    }
}
