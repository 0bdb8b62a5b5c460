//! Which unit was likely meant, where a length is rarely meant as it is written.

use super::quoted;

/// What to do where nothing is likely.
pub const CHECK: &str = "check the number and the unit; leave it if it is right";

/// What to do with a length that is too short: a bare number, which is millimetres, may be metres.
#[must_use]
pub fn too_short(text: &str) -> String {
    if text.chars().all(|sign| sign.is_ascii_digit() || sign == '.') {
        let metres = quoted(&format!("{text} m"));
        format!("is it metres? Then write {metres}; leave it if it is right")
    } else {
        CHECK.to_owned()
    }
}

/// What to do with a length that is too long: metres may be millimetres.
#[must_use]
pub fn too_long(text: &str) -> String {
    let number = text.strip_suffix('m').map(str::trim_end);
    let number = number.filter(|n| n.ends_with(|sign: char| sign.is_ascii_digit()));
    number.map_or_else(
        || CHECK.to_owned(),
        |n| format!("is it millimetres? Then write {}; leave it if it is right", quoted(n)),
    )
}
