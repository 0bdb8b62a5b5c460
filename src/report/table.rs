//! A table, made once and written as CSV for spreadsheets or as aligned text for people.

use super::text::{harmless, visible};
use crate::units::{Area, Length, Measure, Money};

/// One value of a table.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cell {
    /// Nothing known.
    Empty,
    /// Words.
    Text(String),
    /// A count.
    Count(u64),
    /// A length, in millimetres.
    Millimetres(Length),
    /// An area, in square metres to six decimals.
    SquareMetres(Area),
    /// Any other number, written out.
    Number(String),
    /// An amount of money.
    Money(Money),
    /// What one of something costs, as it was given.
    Rate(Money),
}

impl Cell {
    /// Words.
    pub fn text(text: impl Into<String>) -> Self {
        Self::Text(text.into())
    }

    /// The value in figures, or the words as they are.
    #[must_use]
    pub fn plain(&self) -> String {
        match self {
            Self::Empty => String::new(),
            Self::Text(text) | Self::Number(text) => text.clone(),
            Self::Count(count) => count.to_string(),
            Self::Millimetres(length) => length.to_string(),
            Self::SquareMetres(area) => square_metres(*area, 6),
            Self::Money(money) => money.cents(),
            Self::Rate(each) => each.exact(),
        }
    }

    /// As [`Cell::plain`], with areas to a hundredth of a square metre: for people.
    #[must_use]
    pub fn rounded(&self) -> String {
        match self {
            Self::SquareMetres(area) => square_metres(*area, 2),
            other => other.plain(),
        }
    }

    /// Whether it is a number, which people like to see aligned to the right.
    #[must_use]
    pub const fn is_number(&self) -> bool {
        !matches!(self, Self::Empty | Self::Text(_))
    }
}

/// An area in square metres with so many decimals (at most 12), rounded half away from zero.
#[must_use]
pub fn square_metres(area: Area, places: u32) -> String {
    let places = places.min(12);
    decimals(area.nm2(), 10_i128.pow(18 - places), places)
}

/// Square nanometres of a square foot (of 304.8 mm).
pub(super) const SQUARE_FOOT_NM2: i128 = 304_800_000 * 304_800_000;

/// An area in square feet (of 304.8 mm) with so many decimals (at most 12), rounded half away from zero.
#[must_use]
pub fn square_feet(area: Area, places: u32) -> String {
    let places = places.min(12);
    decimals(area.nm2() * 10_i128.pow(places), SQUARE_FOOT_NM2, places)
}

/// The area of a piece in the papers' measure, and the heading above it: square metres to four decimals, square feet
/// (of 304.8 mm) to three.
#[must_use]
pub fn area_of_one(area: Area, measure: Measure) -> (&'static str, String) {
    match measure {
        Measure::Millimetres => ("area m2", square_metres(area, 4)),
        Measure::Inches | Measure::RoundedInches => ("area ft2", square_feet(area, 3)),
    }
}

/// A number of steps, each one in the last of so many decimals, rounded half away from zero.
fn decimals(all: i128, step: i128, places: u32) -> String {
    let half = if all < 0 { -step / 2 } else { step / 2 };
    let steps = (all + half) / step;
    let sign = if steps < 0 { "-" } else { "" };
    let scale = 10_u128.pow(places);
    let steps = steps.unsigned_abs();
    if places == 0 {
        return format!("{sign}{steps}");
    }
    let width = places as usize;
    format!("{sign}{}.{:0width$}", steps / scale, steps % scale)
}

/// Rows under headings; a heading names its unit.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Table {
    /// The headings.
    pub headings: Vec<&'static str>,
    /// The rows, each as long as the headings.
    pub rows: Vec<Vec<Cell>>,
}

