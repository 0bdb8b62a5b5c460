//! Text that can be shown anywhere: on one line, every character visible.

/// Whether a character turns the direction of reading, joins, or takes no width.
#[must_use]
pub fn is_invisible(c: char) -> bool {
    matches!(c,
        '\u{061C}' | '\u{200B}'..='\u{200F}' | '\u{2028}'..='\u{202E}' | '\u{2060}'..='\u{2069}'
        | '\u{FEFF}' | '\u{00AD}' | '\u{FFF9}'..='\u{FFFB}' | '\u{E0000}'..='\u{E007F}')
}

/// The text with control characters and invisible marks written out as `\u{..}`, so that nothing
/// from an input can move a terminal's cursor or make one name look like another.
#[must_use]
pub fn printable(text: String) -> String {
    let hidden = |c: char| c.is_control() || is_invisible(c);
    if !text.contains(hidden) {
        return text;
    }
    let mut out = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        if hidden(c) {
            out.extend(c.escape_unicode());
        } else {
            out.push(c);
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::codes::files::CONTROL;
    use crate::finding::{Finding, Place};

    #[test]
    fn no_finding_can_move_the_cursor() {
        let place = Place::line("t.csv", 1).field("\u{1b}[2J", None);
        let finding = Finding::new(&CONTROL, place, "a\u{1b}[2J\nb\u{202E}", "c\r\u{7}");
        let text = finding.to_string();
        assert!(!text.contains(|c: char| c.is_control() || is_invisible(c)), "{text:?}");
        assert!(text.contains("a\\u{1b}[2J\\u{a}b\\u{202e}"), "{text}");
        assert_eq!(printable("7'-6\" é ½".into()), "7'-6\" é ½");
    }
}
