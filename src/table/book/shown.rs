//! A number or a date of a workbook as text.
//!
//! A workbook keeps numbers in binary and says beside them how they are shown. What counts here is
//! the value, to 15 figures (as many as spreadsheets keep) and six decimals (a nanometre, where it
//! is millimetres), without thousands separators; but words that the number format puts around it
//! (`2.4 m`, `NPS 6`), leading zeros, a per cent sign and signs of currency belong to what was meant, and are
//! kept; a currency beside a price is taken away again by who knows that it is one ([`beside_a_word`]).

use crate::units::Length;
use calamine::ExcelDateTime;

/// What a number format (ECMA-376, 18.8.30 and 18.8.31) adds to a number.
#[derive(Debug, Default, PartialEq, Eq)]
struct Dress {
    before: String,
    /// Whether nothing stands between that and the figures: `P1` is no `P 1`.
    close: bool,
    after: String,
    zeros: usize,
    per_cent: bool,
    /// How many times the number is divided by a thousand before it is shown.
    thousands: u32,
}

/// The text of a number under a number format's code.
pub(super) fn number(value: f64, code: Option<&str>) -> String {
    dressed(value, code.map(|code| dress(section(code, value))).unwrap_or_default())
}

/// The text of a number that is shown as this text: what stands around its figures there counts, and
/// its value, not how that was rounded.
pub(super) fn number_as_shown(value: f64, shown: &str) -> String {
    let mut dress = worn(shown);
    dress.thousands = thousands(value, shown);
    dressed(value, dress)
}

/// The number alone, and the one word that the format sets beside it, where that may be a currency
/// (`700 EUR`, `EUR700`): a word of letters, before or after.
pub(super) fn beside_a_word(text: &str) -> Option<(&str, &str)> {
    let figure = |c: char| c.is_ascii_digit() || c == '-';
    let last = text.rfind(|c: char| c.is_ascii_digit())?;
    let (before, rest) = text.split_at(text.find(figure)?);
    let (number, after) = rest.split_at_checked(last + 1 - before.len())?;
    number.parse::<f64>().ok().filter(|number| number.is_finite())?;
    let part = |c: char| c.is_alphabetic() || c == '.' || currency(c);
    let word = |text: &str| !text.is_empty() && text.chars().all(part);
    match (before.trim(), after.trim()) {
        ("", after) if word(after) => Some((number, after)),
        (before, "") if word(before) => Some((number, before)),
        _ => None,
    }
}

/// Whether a character is a sign of currency (Unicode, general category Sc, as far as spreadsheets offer them).
const fn currency(c: char) -> bool {
    matches!(c, '$' | '¢' | '£' | '¤' | '¥' | '\u{20A0}'..='\u{20CF}')
}

/// Whether what stands beside a number is signs of currency alone.
pub(super) fn is_sign(word: &str) -> bool {
    word.chars().all(currency)
}

/// Currencies with signs of their own: codes of ISO 4217, and the signs that Unicode names after them (block
/// "Currency Symbols", and `$`, `£`, `¥` of Latin-1, which several share). From memory.
const SIGNS: [(&str, char); 22] = [
    ("EUR", '€'),
    ("GBP", '£'),
    ("USD", '$'),
    ("CAD", '$'),
    ("AUD", '$'),
    ("NZD", '$'),
    ("SGD", '$'),
    ("HKD", '$'),
    ("MXN", '$'),
    ("JPY", '¥'),
    ("CNY", '¥'),
    ("INR", '₹'),
    ("TRY", '₺'),
    ("KRW", '₩'),
    ("UAH", '₴'),
    ("VND", '₫'),
    ("ILS", '₪'),
    ("PHP", '₱'),
    ("NGN", '₦'),
    ("RUB", '₽'),
    ("KZT", '₸'),
    ("GEL", '₾'),
];

