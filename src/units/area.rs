//! Areas in whole square nanometres.

use super::Length;
use super::text::{format_decimal, parse_decimal_wide};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Mul, Sub};

const NM2_PER_MM2: i128 = 1_000_000_000_000;

/// An area, kept as whole square nanometres in 128 bits.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Area(i128);

impl Area {
    /// No area.
    pub const ZERO: Self = Self(0);

    /// From whole square nanometres.
    #[must_use]
    pub const fn from_nm2(nm2: i128) -> Self {
        Self(nm2)
    }

    /// A rectangle's area.
    #[must_use]
    pub const fn of_rectangle(width: Length, length: Length) -> Self {
        Self(width.nm() as i128 * length.nm() as i128)
    }

    /// Whole square nanometres.
    #[must_use]
    pub const fn nm2(self) -> i128 {
        self.0
    }

    /// Square millimetres as floating point: for people and drawings only.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "shown to people; never compared")]
    pub fn mm2_f64(self) -> f64 {
        self.0 as f64 / 1e12
    }

    /// Square metres as floating point: for people only.
    #[must_use]
    pub fn m2_f64(self) -> f64 {
        self.mm2_f64() / 1e6
    }

    /// This area over another as floating point; 0 where the other is nothing.
    #[must_use]
    #[expect(clippy::cast_precision_loss, reason = "a ratio for people")]
    pub fn over(self, whole: Self) -> f64 {
        if whole.0 == 0 { 0.0 } else { self.0 as f64 / whole.0 as f64 }
    }
}

impl fmt::Display for Area {
    /// Exact decimal square millimetres without a unit and without trailing zeros.
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&format_decimal(self.0, 12))
    }
}

impl fmt::Debug for Area {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{self} mm2")
    }
}

impl Add for Area {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self(self.0 + other.0)
    }
}

impl Sub for Area {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0 - other.0)
    }
}

impl Mul<i128> for Area {
    type Output = Self;
    fn mul(self, count: i128) -> Self {
        Self(self.0 * count)
    }
}

impl AddAssign for Area {
    fn add_assign(&mut self, other: Self) {
        self.0 += other.0;
    }
}

impl Sum for Area {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

impl Serialize for Area {
    /// Decimal square millimetres: a JSON number where it is whole and below 2^53, else text,
    /// so that nothing is lost.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let whole = self.0 / NM2_PER_MM2;
        match i64::try_from(whole) {
            Ok(mm2) if whole * NM2_PER_MM2 == self.0 && mm2.abs() < 1 << 53 => {
                serializer.serialize_i64(mm2)
            }
            _ => serializer.serialize_str(&self.to_string()),
        }
    }
}

impl<'de> Deserialize<'de> for Area {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        #[derive(Deserialize)]
        #[serde(untagged)]
        enum Written {
            Whole(i64),
            Text(String),
        }
        match Written::deserialize(deserializer)? {
            Written::Whole(mm2) => Ok(Self(i128::from(mm2) * NM2_PER_MM2)),
            Written::Text(text) => {
                parse_decimal_wide(&text, 12).map(Self).map_err(de::Error::custom)
            }
        }
    }
}
