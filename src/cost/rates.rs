//! `rates.toml`: what labour and freight cost. Every key has a placeholder that must be replaced.
//!
//! Steps: decode; read as TOML, going on after faults; for each key find it among [`KEYS`] and put
//! its amount in. All problems are told at once.

use crate::finding::codes::Code;
use crate::finding::codes::cost as codes;
use crate::finding::{Finding, Findings, Place};
use crate::table::{Bare, Settings, in_file_order, nearest, quoted};
use crate::units::{Money, UnitError};
use std::fmt::Write as _;
use std::ops::Range;
use toml::Spanned;
use toml::de::{DeTable, DeValue};

/// The file's name in a job folder.
pub const FILE: &str = "rates.toml";

/// A rate, and whether it is only the placeholder that the program starts with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Rate {
    /// What one costs.
    pub each: Money,
    /// Whether nobody has set it.
    pub placeholder: bool,
}

/// What labour and freight cost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Rates {
    /// The currency as the file gives it; empty where it gives none.
    pub currency: String,
    /// The rates, in the order of [`KEYS`].
    pub amounts: [Rate; KEYS.len()],
    /// Where the currency stands.
    pub place: Place,
}

/// A key of `rates.toml`.
#[derive(Debug)]
pub struct Key {
    /// The section it stands in.
    pub section: &'static str,
    /// Its name.
    pub name: &'static str,
    /// What it is the price of.
    pub meaning: &'static str,
    /// The placeholder: made up, no fact about any market.
    pub placeholder: Money,
}

/// Which rate is meant; the number is its place in [`KEYS`].
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// One metre of cut.
    CutMetre,
    /// One piece cut, marked and bagged.
    CutPiece,
    /// One piece wrapped.
    WrapPiece,
    /// One tie.
    Tie,
    /// Freight of one pallet.
    Pallet,
}

const fn hundredths(cents: i64) -> Money {
    Money::from_cents(cents)
}

/// All keys.
pub const KEYS: [Key; 5] = [
    Key {
        section: "labour",
        name: "cut_metre",
        meaning: "cutting one metre, along straight lines and outlines alike",
        placeholder: hundredths(40),
    },
    Key {
        section: "labour",
        name: "cut_piece",
        meaning: "handling one piece at the table: laying out, marking, bagging",
        placeholder: hundredths(30),
    },
    Key {
        section: "labour",
        name: "wrap_piece",
        meaning: "wrapping one piece on site",
        placeholder: hundredths(200),
    },
    Key {
        section: "labour",
        name: "tie",
        meaning: "one tie, material and fastening",
        placeholder: hundredths(25),
    },
    Key {
        section: "freight",
        name: "pallet",
        meaning: "freight of one pallet; counted where rolls.csv says how many rolls go on one",
        placeholder: hundredths(0),
    },
];

impl Default for Rates {
    fn default() -> Self {
        let amounts = KEYS.map(|key| Rate { each: key.placeholder, placeholder: true });
        Self { currency: String::new(), amounts, place: Place::file(FILE) }
    }
}

impl Rates {
    /// One of the rates.
    #[must_use]
    pub const fn of(&self, kind: Kind) -> Rate {
        self.amounts[kind as usize]
    }

    /// A warning on the labour rates that nobody has set.
    #[must_use]
    pub fn remarks(&self) -> Findings {
        let mut findings = Findings::new();
        let unset: Vec<&str> = KEYS
            .iter()
            .zip(&self.amounts)
            .filter(|(key, rate)| rate.placeholder && key.placeholder > Money::ZERO)
            .map(|(key, _)| key.name)
            .collect();
        if !unset.is_empty() {
            let are = if unset.len() == 1 { "is a placeholder" } else { "are placeholders" };
            findings.push(Finding::new(
                &codes::PLACEHOLDER,
                Place::file(FILE),
                format!("{} in [labour] {are}, no facts", unset.join(", ")),
                "put your own rates into rates.toml; `rollwright rates` shows the file to fill in",
            ));
        }
        findings
    }
}

/// Reads `rates.toml`; `None` where any finding is an error. An empty file gives placeholders.
#[must_use]
pub fn read(file: &str, bytes: &[u8]) -> (Option<Rates>, Findings) {
    let mut findings = Findings::new();
    let settings = Settings::open(file, bytes, &mut findings);
    let remedy = |bare: Option<Bare>| match bare {
        // The currency alone is a text.
        Some(bare) if bare.key == "currency" => bare.remedy,
        Some(_) => {
            "write a plain number, such as `0.45`; the currency stands in `currency`".to_owned()
        }
        None => "write `[section]` or `key = value`, each on a line of its own, each key once"
            .to_owned(),
    };
    let document = settings.read(&codes::SYNTAX, remedy, &mut findings);
    let mut desk = Desk { settings: &settings, rates: Rates::default(), findings };
    if let Some(document) = document {
        desk.document(&document);
    }
    let Desk { rates, findings, .. } = desk;
    (if findings.has_errors() { None } else { Some(rates) }, findings)
}

