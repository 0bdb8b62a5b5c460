//! Axes: ticks at round numbers, and numbers as short as they can be.

/// A scale from 0 or a least value to a greatest, with ticks.
#[derive(Clone, Debug, PartialEq)]
pub struct Axis {
    /// Where it starts.
    pub from: f64,
    /// Where it ends.
    pub to: f64,
    /// Where it has ticks.
    pub ticks: Vec<f64>,
    /// Decimals of the ticks' numbers.
    places: usize,
}

impl Axis {
    /// An axis that covers these values with about so many ticks; 0 is on it if `zero` says so.
    #[must_use]
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        clippy::cast_precision_loss,
        reason = "ticks are few, and decimals fewer"
    )]
    pub fn covering(values: impl Iterator<Item = f64>, zero: bool, many: u32) -> Self {
        let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
        for value in values.filter(|value| value.is_finite()) {
            low = low.min(value);
            high = high.max(value);
        }
        if low > high {
            (low, high) = (0.0, 1.0);
        }
        if zero {
            (low, high) = (low.min(0.0), high.max(0.0));
        }
        if high - low < 1e-9 {
            high = low + 1.0;
        }
        let rough = (high - low) / f64::from(many.max(1));
        let power = 10_f64.powf(rough.log10().floor());
        let step = [1.0, 2.0, 5.0, 10.0]
            .into_iter()
            .map(|times| times * power)
            .find(|step| *step >= rough * (1.0 - 1e-9))
            .unwrap_or(10.0 * power);
        let (first, last) = ((low / step + 1e-9).floor(), (high / step - 1e-9).ceil());
        let count = (last - first).clamp(1.0, 100.0) as usize;
        let places = (-step.log10().floor()).max(0.0) as usize;
        let ticks = (0..=count).map(|at| (first + at as f64) * step).collect();
        Self { from: first * step, to: last * step, ticks, places }
    }

    /// Where a value lies, as a part of the axis.
    #[must_use]
    pub fn at(&self, value: f64) -> f64 {
        (value - self.from) / (self.to - self.from)
    }

    /// A tick's number.
    #[must_use]
    pub fn number(&self, tick: f64) -> String {
        let tick = if tick.abs() < 1e-12 { 0.0 } else { tick };
        format!("{tick:.*}", self.places)
    }
}

/// A coordinate to a tenth of a pixel.
#[must_use]
pub fn px(value: f64) -> String {
    format!("{value:.1}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_stand_at_round_numbers() {
        let axis = Axis::covering([3.0, 47.0].into_iter(), true, 5);
        assert_eq!(axis.ticks, [0.0, 10.0, 20.0, 30.0, 40.0, 50.0]);
        assert_eq!(axis.number(30.0), "30");
        let axis = Axis::covering([0.12, 0.31].into_iter(), false, 4);
        assert!((axis.from - 0.1).abs() < 1e-9 && (axis.to - 0.35).abs() < 1e-9, "{axis:?}");
        assert_eq!(axis.number(axis.ticks[1]), "0.15");
        let flat = Axis::covering([5.0].into_iter(), false, 4);
        assert!(flat.to > flat.from && flat.ticks.len() >= 2);
        let none = Axis::covering(std::iter::empty(), true, 4);
        assert!((none.at(0.5) - 0.5).abs() < 0.6);
    }
}
