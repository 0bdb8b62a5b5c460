//! Which unit was likely meant, where a length is rarely meant as it is written.

use super::quoted;
use crate::units::Length;
use std::ops::RangeInclusive;

/// What to do where nothing is likely.
pub const CHECK: &str = "check the number and the unit; leave it if it is right";

/// A bare number, which is millimetres, as metres.
fn in_metres(text: &str) -> Option<String> {
    let bare = text.chars().all(|sign| sign.is_ascii_digit() || sign == '.');
    bare.then(|| format!("{text} m"))
}

/// Metres as a bare number.
fn in_millimetres(text: &str) -> Option<&str> {
    let number = text.strip_suffix('m').map(str::trim_end);
    number.filter(|n| n.ends_with(|sign: char| sign.is_ascii_digit()))
}

/// What to do with a length that is too short: a bare number, which is millimetres, may be metres.
#[must_use]
pub fn too_short(text: &str) -> String {
    in_metres(text).map_or_else(
        || CHECK.to_owned(),
        |metres| format!("is it metres? Then write {}; leave it if it is right", quoted(&metres)),
    )
}

/// What to do with a length that is too long: metres may be millimetres.
#[must_use]
pub fn too_long(text: &str) -> String {
    in_millimetres(text).map_or_else(
        || CHECK.to_owned(),
        |n| format!("is it millimetres? Then write {}; leave it if it is right", quoted(n)),
    )
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
