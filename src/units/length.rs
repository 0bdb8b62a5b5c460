//! Lengths in whole nanometres.

use super::text::{UnitError, format_decimal, is_overfull, parse_decimal, parse_length_nm};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Neg, Sub, SubAssign};

const NM_PER_MM: i64 = 1_000_000;

/// A length, kept as whole nanometres in 64 bits.
///
/// Written and read as decimal millimetres. Inputs are refused above [`Length::LIMIT`], of which nine thousand can
/// be added up; of lengths that occur, some metres, thousands of millions. What may be multiplied by a quantity is
/// checked ([`Length::checked_mul`]).
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Length(i64);

impl Length {
    /// No length.
    pub const ZERO: Self = Self(0);
    /// The greatest length an input may give: 1000 km. Nothing in this trade comes near it.
    pub const LIMIT: Self = Self(1_000_000_000 * NM_PER_MM);

    /// From whole nanometres.
    #[must_use]
    pub const fn from_nm(nm: i64) -> Self {
        Self(nm)
    }

    /// From whole millimetres.
    #[must_use]
    pub const fn from_mm(mm: i64) -> Self {
        Self(mm * NM_PER_MM)
    }

    /// Whole nanometres.
    #[must_use]
    pub const fn nm(self) -> i64 {
        self.0
    }

    /// Millimetres as floating point: for `pattern`, drawings and the linear programme only.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "lengths stay below 2^53 nm; see LIMIT")]
    pub fn mm_f64(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// The smallest whole number of nanometres that is not less than `mm` millimetres, less
    /// 1e-7 mm of floating-point noise. `None` if it is not finite or beyond [`Length::LIMIT`].
    #[must_use]
    pub fn from_mm_f64_up(mm: f64) -> Option<Self> {
        Self::checked_f64((mm * 1e6 - 0.1).ceil())
    }

    /// The nearest whole number of nanometres to `mm` millimetres, under the same limits.
    #[must_use]
    pub fn from_mm_f64_nearest(mm: f64) -> Option<Self> {
        Self::checked_f64((mm * 1e6).round())
    }

    #[expect(clippy::cast_possible_truncation, reason = "the range is checked just before")]
    #[expect(clippy::cast_precision_loss, reason = "LIMIT is below 2^53")]
    fn checked_f64(nm: f64) -> Option<Self> {
        (nm.is_finite() && nm.abs() <= Self::LIMIT.0 as f64).then_some(Self(nm as i64))
    }

    /// Reads `600`, `600 mm`, `2.4 m`, `23 15/16 in`, `7 ft 6 1/2 in`, `7'-6 1/2"`.
    /// A bare number is millimetres.
    ///
    /// # Errors
    /// Says what is wrong with the text: no number, an unknown unit, more decimals than a
    /// nanometre holds, or a value beyond [`Length::LIMIT`].
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        parse_length_nm(text).and_then(|nm| {
            if nm.abs() > Self::LIMIT.0 { Err(UnitError::TooLarge) } else { Ok(Self(nm)) }
        })
    }

    /// Whether a length as it is written has a part that comes to one of the unit before it or more, such as
    /// `12 ft 14 in`; false for what is no length.
    #[must_use]
    pub fn is_overfull(text: &str) -> bool {
        is_overfull(text)
    }

    /// The sum, or `None` on overflow.
    #[must_use]
    pub const fn checked_add(self, other: Self) -> Option<Self> {
        match self.0.checked_add(other.0) {
            Some(nm) => Some(Self(nm)),
            None => None,
        }
    }

    /// The product with a count, or `None` on overflow.
    #[must_use]
    pub const fn checked_mul(self, count: i64) -> Option<Self> {
        match self.0.checked_mul(count) {
            Some(nm) => Some(Self(nm)),
            None => None,
        }
    }

    /// Rounded up to a multiple of `step`; unchanged when `step` is not positive.
    #[must_use]
    pub const fn round_up_to(self, step: Self) -> Self {
        if step.0 <= 0 {
            return self;
        }
        let over = self.0.rem_euclid(step.0);
        if over == 0 { self } else { Self(self.0 - over + step.0) }
    }

    /// Rounded down to a multiple of `step`; unchanged when `step` is not positive.
    #[must_use]
    pub const fn round_down_to(self, step: Self) -> Self {
        if step.0 <= 0 { self } else { Self(self.0 - self.0.rem_euclid(step.0)) }
    }

    /// A size of what is on hand as it is told: no finer than a tenth of a millimetre, rounded down, as so much is
    /// there.
    #[must_use]
    pub const fn told(self) -> Self {
        self.round_down_to(Self(100_000))
    }

    /// Greater than zero.
    #[must_use]
    pub const fn is_positive(self) -> bool {
        self.0 > 0
    }

    /// Without its sign.
    #[must_use]
    pub const fn abs(self) -> Self {
        Self(self.0.abs())
    }

    /// The nearest tenth of a millimetre: for people, as no tape shows less.
    #[must_use]
    pub const fn to_tenths(self) -> Self {
        const TENTH: Length = Length::from_nm(100_000);
        Self(self.0 + TENTH.0 / 2).round_down_to(TENTH)
    }

    /// Decimal metres with `places` decimals, rounded to nearest: for people.
    #[must_use]
    pub fn metres(self, places: usize) -> String {
        format!("{:.*}", places, self.mm_f64() / 1e3)
    }
}

impl fmt::Display for Length {
    /// Exact decimal millimetres without a unit and without trailing zeros.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format_decimal(i128::from(self.0), 6))
    }
}

impl fmt::Debug for Length {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self} mm")
    }
}

impl Add for Length {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Length {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Neg for Length {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul<i64> for Length {
    type Output = Self;
    fn mul(self, count: i64) -> Self {
        Self(self.0 * count)
    }
}

impl AddAssign for Length {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl SubAssign for Length {
    fn sub_assign(&mut self, other: Self) {
        self.0 -= other.0;
    }
}

impl Sum for Length {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

impl Serialize for Length {
    /// Decimal millimetres as a JSON number: whole where it is whole, else a float that reads
    /// back to the same nanometre (both are below 2^53).
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0 % NM_PER_MM == 0 {
            serializer.serialize_i64(self.0 / NM_PER_MM)
        } else {
            serializer.serialize_f64(self.mm_f64())
        }
    }
}

impl<'de> Deserialize<'de> for Length {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visitor;
        impl de::Visitor<'_> for Visitor {
            type Value = Length;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a length: millimetres as a number, or text with a unit")
            }
            fn visit_i64<E: de::Error>(self, mm: i64) -> Result<Length, E> {
                mm.checked_mul(NM_PER_MM)
                    .map(Length)
                    .filter(|l| l.abs() <= Length::LIMIT)
                    .ok_or_else(|| E::custom(UnitError::TooLarge))
            }
            fn visit_u64<E: de::Error>(self, mm: u64) -> Result<Length, E> {
                i64::try_from(mm)
                    .map_err(|_| E::custom(UnitError::TooLarge))
                    .and_then(|mm| self.visit_i64(mm))
            }
            fn visit_f64<E: de::Error>(self, mm: f64) -> Result<Length, E> {
                Length::from_mm_f64_nearest(mm).ok_or_else(|| E::custom(UnitError::TooLarge))
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Length, E> {
                Length::parse(text).map_err(E::custom)
            }
        }
        deserializer.deserialize_any(Visitor)
    }
}

/// Millimetres with six decimals, for callers that hold a number and no unit.
///
/// # Errors
/// As [`parse_decimal`].
pub(super) fn mm_decimal(text: &str) -> Result<i64, UnitError> {
    parse_decimal(text, 6)
}
