//! The sheets that a job's papers are printed on.

use super::Length;

const HALF_INCH: Length = Length::from_nm(12_700_000);

/// A size of sheet, upright.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum SheetSize {
    /// 210 by 297 mm (ISO 216).
    #[default]
    A4,
    /// 8 1/2 by 11 in (size A of ASME Y14.1).
    Letter,
}

impl SheetSize {
    /// All there are.
    pub const ALL: [Self; 2] = [Self::A4, Self::Letter];

    /// Its name, as people and style sheets write it.
    #[must_use]
    pub const fn name(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "letter",
        }
    }

    /// Its width and its height.
    #[must_use]
    pub fn size(self) -> (Length, Length) {
        match self {
            Self::A4 => (Length::from_mm(210), Length::from_mm(297)),
            Self::Letter => (HALF_INCH * 17, HALF_INCH * 22),
        }
    }
}