/// Whether signs beside a number may be those of a currency: they are its own, or it is known neither whose they
/// are nor which are its own.
pub(super) fn may_be_of(signs: &str, currency: &str) -> bool {
    let of_it = |code: &str| code.eq_ignore_ascii_case(currency);
    let own = SIGNS.iter().find(|(code, _)| of_it(code)).map(|(_, sign)| *sign);
    signs.chars().all(|sign| match own {
        Some(own) => sign == own || sign == '¤',
        None => !SIGNS.iter().any(|(_, of)| *of == sign) || matches!(sign, '$' | '£' | '¥'),
    })
}

/// How many times a value was divided by a thousand for what is shown, with a comma or a point as decimal
/// sign; none where the figures do not tell.
fn thousands(value: f64, shown: &str) -> u32 {
    let figures: String =
        shown.chars().filter(|c| c.is_ascii_digit() || matches!(c, '.' | ',')).collect();
    let read = |point: char| {
        let plain: String = figures.chars().filter(|c| c.is_ascii_digit() || *c == point).collect();
        let plain = plain.trim_matches(point).replace(point, ".");
        let decimals = plain.split_once('.').map_or(0, |(_, after)| after.len());
        let half = 0.5 * 10_f64.powi(-i32::try_from(decimals).unwrap_or(0)) * 1.000_001;
        Some((plain.parse::<f64>().ok()?, half))
    };
    let readings: Vec<(f64, f64)> = ['.', ','].into_iter().filter_map(read).collect();
    let fits = |times: i32| {
        let shrunk = value.abs() / 1000_f64.powi(times);
        readings.iter().any(|(shown, half)| *shown > 0.0 && (shown - shrunk).abs() <= *half)
    };
    if fits(0) { 0 } else { [1, 2].into_iter().find(|&n| fits(n)).map_or(0, i32::unsigned_abs) }
}

/// Whether the text for a number says more than the number does.
pub(super) fn says_more(shown: &str) -> bool {
    worn(shown) != Dress::default()
}

fn dressed(value: f64, dress: Dress) -> String {
    // Words that are shown beside thousands mean those: a length in millimetres as `1.5 m`.
    let worded = !(is_sign(&dress.before) && is_sign(&dress.after));
    let times = if worded { i32::try_from(dress.thousands).unwrap_or(0) } else { 0 };
    let value = value / 1000_f64.powi(times);
    let figures = figures(if dress.per_cent { value * 100.0 } else { value });
    let mut text = dress.before;
    if !text.is_empty() && !dress.close {
        text.push(' ');
    }
    let (sign, rest) = figures.strip_prefix('-').map_or(("", figures.as_str()), |rest| ("-", rest));
    text.push_str(sign);
    let whole = rest.split('.').next().unwrap_or(rest).len();
    text.extend(std::iter::repeat_n('0', dress.zeros.saturating_sub(whole)));
    text.push_str(rest);
    if dress.per_cent {
        text.push('%');
    }
    if !dress.after.is_empty() {
        text.push(' ');
        text.push_str(&dress.after);
    }
    text
}

