//! What is to be least.

use crate::units::Decimal;
use serde::{Deserialize, Serialize};

/// What is to be least.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Objective {
    /// The number of rolls. Values are counts.
    Rolls,
    /// The price of the rolls. Values are millionths of a currency unit.
    Price,
    /// The length used of one roll without end. Values are nanometres.
    Length,
}

impl Objective {
    /// A raw value of the engine's in the objective's unit: rolls, currency units, millimetres.
    #[must_use]
    pub const fn decimal(self, raw: i64) -> Decimal {
        match self {
            Self::Rolls => Decimal::from_millionths(raw * 1_000_000),
            Self::Price | Self::Length => Decimal::from_millionths(raw),
        }
    }

    /// The least raw value of the engine's that is no less than this one in the objective's unit.
    #[must_use]
    pub const fn raw_from(self, value: Decimal) -> i64 {
        let millionths = value.millionths();
        match self {
            Self::Rolls => millionths / 1_000_000 + (millionths % 1_000_000 > 0) as i64,
            Self::Price | Self::Length => millionths,
        }
    }
}
