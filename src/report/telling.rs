//! How people are told what is computed in millimetres: sentences, tables and findings in the papers' measure.
//!
//! Everything is made in millimetres and square metres first, so files for machines and the audit know no other unit;
//! what a person reads goes through here last. Thicknesses are names of products and stay.

use super::table::{Cell, SQUARE_FOOT_NM2, Table, square_feet};
use crate::finding::{Finding, Findings};
use crate::stock::{Offcut, Roll};
use crate::takeoff::Item;
use crate::units::{Length, Measure, SQUARE_FOOT};
use std::collections::BTreeSet;

/// A measure, and what is called by lengths and stays as it is called: thicknesses, and names such as `Spool 12 m`.
#[derive(Clone, Debug, Default)]
pub struct Telling {
    measure: Measure,
    thicknesses: Vec<Length>,
    names: Vec<String>,
}

/// Headings that name a unit, and what they are in feet and inches.
const HEADINGS: [(&str, &str); 21] = [
    ("m2", "ft2"),
    ("area m2", "area ft2"),
    ("plain area m2", "plain area ft2"),
    ("area of one m2", "area of one ft2"),
    ("taken of the rolls m2", "taken of the rolls ft2"),
    ("reserve m2", "reserve ft2"),
    ("saves m2", "saves ft2"),
    ("cut m2", "cut ft2"),
    ("between m2", "between ft2"),
    ("width mm", "width in"),
    ("length mm", "length in"),
    ("pull length mm", "pull length in"),
    ("diameter under mm", "diameter under in"),
    ("measured mm", "measured in"),
    ("fitted mm", "fitted in"),
    ("off by mm", "off by in"),
    ("spread mm", "spread in"),
    ("changes each ring by mm", "changes each ring by in"),
    ("pieces m2 by the rules", "pieces ft2 by the rules"),
    ("pieces m2 as fitted", "pieces ft2 as fitted"),
    ("change m2", "change ft2"),
];

impl Telling {
    /// In a measure, of what is cut from a stock.
    #[must_use]
    pub fn new(measure: Measure, rolls: &[Roll], offcuts: &[Offcut]) -> Self {
        let names = rolls.iter().map(|roll| roll.id.as_str());
        let names = names.chain(offcuts.iter().flat_map(|o| [o.id.as_str(), o.shelf.as_str()]));
        let thicknesses = rolls.iter().map(|roll| roll.thickness);
        let thicknesses = thicknesses.chain(offcuts.iter().map(|offcut| offcut.thickness));
        Self::of(measure, thicknesses).knowing(names)
    }

