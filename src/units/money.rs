//! Money in whole millionths of a currency unit.

use super::text::{UnitError, format_decimal, parse_decimal};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

/// An amount of money, kept as whole millionths of a currency unit; the currency is the job's.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(i64);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    /// The greatest amount an input may give: a thousand million.
    pub const LIMIT: Self = Self(1_000_000_000 * 1_000_000);

    /// From whole millionths of a currency unit.
    #[must_use]
    pub const fn from_micros(micros: i64) -> Self {
        Self(micros)
    }

    /// From whole currency units.
    #[must_use]
    pub const fn from_units(units: i64) -> Self {
        Self(units * 1_000_000)
    }

    /// Whole millionths of a currency unit.
    #[must_use]
    pub const fn micros(self) -> i64 {
        self.0
    }

    /// Currency units as floating point: for the linear programme and drawings only.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "amounts stay below 2^53 micros; see LIMIT")]
    pub fn units_f64(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// Reads a decimal number without a currency: `310`, `310.50`.
    ///
    /// # Errors
    /// Says what is wrong with the text; a decimal comma is refused with that reason.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let micros = parse_decimal(text.trim(), 6)?;
        if micros.abs() > Self::LIMIT.0 {
            return Err(UnitError::TooLarge);
        }
        Ok(Self(micros))
    }

    /// With exactly two decimals, rounded half to even: for people.
    #[must_use]
    pub fn cents(self) -> String {
        let quotient = self.0.div_euclid(10_000);
        let rest = self.0.rem_euclid(10_000);
        let up = rest > 5_000 || (rest == 5_000 && quotient % 2 != 0);
        let cents = quotient + i64::from(up);
        let sign = if cents < 0 { "-" } else { "" };
        let cents = cents.unsigned_abs();
        format!("{sign}{}.{:02}", cents / 100, cents % 100)
    }
}

impl fmt::Display for Money {
    /// Exact decimal currency units without trailing zeros.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format_decimal(i128::from(self.0), 6))
    }
}

impl fmt::Debug for Money {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self} money")
    }
}

impl Add for Money {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Money {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Mul<i64> for Money {
    type Output = Self;
    fn mul(self, count: i64) -> Self {
        Self(self.0 * count)
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

impl Serialize for Money {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0 % 1_000_000 == 0 {
            serializer.serialize_i64(self.0 / 1_000_000)
        } else {
            serializer.serialize_f64(self.units_f64())
        }
    }
}

impl<'de> Deserialize<'de> for Money {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let units = f64::deserialize(deserializer)?;
        if !units.is_finite() || units.abs() > Self::LIMIT.units_f64() {
            return Err(de::Error::custom(UnitError::TooLarge));
        }
        #[expect(clippy::cast_possible_truncation, reason = "the range is checked just before")]
        Ok(Self((units * 1e6).round() as i64))
    }
}
