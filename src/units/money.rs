//! Money in whole millionths of a currency unit.

use super::Decimal;
use super::text::{UnitError, format_decimal, parse_decimal};
use serde::{Deserialize, Deserializer, Serialize, Serializer, de};
use std::fmt;
use std::iter::Sum;
use std::ops::{Add, AddAssign, Sub};

/// Millionths in a hundredth of a currency unit.
const CENT: i64 = 10_000;

/// An amount of money, kept as whole millionths of a currency unit; the currency is the job's.
///
/// Sums stop at what 64 bits hold and never wrap. What could get there is refused before: a job by
/// [`crate::cost::countable`], a multiple by [`Money::checked_times`].
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Default)]
pub struct Money(i64);

impl Money {
    /// Nothing.
    pub const ZERO: Self = Self(0);
    /// The greatest amount an input may give: a thousand million.
    pub const LIMIT: Self = Self(1_000_000_000 * 1_000_000);
    /// The greatest amount that a job may come to: some two million millions, a quarter of what is
    /// held, so that sums of a few such amounts still are.
    pub const MOST: Self = Self(i64::MAX / 4);

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
    #[expect(clippy::cast_precision_loss, reason = "exact below 2^53 micros, ample for inputs")]
    pub fn units_f64(self) -> f64 {
        self.0 as f64 / 1e6
    }

    /// Reads a decimal number without a currency: `310`, `310.50`.
    ///
    /// # Errors
    /// Says what is wrong with the text; a decimal comma is refused with that reason.
    pub fn parse(text: &str) -> Result<Self, UnitError> {
        let micros = parse_decimal(text.trim(), 6).map_err(|error| match error {
            UnitError::TooLarge => UnitError::TooMuch,
            other => other,
        })?;
        if micros.abs() > Self::LIMIT.0 {
            return Err(UnitError::TooMuch);
        }
        Ok(Self(micros))
    }

    /// Rounded to whole hundredths, half to even.
    #[must_use]
    pub const fn rounded(self) -> Self {
        Self(self.whole_cents() * CENT)
    }

    /// Whole hundredths, rounded half to even.
    #[must_use]
    pub const fn whole_cents(self) -> i64 {
        let quotient = self.0.div_euclid(CENT);
        let rest = self.0.rem_euclid(CENT);
        let up = rest > CENT / 2 || (rest == CENT / 2 && quotient % 2 != 0);
        if up { quotient + 1 } else { quotient }
    }

    /// From whole hundredths.
    #[must_use]
    pub const fn from_cents(cents: i64) -> Self {
        Self(cents * CENT)
    }

    /// `self * over / under`, rounded to whole hundredths half to even in one step; `None` where
    /// `under` is not positive or the result is out of range.
    #[must_use]
    pub fn times(self, over: i128, under: i128) -> Option<Self> {
        let under = under.checked_mul(i128::from(CENT)).filter(|u| *u > 0)?;
        let product = i128::from(self.0).checked_mul(over)?;
        let (quotient, rest) = (product.div_euclid(under), product.rem_euclid(under));
        let twice = rest.checked_mul(2)?;
        let up = twice > under || (twice == under && quotient % 2 != 0);
        let cents = i64::try_from(quotient + i128::from(up)).ok()?;
        cents.checked_mul(CENT).map(Self)
    }

    /// So many of this; `None` where that is more than [`Money::MOST`].
    #[must_use]
    pub fn checked_times(self, count: u64) -> Option<Self> {
        let product = i128::from(self.0) * i128::from(count);
        i64::try_from(product).ok().map(Self).filter(|all| *all <= Self::MOST)
    }

    /// So many of this, [`Money::MOST`] where that is more.
    #[must_use]
    pub fn at_most_times(self, count: u64) -> Self {
        self.checked_times(count).unwrap_or(Self::MOST)
    }

    /// The sum; `None` where it passes [`Money::MOST`].
    #[must_use]
    pub fn checked_sum(amounts: impl IntoIterator<Item = Self>) -> Option<Self> {
        let add = |sum: Self, one: Self| {
            sum.0.checked_add(one.0).map(Self).filter(|all| *all <= Self::MOST)
        };
        amounts.into_iter().try_fold(Self::ZERO, add)
    }

    /// As it was given: with two decimals, or as many as it has where that is more.
    #[must_use]
    pub fn exact(self) -> String {
        if self == self.rounded() { self.cents() } else { self.to_string() }
    }