    /// Knowing the items of a takeoff, their areas and lines.
    #[must_use]
    pub fn knowing_items<'i>(self, items: impl Iterator<Item = &'i Item>) -> Self {
        self.knowing(items.flat_map(|item| [item.id.as_str(), &item.area, &item.line]))
    }

    /// Knowing these names; kept are those that would be taken for lengths.
    fn knowing<'n>(mut self, names: impl Iterator<Item = &'n str>) -> Self {
        if self.measure == Measure::Millimetres {
            return self;
        }
        let is_length = |name: &&str| {
            let text = format!("of {name}");
            self.measure.in_text(&text) != text
        };
        let names = names.filter(is_length);
        let known = std::mem::take(&mut self.names);
        let names: BTreeSet<String> = names.map(str::to_owned).chain(known).collect();
        self.names = names.into_iter().collect();
        // A name may be the beginning of another.
        self.names.sort_by_key(|name| std::cmp::Reverse(name.len()));
        self.names.truncate(NAMES);
        self
    }

    /// A text with a sign of its own in the place of each name, and which names they stand for.
    fn without_names(&self, text: &str) -> (String, Vec<(char, &str)>) {
        let mut text = text.to_owned();
        let mut found = Vec::new();
        let is_part = |c: Option<char>| c.is_some_and(char::is_alphanumeric);
        for (number, name) in self.names.iter().enumerate() {
            let mut from = 0;
            while let Some(at) = text[from..].find(name.as_str()).map(|at| from + at) {
                let end = at + name.len();
                from = end;
                if is_part(text[..at].chars().next_back()) || is_part(text[end..].chars().next()) {
                    continue;
                }
                let sign = sign(number);
                text.replace_range(at..end, sign.encode_utf8(&mut [0; 4]));
                from = at + sign.len_utf8();
                found.push((sign, name.as_str()));
            }
        }
        (text, found)
    }

    /// Of these thicknesses.
    #[must_use]
    pub fn of(measure: Measure, thicknesses: impl Iterator<Item = Length>) -> Self {
        let thicknesses: BTreeSet<Length> = thicknesses.collect();
        Self { measure, thicknesses: thicknesses.into_iter().collect(), names: Vec::new() }
    }

    /// Square nanometres of the finest step in which areas are shown to people: a hundredth of a square metre, or a tenth of
    /// a square foot.
    #[must_use]
    pub const fn area_step(&self) -> i128 {
        match self.measure {
            Measure::Millimetres => 10_000_000_000_000_000,
            _ => SQUARE_FOOT_NM2 / 10,
        }
    }

    /// An area for an axis: in square metres, or in square feet.
    #[must_use]
    pub fn area(&self, square_metres: f64) -> f64 {
        match self.measure {
            Measure::Millimetres => square_metres,
            _ => square_metres / SQUARE_FOOT,
        }
    }

    /// The unit of [`Telling::area`].
    #[must_use]
    pub const fn area_unit(&self) -> &'static str {
        match self.measure {
            Measure::Millimetres => "m²",
            _ => "ft²",
        }
    }

    /// A sentence; no fraction is held together by a space that is none.
    #[must_use]
    pub fn text(&self, text: &str) -> String {
        if self.measure == Measure::Millimetres {
            return text.to_owned();
        }
        let (text, names) = self.without_names(text);
        let mut told = self.measure.told(&text, &self.thicknesses).replace('\u{a0}', " ");
        for (sign, name) in names {
            told = told.replace(sign, name);
        }
        told
    }

    /// Findings: what they say and what is to be done.
    #[must_use]
    pub fn findings(&self, findings: &Findings) -> Findings {
        let mut told = findings.clone();
        if self.measure != Measure::Millimetres {
            told.reword(|finding| Finding {
                what: self.text(&finding.what),
                remedy: self.text(&finding.remedy),
                ..finding
            });
        }
        told
    }

    /// A table for people: columns and rows that name their unit, and what words say.
    #[must_use]
    pub fn table(&self, mut table: Table) -> Table {
        if self.measure == Measure::Millimetres {
            return table;
        }
        let mut units: Vec<Option<Unit>> = vec![None; table.headings.len()];
        for (heading, unit) in table.headings.iter_mut().zip(&mut units) {
            if let Some((metric, told)) = HEADINGS.iter().find(|(metric, _)| metric == heading) {
                (*heading, *unit) = (told, Unit::in_heading(metric));
            }
        }
        for row in &mut table.rows {
            // Where the unit stands in the first cell, it is that of the whole row.
            let of_row = row.first().and_then(Unit::of_row);
            for (at, cell) in row.iter_mut().enumerate() {
                *cell = self.cell(cell, of_row.or(units[at]));
            }
            if let (Some(unit), Some(Cell::Text(text))) = (of_row, row.first_mut()) {
                let bare = text.len() - unit.metric().len();
                text.replace_range(bare.., unit.told());
            }
        }
        table
    }

    /// Millimetres as they are written: with a sign, as differences are, in thousandths of an inch.
    fn inches(&self, number: &str) -> String {
        match (Length::parse(number), number.parse::<f64>()) {
            (Ok(length), _) if !number.starts_with(['+', '-']) => {
                self.measure.words(length).replace('\u{a0}', " ")
            }
            (_, Ok(mm)) => format!("{:+.3}", mm / 25.4),
            _ => number.to_owned(),
        }
    }

    fn cell(&self, cell: &Cell, unit: Option<Unit>) -> Cell {
        match (cell, unit) {
            (Cell::Text(text), _) => Cell::Text(self.text(text)),
            (Cell::SquareMetres(area), Some(Unit::SquareMetres)) => {
                Cell::Number(square_feet(*area, 1))
            }
            (Cell::Number(number), Some(Unit::SquareMetres)) => {
                Cell::Number(square_feet_of(number).unwrap_or_else(|| number.clone()))
            }
            (Cell::Millimetres(length), Some(Unit::Millimetres)) => {
                Cell::Number(self.measure.words(*length).replace('\u{a0}', " "))
            }
            (Cell::Number(number), Some(Unit::Millimetres)) => Cell::Number(self.inches(number)),
            (other, _) => other.clone(),
        }
    }
}

/// Names that are looked for, at most: as many as there are signs for private use (Unicode 15, E000 to F8FF).
const NAMES: usize = 6400;

/// The sign that stands in the place of a name.
fn sign(number: usize) -> char {
    let number = u32::try_from(number).unwrap_or(0);
    char::from_u32(0xE000 + number).unwrap_or(char::REPLACEMENT_CHARACTER)
}

