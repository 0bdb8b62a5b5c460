//! Numbers with their units and ranges.

use super::fields::{Door, Object};
use crate::cutting::Objective;
use crate::finding::codes::nest as codes;
use crate::nest::record::{Kind, Spot};
use crate::units::{Decimal, Length, Money, UnitError};

/// What a size may be.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Range {
    /// Greater than zero.
    Positive,
    /// Zero or greater.
    NotNegative,
    /// Any, as corners of an outline are.
    Any,
}

/// Something is wrong, and a finding tells it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Told;

impl Door<'_> {
    /// A length: a number of millimetres, or text with a unit. Numbers finer than a nanometre, as
    /// programs write them, are rounded to the nearest.
    pub(super) fn length(&mut self, spot: Spot<'_>, key: &str, range: Range) -> Option<Length> {
        let read = match spot.kind() {
            Kind::Number => number(spot.text()),
            Kind::Text => spot.string().map(|text| Length::parse(&text)),
            _ => None,
        };
        let length = match read {
            None => {
                self.wrong_kind(spot, key, "a number of millimetres, or text with a unit");
                return None;
            }
            Some(Err(error)) => {
                let code = if error == UnitError::TooLarge {
                    &codes::TOO_LARGE
                } else {
                    &codes::WRONG_KIND
                };
                let remedy = "write millimetres as a number, or text with a unit such as \"2.4 m\"";
                self.add(code, spot, key, error.to_string(), remedy);
                return None;
            }
            Some(Ok(length)) => length,
        };
        let wrong = match range {
            Range::Positive if !length.is_positive() => "greater than zero",
            Range::NotNegative if length < Length::ZERO => "zero or greater",
            _ => return Some(length),
        };
        let what = format!("{length} mm is not {wrong}");
        self.add(&codes::NOT_POSITIVE, spot, key, what, format!("give a size {wrong}"));
        None
    }

    /// A length that is `default` where the key is missing or null.
    pub(super) fn length_or(
        &mut self,
        object: &mut Object<'_>,
        key: &str,
        default: Option<Length>,
        range: Range,
    ) -> Result<Option<Length>, Told> {
        match object.take(key).filter(|s| s.kind() != Kind::Null) {
            None => Ok(default),
            Some(spot) => self.length(spot, &object.key(key), range).map(Some).ok_or(Told),
        }
    }

    /// A whole number from zero on.
    pub(super) fn count(&mut self, spot: Spot<'_>, key: &str) -> Option<u64> {
        if spot.kind() != Kind::Number {
            self.wrong_kind(spot, key, "a whole number");
            return None;
        }
        let text = spot.text();
        let whole = text.strip_suffix(".0").unwrap_or(text);
        if let Ok(count) = whole.parse::<u64>() {
            return Some(count);
        }
        let digits = whole.bytes().all(|b| b.is_ascii_digit());
        let (code, what) = if digits {
            (&codes::TOO_LARGE, format!("{text} is too large to count"))
        } else {
            (&codes::QUANTITY, format!("{text} is no whole number from zero on"))
        };
        self.add(code, spot, key, what, "write a whole number");
        None
    }

    /// A price; 1 where it is missing or null.
    pub(super) fn price(&mut self, object: &mut Object<'_>, key: &str) -> Option<Money> {
        let Some(spot) = object.take(key).filter(|s| s.kind() != Kind::Null) else {
            return Some(Money::from_units(1));
        };
        let name = object.key(key);
        let read = match spot.kind() {
            Kind::Number if is_plain(spot.text()) => Some(Money::parse(spot.text())),
            Kind::Number => serde_json::from_str(spot.text()).ok().map(Ok),
            Kind::Text => spot.string().map(|text| Money::parse(&text)),
            _ => None,
        };
        match read {
            Some(Ok(price)) if price >= Money::ZERO => return Some(price),
            Some(Ok(_)) => self.add(
                &codes::NOT_POSITIVE,
                spot,
                &name,
                "a price is not negative",
                "give a price from zero on",
            ),
            Some(Err(error)) => {
                let (code, what) = if error == UnitError::TooMuch {
                    (&codes::TOO_LARGE, "the price is too large to compute with".to_owned())
                } else {
                    (&codes::WRONG_KIND, error.to_string())
                };
                self.add(code, spot, &name, what, "write a price as a number");
            }
            None => self.wrong_kind(spot, &name, "a price as a number"),
        }
        None
    }
}

/// No exponent.
fn is_plain(text: &str) -> bool {
    !text.contains(['e', 'E'])
}

/// A JSON number as millimetres.
fn number(text: &str) -> Option<Result<Length, UnitError>> {
    if is_plain(text) {
        match Length::parse(text) {
            Err(UnitError::TooFine(_)) => {}
            other => return Some(other),
        }
    }
    let mm: f64 = text.parse().ok()?;
    Some(Length::from_mm_f64_nearest(mm).ok_or(UnitError::TooLarge))
}

/// A published value in the objective's raw unit.
pub(super) fn raw_value(spot: Spot<'_>, objective: Objective) -> Option<i64> {
    match objective {
        Objective::Rolls => {
            let text = spot.text();
            text.strip_suffix(".0").unwrap_or(text).parse().ok()
        }
        Objective::Price => match Decimal::parse(spot.text()) {
            Ok(value) => Some(value.millionths()),
            Err(_) => serde_json::from_str(spot.text()).ok().map(Money::micros),
        },
        Objective::Length => number(spot.text())?.ok().map(Length::nm),
    }
}