    /// With exactly two decimals, rounded half to even: for people.
    #[must_use]
    pub fn cents(self) -> String {
        let cents = self.whole_cents();
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
        Self(self.0.saturating_add(other.0))
    }
}

impl Sub for Money {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self(self.0.saturating_sub(other.0))
    }
}

impl AddAssign for Money {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sum for Money {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

impl Serialize for Money {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        Decimal::from_millionths(self.0).serialize(serializer)
    }
}

impl<'de> Deserialize<'de> for Money {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let money = Self(Decimal::deserialize(deserializer)?.millionths());
        if (-Self::MOST.0..=Self::MOST.0).contains(&money.0) {
            Ok(money)
        } else {
            Err(de::Error::custom(UnitError::TooMuch))
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_too_much_is_not_counted_and_never_wraps() {
        let dear = Money::from_units(10_000);
        assert_eq!(dear.checked_times(3), Some(Money::from_units(30_000)));
        assert_eq!(dear.checked_times(1_000_000_000), None);
        assert_eq!(Money::LIMIT.checked_times(u64::MAX), None);
        assert_eq!(Money::ZERO.checked_times(u64::MAX), Some(Money::ZERO));
        assert_eq!(Money::checked_sum([dear, dear]), Some(Money::from_units(20_000)));
        assert_eq!(Money::checked_sum([Money::MOST, Money::from_micros(1)]), None);
        let most: Money = std::iter::repeat_n(Money::MOST, 9).sum();
        assert!(most > Money::MOST);
    }

    /// A float no longer holds the cents of some thousand million.
    #[test]
    fn json_keeps_every_cent() {
        for cents in [161_125_742_132_725, 9_100_000_000_001, 10, -300, 0] {
            let money = Money::from_micros(cents * 10_000);
            let json = serde_json::to_string(&money).unwrap();
            assert_eq!(serde_json::from_str::<Money>(&json).unwrap(), money, "{json}");
        }
        let most = serde_json::to_string(&Money::MOST).unwrap();
        assert!(serde_json::from_str::<Money>(&most).is_ok());
        assert!(serde_json::from_str::<Money>(&format!("{most}1")).is_err());
        // The least whole number of millionths has no absolute value.
        for text in ["\"-9223372036854.775808\"", "\"2305843009213.693952\""] {
            assert!(serde_json::from_str::<Money>(text).is_err(), "{text}");
        }
    }

    #[test]
    fn what_was_given_is_told_as_it_was_given() {
        let told = |text: &str| Money::parse(text).unwrap().exact();
        let texts = ["0.405", "2", "0.50", "-0.125", "81.333333", "0"];
        assert_eq!(texts.map(told), ["0.405", "2.00", "0.50", "-0.125", "81.333333", "0.00"]);
    }

    #[test]
    fn halves_go_to_the_even_hundredth() {
        // Round half to even as IEEE 754-2019, 4.3.1 (roundTiesToEven) has it, by hand.
        for (micros, cents) in [
            (5_000, 0),
            (15_000, 2),
            (25_000, 2),
            (25_001, 3),
            (-5_000, 0),
            (-15_000, -2),
            (-25_000, -2),
            (-25_001, -3),
        ] {
            assert_eq!(Money::from_micros(micros).whole_cents(), cents, "{micros}");
        }
    }

    proptest::proptest! {
        /// `rust_decimal`'s midpoint-to-even rounding, a library that is not ours.
        #[test]
        fn rounding_is_that_of_rust_decimal(micros in -1_000_000_000_000_000_i64..1_000_000_000_000_000, over in 0_i64..2_000_000, under in 1_i64..64) {
            use rust_decimal::{Decimal, RoundingStrategy::MidpointNearestEven};
            let money = Money::from_micros(micros / 10 * 10);
            let theirs = Decimal::new(money.micros(), 6).round_dp_with_strategy(2, MidpointNearestEven);
            proptest::prop_assert_eq!(money.cents().parse::<Decimal>().unwrap(), theirs);
            // A power of two divides without remainder in decimals, so theirs is exact too.
            let under = 1_i64 << (under % 8);
            let exact = Decimal::new(micros % 1_000_000_000, 6) * Decimal::from(over) / Decimal::from(under);
            let theirs = exact.round_dp_with_strategy(2, MidpointNearestEven);
            let ours = Money::from_micros(micros % 1_000_000_000).times(i128::from(over), i128::from(under));
            proptest::prop_assert_eq!(ours.unwrap().cents().parse::<Decimal>().unwrap(), theirs);
        }
    }
}
