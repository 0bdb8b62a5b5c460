//! Cells as values: lengths, whole numbers, words. Whatever is wrong is told with the codes of the
//! room that asks.

use super::cell::{Cell, quoted};
use super::header::Column;
use super::{nearest, slip, units};
use crate::finding::codes::{Code, files};
use crate::finding::{Finding, Findings};
use crate::units::{Length, Money, UnitError, parse_decimal};
use std::ops::RangeInclusive;

/// The codes with which a room tells what is wrong with a value.
#[derive(Clone, Copy, Debug)]
pub struct Codes {
    /// Nothing where something is needed.
    pub missing: &'static Code,
    /// Not readable as what it should be.
    pub unread: &'static Code,
    /// Readable, but too small or too large.
    pub range: &'static Code,
}

/// A room's codes and the list that its findings go to.
#[derive(Debug)]
pub struct Reader<'f> {
    codes: Codes,
    /// What was found so far.
    pub findings: &'f mut Findings,
}

/// What a count is.
const WHOLE: &str = "a whole number";

impl<'f> Reader<'f> {
    /// A reader that tells its findings to this list.
    pub const fn new(codes: Codes, findings: &'f mut Findings) -> Self {
        Self { codes, findings }
    }

    /// Tells a finding on a cell.
    pub fn tell(
        &mut self,
        code: &'static Code,
        cell: &Cell<'_>,
        what: impl Into<String>,
        remedy: impl Into<String>,
    ) {
        self.findings.push(Finding::new(code, cell.place(), what, remedy));
    }