struct Desk<'s> {
    settings: &'s Settings<'s>,
    rates: Rates,
    findings: Findings,
}

impl Desk<'_> {
    fn tell(
        &mut self,
        code: &'static Code,
        span: Range<usize>,
        key: &str,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        let place = self.settings.place(&span, key);
        self.findings.push(Finding::new(code, place, what, remedy));
    }

    fn document(&mut self, document: &DeTable<'_>) {
        for (name, value) in in_file_order(document) {
            let word: &str = name.get_ref();
            if word == "currency" {
                self.currency(value);
            } else if let Some(section) = KEYS.iter().find(|key| key.section == word) {
                match value.get_ref().as_table() {
                    Some(table) => self.section(section.section, table),
                    None => self.tell(
                        &codes::KEY_UNKNOWN,
                        name.span(),
                        word,
                        format!("{} is a section, not a key", quoted(word)),
                        format!("write [{word}] on a line of its own and its keys below it"),
                    ),
                }
            } else {
                let home = KEYS.iter().find(|key| key.name == word);
                let remedy = match (home, nearest(word, ["currency", "labour", "freight"])) {
                    (Some(key), _) => format!("put it below a line [{}]", key.section),
                    (None, Some(meant)) => format!("write `{meant}` if that is meant"),
                    (None, None) => "use currency, [labour] or [freight]".to_owned(),
                };
                let what = format!("{} is not known", quoted(word));
                self.tell(&codes::KEY_UNKNOWN, name.span(), word, what, remedy);
            }
        }
    }

    fn currency(&mut self, value: &Spanned<DeValue<'_>>) {
        let word = value.get_ref().as_str().map(str::trim).filter(|text| {
            (1..=12).contains(&text.chars().count())
                && !text.chars().any(|c| c.is_whitespace() || c.is_ascii_digit())
        });
        match word {
            Some(word) => {
                word.clone_into(&mut self.rates.currency);
                self.rates.place = self.settings.place(&value.span(), "currency");
            }
            None => self.tell(
                &codes::UNREAD,
                value.span(),
                "currency",
                "this is not a currency",
                "write a short word or sign between double quotes, such as \"EUR\"",
            ),
        }
    }

    fn section(&mut self, section: &'static str, table: &DeTable<'_>) {
        for (name, value) in in_file_order(table) {
            let word: &str = name.get_ref();
            let full = format!("{section}.{word}");
            let known = KEYS.iter().position(|key| key.section == section && key.name == word);
            let Some(at) = known else {
                let names = || KEYS.iter().filter(|k| k.section == section).map(|k| k.name);
                let remedy = match nearest(word, names()) {
                    Some(meant) => format!("write `{meant}` if that is meant"),
                    None => format!("use one of {}", names().collect::<Vec<_>>().join(", ")),
                };
                let what = format!("the key {} is not known in [{section}]", quoted(word));
                self.tell(&codes::KEY_UNKNOWN, name.span(), &full, what, remedy);
                continue;
            };
            match amount(value.get_ref()) {
                Ok(each) => self.rates.amounts[at] = Rate { each, placeholder: false },
                Err((code, what, remedy)) => self.tell(code, value.span(), &full, what, remedy),
            }
        }
    }
}

/// An amount of money that is not negative.
fn amount(value: &DeValue<'_>) -> Result<Money, (&'static Code, String, &'static str)> {
    const REMEDY: &str = "write a plain number such as 0.45, without a currency sign or commas";
    let text = match value {
        DeValue::Integer(number) if number.radix() == 10 => number.as_str().replace('_', ""),
        DeValue::Float(number) => number.as_str().replace('_', ""),
        DeValue::String(text) => text.trim().to_owned(),
        _ => return Err((&codes::UNREAD, "this is not a rate".to_owned(), REMEDY)),
    };
    let money = Money::parse(&text).map_err(|error| {
        let comma = matches!(error, UnitError::Comma(_));
        let why = if comma { " has a comma" } else { " is not a rate" };
        (&codes::UNREAD, format!("{}{why}", quoted(&text)), REMEDY)
    })?;
    if money < Money::ZERO {
        let what = format!("the rate {} is negative", quoted(&text));
        return Err((&codes::RANGE, what, "give a rate of 0 or more"));
    }
    Ok(money)
}

/// The file to fill in, with the placeholders as comments.
#[must_use]
pub fn template() -> String {
    let mut out = String::from(
        "# Rates of the shop and the crew. The figures below are placeholders, made up, no facts:\n\
         # take the # away and put your own in.\n\n# currency = \"EUR\"\n",
    );
    let mut section = "";
    for key in &KEYS {
        if key.section != section {
            section = key.section;
            let _ = write!(out, "\n[{section}]\n");
        }
        let cents = key.placeholder.cents();
        let _ = write!(out, "# {} = {cents}\n#     {}\n", key.name, key.meaning);
    }
    out
}
