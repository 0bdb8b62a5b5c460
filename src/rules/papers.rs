//! `papers.toml`: in what the papers give lengths that people hold with a tape in hand, and on what sheets they are
//! printed. It says nothing of the plan, so no plan goes stale where it changes.
//!
//! Steps: decode; read as TOML; each key is a word.

use super::Rules;
use crate::finding::codes::rules as codes;
use crate::finding::{Finding, Findings, Place};
use crate::table::{Bare, Settings, in_file_order, nearest, quoted};
use crate::units::{Length, Measure, SheetSize};
use std::ops::Range;

/// The file's name in a job folder.
pub const PAPERS: &str = "papers.toml";

/// Its keys.
const LENGTHS: &str = "lengths";
const SHEETS: &str = "sheets";

/// What the papers of a job are like.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Paperwork {
    /// In what they give lengths.
    pub measure: Measure,
    /// What they are printed on.
    pub sheet: SheetSize,
}

impl Paperwork {
    /// In this measure, on the sheets that are usual where lengths are in it; common practice, no source.
    #[must_use]
    pub const fn usual(measure: Measure) -> Self {
        let sheet = match measure {
            Measure::Millimetres => SheetSize::A4,
            Measure::Inches | Measure::RoundedInches => SheetSize::Letter,
        };
        Self { measure, sheet }
    }
}

/// What to write for a key.
fn words_of(key: &str, names: [&str; 2]) -> String {
    names.map(|name| format!("`{key} = \"{name}\"`")).join(" or ")
}

/// The names of what a key may be; none where it is not known.
fn names_of(key: &str) -> Option<[&'static str; 2]> {
    match key {
        LENGTHS => Some(Measure::ALL.map(Measure::name)),
        SHEETS => Some(SheetSize::ALL.map(SheetSize::name)),
        _ => None,
    }
}

/// What to write into the file, for people.
fn remedy() -> String {
    let lines = [LENGTHS, SHEETS].map(|key| words_of(key, names_of(key).unwrap_or_default()));
    format!("write {}", lines.join(", and "))
}

/// Reads the file; `None` where any finding is an error. An empty file leaves millimetres and A4.
#[must_use]
pub fn read_papers(file: &str, bytes: &[u8]) -> (Option<Paperwork>, Findings) {
    let mut findings = Findings::new();
    let settings = Settings::open(file, bytes, &mut findings);
    let line = |bare: Option<Bare>| bare.map_or_else(remedy, |bare| bare.remedy);
    let document = settings.read(&codes::PAPERS, line, &mut findings).unwrap_or_default();
    let mut tell = |span: &Range<usize>, what: String, remedy: String| {
        findings.push(Finding::new(&codes::PAPERS, settings.place(span, ""), what, remedy));
    };
    let (mut measure, mut sheet) = (Measure::default(), None);
    for (name, value) in in_file_order(&document) {
        let key = name.get_ref().as_ref();
        let Some(names) = names_of(key) else {
            let what = format!("the key {} is not known", quoted(key));
            tell(&name.span(), what, remedy());
            continue;
        };
        let word = value.get_ref().as_str().unwrap_or_default().trim();
        let is = |name: &str| name.eq_ignore_ascii_case(word);
        let Some(at) = names.into_iter().position(is) else {
            let remedy = nearest(word, names).map_or_else(
                || format!("write {}", words_of(key, names)),
                |meant| format!("write `{key} = \"{meant}\"` if that is meant"),
            );
            let what = format!("{key} is neither of the words that it may be");
            tell(&value.span(), what, remedy);
            continue;
        };
        match key {
            LENGTHS => measure = Measure::ALL[at],
            _ => sheet = Some(SheetSize::ALL[at]),
        }
    }
    let usual = Paperwork::usual(measure);
    let read = Paperwork { sheet: sheet.unwrap_or(usual.sheet), ..usual };
    (if findings.has_errors() { None } else { Some(read) }, findings)
}

/// Rules by which sizes or places come out crooked in the papers' measure, all in one finding.
#[must_use]
pub fn crooked(rules: &Rules, measure: Measure) -> Findings {
    let mut findings = Findings::new();
    // A tenth of a millimetre is less than a tape shows, and papers round it without a word.
    if measure == Measure::Millimetres {
        return findings;
    }
    let table = &rules.table;
    let all = [
        ("resolution", "cut", rules.resolution.cut),
        ("table", "square_cut", table.square_cut),
        ("table", "edge_trim", table.edge_trim),
        ("table", "gap", table.gap),
    ];
    let crooked: Vec<_> = all.into_iter().filter(|&(_, _, of)| !measure.is_even(of)).collect();
    if crooked.is_empty() {
        return findings;
    }
    let list = |word: &dyn Fn(&(&str, &str, Length)) -> String| {
        crooked.iter().map(word).collect::<Vec<_>>().join(", ")
    };
    let what = format!(
        "papers are in inches, and by rules that are no whole sixty-fourths of an inch sizes and places come out \
         crooked: {}",
        list(&|(_, key, of)| format!("`{key} = {of} mm`"))
    );
    let remedy = format!(
        "write in rules.toml {}, and plan again",
        list(&|&(section, key, of)| {
            format!("`{key} = \"{} in\"` below [{section}]", plain_inches(of))
        })
    );
    findings.push(Finding::new(&codes::CROOKED, Place::file(PAPERS), what, remedy));
    findings
}