impl Table {
    /// No rows yet.
    #[must_use]
    pub fn new(headings: &[&'static str]) -> Self {
        Self { headings: headings.to_vec(), rows: Vec::new() }
    }

    /// Adds a row.
    pub fn push(&mut self, row: Vec<Cell>) {
        debug_assert_eq!(row.len(), self.headings.len(), "a row must fit its headings");
        self.rows.push(row);
    }

    /// With areas as people read them, to a hundredth of a square metre.
    #[must_use]
    pub fn rounded(mut self) -> Self {
        for cell in self.rows.iter_mut().flatten() {
            if let Cell::SquareMetres(_) = cell {
                *cell = Cell::Number(cell.rounded());
            }
        }
        self
    }

    /// With one column more, the same word in every row; nothing where it is empty.
    #[must_use]
    pub fn with(mut self, heading: &'static str, word: &str) -> Self {
        self.headings.push(heading);
        for row in &mut self.rows {
            row.push(if word.is_empty() { Cell::Empty } else { Cell::text(word) });
        }
        self
    }

    /// Whether a column holds numbers and no words.
    #[must_use]
    pub fn in_figures(&self, column: usize) -> bool {
        let cells = || self.rows.iter().filter_map(|row| row.get(column));
        cells().any(Cell::is_number) && cells().all(|cell| !matches!(cell, Cell::Text(_)))
    }

    /// As CSV: UTF-8, a comma between fields, a point in decimals, one line a row; words are
    /// quoted and never start a formula.
    #[must_use]
    pub fn csv(&self) -> Vec<u8> {
        let mut out = String::new();
        write_row(&mut out, self.headings.iter().map(|h| quoted(h)));
        for row in &self.rows {
            write_row(
                &mut out,
                row.iter().map(|cell| match cell {
                    Cell::Text(text) => quoted(text),
                    other => other.plain(),
                }),
            );
        }
        out.into_bytes()
    }

    /// As JSON: an array with one object a row, the headings its keys; numbers are numbers.
    #[must_use]
    pub fn json(&self) -> serde_json::Value {
        let value = |cell: &Cell| match cell {
            Cell::Empty => serde_json::Value::Null,
            cell if cell.is_number() => {
                let plain = cell.plain();
                let bare = plain.strip_prefix('+').unwrap_or(&plain);
                serde_json::from_str(bare).unwrap_or(serde_json::Value::String(plain))
            }
            cell => serde_json::Value::String(cell.plain()),
        };
        let row = |row: &Vec<Cell>| -> serde_json::Value {
            let keys = self.headings.iter().map(|heading| (*heading).to_owned());
            serde_json::Value::Object(keys.zip(row.iter().map(value)).collect())
        };
        self.rows.iter().map(row).collect()
    }

    /// As text in columns, for a terminal. Where that is wider than [`WIDE`], headings and long words stand
    /// on several lines.
    #[must_use]
    pub fn aligned(&self) -> String {
        let right: Vec<bool> = (0..self.headings.len()).map(|at| self.in_figures(at)).collect();
        let whole = |text: &str, _: usize| vec![text.to_owned()];
        let out = self.laid(&right, whole);
        let wide = |line: &str| line.chars().count() > WIDE;
        if !out.lines().any(wide) {
            return out;
        }
        let words =
            |at: usize| self.rows.iter().filter_map(move |row| row.get(at)).map(Cell::plain);
        let most: Vec<usize> = (0..self.headings.len())
            .map(|at| {
                let longest = || words(at).map(|text| text.chars().count()).max();
                if right[at] { longest().unwrap_or(0) } else { MANY }
            })
            .collect();
        self.laid(&right, |text, at| broken(text, most[at]))
    }

    /// In columns, each cell on as many lines as `broken` makes of it.
    fn laid(&self, right: &[bool], broken: impl Fn(&str, usize) -> Vec<String>) -> String {
        let cut = |(at, text): (usize, String)| broken(&text, at);
        let mut rows: Vec<Vec<Vec<String>>> = Vec::with_capacity(self.rows.len() + 1);
        rows.push(self.headings.iter().map(|&h| h.to_owned()).enumerate().map(cut).collect());
        rows.extend(self.rows.iter().map(|row| {
            row.iter().map(|cell| visible(&cell.plain())).enumerate().map(cut).collect()
        }));
        let count = |text: &str| text.chars().count();
        let mut widths = vec![0; self.headings.len()];
        for cells in &rows {
            for (width, cell) in widths.iter_mut().zip(cells) {
                *width = cell.iter().map(|line| count(line)).fold(*width, usize::max);
            }
        }
        let mut out = String::new();
        for cells in &rows {
            let lines = cells.iter().map(Vec::len).max().unwrap_or(0);
            for line in 0..lines {
                let mut text = String::new();
                for (at, cell) in cells.iter().enumerate() {
                    let word = cell.get(line).map_or("", String::as_str);
                    let pad = " ".repeat(widths[at] - count(word));
                    text.push_str(if at == 0 { "" } else { "  " });
                    let parts = if right[at] { [&pad, word] } else { [word, &pad] };
                    text.extend(parts);
                }
                text.truncate(text.trim_end().len());
                text.push('\n');
                out.push_str(&text);
            }
        }
        out
    }
}

/// Tables wider than this are told with headings and words on several lines.
const WIDE: usize = 100;
/// Words wider than this stand on several lines then.
const MANY: usize = 18;

/// A text on lines of at most `most` letters where its words allow it.
fn broken(text: &str, most: usize) -> Vec<String> {
    let mut lines = vec![String::new()];
    for word in text.split(' ') {
        let Some(last) = lines.last_mut() else { break };
        if last.is_empty() {
            last.push_str(word);
        } else if last.chars().count() + 1 + word.chars().count() <= most {
            last.push(' ');
            last.push_str(word);
        } else {
            lines.push(word.to_owned());
        }
    }
    lines
}

fn write_row(out: &mut String, fields: impl Iterator<Item = String>) {
    for (at, field) in fields.enumerate() {
        if at > 0 {
            out.push(',');
        }
        out.push_str(&field);
    }
    out.push_str("\r\n");
}

/// Words between double quotes, those inside doubled (RFC 4180), made harmless.
fn quoted(text: &str) -> String {
    if text.is_empty() {
        return String::new();
    }
    format!("\"{}\"", harmless(text).replace('"', "\"\""))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn example() -> Table {
        let mut table = Table::new(&["item", "quantity", "width mm", "area m2"]);
        let area = Area::of_rectangle(Length::from_mm(600), Length::from_mm(1_001));
        table.push(vec![
            Cell::text("=cmd(\"x\")"),
            Cell::Count(3),
            Cell::Millimetres(Length::from_nm(600_500_000)),
            Cell::SquareMetres(area),
        ]);
        table.push(vec![Cell::text("P-1"), Cell::Count(12), Cell::Empty, Cell::Empty]);
        table
    }

    #[test]
    fn csv_reads_back_with_the_csv_crate() {
        let bytes = example().csv();
        let mut reader = csv::Reader::from_reader(bytes.as_slice());
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert_eq!(rows[0], vec!["'=cmd(\"x\")", "3", "600.5", "0.600600"]);
        assert_eq!(rows[1], vec!["P-1", "12", "", ""]);
        assert_eq!(reader.headers().unwrap(), vec!["item", "quantity", "width mm", "area m2"]);
    }

    #[test]
    fn numbers_stand_to_the_right() {
        let text = example().aligned();
        let lines: Vec<&str> = text.lines().collect();
        assert_eq!(lines[0], "item       quantity  width mm   area m2");
        assert_eq!(lines[1], "=cmd(\"x\")         3     600.5  0.600600");
        assert_eq!(lines[2], "P-1              12");
    }

    #[test]
    fn a_wide_table_has_its_words_on_several_lines() {
        let headings =
            ["what is counted", "taken by all items alike", "wanted", "by the rules of it"];
        let mut table = Table::new(&headings);
        let words =
            "words that go on and on, and on, and on, and on, and on, until nobody reads them";
        table.push(vec![Cell::text(words), Cell::Count(3), Cell::Count(12), Cell::text("none")]);
        let text = table.aligned();
        assert!(text.lines().all(|line| line.chars().count() <= 60), "{text}");
        let flat = |text: &str| text.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        for word in headings.iter().copied().chain([words]).flat_map(flat) {
            assert!(text.contains(&word), "{word}: {text}");
        }
        assert!(text.lines().any(|line| line.contains(" 3 ") && line.contains("12")), "{text}");
    }

    #[test]
    fn areas_are_rounded_half_away_from_zero() {
        let area = |nm2| Area::from_nm2(nm2);
        assert_eq!(square_metres(area(1_500_000_000_000_000_000), 0), "2");
        assert_eq!(square_metres(area(1_005_000_000_000_000_000), 2), "1.01");
        assert_eq!(square_metres(area(-1_005_000_000_000_000_000), 2), "-1.01");
        assert_eq!(square_metres(area(0), 2), "0.00");
    }
}