/// A number to 15 figures and six decimals, as short as it can be written.
fn figures(value: f64) -> String {
    let rounded: f64 = format!("{value:.14e}").parse().unwrap_or(value);
    let exact = rounded.to_string();
    let decimals = exact.split_once('.').map_or(0, |(_, decimals)| decimals.len());
    if decimals <= 6 {
        return exact;
    }
    let text = format!("{rounded:.6}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// The section of a code by which a value is shown (18.8.31): the first whose condition (`[<10]`) holds; without any,
/// for numbers above zero, below it, and zero. The fourth is for text.
fn section(code: &str, value: f64) -> &str {
    let sections = sections(code);
    let numeric = &sections[..sections.len().min(3)];
    let last = numeric.len() - 1;
    let mut asked = false;
    for (at, section) in numeric.iter().enumerate() {
        let given = condition(section);
        asked |= given.is_some();
        let holds = match (given, at) {
            (Some(condition), _) => condition.holds(value),
            (None, _) if at == last => true,
            (None, 0) => value > 0.0 || (last == 1 && value >= 0.0),
            (None, _) => !asked && value < 0.0,
        };
        if holds {
            return section;
        }
    }
    numeric[last]
}

/// The parts of a code between its semicolons; one at least.
fn sections(code: &str) -> Vec<&str> {
    let (mut sections, mut from) = (Vec::new(), 0);
    let mut signs = code.char_indices();
    while let Some((at, sign)) = signs.next() {
        match sign {
            ';' => {
                sections.push(&code[from..at]);
                from = at + 1;
            }
            '"' => {
                signs.by_ref().find(|(_, c)| *c == '"');
            }
            '[' => {
                signs.by_ref().find(|(_, c)| *c == ']');
            }
            '\\' | '_' | '*' => {
                signs.next();
            }
            _ => {}
        }
    }
    sections.push(&code[from..]);
    sections
}

/// When a section is for a number.
struct Condition<'c> {
    sign: &'c str,
    /// Nothing where that cannot be read.
    than: Option<f64>,
}

impl Condition<'_> {
    fn holds(&self, value: f64) -> bool {
        let Some(order) = self.than.and_then(|than| value.partial_cmp(&than)) else { return false };
        match self.sign {
            "<" => order.is_lt(),
            "<=" => order.is_le(),
            ">" => order.is_gt(),
            ">=" => order.is_ge(),
            "<>" => order.is_ne(),
            _ => order.is_eq(),
        }
    }
}

/// The condition of a section, in brackets before its figures.
fn condition(section: &str) -> Option<Condition<'_>> {
    section.split('[').skip(1).find_map(|part| {
        let inside = part.split(']').next()?;
        let sign = &inside[..inside.find(|c| !matches!(c, '<' | '>' | '='))?];
        let than = inside[sign.len()..].trim().parse().ok();
        (!sign.is_empty()).then_some(Condition { sign, than })
    })
}

/// What a section of a code adds.
fn dress(code: &str) -> Dress {
    let mut dress = Dress::default();
    let (mut digits, mut point, mut separated) = (false, false, false);
    let (mut fraction, mut padded) = (false, false);
    // Commas right before the point or the end of the figures divide by a thousand each (18.8.31).
    let mut commas = 0;
    let mut signs = code.chars();
    let (mut before, mut after) = (String::new(), String::new());
    if code.eq_ignore_ascii_case("general") || code == "@" {
        return dress;
    }
    while let Some(sign) = signs.next() {
        let words = if digits { &mut after } else { &mut before };
        match sign {
            '"' => words.extend(signs.by_ref().take_while(|c| *c != '"')),
            '\\' => words.extend(signs.next()),
            '_' | '*' => {
                padded = true;
                signs.next();
            }
            '[' => {
                let inside: String = signs.by_ref().take_while(|c| *c != ']').collect();
                // A currency, then the language it is written in (18.8.31). Words such as `kr` are shared by several,
                // so only signs and codes can be held against the row's currency. Some write units so.
                let symbol = inside.strip_prefix('$').and_then(|rest| rest.split('-').next());
                let code =
                    |text: &str| text.len() == 3 && text.chars().all(|c| c.is_ascii_uppercase());
                let unit = |text: &str| Length::parse(&format!("1 {text}")).is_ok();
                words.extend(symbol.filter(|text| is_sign(text) || code(text) || unit(text)));
            }
            '0' | '#' | '?' => {
                digits = true;
                commas = 0;
                dress.zeros += usize::from(sign == '0' && !point && !fraction);
            }
            // A fraction, of a denominator that is given or not (18.8.31).
            '/' if digits => fraction = true,
            '1'..='9' if fraction => {}
            '.' if digits => {
                point = true;
                dress.thousands += std::mem::take(&mut commas);
            }
            ',' => {
                separated = true;
                commas += u32::from(digits);
            }
            // The number as it comes, which may stand among words (18.8.31).
            'G' | 'g'
                if signs
                    .as_str()
                    .get(..6)
                    .is_some_and(|rest| rest.eq_ignore_ascii_case("eneral")) =>
            {
                digits = true;
                let _ = signs.by_ref().take(6).count();
            }
            '%' => dress.per_cent = true,
            'E' | 'e' if digits => {
                signs.next();
            }
            other => words.push(other),
        }
    }
    if !digits {
        return Dress::default();
    }
    dress.thousands += commas;
    if separated || dress.zeros < 2 {
        dress.zeros = 0;
    }
    dress.begin(&before, padded);
    dress.after = meant(&after);
    dress
}

