//! Numbers of the command line that must lie within bounds.

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

/// The same of a number of per cent, which may carry its sign.
///
/// # Errors
/// What is wrong with it.
pub(super) fn per_cent_within(
    text: &str,
    millionths: RangeInclusive<i64>,
    words: &str,
) -> Result<Decimal, String> {
    within(text.trim_end_matches('%').trim(), millionths, words)
}
