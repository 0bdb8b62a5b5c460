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

/// Below this many millionths a float keeps every one of them.
const EXACT: i64 = 1 << 51;

impl Serialize for Decimal {
    /// A JSON number: whole where it is whole, else a float that reads back to the same millionth;
    /// text where no float would.
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        if self.0 % 1_000_000 == 0 {
            serializer.serialize_i64(self.0 / 1_000_000)
        } else if self.0.abs() < EXACT {
            serializer.serialize_f64(self.f64())
        } else {
            serializer.serialize_str(&self.to_string())
        }
    }
}

impl<'de> Deserialize<'de> for Decimal {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Visitor;
        impl de::Visitor<'_> for Visitor {
            type Value = Decimal;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a plain number")
            }
            fn visit_i64<E: de::Error>(self, whole: i64) -> Result<Decimal, E> {
                let millionths = whole.checked_mul(1_000_000);
                millionths.map(Decimal).ok_or_else(|| E::custom(UnitError::TooLarge))
            }
            fn visit_u64<E: de::Error>(self, whole: u64) -> Result<Decimal, E> {
                i64::try_from(whole)
                    .map_err(|_| E::custom(UnitError::TooLarge))
                    .and_then(|whole| self.visit_i64(whole))
            }
            #[expect(clippy::cast_possible_truncation, reason = "the range is checked before")]
            #[expect(clippy::cast_precision_loss, reason = "2^51 is a float")]
            fn visit_f64<E: de::Error>(self, value: f64) -> Result<Decimal, E> {
                let millionths = (value * 1e6).round();
                if millionths.is_finite() && millionths.abs() <= EXACT as f64 {
                    Ok(Decimal(millionths as i64))
                } else {
                    Err(E::custom(UnitError::TooLarge))
                }
            }
            fn visit_str<E: de::Error>(self, text: &str) -> Result<Decimal, E> {
                Decimal::parse(text).map_err(E::custom)
            }
        }
        deserializer.deserialize_any(Visitor)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    proptest::proptest! {
        #[test]
        fn json_keeps_every_millionth(millionths in proptest::num::i64::ANY) {
            for millionths in [millionths, millionths % EXACT, millionths % 5_000_000_000] {
                let text = serde_json::to_string(&Decimal(millionths)).unwrap_or_default();
                let back: Option<Decimal> = serde_json::from_str(&text).ok();
                proptest::prop_assert_eq!(back, Some(Decimal(millionths)), "{}", text);
            }
        }
    }
}