    /// The text of a cell that may not be empty.
    pub fn text<'t>(&mut self, cell: &Cell<'t>) -> Option<&'t str> {
        if cell.is_empty() {
            let Column { name, form, example, .. } = *cell.column;
            let remedy = format!("fill in a {form}, such as `{example}`");
            self.tell(self.codes.missing, cell, format!("there is no `{name}`"), remedy);
            return None;
        }
        Some(cell.text)
    }

    /// A name: not empty and at most [`LONGEST_NAME`] characters.
    pub fn name<'t>(&mut self, cell: &Cell<'t>) -> Option<&'t str> {
        let text = self.text(cell)?;
        if text.chars().count() > LONGEST_NAME {
            let what = format!("the name {} is too long for a label", quoted(text));
            self.tell(self.codes.range, cell, what, format!("use at most {LONGEST_NAME} letters"));
            return None;
        }
        Some(text)
    }

    /// A length in a range.
    pub fn length(&mut self, cell: &Cell<'_>, range: &RangeInclusive<Length>) -> Option<Length> {
        let text = self.text(cell)?;
        let length = Length::parse(text).map_err(|error| match error {
            // Words without a number are no unit that somebody misspelt.
            UnitError::UnknownUnit(_) if !text.contains(|sign: char| sign.is_ascii_digit()) => {
                UnitError::NotANumber(text.to_owned())
            }
            other => other,
        });
        let length = self.read(cell, length, "a length", LENGTH_REMEDY)?;
        self.tell_overfull(cell, length);
        let limits = format!("from {} to {}", shown(*range.start()), shown(*range.end()));
        let meant = || units::meant(text, range);
        let (small, large) = (length < *range.start(), length > *range.end());
        self.within(cell, (small, large), &limits, meant).then_some(length)
    }

    /// Tells a length of two units of which the smaller comes to one of the larger or more: it is read as
    /// it stands, and most often a digit is wrong.
    pub fn tell_overfull(&mut self, cell: &Cell<'_>, length: Length) {
        if Length::is_overfull(cell.text) {
            let what = format!(
                "{} is read as {length} mm, though one of its parts comes to the unit before it or more",
                quoted(cell.text)
            );
            let remedy =
                "check the digits (12 in are 1 ft, 100 cm are 1 m); leave it if it is right";
            self.tell(&files::OVERFULL, cell, what, remedy);
        }
    }

    /// A whole number in a range.
    pub fn count(&mut self, cell: &Cell<'_>, range: &RangeInclusive<u64>) -> Option<u64> {
        let text = self.text(cell)?;
        let number =
            self.read(cell, parse_decimal(text, 0), WHOLE, "write a whole number, such as `4`")?;
        let limits = format!("from {} to {}", range.start(), range.end());
        let value = u64::try_from(number).unwrap_or(0);
        let small = number < 0 || value < *range.start();
        self.within(cell, (small, value > *range.end()), &limits, || None).then_some(value)
    }

    /// An amount of money, not negative.
    pub fn money(&mut self, cell: &Cell<'_>) -> Option<Money> {
        let text = self.text(cell)?;
        let remedy = "write a plain number such as `310.50`, without a currency sign";
        let read = Money::parse(text);
        if read == Err(UnitError::TooMuch) {
            let what = format!("{} is a larger amount than is counted here", quoted(text));
            let remedy = format!("check the digits; an amount is at most {}", Money::LIMIT);
            self.tell(self.codes.range, cell, what, remedy);
            return None;
        }
        let money = self.read(cell, read, "an amount of money", remedy)?;
        self.within(cell, (money < Money::ZERO, false), "of 0 or more", || None).then_some(money)
    }

    /// One of some words, in any case.
    pub fn word<T: Copy>(&mut self, cell: &Cell<'_>, words: &[(&'static str, T)]) -> Option<T> {
        self.word_or(cell, words, |_| None)
    }

    /// One of some words, in any case; `meant` knows which of them others mean that people use for it.
    pub fn word_or<T: Copy>(
        &mut self,
        cell: &Cell<'_>,
        words: &[(&'static str, T)],
        meant: impl FnOnce(&str) -> Option<&'static str>,
    ) -> Option<T> {
        let list: Vec<String> = words.iter().map(|(word, _)| format!("`{word}`")).collect();
        if cell.is_empty() {
            let what = format!("there is no `{}`", cell.name());
            self.tell(
                self.codes.missing,
                cell,
                what,
                format!("fill in one of {}", list.join(", ")),
            );
            return None;
        }
        let text = cell.text;
        if let Some((_, meant)) = words.iter().find(|(word, _)| text.eq_ignore_ascii_case(word)) {
            return Some(*meant);
        }
        let near = || nearest(text, words.iter().map(|(word, _)| *word));
        let remedy = match meant(&text.to_lowercase()).or_else(near) {
            Some(word) => {
                format!("write `{word}` if that is meant, else one of {}", list.join(", "))
            }
            None => format!("write one of {}", list.join(", ")),
        };
        let what = format!("{} is not known as `{}`", quoted(text), cell.name());
        self.tell(self.codes.unread, cell, what, remedy);
        None
    }

    /// A value that was read, or a finding that says why it could not be.
    pub fn read<T>(
        &mut self,
        cell: &Cell<'_>,
        value: Result<T, UnitError>,
        form: &str,
        remedy: &str,
    ) -> Option<T> {
        value
            .map_err(|error| {
                if let Some((why, remedy)) = slip::of(cell.text) {
                    let what = format!("{} is not {form}: {why}", quoted(cell.text));
                    self.tell(self.codes.unread, cell, what, remedy);
                    return;
                }
                let what = match &error {
                    // These say no more than the sentence itself.
                    UnitError::NotANumber(_) | UnitError::Empty => {
                        format!("{} is not {form}", quoted(cell.text))
                    }
                    UnitError::TooFine(_) if form == WHOLE => {
                        format!("{} is not {form}", quoted(cell.text))
                    }
                    UnitError::Comma(_) => format!("{} has a comma", quoted(cell.text)),
                    _ => format!("{} is not {form}: {error}", quoted(cell.text)),
                };
                self.tell(self.codes.unread, cell, what, remedy);
            })
            .ok()
    }

    /// Whether a value is neither too small nor too large; tells it where it is, with what was likely meant.
    fn within(
        &mut self,
        cell: &Cell<'_>,
        (small, large): (bool, bool),
        limits: &str,
        meant: impl FnOnce() -> Option<String>,
    ) -> bool {
        if small || large {
            let what = if small { "small" } else { "large" };
            let what = format!("{} is too {what}", quoted(cell.text));
            let remedy = meant().map_or_else(
                || format!("give a value {limits}"),
                |meant| format!("{meant}, else give a value {limits}"),
            );
            self.tell(self.codes.range, cell, what, remedy);
        }
        !(small || large)
    }
}

/// A length for people: metres where it is long and whole.
fn shown(length: Length) -> String {
    let metre = Length::from_mm(1000);
    let metres = length.nm() / metre.nm();
    if metres >= 10 && metre * metres == length {
        format!("{metres} m")
    } else {
        format!("{length} mm")
    }
}

/// The longest name, in characters: what a label of one line holds.
pub const LONGEST_NAME: usize = 60;

/// How to write a length.
pub const LENGTH_REMEDY: &str = "write millimetres as a plain number, or a number with mm, cm, m, in or ft, with a decimal \
     point, such as `2400`, `2.4 m` or `7 ft 6 1/2 in`";
