//! What a cell holds in a number's place, where that can be told: digits with spaces between thousands, a date.

/// Why it is no number, and what to write instead.
pub(super) fn of(text: &str) -> Option<(&'static str, String)> {
    if is_date(text) {
        let remedy = "type the value itself; in a spreadsheet give the column the format Text first, as it \
                      makes dates of such numbers";
        return Some(("it looks like a date", remedy.to_owned()));
    }
    let whole = without_spaces(text)?;
    Some(("a space stands inside the number", format!("write it without, such as `{whole}`")))
}

/// Whether three numbers are separated as in a date: 12.05.2026, 2026-05-12, 5/12/26.
fn is_date(text: &str) -> bool {
    ['.', '-', '/'].into_iter().any(|sign| {
        let parts: Vec<&str> = text.split(sign).collect();
        let digits = |part: &&str| {
            matches!(part.len(), 1 | 2 | 4) && part.bytes().all(|byte| byte.is_ascii_digit())
        };
        let year = |part: &&str| part.len() == 4;
        let ends = [parts.first(), parts.last()];
        // Feet, inches and fractions such as 7-6-1/2 have no number of four figures; with strokes nothing else has
        // three.
        parts.len() == 3
            && parts.iter().all(digits)
            && (sign != '-' || ends.into_iter().flatten().any(year))
    })
}

/// A number whose thousands are parted by spaces, and what follows it, with these spaces taken out: one to three
/// digits, then threes.
fn without_spaces(text: &str) -> Option<String> {
    const SPACES: [char; 5] = [' ', '\u{A0}', '\u{2009}', '\u{202F}', '\u{2007}'];
    let end = text
        .find(|sign: char| !(sign.is_ascii_digit() || SPACES.contains(&sign)))
        .unwrap_or(text.len());
    let (number, rest) = text.split_at_checked(end)?;
    let groups: Vec<&str> = number.trim_end_matches(SPACES).split(SPACES).collect();
    let (first, others) = groups.split_first()?;
    let thousands = !others.is_empty()
        && (1..=3).contains(&first.len())
        && others.iter().all(|group| group.len() == 3);
    let unit = |sign: char| sign.is_ascii_alphabetic() || sign == '.' || sign.is_ascii_digit();
    (thousands && rest.chars().all(unit)).then(|| {
        let space =
            if rest.starts_with(|sign: char| sign.is_ascii_alphabetic()) { " " } else { "" };
        format!("{}{space}{rest}", groups.concat())
    })
}

#[cfg(test)]
mod tests {
    use super::of;

    #[test]
    fn spaces_between_thousands_and_dates_are_seen() {
        for (text, meant) in [
            ("2 400", "`2400`"),
            ("12\u{A0}400 mm", "`12400 mm`"),
            ("1 000 000", "`1000000`"),
            ("2 400.5", "`2400.5`"),
        ] {
            let (why, remedy) = of(text).unwrap();
            assert!(why.contains("space") && remedy.contains(meant), "{text}: {remedy}");
        }
        for text in ["12.05.2026", "2026-05-12", "12-5-2026", "5/12/26"] {
            assert!(of(text).unwrap().0.contains("date"), "{text}");
        }
        for other in [
            "2 40",
            "2400 400",
            "23 15/16 in",
            "7-6-1",
            "long",
            "",
            "2.4 m",
            "1 2 3",
            "2.400.1,5",
            "2.400.000",
        ] {
            assert_eq!(of(other), None, "{other}");
        }
    }
}