impl Dress {
    /// What stands before the figures; where that ends with a letter, or with a dash behind one, they follow at once.
    fn begin(&mut self, before: &str, padded: bool) {
        self.before = meant(before);
        let name = before.trim_end_matches('-');
        let dashed = name.len() < before.len();
        self.close = !padded
            && (name.ends_with(char::is_alphabetic)
                || dashed && name.ends_with(char::is_alphanumeric));
        if self.close && name.len() < before.len() {
            self.before.push_str(&before[name.len()..]);
        }
    }
}

/// Words around a number; brackets and dashes say nothing of a length or a count. A currency does: that it is none.
fn meant(text: &str) -> String {
    let text = text.trim().trim_start_matches(['(', '-']).trim_end_matches([')', '-']).trim();
    let says = |c: char| c.is_alphabetic() || currency(c) || matches!(c, '\'' | '"' | '′' | '″');
    if text.contains(says) { text.to_owned() } else { String::new() }
}

/// What stands around the figures of a number that is shown.
fn worn(shown: &str) -> Dress {
    let figure = |c: char| c.is_ascii_digit();
    let (Some(first), Some(last)) = (shown.find(figure), shown.rfind(figure)) else {
        return Dress::default();
    };
    let (before, after) = (&shown[..first], &shown[last + 1..]);
    let whole = shown[first..].chars().take_while(char::is_ascii_digit).count();
    let led = shown[first..].starts_with('0') && whole > 1;
    let mut dress = Dress {
        after: meant(&after.replace('%', "")),
        zeros: if led { whole } else { 0 },
        per_cent: after.contains('%'),
        ..Dress::default()
    };
    dress.begin(before, false);
    dress
}

