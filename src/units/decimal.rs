//! Plain decimal numbers in whole millionths.

use super::text::{UnitError, format_decimal, parse_decimal};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;

/// A decimal number without a unit of its own, kept as whole millionths: a wrap factor, a share,
/// an objective's value.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Decimal(i64);

impl Decimal {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    /// The whole.
    pub const ONE: Self = Self(1_000_000);

    /// From whole millionths.
    #[must_use]
    pub const fn from_millionths(millionths: i64) -> Self {
        Self(millionths)
    }

    /// Whole millionths.
    #[must_use]
    pub const fn millionths(self) -> i64 {
        self.0
    }

    /// As floating point: for `pattern` and the linear programme only.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "values stay below 2^53 millionths")]
    pub fn f64(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// Reads a decimal number: `0.5`.
    ///
    /// # Errors
    /// Says what is wrong with the text.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        parse_decimal(text.trim(), 6).map(Self)
    }
}

impl fmt::Display for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format_decimal(i128::from(self.0), 6))
    }
}

impl fmt::Debug for Decimal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

impl Serialize for Decimal {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0 % 1_000_000 == 0 {
            serializer.serialize_i64(self.0 / 1_000_000)
        } else {
            serializer.serialize_f64(self.f64())
        }
    }
}

impl<'de> Deserialize<'de> for Decimal {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let value = f64::deserialize(deserializer)?;
        if !value.is_finite() || value.abs() > 1e9 {
            return Err(de::Error::custom("a plain number is at most a thousand million"));
        }
        #[expect(clippy::cast_possible_truncation, reason = "the range is checked just before")]
        Ok(Self((value * 1e6).round() as i64))
    }
}
