//! Text from the inputs on its way out: made harmless for spreadsheets and terminals.
//!
//! HTML is escaped in one place of its own (the templates); file names are never made from
//! inputs.

use crate::units::{Length, Measure};

/// Characters that reorder the text around them (Unicode 15, UAX 9: explicit directional
/// formatting) or that cannot be seen at all.
const fn reorders(c: char) -> bool {
    matches!(c, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}' | '\u{2060}'..='\u{2069}'
        | '\u{061c}' | '\u{feff}')
}

/// The text on one line, without control characters and without marks that reorder it: line ends
/// and tabs become spaces, anything else of the kind becomes U+FFFD.
#[must_use]
pub fn visible(text: &str) -> String {
    text.chars()
        .map(|c| match c {
            '\n' | '\r' | '\t' => ' ',
            c if c.is_control() || reorders(c) => '\u{fffd}',
            c => c,
        })
        .collect()
}

/// Characters with which a spreadsheet starts a formula (also in their full-width forms).
pub const fn starts_formula(c: char) -> bool {
    matches!(c, '=' | '+' | '-' | '@' | '＝' | '＋' | '－' | '＠')
}

/// The text so that no spreadsheet takes it, or a part of it that another list separator would
/// cut off, for a formula: an apostrophe goes before any character that could start one. Common
/// practice for CSV; named by OWASP as CSV injection.
#[must_use]
pub fn harmless(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut at_start = true;
    for c in visible(text).chars() {
        if at_start && starts_formula(c) {
            out.push('\'');
        }
        // A quote inside a name is an inch mark: `3/8"-1500`.
        let goes_on = c.is_whitespace() || matches!(c, '"' | '\'');
        at_start = matches!(c, ',' | ';' | '|') || (at_start && goes_on);
        out.push(c);
    }
    out
}

/// A length in millimetres for people: to a tenth, rounded half up, without trailing zeros. Exact
/// lengths stand in the CSV files and in the plan.
#[must_use]
pub fn tenths(length: Length) -> String {
    Measure::Millimetres.words(length)
}

/// Positions; four and more at equal distances are `1490 to 14900 by 1490`, unless the distance would be rounded.
#[must_use]
pub fn positions(lengths: &[Length], measure: Measure) -> String {
    let mut words = Vec::new();
    let mut rest = lengths;
    while let [first, ..] = rest {
        let step = rest.get(1).map_or(Length::ZERO, |&second| second - *first);
        let even = rest.windows(2).take_while(|pair| pair[1] - pair[0] == step).count();
        let taken = if even >= 3 && measure.is_even(step) { even + 1 } else { 1 };
        let last = rest[taken - 1];
        words.push(if taken == 1 {
            measure.words(*first)
        } else {
            let [first, last, step] = [*first, last, step].map(|length| measure.words(length));
            format!("{first} to {last} by {step}")
        });
        rest = &rest[taken..];
    }
    words.join(", ")
}

/// At most `most` characters, the last of them an ellipsis when something is left out.
#[must_use]
pub fn shortened(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars().take(most.saturating_sub(1)).chain(['…']).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn formulas_are_not_live_wherever_a_cell_may_start() {
        // The characters are those of the OWASP page on CSV injection.
        assert_eq!(harmless("=1+1"), "'=1+1");
        assert_eq!(harmless("  @SUM(A1)"), "  '@SUM(A1)");
        assert_eq!(harmless("\t=1"), " '=1");
        assert_eq!(harmless("a;=1"), "a;'=1");
        assert_eq!(harmless("a\",\"=1"), "a\",\"'=1");
        assert_eq!(harmless("\" '-1"), "\" ''-1");
        assert_eq!(harmless("3/8\"-1500"), "3/8\"-1500");
        assert_eq!(harmless("'=1"), "''=1");
        assert_eq!(harmless("P-101/2 layer 1"), "P-101/2 layer 1");
        assert_eq!(harmless(""), "");
    }

    #[test]
    fn what_cannot_be_seen_is_shown() {
        assert_eq!(visible("a\u{1b}[31mb"), "a\u{fffd}[31mb");
        assert_eq!(visible("x\u{202e}y\r\nz"), "x\u{fffd}y  z");
    }

    #[test]
    fn people_read_tenths() {
        let shown = |nm| tenths(Length::from_nm(nm));
        assert_eq!(shown(1_337_061_834), "1337.1");
        assert_eq!(shown(1_337_049_999), "1337");
        assert_eq!(shown(500_000_000), "500");
    }

    #[test]
    fn long_text_is_cut_at_a_character() {
        assert_eq!(shortened("größer", 4), "grö…");
        assert_eq!(shortened("größer", 6), "größer");
    }

    #[test]
    fn equal_distances_are_told_once() {
        let mm = |list: &[i64]| list.iter().map(|&l| Length::from_mm(l)).collect::<Vec<_>>();
        let shown = |list: &[i64]| positions(&mm(list), Measure::Millimetres);
        assert_eq!(shown(&[]), "");
        assert_eq!(shown(&[5, 7, 9]), "5, 7, 9");
        assert_eq!(shown(&[1, 10, 20, 30, 40, 41]), "1, 10 to 40 by 10, 41");
        // 1/4 in is 6.35 mm, which is shown as 6.4.
        let quarters: Vec<Length> = (0..4).map(|at| Length::from_nm(6_350_000) * at).collect();
        assert_eq!(positions(&quarters, Measure::Millimetres), "0, 6.4, 12.7, 19.1");
        // 36 steps of 755.69888 mm, told as "755.7 to 27204.8 by 755.7", would not add up: 36 times 755.7 is 27205.2.
        let curved: Vec<Length> = (1..=36).map(|at| Length::from_nm(755_698_880) * at).collect();
        let shown = positions(&curved, Measure::Millimetres);
        assert!(shown.starts_with("755.7, 1511.4, 2267.1,") && !shown.contains(" by "), "{shown}");
        // 254 mm are 10 in; whoever steps off a rounded distance goes wrong by more each time.
        let inches = |list: &[i64]| positions(&mm(list), Measure::Inches);
        assert_eq!(inches(&[254, 508, 762, 1016]), "10 to 40 by 10");
        assert_eq!(inches(&[0, 10, 20, 30]).matches(',').count(), 3);
    }

    proptest::proptest! {
        /// Whoever steps off what is told comes to the places that are told, from wherever they begin.
        #[test]
        fn equal_distances_add_up_as_they_are_shown(first in 0_i64..9_000_000_000, step in 1_i64..90_000, tenth: bool, count in 4_i64..60) {
            let step = Length::from_nm(if tenth { step * 100_000 } else { step * 10_007 });
            let places: Vec<Length> = (0..count).map(|at| Length::from_nm(first) + step * at).collect();
            let told = positions(&places, Measure::Millimetres);
            let told = told.replace(" to ", " ").replace(" by ", " ");
            if !told.contains(',') {
                let read: Vec<Length> = told.split(' ').map(|word| Length::parse(word).unwrap()).collect();
                proptest::prop_assert_eq!(read[0] + read[2] * (count - 1), read[1]);
            }
            proptest::prop_assert_eq!(told.contains(','), !Measure::Millimetres.is_even(step));
        }
    }
}