/// A date, a time or both in the form of ISO 8601.
pub(super) fn date(date: &ExcelDateTime) -> String {
    let (year, month, day, hour, minute, second, _) = date.to_ymd_hms_milli();
    let time = format!("{hour:02}:{minute:02}:{second:02}");
    let days = format!("{year:04}-{month:02}-{day:02}");
    if date.is_duration() || date.as_f64() < 1.0 {
        time
    } else if time == "00:00:00" {
        days
    } else {
        format!("{days} {time}")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sign_is_held_against_the_currency_that_is_named() {
        for (signs, currency, may) in [
            ("€", "EUR", true),
            ("€", "eur", true),
            ("$", "EUR", false),
            ("€", "USD", false),
            ("€", "CHF", false),
            ("$", "ARS", true),
            ("¤", "CHF", true),
            ("¢", "EUR", false),
        ] {
            assert_eq!(may_be_of(signs, currency), may, "{signs} {currency}");
        }
    }

    #[test]
    fn the_value_counts_and_not_how_it_is_rounded_or_grouped() {
        assert_eq!(number(1200.0, Some("#,##0")), "1200");
        assert_eq!(number(1234.5678, Some("0")), "1234.5678");
        assert_eq!(number(596.0, Some("_(* #,##0.00_);_(* (#,##0.00)")), "596");
        assert_eq!(number(-3.0, Some("0_);(0)")), "-3");
        assert_eq!(number(2400.0, None), "2400");
        assert_eq!(number(0.75, Some("# ?/?")), "0.75");
        assert_eq!(number(1.0e7, Some("0.00E+00")), "10000000");
    }

    #[test]
    fn binary_dust_is_brushed_off() {
        // IEEE 754 double precision: 0.1 + 0.2 is 0.30000000000000004.
        assert_eq!(number(0.1 + 0.2, None), "0.3");
        assert_eq!(number(2400.0 / 7.0, None), "342.857143");
        assert_eq!(number(23.9375 * 25.4, None), "608.0125");
        assert_eq!(number(-1.0e-9, None), "0");
        assert_eq!(number(1.0e15, None), "1000000000000000");
    }

    #[test]
    fn words_around_a_shown_number_are_kept_and_its_rounding_is_not() {
        assert_eq!(number_as_shown(2.4375, "2.4 m"), "2.4375 m");
        assert_eq!(number_as_shown(6.0, "NPS 6"), "NPS 6");
        assert_eq!(number_as_shown(7.0, "007"), "007");
        assert_eq!(number_as_shown(0.5, "50%"), "50%");
        for plain in ["1.200,50", "(3)", "-3", "1.0E+07", "90°", "", "0.75", "3/4", "nothing"] {
            assert!(!says_more(plain), "{plain}");
        }
        assert_eq!(number_as_shown(1.0e7, "1.0E+07"), "10000000");
    }

    #[test]
    fn words_of_the_format_are_kept() {
        assert_eq!(number(2.4, Some("0.0\" m\"")), "2.4 m");
        assert_eq!(number(2.4, Some("0.0\\ \\m")), "2.4 m");
        assert_eq!(number(6.0, Some("\"NPS \"0")), "NPS 6");
        assert_eq!(number(7.0, Some("000")), "007");
        assert_eq!(number(0.5, Some("0%")), "50%");
        assert_eq!(number(90.0, Some("0\"°\"")), "90");
        assert_eq!(number(1000.0, Some("General\" mm\"")), "1000 mm");
        assert_eq!(number(2.5, Some("\"about \"GENERAL\\ \\m")), "about 2.5 m");
        assert_eq!(number(10.5, Some("# ?/?\" ft\"")), "10.5 ft");
        assert_eq!(number(10.5, Some("# ?/8\" ft\"")), "10.5 ft");
        assert_eq!(number(5.5, Some("# ??/100\" ft\"")), "5.5 ft");
    }

    /// What a cell shows as one word is one: a name such as `P1`.
    #[test]
    fn names_stay_in_one_word() {
        assert_eq!(number(1.0, Some("\"P\"0")), "P1");
        assert_eq!(number(12.0, Some("\"B10-\"0000")), "B10-0012");
        // Units in brackets, as some programs write them.
        assert_eq!(number(48.0, Some("0 [$in]")), "48 in");
        assert_eq!(number(1.5, Some("0.0[$m]")), "1.5 m");
        assert_eq!(number(7.0, Some("\"P-\"000")), "P-007");
        assert_eq!(number(50.0, Some("\"DN\"0")), "DN50");
        assert_eq!(number_as_shown(1.0, "P1"), "P1");
        assert_eq!(number_as_shown(7.0, "P-007"), "P-007");
        assert_eq!(number_as_shown(6.0, "NPS 6"), "NPS 6");
    }

    /// ECMA-376, 18.8.31: sections by conditions in brackets; two without any are for numbers from zero on and below
    /// it, three for those above it, below it, and zero.
    #[test]
    fn the_section_counts_by_which_a_number_is_shown() {
        let metres = Some("[<10]0.0\" m\";0\" mm\"");
        assert_eq!(number(2.4, metres), "2.4 m");
        assert_eq!(number(12.0, metres), "12 mm");
        assert_eq!(number(3.2, Some("[>=1000]0\" mm\";0.0\" m\"")), "3.2 m");
        assert_eq!(number(50.0, Some("[Red][<5]0.0\" m\";[Blue]0\" mm\"")), "50 mm");
        let three = Some("[<=1]0\" a\";[<=2]0\" b\";0\" c\"");
        assert_eq!([1.0, 2.0, 3.0].map(|n| number(n, three)), ["1 a", "2 b", "3 c"]);
        let signs = Some("0\" up\";0\" down\";0\" none\";@");
        assert_eq!([1.0, -1.0, 0.0].map(|n| number(n, signs)), ["1 up", "-1 down", "0 none"]);
        assert_eq!(number(-1.0, Some("0\" ; m\";0\" cm\"")), "-1 cm");
        // Where a section has no figures the value still counts.
        assert_eq!(number(0.0, Some("0;-0;\"nothing\"")), "0");
    }

    /// A length that is shown as money is none, whatever its figures.
    #[test]
    fn currencies_are_kept() {
        assert_eq!(number(596.0, Some("_($* #,##0.00_);_($* (#,##0.00)")), "$ 596");
        assert_eq!(number(596.5, Some("[$€-407] #,##0.00")), "€ 596.5");
        assert_eq!(number(596.5, Some("#,##0.00\\ [$EUR]")), "596.5 EUR");
        assert_eq!(number(2400.0, Some("#,##0 \"€\"")), "2400 €");
        assert_eq!(number(596.5, Some("#,##0.00 [$kr-41D]")), "596.5");
        assert_eq!(number(596.5, Some("[$-409]0.00")), "596.5");
        assert_eq!(number(2400.0, Some("0,\" €\"")), "2400 €");
        assert_eq!(number_as_shown(1200.5, "1.200,50 €"), "1200.5 €");
        assert_eq!(number_as_shown(-596.0, "-£596.00"), "£ -596");
    }

    /// ECMA-376, 18.8.31: a comma that follows a digit placeholder scales the number by a thousand.
    #[test]
    fn words_beside_thousands_are_of_thousands() {
        assert_eq!(number(150.0, Some("0.0,\"m\"")), "0.15 m");
        assert_eq!(number(12_345.0, Some("#,##0.00,\" m\"")), "12.345 m");
        assert_eq!(number(2400.0, Some("0,.0\" m\"")), "2.4 m");
        assert_eq!(number(2400.0, Some("#,##0\" mm\"")), "2400 mm");
        assert_eq!(number(2400.0, Some("0,")), "2400");
        assert_eq!(number_as_shown(150.0, "0.2 m"), "0.15 m");
        assert_eq!(number_as_shown(2400.0, "2,4 m"), "2.4 m");
        assert_eq!(number_as_shown(2400.0, "2.400,0 mm"), "2400 mm");
        assert_eq!(number_as_shown(2400.0, "2,400 mm"), "2400 mm");
        assert_eq!(number_as_shown(2.4375, "2.4 m"), "2.4375 m");
        assert_eq!(number_as_shown(0.0, "0 mm"), "0 mm");
    }

    #[test]
    fn a_word_beside_a_number_is_told_apart() {
        assert_eq!(beside_a_word("700 EUR"), Some(("700", "EUR")));
        assert_eq!(beside_a_word("Fr. 596.5"), Some(("596.5", "Fr.")));
        assert_eq!(beside_a_word("700 €"), Some(("700", "€")));
        assert_eq!(beside_a_word("US$ 700"), Some(("700", "US$")));
        assert_eq!(beside_a_word("EUR700"), Some(("700", "EUR")));
        assert_eq!(beside_a_word("$ -7.5"), Some(("-7.5", "$")));
        for other in ["700", "700 per roll", "NaN EUR", "EUR", "3 x 700", "A 700 B"] {
            assert_eq!(beside_a_word(other), None, "{other}");
        }
    }
}
