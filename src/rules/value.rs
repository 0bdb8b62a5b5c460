//! One value of `rules.toml`: read as its key asks for, or told.

use super::Rules;
use super::form::Form;
use crate::finding::codes::Code;
use crate::finding::codes::rules as codes;
use crate::standards::{Diameters, Size};
use crate::table::{nearest, quoted};
use crate::units::{Angle, Decimal, Length};
use std::collections::BTreeMap;
use toml::de::DeValue;

/// What is wrong with a value: code, what, remedy.
pub(super) type Wrong = (&'static Code, String, String);

/// Reads a value and puts it into the rules.
pub(super) fn put(rules: &mut Rules, form: &Form, value: &DeValue<'_>) -> Result<(), Wrong> {
    match form {
        Form::Length { range, none, set, .. } => {
            let value = if word(value, *none) { None } else { Some(length(value, form, *range)?) };
            set(rules, value);
        }
        Form::Count { range, none, set, .. } => {
            let value = if word(value, *none) { None } else { Some(count(value, form, *range)?) };
            set(rules, value);
        }
        Form::Angle { set, .. } => {
            let text = plain(value).ok_or_else(|| kind(value, form))?;
            let angle = Angle::parse(&text).map_err(|_| kind(value, form))?;
            if angle < Angle::ZERO || angle >= Angle::from_degrees(360) {
                return Err(range(value, form));
            }
            set(rules, angle);
        }
        Form::Factor { set, .. } => {
            let (general, by_thickness) = factors(value, form)?;
            set(rules, general, by_thickness);
        }
        Form::Flag { set, .. } => {
            set(rules, value.as_bool().ok_or_else(|| kind(value, form))?);
        }
        Form::Word(words) => {
            let text = value.as_str().ok_or_else(|| kind(value, form))?;
            let known = words.iter().find(|word| word.text.eq_ignore_ascii_case(text.trim()));
            let known = known.ok_or_else(|| {
                let (code, what, mut remedy) = kind(value, form);
                if let Some(meant) = nearest(text, words.iter().map(|word| word.text)) {
                    remedy = format!("write \"{meant}\" if that is meant, else {remedy}");
                }
                (code, what, remedy)
            })?;
            (known.set)(rules);
        }
        Form::Size { none, set, .. } => {
            let text = value.as_str().ok_or_else(|| kind(value, form))?;
            if text.trim().eq_ignore_ascii_case(none) {
                set(rules, Length::ZERO);
            } else {
                let (size, _) = Size::parse(text, Diameters::Asme).map_err(|error| {
                    let what = format!("{} is not a pipe size: {error}", quoted(text));
                    (&codes::VALUE_KIND, what, error.remedy().to_owned())
                })?;
                set(rules, size.od);
            }
        }
    }
    Ok(())
}

/// Whether the value is the word that stands for none.
fn word(value: &DeValue<'_>, none: Option<&str>) -> bool {
    value.as_str().zip(none).is_some_and(|(text, none)| text.trim().eq_ignore_ascii_case(none))
}

/// A number or text as it was written, without the underscores that TOML allows in numbers.
fn plain(value: &DeValue<'_>) -> Option<String> {
    match value {
        DeValue::String(text) => Some(text.trim().to_owned()),
        DeValue::Integer(number) if number.radix() == 10 => Some(number.as_str().replace('_', "")),
        DeValue::Float(number) => Some(number.as_str().replace('_', "")),
        _ => None,
    }
}

fn length(value: &DeValue<'_>, form: &Form, limits: (Length, Length)) -> Result<Length, Wrong> {
    let text = plain(value).ok_or_else(|| kind(value, form))?;
    let length = Length::parse(&text).map_err(|error| {
        let (code, what, remedy) = kind(value, form);
        (code, format!("{what}: {error}"), remedy)
    })?;
    if length < limits.0 || length > limits.1 { Err(range(value, form)) } else { Ok(length) }
}

fn count(value: &DeValue<'_>, form: &Form, limits: (u64, u64)) -> Result<u64, Wrong> {
    let DeValue::Integer(number) = value else { return Err(kind(value, form)) };
    let count = number.as_str().replace('_', "");
    let count = u64::from_str_radix(&count, number.radix()).map_err(|_| range(value, form))?;
    if count < limits.0 || count > limits.1 { Err(range(value, form)) } else { Ok(count) }
}

fn factor(value: &DeValue<'_>, form: &Form) -> Result<Decimal, Wrong> {
    let number = match value {
        DeValue::String(_) => None,
        _ => plain(value),
    };
    let text = number.ok_or_else(|| kind(value, form))?;
    let factor = Decimal::parse(&text).map_err(|_| kind(value, form))?;
    let inside = factor >= Decimal::ZERO && factor <= Decimal::ONE;
    if inside { Ok(factor) } else { Err(range(value, form)) }
}

/// One factor for all, or a table of them by thickness, `default` for all others.
type Factors = (Option<Decimal>, BTreeMap<Length, Decimal>);

fn factors(value: &DeValue<'_>, form: &Form) -> Result<Factors, Wrong> {
    let Some(table) = value.as_table() else {
        return Ok((Some(factor(value, form)?), BTreeMap::new()));
    };
    let mut general = None;
    let mut by_thickness = BTreeMap::new();
    for (name, value) in table {
        let name: &str = name.get_ref();
        let factor = factor(value.get_ref(), form)?;
        let twice = || {
            let what =
                format!("{} names a thickness for which there is a factor already", quoted(name));
            (&codes::VALUE_KIND, what, "leave one of the two away".to_owned())
        };
        if name.eq_ignore_ascii_case("default") {
            if general.replace(factor).is_some() {
                return Err(twice());
            }
            continue;
        }
        let thickness = Length::parse(name).ok().filter(|length| length.is_positive());
        let thickness = thickness.ok_or_else(|| {
            let what = format!("{} is not a thickness", quoted(name));
            let remedy = "name each factor by its thickness in mm, such as \"5\" = 0.6, or default";
            (&codes::VALUE_KIND, what, remedy.to_owned())
        })?;
        if by_thickness.insert(thickness, factor).is_some() {
            return Err(twice());
        }
    }
    Ok((general, by_thickness))
}

/// The value as findings quote it.
fn shown(value: &DeValue<'_>) -> String {
    match value {
        DeValue::String(text) => quoted(text),
        DeValue::Integer(number) => quoted(number.as_str()),
        DeValue::Float(number) => quoted(number.as_str()),
        DeValue::Boolean(flag) => format!("`{flag}`"),
        DeValue::Datetime(_) => "a date".to_owned(),
        DeValue::Array(_) => "a list".to_owned(),
        DeValue::Table(_) => "a table".to_owned(),
    }
}

fn kind(value: &DeValue<'_>, form: &Form) -> Wrong {
    let what = format!("{} is not what this rule takes", shown(value));
    let example = match form {
        Form::Length { .. } => ", such as 75 or \"3 in\"",
        Form::Size { .. } => ", such as \"NPS 8\"",
        _ => "",
    };
    (&codes::VALUE_KIND, what, format!("write {}{example}", form.text().replace('`', "")))
}

fn range(value: &DeValue<'_>, form: &Form) -> Wrong {
    let what = format!("{} is outside what is possible here", shown(value));
    let unit = form.unit();
    let gap = if unit.is_empty() { "" } else { " " };
    let or = form.none().map_or_else(String::new, |word| format!(", or \"{word}\""));
    (&codes::VALUE_RANGE, what, format!("give a value from {}{gap}{unit}{or}", form.range()))
}
