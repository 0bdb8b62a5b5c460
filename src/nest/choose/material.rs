//! A material in small whole numbers: one unit for both directions, since pieces may be turned.

use super::Size;
use crate::cutting::Objective;
use crate::nest::Instance;
use crate::units::{Length, gcd};

/// The most units that a roll may be wide, or a pull long where pieces lie turned.
const FINEST: i64 = 6_000;

/// A width of rolls and what a unit of length on it costs, in the objective's unit.
#[derive(Clone, Copy, Debug)]
pub(super) struct Width {
    pub width: usize,
    pub rate: f64,
}

/// One material.
#[derive(Clone, Debug)]
pub(super) struct Material {
    /// Nanometres in a unit.
    pub unit: i64,
    pub gap: i64,
    /// Widths of rolls in units, the gap counted in, increasing.
    pub widths: Vec<Width>,
    /// The longest pull in units, the gap counted in.
    pub pull: usize,
    /// Whether every fixed size is a whole number of units, and no roll is left out that is wider
    /// or longer than those that stand, and nothing is curved.
    pub exact: bool,
}

/// One way in which a size may lie, in units, the gap counted in.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Form {
    /// Along.
    pub length: usize,
    /// Across.
    pub width: usize,
    /// The size.
    pub size: usize,
}

impl Material {
    /// Of an instance; `step` is the finest step of sizes that bills may ask for. `None` where
    /// there is no roll, or a roll would have too many units.
    pub fn new(instance: &Instance, step: Length) -> Option<Self> {
        let cut = &instance.cutting;
        let gap = cut.gap.nm();
        let unit = gcd(step.nm(), gap).max(1);
        // Curved pieces may interlock, and the tables lay their boxes.
        let exact = !instance.is_outlined()
            && instance
                .pieces
                .iter()
                .all(|p| p.width.nm() % unit == 0 && p.length.nm() % unit == 0);
        let mut sizes: Vec<(i64, i64, f64, bool)> = Vec::new();
        for roll in &instance.rolls {
            let width = roll.width.nm() - 2 * cut.edge_trim.nm() + gap;
            let length = roll.length.map_or(i64::MAX / 4, |l| l.nm() - cut.square_cut.nm() + gap);
            if width <= 0 || length <= 0 {
                continue;
            }
            let cost = match instance.objective {
                Objective::Rolls => 1.0,
                Objective::Price => real(roll.price.micros()),
                Objective::Length => real(length),
            };
            sizes.push((width, length, cost / real(length), roll.available.is_none()));
        }
        let widest = sizes.iter().map(|size| size.0).max()?;
        if widest / unit > FINEST {
            return None;
        }
        let all = sizes.clone();
        if sizes.iter().any(|size| size.3 && size.2 > 0.0) {
            sizes.retain(|size| size.3 && size.2 > 0.0);
        } else {
            // All are limited or cost nothing: length is what counts.
            for size in &mut sizes {
                size.2 = 1.0 / real(size.1);
            }
        }
        let longest = sizes.iter().map(|size| size.1).max()?;
        let broadest = sizes.iter().map(|size| size.0).max()?;
        let exact = exact && all.iter().all(|size| size.0 <= broadest && size.1 <= longest);
        let pull = cut.pull_limit.map_or(longest, |limit| longest.min(limit.nm() + gap));
        let mut widths: Vec<Width> = Vec::new();
        sizes.sort_by(|a, b| a.0.cmp(&b.0).then(a.2.total_cmp(&b.2)));
        for (width, _, rate, _) in sizes {
            let width = usize::try_from(width / unit).ok()?;
            if widths.last().is_none_or(|last| last.width != width) {
                widths.push(Width { width, rate: rate * real(unit) });
            }
        }
        let pull = usize::try_from(pull / unit).ok()?;
        Some(Self { unit, gap, widths, pull, exact })
    }

    /// A length in units with its gap, rounded up.
    pub fn units(&self, length: Length) -> usize {
        let nm = length.nm() + self.gap;
        usize::try_from(nm.div_euclid(self.unit) + i64::from(nm.rem_euclid(self.unit) != 0))
            .unwrap_or(usize::MAX)
    }

    /// The widest roll.
    pub fn widest(&self) -> usize {
        self.widths.last().map_or(0, |width| width.width)
    }

    /// The ways in which a size can lie here. What only rounding makes too wide is held to the roll.
    pub fn forms(&self, size: &Size, number: usize) -> Vec<Form> {
        let (w, l) = (self.units(size.width), self.units(size.length));
        let clamp = |n: usize, most: usize| if n == most + 1 { most } else { n };
        let mut forms = Vec::new();
        if size.upright || (size.sideways && w == l) {
            forms.push((l, w));
        }
        if size.sideways && w != l {
            forms.push((w, l));
        }
        forms
            .into_iter()
            .map(|(length, width)| (clamp(length, self.pull), clamp(width, self.widest())))
            .filter(|&(length, width)| length <= self.pull && width <= self.widest())
            .map(|(length, width)| Form { length, width, size: number })
            .collect()
    }
}

/// As floating point, for the programme.
#[expect(clippy::cast_precision_loss, reason = "the programme works in floating point")]
pub(super) fn real(value: i64) -> f64 {
    value as f64
}
