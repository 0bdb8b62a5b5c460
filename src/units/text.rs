//! Text to whole numbers and back, without floating point.
//!
//! Steps: split a text into numbers and unit words; read each number as a decimal or as a
//! fraction with a power-of-two or other whole denominator; multiply by the unit's nanometres
//! (1 in is 25.4 mm by definition, ISO 80000-3 and the 1959 international yard); refuse what is
//! not a whole number of nanometres.

use std::borrow::Cow;

/// What can be wrong with a number or a length written as text.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum UnitError {
    /// Nothing there.
    #[error("it is empty")]
    Empty,
    /// Not a number.
    #[error("`{0}` is not a number")]
    NotANumber(String),
    /// A comma where a decimal point belongs.
    #[error("`{0}` has a comma: write decimals with a point and no thousands separator")]
    Comma(String),
    /// A word that is not a unit of length.
    #[error("`{0}` is not a unit that is known here (mm, cm, m, in, ft)")]
    UnknownUnit(String),
    /// A hyphen where none belongs.
    #[error(
        "in `{0}` a hyphen stands where it does not belong: write one only between feet and inches \
         (7'-6\") or between a whole number and its fraction (23-15/16 in)"
    )]
    Hyphen(String),
    /// Units that cannot stand in this order in one length.
    #[error(
        "the units in `{0}` do not go together: write the larger unit first, each unit once, and \
         metres not beside feet or inches"
    )]
    Units(String),
    /// More decimals than can be kept.
    #[error("`{0}` has more decimals than are kept here")]
    TooFine(String),
    /// Beyond the limit.
    #[error("it is larger than anything in this trade (a length is at most 1000 km)")]
    TooLarge,
    /// An amount of money beyond the limit.
    #[error("it is a larger amount than is counted here")]
    TooMuch,
}

/// Reads a decimal number as a whole number of 10^-`places`.
///
/// # Errors
/// See [`UnitError`]; decimals past `places` are refused unless they are zero.
pub fn parse_decimal(text: &str, places: u32) -> Result<i64, UnitError> {
    let value = parse_decimal_wide(text, places)?;
    i64::try_from(value).map_err(|_| UnitError::TooLarge)
}

/// As [`parse_decimal`], in 128 bits.
pub(super) fn parse_decimal_wide(text: &str, places: u32) -> Result<i128, UnitError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(UnitError::Empty);
    }
    if text.contains(',') {
        return Err(UnitError::Comma(text.to_owned()));
    }
    let (negative, digits) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let (whole, fraction) = digits.split_once('.').unwrap_or((digits, ""));
    let all_digits = |part: &str| part.bytes().all(|b| b.is_ascii_digit());
    if (whole.is_empty() && fraction.is_empty()) || !all_digits(whole) || !all_digits(fraction) {
        return Err(UnitError::NotANumber(text.to_owned()));
    }
    let kept = fraction.trim_end_matches('0');
    if kept.len() > places as usize {
        return Err(UnitError::TooFine(text.to_owned()));
    }
    let mut value: i128 = 0;
    let padded = kept.bytes().chain(std::iter::repeat(b'0')).take(places as usize);
    for digit in whole.bytes().chain(padded) {
        value = value
            .checked_mul(10)
            .and_then(|v| v.checked_add(i128::from(digit - b'0')))
            .ok_or(UnitError::TooLarge)?;
    }
    Ok(if negative { -value } else { value })
}

/// Writes `value` x 10^-`places` without trailing zeros.
pub(super) fn format_decimal(value: i128, places: usize) -> String {
    let digits = format!("{:0width$}", value.unsigned_abs(), width = places + 1);
    let (whole, fraction) = digits.split_at(digits.len() - places);
    let fraction = fraction.trim_end_matches('0');
    let sign = if value < 0 { "-" } else { "" };
    if fraction.is_empty() { format!("{sign}{whole}") } else { format!("{sign}{whole}.{fraction}") }
}