/// A unit that a heading names.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Unit {
    SquareMetres,
    Millimetres,
}

impl Unit {
    /// The unit that a heading names.
    fn in_heading(heading: &str) -> Option<Self> {
        heading.split(' ').find_map(|word| match word {
            "m2" => Some(Self::SquareMetres),
            "mm" => Some(Self::Millimetres),
            _ => None,
        })
    }

    /// The unit of a row whose first cell ends with it, behind a comma.
    fn of_row(first: &Cell) -> Option<Self> {
        let Cell::Text(text) = first else { return None };
        text.ends_with(", m2").then_some(Self::SquareMetres)
    }

    const fn metric(self) -> &'static str {
        match self {
            Self::SquareMetres => "m2",
            Self::Millimetres => "mm",
        }
    }

    const fn told(self) -> &'static str {
        match self {
            Self::SquareMetres => "ft2",
            Self::Millimetres => "in",
        }
    }
}

/// Square metres as they are written, with a sign or without, in square feet: with a decimal less, as a tenth of a square
/// foot is about a hundredth of a square metre.
fn square_feet_of(number: &str) -> Option<String> {
    let places = number.split_once('.').map_or(0, |(_, behind)| behind.len().saturating_sub(1));
    let sign = if number.starts_with('+') { "+" } else { "" };
    let feet = number.parse::<f64>().ok()? / SQUARE_FOOT;
    Some(format!("{sign}{feet:.places$}"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::finding::Place;
    use crate::finding::codes::job::MISNAMED;
    use crate::units::Area;

    fn inches() -> Telling {
        Telling::of(Measure::Inches, [Length::from_mm(10)].into_iter())
    }

    /// A square foot has 0.09290304 square metres.
    #[test]
    fn tables_are_told_in_feet_and_inches() {
        let mut table =
            Table::new(&["what", "area m2", "width mm", "thickness mm", "price", "off by mm"]);
        let area = Area::from_nm2(92_903_040_000_000_000 * 3);
        table.push(vec![
            Cell::text("50.8 x 25.4 mm of 10 mm"),
            Cell::SquareMetres(area),
            Cell::Millimetres(Length::from_nm(38_100_000)),
            Cell::Millimetres(Length::from_mm(10)),
            Cell::Number("+1.50".to_owned()),
            Cell::Number("-2.54".to_owned()),
        ]);
        table.push(vec![
            Cell::text("10 mm: drawn off, m2"),
            Cell::Empty,
            Cell::Empty,
            Cell::Number("+9.29".to_owned()),
            Cell::Number("1".to_owned()),
            Cell::Empty,
        ]);
        let told = inches().table(table.clone());
        let headings = ["what", "area ft2", "width in", "thickness mm", "price", "off by in"];
        assert_eq!(told.headings, headings);
        let plain = |row: usize| told.rows[row].iter().map(Cell::plain).collect::<Vec<_>>();
        assert_eq!(plain(0), ["2 x 1 in of 10 mm", "3.0", "1 1/2", "10", "+1.50", "-0.100"]);
        assert_eq!(plain(1), ["10 mm: drawn off, ft2", "", "", "+100.0", "11", ""]);
        assert_eq!(Telling::default().table(table.clone()), table);
    }

    /// Shops call products, items and lines by their lengths.
    #[test]
    fn names_are_told_as_they_are() {
        let names = ["Felt 40 m", "Felt 40 m-1", "Spool 12 m", "B-7", "5 m"];
        let telling = inches().knowing(names.into_iter());
        assert_eq!(telling.names, ["Spool 12 m", "Felt 40 m", "5 m"]);
        let told = telling.text(
            "Spool 12 m: 25.4 mm of Felt 40 m, Felt 40 m-1 and 15 m of B-7 wait for Felt 40 m.",
        );
        let expected =
            "Spool 12 m: 1 in of Felt 40 m, Felt 40 m-1 and 49 ft of B-7 wait for Felt 40 m.";
        assert_eq!(told, expected);
    }

    #[test]
    fn findings_keep_their_place_and_code() {
        let mut findings = Findings::new();
        let place = Place::line("takeoff.csv", 3);
        findings.push(Finding::new(&MISNAMED, place, "only 25.4 mm long", "write `25.4 mm`"));
        let told = inches().findings(&findings);
        let first = told.iter().next().unwrap();
        assert_eq!((&*first.what, &*first.remedy), ("only 1 in long", "write `25.4 mm`"));
        assert_eq!(first.place.line, Some(3));
        assert_eq!(Telling::default().findings(&findings), findings);
    }
}
