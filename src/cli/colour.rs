//! Colour of words on a terminal, and only there.
//!
//! A stream that is no terminal, a variable `NO_COLOR` that is not empty (no-color.org), and a
//! terminal that calls itself dumb have none. What the colour says is always said in words too.

use crate::finding::Severity;
use std::io::{IsTerminal, stderr};

/// Whether messages may be coloured.
pub fn wanted() -> bool {
    let set = |name| std::env::var_os(name).is_some_and(|value| !value.is_empty());
    allowed(stderr().is_terminal(), set("NO_COLOR"), dumb())
}

/// Whether the terminal says nothing of itself, or that it can write in lines only.
pub fn dumb() -> bool {
    std::env::var_os("TERM").is_none_or(|term| term == "dumb")
}

const fn allowed(terminal: bool, no_colour: bool, dumb: bool) -> bool {
    terminal && !no_colour && !dumb
}

/// The first place where the severity stands in a finding's line, in its colour: bold red, bold
/// yellow, bold.
pub fn line(line: &str, severity: Severity) -> String {
    let (word, code) = match severity {
        Severity::Error => ("error", "1;31"),
        Severity::Warning => ("warning", "1;33"),
        Severity::Note => ("note", "1"),
    };
    line.replacen(&format!(": {word} "), &format!(": \u{1b}[{code}m{word}\u{1b}[0m "), 1)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_a_terminal_without_no_color_is_coloured() {
        assert!(allowed(true, false, false));
        assert!(!allowed(false, false, false));
        assert!(!allowed(true, true, false));
        assert!(!allowed(true, false, true));
    }

    #[test]
    fn the_words_stay_the_same() {
        let coloured = line("t.csv:2: error F011: there is an error in it", Severity::Error);
        assert_eq!(coloured, "t.csv:2: \u{1b}[1;31merror\u{1b}[0m F011: there is an error in it");
    }
}