/// One part of a written length.
#[derive(Clone, Copy, Debug, PartialEq)]
enum Token<'a> {
    Number(&'a str),
    Unit(&'a str),
    Hyphen,
}

fn tokens(text: &str) -> Vec<Token<'_>> {
    let is_number = |c: char| c.is_ascii_digit() || matches!(c, '.' | '/' | ',');
    let mut found = Vec::new();
    let mut rest = text.trim_start();
    while let Some(first) = rest.chars().next() {
        let number = is_number(first);
        let end = if matches!(first, '\'' | '"' | '-') {
            1
        } else {
            rest.char_indices()
                .find(|&(_, c)| {
                    c.is_whitespace() || is_number(c) != number || matches!(c, '\'' | '"' | '-')
                })
                .map_or(rest.len(), |(at, _)| at.max(first.len_utf8()))
        };
        let (word, after) = rest.split_at(end);
        found.push(match word {
            "-" => Token::Hyphen,
            _ if number => Token::Number(word),
            _ => Token::Unit(word),
        });
        rest = after.trim_start();
    }
    found
}

const FOOT: i64 = 304_800_000;
const INCH: i64 = 25_400_000;

fn nm_per_unit(unit: &str) -> Option<i64> {
    Some(match unit.to_ascii_lowercase().as_str() {
        "mm" => 1_000_000,
        "cm" => 10_000_000,
        "m" => 1_000_000_000,
        "in" | "inch" | "inches" | "\"" | "″" | "”" | "“" => INCH,
        "ft" | "foot" | "feet" | "'" | "′" | "’" | "‘" => FOOT,
        _ => return None,
    })
}

/// Whether a unit may stand behind another in one length: inches behind feet, or the smaller of
/// two metric ones.
const fn may_follow(unit: i64, before: i64) -> bool {
    match before {
        FOOT => unit == INCH,
        INCH => false,
        _ => unit < before && unit != INCH,
    }
}

/// Fractions that are one sign, as word processors make them of `1/2`.
const PRINTED: [(char, &str); 9] = [
    ('¼', "1/4"),
    ('½', "1/2"),
    ('¾', "3/4"),
    ('⅛', "1/8"),
    ('⅜', "3/8"),
    ('⅝', "5/8"),
    ('⅞', "7/8"),
    ('⅓', "1/3"),
    ('⅔', "2/3"),
];

/// A text with fractions of one sign written out: `6½ in` is `6 1/2 in`.
fn without_printed_fractions(text: &str) -> Cow<'_, str> {
    let printed = |c: char| PRINTED.iter().find(|(sign, _)| *sign == c);
    if text.chars().all(|c| printed(c).is_none()) {
        return Cow::Borrowed(text);
    }
    let written = |c: char| printed(c).map_or_else(|| c.to_string(), |(_, out)| format!(" {out}"));
    Cow::Owned(text.chars().map(written).collect())
}

/// A number as a numerator over a denominator: `12`, `1.5`, `15/16`.
fn ratio(word: &str) -> Result<(i128, i128), UnitError> {
    if let Some((top, bottom)) = word.split_once('/') {
        let whole = |part: &str| parse_decimal(part, 0).map(i128::from);
        let (top, bottom) = (whole(top)?, whole(bottom)?);
        if bottom <= 0 {
            return Err(UnitError::NotANumber(word.to_owned()));
        }
        return Ok((top, bottom));
    }
    if word.contains(',') {
        return Err(UnitError::Comma(word.to_owned()));
    }
    let places = word.split_once('.').map_or(0, |(_, f)| f.trim_end_matches('0').len());
    if places > 9 {
        return Err(UnitError::TooFine(word.to_owned()));
    }
    let places = u32::try_from(places).map_err(|_| UnitError::TooFine(word.to_owned()))?;
    Ok((i128::from(parse_decimal(word, places)?), 10_i128.pow(places)))
}

/// A written length in nanometres; a bare number is millimetres.
///
/// Each part is a number and its unit. The number is a decimal, a fraction, or a whole number and a
/// fraction (`23 15/16`, `23-15/16`); units get smaller from part to part ([`may_follow`]); a
/// hyphen may also join feet and inches (`7'-6"`).
pub(super) fn parse_length_nm(text: &str) -> Result<i64, UnitError> {
    read_length(text).map(|(nm, _)| nm)
}

/// Whether a part behind a larger unit comes to one of it or more.
pub(super) fn is_overfull(text: &str) -> bool {
    read_length(text).is_ok_and(|(_, overfull)| overfull)
}

