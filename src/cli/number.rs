//! Numbers of the command line that must lie within bounds.

use crate::forecast::quantities::part_of_one;
use crate::units::Decimal;
use std::ops::RangeInclusive;

/// The number in a text, if its millionths lie within these bounds; else the bounds in words.
///
/// # Errors
/// What is wrong with it.
pub(super) fn within(
    text: &str,
    millionths: RangeInclusive<i64>,
    words: &str,
) -> Result<Decimal, String> {
    let value = Decimal::parse(text).map_err(|e| e.to_string())?;
    if millionths.contains(&value.millionths()) { Ok(value) } else { Err(words.to_owned()) }
}

/// A whole number.
///
/// # Errors
/// What a whole number is, where the text is none.
pub(super) fn whole<T: TryFrom<u64>>(text: &str) -> Result<T, String> {
    let number = text.parse::<u64>().ok().and_then(|number| T::try_from(number).ok());
    number.ok_or_else(|| format!("must be a whole number from 0 to {}", u64::MAX))
}

/// The same as [`within`] of a number of per cent, which may carry its sign, and must where it is below 1: it
/// may be a part of one by mistake.
///
/// # Errors
/// What is wrong with it.
pub(super) fn per_cent_within(
    text: &str,
    millionths: RangeInclusive<i64>,
    words: &str,
) -> Result<Decimal, String> {
    let value = within(text.trim_end_matches('%').trim(), millionths, words)?;
    match part_of_one(text, value) {
        Some(whole) => Err(format!("{value} is less than one per cent: write {whole} or {value}%")),
        None => Ok(value),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_of_one_is_no_per_cent() {
        let read = |text| per_cent_within(text, 0..=100_000_000, "words");
        for (text, millionths) in
            [("0", 0), ("1", 1_000_000), ("0.2%", 200_000), ("0.2 %", 200_000), ("20", 20_000_000)]
        {
            assert_eq!(read(text), Ok(Decimal::from_millionths(millionths)), "{text}");
        }
        let told = read("0.2").expect_err("asked back");
        assert_eq!(told, "0.2 is less than one per cent: write 20 or 0.2%");
        assert_eq!(read("101"), Err("words".to_owned()));
    }

    #[test]
    fn whole_numbers_are_counted_from_zero() {
        assert_eq!(whole("0"), Ok(0_u64));
        assert_eq!(whole("18446744073709551615"), Ok(u64::MAX));
        for wrong in ["", "x", "-1", "1.5", "18446744073709551616"] {
            let told = whole::<u64>(wrong).expect_err("no whole number");
            assert!(told.starts_with("must be a whole number"), "{wrong}: {told}");
        }
    }
}
