//! One cell of a table, with the place it came from, and what no cell may hold.

use super::header::Column;
use super::origin::Origin;
use crate::finding::codes::files;
use crate::finding::{Finding, Place, is_invisible, printable};

/// The longest cell, in characters.
pub(super) const LONGEST: usize = 1000;

/// A cell: its text without spaces around it, and where it stands.
#[derive(Clone, Copy, Debug)]
pub struct Cell<'t> {
    pub(super) text: &'t str,
    pub(super) column: &'static Column,
    /// The field's number in the line, from 1; `None` where the file has no such column.
    pub(super) number: Option<u64>,
    pub(super) line: u64,
    pub(super) origin: &'t Origin,
}

impl<'t> Cell<'t> {
    /// Its text; empty too where the file has no such column.
    #[must_use]
    pub const fn text(&self) -> &'t str {
        self.text
    }

    /// Whether nothing is in it.
    #[must_use]
    pub const fn is_empty(&self) -> bool {
        self.text.is_empty()
    }

    /// The same cell, with this text where nothing is in it.
    #[must_use]
    pub const fn or_text(self, text: &'t str) -> Self {
        if self.is_empty() { Self { text, ..self } } else { self }
    }

    /// What the cell gives, or a default where it is empty.
    pub fn or<T>(&self, default: T, read: impl FnOnce(&Self) -> Option<T>) -> Option<T> {
        if self.is_empty() { Some(default) } else { read(self) }
    }

    /// The column's name.
    #[must_use]
    pub const fn name(&self) -> &'static str {
        self.column.name
    }

    /// Where it stands.
    #[must_use]
    pub fn place(&self) -> Place {
        self.origin.line(self.line).field(self.column.name, self.number)
    }
}

/// A text as findings quote it: between backquotes, shortened, every character visible.
#[must_use]
pub fn quoted(text: &str) -> String {
    const SHOWN: usize = 60;
    let more = if text.chars().nth(SHOWN).is_some() { "…" } else { "" };
    format!("`{}{more}`", printable(text.chars().take(SHOWN).collect()))
}

/// Whether a spreadsheet may run this raw cell as a formula.
fn is_formula(raw: &str) -> bool {
    let bare = raw.trim_start_matches(' ');
    match bare.chars().next() {
        Some('=' | '@' | '\t' | '\n' | '\r' | '＝' | '＠') => true,
        Some('+' | '-' | '＋' | '－') => {
            let rest = bare.get(1..).unwrap_or("x");
            // A lone dash stands for `nothing` in many a sheet and runs nothing.
            let starts_number = rest.starts_with(|c: char| c.is_ascii_digit() || c == '.');
            let plain = rest.chars().all(|c| c.is_ascii_alphanumeric() || " .'\"/-".contains(c));
            !(rest.trim().is_empty() || (starts_number && plain))
        }
        _ => false,
    }
}

/// What a change in whole per cent, such as `+8 %`, leaves of the whole: 108.
fn whole_share(raw: &str) -> Option<i64> {
    let change: i64 = raw.trim().strip_suffix('%')?.trim_end().parse().ok()?;
    (-100..=1000).contains(&change).then_some(100 + change)
}

/// What no cell may hold, whatever its column; at most one finding.
pub(super) fn check(raw: &str, place: impl Fn() -> Place) -> Option<Finding> {
    let finding =
        |code, what: String, remedy: &str| Some(Finding::new(code, place(), what, remedy));
    if raw.len() > LONGEST && raw.chars().count() > LONGEST {
        let what = format!("the cell holds {} characters", raw.chars().count());
        let remedy = "shorten it to 1000 at most, and look for a missing double quote";
        return finding(&files::CELL_TOO_LONG, what, remedy);
    }
    if is_formula(raw) {
        let what = format!("{} may be run as a formula by a spreadsheet", quoted(raw));
        let share = whole_share(raw).map_or_else(String::new, |whole| {
            format!("; for a change of {} that is `{whole} %`", raw.trim())
        });
        let remedy = format!("type the value itself, starting with another sign{share}");
        return finding(&files::FORMULA, what, &remedy);
    }
    if raw.bytes().all(|b| (b' '..=b'~').contains(&b)) {
        return None;
    }
    if let Some(c) = raw.chars().find(|c| c.is_control() && *c != '\n') {
        let what = format!("{} holds the control character U+{:04X}", quoted(raw), u32::from(c));
        return finding(&files::CONTROL, what, "delete the cell and type it again");
    }
    if let Some(c) = raw.chars().find(|c| is_invisible(*c)) {
        let what = format!("{} holds the invisible character U+{:04X}", quoted(raw), u32::from(c));
        return finding(&files::INVISIBLE, what, "delete the cell and type it again");
    }
    None
}

/// A letter that was lost before the file was saved; `U+FFFD` is what programs put in its place.
pub(super) fn lost(raw: &str, place: impl Fn() -> Place) -> Option<Finding> {
    raw.contains(char::REPLACEMENT_CHARACTER).then(|| {
        let what = format!("{} holds the sign U+FFFD, which stands for a letter that was lost", quoted(raw));
        let remedy = "type it again; if there are many, save the list it came from as `CSV UTF-8` and begin from that";
        Finding::new(&files::LOST, place(), what, remedy)
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn code(raw: &str) -> Option<&'static str> {
        check(raw, Place::default).map(|f| f.code.id)
    }

    #[test]
    fn formulas_are_seen_and_numbers_are_not() {
        for bad in
            ["=1+1", " =A1", "@SUM(A1)", "+A1", "-cmd|' /C calc'!A0", "\t=1", "\n=1", "-1+A1"]
        {
            assert_eq!(code(bad), Some("F013"), "{bad:?}");
        }
        for good in ["-5", "+5.5 mm", "-.5", "-", "- ", "5=5", "7'-6 1/2\"", "-7'-6\"", "a@b", ""] {
            assert_eq!(code(good), None, "{good:?}");
        }
    }

    #[test]
    fn what_cannot_be_seen_is_told() {
        assert_eq!(code("a\u{0}b"), Some("F015"));
        assert_eq!(code("a\u{7}"), Some("F015"));
        assert_eq!(code("P-\u{202E}1"), Some("F016"));
        assert_eq!(code("P\u{200B}1"), Some("F016"));
        assert_eq!(code("two\nlines"), None);
        assert_eq!(code(&"x".repeat(10_000)), Some("F014"));
        assert_eq!(code(&"é".repeat(1000)), None);
    }

    #[test]
    fn quoting_is_short_and_safe() {
        assert_eq!(quoted("a\u{1b}[2J"), "`a\\u{1b}[2J`");
        assert_eq!(quoted(&"x".repeat(100)), format!("`{}…`", "x".repeat(60)));
    }
}