/// A written length in nanometres, and whether it is overfull.
fn read_length(text: &str) -> Result<(i64, bool), UnitError> {
    let plain = without_printed_fractions(text.trim());
    let text = plain.trim();
    if text.is_empty() {
        return Err(UnitError::Empty);
    }
    let (negative, body) = match text.strip_prefix('-') {
        Some(rest) => (true, rest),
        None => (false, text.strip_prefix('+').unwrap_or(text)),
    };
    let all = tokens(body);
    let (total, overfull) = match all.as_slice() {
        [Token::Number(word)] => (i128::from(super::length::mm_decimal(word)?), false),
        rest => parts(rest, text)?,
    };
    let total = if negative { -total } else { total };
    i64::try_from(total).map(|nm| (nm, overfull)).map_err(|_| UnitError::TooLarge)
}

/// The sum of parts that have units, and whether one of them comes to the unit before it or more; `text` is
/// all that was written.
fn parts(mut rest: &[Token<'_>], text: &str) -> Result<(i128, bool), UnitError> {
    use Token::{Hyphen, Number, Unit};
    let whole = |word: &str| word.bytes().all(|b| b.is_ascii_digit());
    let mut total: i128 = 0;
    let mut before: Option<i64> = None;
    let mut overfull = false;
    loop {
        let (words, unit, after): ([Option<&str>; 2], &str, _) = match *rest {
            [Number(first), Unit(unit), ref after @ ..] => ([Some(first), None], unit, after),
            [Number(first), Number(part), Unit(unit), ref after @ ..]
            | [Number(first), Hyphen, Number(part), Unit(unit), ref after @ ..]
                if whole(first) && part.contains('/') =>
            {
                ([Some(first), Some(part)], unit, after)
            }
            _ if rest.contains(&Hyphen) => return Err(UnitError::Hyphen(text.to_owned())),
            // A word that is no unit is told before what stands where no number is.
            [Unit(word), ..] if nm_per_unit(word).is_none() => {
                return Err(UnitError::UnknownUnit(word.to_owned()));
            }
            _ => return Err(UnitError::NotANumber(text.to_owned())),
        };
        let nm = nm_per_unit(unit).ok_or_else(|| UnitError::UnknownUnit(unit.to_owned()))?;
        if before.is_some_and(|before| !may_follow(nm, before)) {
            return Err(UnitError::Units(text.to_owned()));
        }
        let mut part: i128 = 0;
        for word in words.into_iter().flatten() {
            let (top, bottom) = ratio(word)?;
            let scaled = top * i128::from(nm);
            if scaled % bottom != 0 {
                return Err(UnitError::TooFine(word.to_owned()));
            }
            part += scaled / bottom;
        }
        total += part;
        overfull |= before.is_some_and(|before| part >= i128::from(before));
        rest = match after {
            [] => return Ok((total, overfull)),
            [Hyphen, next @ ..] if nm == FOOT => next,
            [Hyphen, ..] => return Err(UnitError::Hyphen(text.to_owned())),
            next => next,
        };
        before = Some(nm);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::units::{Length, Money};

    #[test]
    fn lengths_in_every_unit_are_exact() {
        // 1 in = 25.4 mm exactly, 1 ft = 12 in (international yard and pound agreement, 1959).
        let cases = [
            ("600", 600_000_000),
            ("600.5 mm", 600_500_000),
            ("2.4 m", 2_400_000_000),
            ("2.4m", 2_400_000_000),
            ("12 cm", 120_000_000),
            ("1/64 in", 396_875),
            ("23 15/16 in", 608_012_500),
            ("23-15/16 in", 608_012_500),
            ("7 ft 6 1/2 in", 2_298_700_000),
            ("7'-6 1/2\"", 2_298_700_000),
            ("7'6\"", 2_286_000_000),
            ("7 ft - 6 in", 2_286_000_000),
            ("7 ft-6-1/2 in", 2_298_700_000),
            ("2 m 30 cm 5 mm", 2_305_000_000),
            ("1 m 5 mm", 1_005_000_000),
            ("1/2 ft", 152_400_000),
            ("-5", -5_000_000),
            (" 0.000001 ", 1),
        ];
        for (text, nm) in cases {
            assert_eq!(parse_length_nm(text), Ok(nm), "{text}");
        }
    }

    #[test]
    fn marks_of_word_processors_are_read() {
        // By hand: 7 ft 6 1/2 in are 90.5 in of 25.4 mm.
        for text in ["7’6½”", "7 ft 6½ in", "7′ 6 1/2″", "7'-6 1/2\"", "90½ in"] {
            assert_eq!(parse_length_nm(text), Ok(2_298_700_000), "{text}");
        }
        assert_eq!(parse_length_nm("⅝ in"), Ok(15_875_000));
    }

    #[test]
    fn what_is_no_length_says_why() {
        assert_eq!(parse_length_nm(""), Err(UnitError::Empty));
        assert!(matches!(parse_length_nm("2,4 m"), Err(UnitError::Comma(_))));
        assert!(matches!(parse_length_nm("6 furlongs"), Err(UnitError::UnknownUnit(_))));
        assert!(matches!(parse_length_nm("0.0000001"), Err(UnitError::TooFine(_))));
        assert!(matches!(parse_length_nm("1/3 mm"), Err(UnitError::TooFine(_))));
        assert!(matches!(parse_length_nm("5 6 mm"), Err(UnitError::NotANumber(_))));
        assert!(matches!(parse_length_nm("abc"), Err(UnitError::UnknownUnit(_))));
        assert!(parse_length_nm("1e5").is_err());
        assert!(matches!(parse_length_nm("6 in 2"), Err(UnitError::NotANumber(_))));
        assert_eq!(Length::parse("99999999999 m"), Err(UnitError::TooLarge));
    }

    #[test]
    fn hyphens_and_units_stand_only_where_they_mean_one_thing() {
        for text in [
            "2 m - 1 m",
            "2 m -3 cm",
            "600-",
            "600 mm-",
            "600-1",
            "--5",
            "6 in-2 in",
            "1.5-1/2 in",
            "1/2-1/2 in",
            "7'--6\"",
            "7-'6\"",
            "6 -in",
        ] {
            let read = parse_length_nm(text);
            assert!(matches!(read, Err(UnitError::Hyphen(_))), "{text}: {read:?}");
        }
        for text in [
            "5 ft 3 ft",
            "2 m 2 m",
            "6 in 2 ft",
            "3 mm 2 m",
            "2 m 6 in",
            "6 ft 20 cm",
            "6 in 3 mm",
            "20 cm 2 ft",
            "2 m 3 cm 4 cm",
        ] {
            let read = parse_length_nm(text);
            assert!(matches!(read, Err(UnitError::Units(_))), "{text}: {read:?}");
        }
        for text in
            ["1.5 1/2 in", "1/2 1/2 in", "1 2 in", "5 ft 6", "ft", "' 6 in", "1. 1/2 in", "7'-"]
        {
            let read = parse_length_nm(text);
            assert!(matches!(read, Err(UnitError::NotANumber(_))), "{text}: {read:?}");
        }
    }

    #[test]
    fn two_inch_strips_and_a_gap_fill_a_roll() {
        let strip = Length::parse("23 15/16 in").map(Length::nm);
        let gap = Length::parse("1/8 in").map(Length::nm);
        let roll = Length::parse("48 in").map(Length::nm);
        assert_eq!(strip.clone().and_then(|s| gap.map(|g| 2 * s + g)), roll);
    }

    #[test]
    fn text_goes_out_as_it_came_in() {
        for text in ["0", "1", "-1", "0.5", "123.456789", "-0.000001", "1500"] {
            assert_eq!(Length::parse(text).map(|l| l.to_string()), Ok(text.to_owned()));
        }
        assert_eq!(Money::parse("310.005").map(Money::cents), Ok("310.00".to_owned()));
        assert_eq!(Money::parse("310.015").map(Money::cents), Ok("310.02".to_owned()));
        assert_eq!(Money::parse("-0.005").map(Money::cents), Ok("0.00".to_owned()));
    }

    proptest::proptest! {
        #[test]
        fn json_keeps_every_nanometre(nm in -1_000_000_000_000_000_i64..=1_000_000_000_000_000) {
            let length = Length::from_nm(nm);
            let text = serde_json::to_string(&length).unwrap_or_default();
            let back: Option<Length> = serde_json::from_str(&text).ok();
            proptest::prop_assert_eq!(back, Some(length));
        }
    }
}
