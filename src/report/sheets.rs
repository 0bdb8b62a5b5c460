//! How papers lie on their sheets: the same in a browser's print as in a PDF file.

use crate::units::{Length, Measure, SheetSize, counted};

/// A label's width and height.
pub const LABEL: (Length, Length) = (Length::from_mm(70), Length::from_mm(36));

/// What stays free above and below labels, together.
const ABOVE_AND_BELOW: Length = Length::from_mm(8);

/// A sheet of labels, as many as it holds, in its middle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct LabelSheet {
    /// The sheet's width and height.
    pub size: (Length, Length),
    /// Labels across and down.
    pub across: u16,
    /// See `across`.
    pub down: u16,
}

impl LabelSheet {
    /// Labels on this size.
    #[must_use]
    pub fn of(sheet: SheetSize) -> Self {
        let size = sheet.size();
        let most = |room: Length, each: Length| u16::try_from(room.nm() / each.nm()).unwrap_or(1);
        Self { size, across: most(size.0, LABEL.0), down: most(size.1 - ABOVE_AND_BELOW, LABEL.1) }
    }

    /// How many a sheet holds.
    #[must_use]
    pub fn holds(&self) -> usize {
        usize::from(self.across) * usize::from(self.down)
    }

    /// What is left of the first label, and above it, in millimetres.
    #[must_use]
    pub fn margins(&self) -> (f64, f64) {
        let free = |room: Length, count: u16, each: Length| {
            (room - each * i64::from(count)).mm_f64() / 2.0
        };
        (free(self.size.0, self.across, LABEL.0), free(self.size.1, self.down, LABEL.1))
    }

    /// `24 labels on 1 sheet of A4, 3 across and 8 down, 70 × 36 mm each, in the order of cutting`, so many.
    #[must_use]
    pub fn in_words(&self, labels: usize, sheet: SheetSize, measure: Measure) -> String {
        let measure = measure.all_rounded();
        let count = |count: usize| u64::try_from(count).unwrap_or(u64::MAX);
        let sheets = labels.div_ceil(self.holds());
        format!(
            "{} on {} of {}, {} across and {} down, {} × {} {} each, in the order of cutting",
            counted(count(labels), "label", "labels"),
            counted(count(sheets), "sheet", "sheets"),
            sheet.name(),
            self.across,
            self.down,
            measure.nominal(LABEL.0),
            measure.nominal(LABEL.1),
            measure.unit()
        )
    }
}

/// The rule by which a browser prints on these sheets, with so much free on every side, in millimetres.
#[must_use]
pub fn on_sheets(sheet: SheetSize, margin: u16) -> String {
    format!("@page{{size:{};margin:{margin}mm}}\n", sheet.name())
}

#[cfg(test)]
mod tests {
    use super::*;

    /// By hand: 8 times 36 are 288 of 297 mm, 7 times 36 are 252 of 279.4 mm; 3 times 70 are 210 of 215.9 mm.
    #[test]
    fn labels_lie_in_the_middle_of_their_sheet() {
        let a4 = LabelSheet::of(SheetSize::A4);
        assert_eq!((a4.across, a4.down, a4.holds()), (3, 8, 24));
        assert_eq!(a4.margins(), (0.0, 4.5));
        let letter = LabelSheet::of(SheetSize::Letter);
        assert_eq!((letter.across, letter.down, letter.holds()), (3, 7, 21));
        let (left, top) = letter.margins();
        assert!((left - 2.95).abs() < 1e-9 && (top - 13.7).abs() < 1e-9);
        let told = |measure| letter.in_words(22, SheetSize::Letter, measure);
        let words = |size: &str| {
            format!(
                "22 labels on 2 sheets of letter, 3 across and 7 down, {size} each, in the order of cutting"
            )
        };
        assert_eq!(told(Measure::Millimetres), words("70 × 36 mm"));
        // 70 mm are 176.4 sixty-fourths of an inch, 36 mm are 90.7.
        assert_eq!(told(Measure::Inches), words("2\u{a0}3/4 × 1\u{a0}27/64 in"));
    }
}
