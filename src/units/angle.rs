//! Angles in whole microdegrees.

use super::text::{UnitError, format_decimal, parse_decimal};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;

/// An angle, kept as whole microdegrees.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Angle(i64);

impl Angle {
    /// No angle.
    pub const ZERO: Self = Self(0);
    /// A quarter turn.
    pub const QUARTER: Self = Self(90_000_000);

    /// From whole degrees.
    #[must_use]
    pub const fn from_degrees(degrees: i64) -> Self {
        Self(degrees * 1_000_000)
    }

    /// From whole microdegrees.
    #[must_use]
    pub const fn from_microdegrees(microdegrees: i64) -> Self {
        Self(microdegrees)
    }

    /// Whole microdegrees.
    #[must_use]
    pub const fn microdegrees(self) -> i64 {
        self.0
    }

    /// Degrees as floating point: for `pattern` and drawings only.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "angles are far below 2^53 microdegrees")]
    pub fn degrees_f64(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// Radians as floating point: for `pattern` and drawings only.
    #[must_use]
    pub fn radians_f64(self) -> f64 {
        self.degrees_f64().to_radians()
    }

    /// How many quarter turns, if it is a whole number of them, in 0..4.
    #[must_use]
    pub const fn quarter_turns(self) -> Option<u8> {
        match self.0.rem_euclid(360_000_000) {
            0 => Some(0),
            90_000_000 => Some(1),
            180_000_000 => Some(2),
            270_000_000 => Some(3),
            _ => None,
        }
    }

    /// Reads decimal degrees: `45`, `22.5`, `22.5 deg`, `22.5°`.
    ///
    /// # Errors
    /// Says what is wrong with the text.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let text = text.trim();
        let bare =
            text.strip_suffix("deg").or_else(|| text.strip_suffix('°')).unwrap_or(text).trim_end();
        parse_decimal(bare, 6).map(Self)
    }
}

impl fmt::Display for Angle {
    /// Decimal degrees without a unit and without trailing zeros.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format_decimal(i128::from(self.0), 6))
    }
}

impl fmt::Debug for Angle {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self} deg")
    }
}

impl Serialize for Angle {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0 % 1_000_000 == 0 {
            serializer.serialize_i64(self.0 / 1_000_000)
        } else {
            serializer.serialize_f64(self.degrees_f64())
        }
    }
}

impl<'de> Deserialize<'de> for Angle {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let degrees = f64::deserialize(deserializer)?;
        if !degrees.is_finite() || degrees.abs() > 36_000.0 {
            return Err(de::Error::custom("an angle is at most 36000 degrees"));
        }
        #[expect(clippy::cast_possible_truncation, reason = "the range is checked just before")]
        Ok(Self((degrees * 1e6).round() as i64))
    }
}