/// The next length, not less, that is easily found on a tape: half, a quarter and so on to a sixty-fourth up to an
/// inch, whole inches above it.
fn plain_inches(length: Length) -> String {
    let inch = Length::from_nm(25_400_000);
    let mut parts = (0..=6).rev().map(|halved| Length::from_nm(inch.nm() >> halved));
    let plain = parts.find(|part| *part >= length);
    Measure::Inches.words(plain.unwrap_or_else(|| length.round_up_to(inch)))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn shown(text: &str) -> Vec<String> {
        read_papers(PAPERS, text.as_bytes()).1.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn the_file_names_a_measure_and_a_sheet() {
        let read = |text: &str| {
            let read = read_papers(PAPERS, text.as_bytes()).0;
            read.map(|papers| (papers.measure, papers.sheet))
        };
        let (metric, inches) = (Measure::Millimetres, Measure::Inches);
        assert_eq!(read(""), Some((metric, SheetSize::A4)));
        assert_eq!(read("# ours\nlengths = \"inches\"\n"), Some((inches, SheetSize::Letter)));
        assert_eq!(read("lengths = \"Millimetres\""), Some((metric, SheetSize::A4)));
        assert_eq!(read("sheets = \"Letter\""), Some((metric, SheetSize::Letter)));
        let both = "sheets = \"a4\"\nlengths = \"inches\"";
        assert_eq!(read(both), Some((inches, SheetSize::A4)));
    }

    #[test]
    fn what_is_wrong_is_told_with_its_place_and_what_to_write() {
        for (text, place, word) in [
            ("lengths = \"inch\"", "papers.toml:1:11: error R070", "`lengths = \"inches\"` if"),
            ("\nlength = \"inches\"", "papers.toml:2:1: error R070", "`lengths = \"inches\"`"),
            ("lengths = 64", "papers.toml:1:11: error R070", "`lengths = \"millimetres\"` or"),
            ("lengths = inches", "papers.toml:1:11: error R070", "`lengths = \"inches\"`: numbers"),
            ("sheets = \"leter\"", "papers.toml:1:10: error R070", "`sheets = \"letter\"` if"),
            ("sheets = \"inches\"", "papers.toml:1:10: error R070", "`sheets = \"A4\"` or"),
        ] {
            let found = shown(text);
            assert_eq!(found.len(), 1, "{found:?}");
            assert!(found[0].starts_with(place) && found[0].contains(word), "{found:?}");
        }
    }

    /// 1 mm is more than 1/32 in (0.794 mm), 50 mm less than 2 in, 10 mm more than 3/8 in (9.525 mm).
    #[test]
    fn rules_in_millimetres_are_told_once_with_the_inches_to_write() {
        let mut rules = Rules::default();
        rules.table.edge_trim = Length::from_mm(10);
        assert!(crooked(&rules, Measure::Millimetres).is_empty());
        let found: Vec<String> =
            crooked(&rules, Measure::Inches).iter().map(ToString::to_string).collect();
        assert_eq!(found.len(), 1, "{found:?}");
        for word in [
            "papers.toml: warning R071",
            "`cut = 1 mm`, `square_cut = 50 mm`, `edge_trim = 10 mm`",
            "`cut = \"1/16 in\"` below [resolution]",
            "`square_cut = \"2 in\"` below [table]",
            "`edge_trim = \"1/2 in\"` below [table]",
        ] {
            assert!(found[0].contains(word), "{word}: {found:?}");
        }
        let inch = |text: &str| Length::parse(text).unwrap();
        rules.resolution.cut = inch("1/16 in");
        rules.table.square_cut = inch("2 in");
        rules.table.edge_trim = inch("1/2 in");
        assert!(crooked(&rules, Measure::Inches).is_empty());
    }

    proptest::proptest! {
        #[test]
        fn no_bytes_stop_the_reader(bytes in proptest::collection::vec(proptest::num::u8::ANY, 0..60)) {
            let (read, findings) = read_papers(PAPERS, &bytes);
            proptest::prop_assert_eq!(read.is_none(), findings.has_errors());
        }
    }
}
