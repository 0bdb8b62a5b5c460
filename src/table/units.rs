//! Which unit was likely meant, where a length is rarely meant as it is written.

use super::quoted;
use crate::units::Length;
use std::ops::RangeInclusive;

/// What to do where nothing is likely.
pub const CHECK: &str = "check the number and the unit; leave it if it is right";

/// Whether a length is a number alone, which is millimetres.
pub(super) fn is_bare(text: &str) -> bool {
    text.chars().all(|sign| sign.is_ascii_digit() || sign == '.')
}

/// A bare number, which is millimetres, as metres.
fn in_metres(text: &str) -> Option<String> {
    is_bare(text).then(|| format!("{text} m"))
}

/// A bare number in metres and in feet, as a question: a crew with inch tapes means feet.
fn in_metres_or_feet(text: &str) -> Option<String> {
    let metres = in_metres(text)?;
    Some(format!(
        "is it metres or feet? Then write {} or {}",
        quoted(&metres),
        quoted(&format!("{text} ft"))
    ))
}

/// Metres as a bare number.
fn in_millimetres(text: &str) -> Option<&str> {
    let number = text.strip_suffix('m').map(str::trim_end);
    number.filter(|n| n.ends_with(|sign: char| sign.is_ascii_digit()))
}

/// What to do with a length that is too short: a bare number, which is millimetres, may be metres.
#[must_use]
pub fn too_short(text: &str) -> String {
    in_metres_or_feet(text)
        .map_or_else(|| CHECK.to_owned(), |meant| format!("{meant}; leave it if it is right"))
}

/// What to do with a length that is too long: metres may be millimetres.
#[must_use]
pub fn too_long(text: &str) -> String {
    in_millimetres(text).map_or_else(
        || CHECK.to_owned(),
        |n| format!("is it millimetres? Then write {}; leave it if it is right", quoted(n)),
    )
}

/// What to do with a length that is rarely as short or as long as it is written: the units that would bring it
/// into what is usual. `word` stands before the number, as in `OD 5`; it may be empty.
#[must_use]
pub fn unusual(word: &str, text: &str, usual: &RangeInclusive<Length>) -> String {
    let inside = |other: &&String| Length::parse(other).is_ok_and(|length| usual.contains(&length));
    let bare = is_bare(text);
    let units = [("metres", "m"), ("centimetres", "cm"), ("inches", "in")];
    let others = units.map(|(name, unit)| (name, format!("{text} {unit}")));
    let others = others.into_iter().filter(|(_, other)| bare && inside(&other));
    let bare = in_millimetres(text).map(|number| ("millimetres", number.to_owned()));
    let others = others.chain(bare.filter(|(_, number)| inside(&number)));
    let (names, texts): (Vec<&str>, Vec<String>) = others.unzip();
    if names.is_empty() {
        return CHECK.to_owned();
    }
    let written = |text: &String| quoted(format!("{word} {text}").trim());
    let texts: Vec<String> = texts.iter().map(written).collect();
    let (names, texts) = (names.join(" or "), texts.join(" or "));
    format!("is it {names}? Then write {texts}; leave it if it is right")
}

/// The unit that was likely meant by a length outside what its column takes, as a question: one that brings it
/// inside; nothing where none does.
pub(super) fn meant(text: &str, range: &RangeInclusive<Length>) -> Option<String> {
    let inside = |other: &str| Length::parse(other).is_ok_and(|length| range.contains(&length));
    let metres = in_metres(text).filter(|metres| inside(metres));
    let metres = metres.map(|metres| format!("is it metres? Then write {}", quoted(&metres)));
    let millimetres = in_millimetres(text).filter(|bare| inside(bare));
    metres.or_else(|| {
        millimetres.map(|bare| format!("is it millimetres? Then write {}", quoted(bare)))
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn units_that_bring_a_length_into_what_is_usual_are_named() {
        let usual = Length::from_mm(100)..=Length::from_mm(6000);
        let mend = |text| unusual("", text, &usual);
        assert_eq!(
            mend("5"),
            "is it metres or inches? Then write `5 m` or `5 in`; leave it if it is right"
        );
        assert_eq!(
            mend("80"),
            "is it centimetres or inches? Then write `80 cm` or `80 in`; leave it if it is right"
        );
        assert_eq!(mend("267 m"), "is it millimetres? Then write `267`; leave it if it is right");
        assert_eq!(mend("9000"), CHECK);
        assert_eq!(mend("9 m"), CHECK);
        let shell = unusual("OD", "0.8", &usual);
        assert_eq!(shell, "is it metres? Then write `OD 0.8 m`; leave it if it is right");
    }
}
