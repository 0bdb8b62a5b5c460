//! The bar by which a print is checked, because printers shrink pages unasked: 100 mm, or 4 in.

use crate::units::{Length, Measure};

/// A bar with a tick at every step.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Bar {
    measure: Measure,
    step: Length,
    steps: i64,
    /// Every so many steps a tick is taller.
    tall: i64,
}

impl Bar {
    /// The bar of papers in this measure.
    #[must_use]
    pub const fn of(measure: Measure) -> Self {
        match measure {
            Measure::Millimetres => Self { measure, step: Length::from_mm(10), steps: 10, tall: 5 },
            // A quarter of an inch.
            Measure::Inches | Measure::RoundedInches => {
                Self { measure, step: Length::from_nm(6_350_000), steps: 16, tall: 4 }
            }
        }
    }

    /// How long it is.
    #[must_use]
    pub fn length(self) -> Length {
        self.step * self.steps
    }

    /// Where its ticks stand, and how tall they are.
    pub fn ticks(self) -> impl Iterator<Item = (Length, Length)> {
        (0..=self.steps).map(move |i| {
            let tall = i % self.tall == 0;
            let high = if tall { Length::from_mm(3) } else { Length::from_nm(1_500_000) };
            (self.step * i, high)
        })
    }

    /// What stands below it.
    #[must_use]
    pub fn words(self) -> String {
        format!(
            "{} {}: measure this bar first; print at full size, not fitted to the page",
            self.measure.words(self.length()),
            self.measure.unit()
        )
    }
}
