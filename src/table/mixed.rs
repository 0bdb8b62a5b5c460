//! Lengths without a unit in a column whose others are in inches or feet.
//!
//! A bare number is millimetres. Whoever writes `7 ft 6 in` on most lines and `240` on one most likely means inches
//! there, and nothing else would tell: 240 mm of pipe can be wrapped.

use super::header::Column;
use super::origin::Origin;
use super::quoted;
use super::units::is_bare;
use crate::finding::codes::files;
use crate::finding::{Finding, Findings};
use crate::units::Length;
use csv::StringRecord;

/// Whether a length is in inches or feet: not bare, and all metric units end with an `m`.
fn is_in_inches(text: &str) -> bool {
    !is_bare(text) && !text.to_lowercase().ends_with('m') && is_length(text)
}

/// Whether a cell holds some length.
fn is_length(text: &str) -> bool {
    Length::parse(text).is_ok_and(Length::is_positive)
}

/// Tells columns of lengths in which both stand, each at the first without a unit. A thickness is left out: the
/// blanket's is a name, and may be written as one.
pub(super) fn tell(
    (origin, columns): (&Origin, &'static [Column]),
    at: &[Option<usize>],
    records: &[(u64, StringRecord)],
    findings: &mut Findings,
) {
    let lengths = columns.iter().zip(at).filter_map(|(column, at)| Some((column, (*at)?)));
    for (column, at) in lengths.filter(|(c, _)| c.form == "length" && c.name != "thickness") {
        let cells =
            || records.iter().map(|(line, record)| (*line, record.get(at).unwrap_or("").trim()));
        let Some((with, marked)) = cells().find(|(_, text)| is_in_inches(text)) else { continue };
        let mut bare = cells().filter(|(_, text)| is_bare(text) && is_length(text));
        let Some((line, text)) = bare.next() else { continue };
        let more = match bare.count() {
            0 => String::new(),
            1 => "; so is 1 cell more of this column".to_owned(),
            more => format!("; so are {more} cells more of this column"),
        };
        let place = origin.line(line).field(column.name, Some(at as u64 + 1));
        let what = format!(
            "{} has no unit and is millimetres, where {} on line {with} has one{more}",
            quoted(text),
            quoted(marked)
        );
        let remedy = format!(
            "write the unit behind it, such as {}, if inches are meant, or `{text} mm` if millimetres are",
            quoted(&format!("{text} in"))
        );
        findings.push(Finding::new(&files::MIXED_UNITS, place, what, remedy));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Table;

    static COLUMNS: [Column; 3] = [
        Column::needed("length", "length", "4 m", "how long"),
        Column::needed("thickness", "length", "10", "how thick"),
        Column::needed("name", "name", "A", "its name"),
    ];

    fn told(lines: &str) -> Vec<String> {
        let mut findings = Findings::new();
        let text = format!("length,thickness,name\n{lines}");
        Table::read("t.csv", text.as_bytes(), &COLUMNS, &mut findings).expect("a table");
        findings.iter().map(ToString::to_string).collect()
    }

    #[test]
    fn a_number_alone_among_inches_is_told_with_how_many_more() {
        let found =
            told("7 ft 6 in,10,A\n240,3/8 in,B 1 in\n90 in,10,C\n120.5,10,D\n,10,E\n0,10,F\n");
        let [one] = found.as_slice() else { panic!("{found:?}") };
        assert!(one.contains("t.csv:3:1 (length): warning F031"), "{one}");
        assert!(
            one.contains("`240` has no unit and is millimetres, where `7 ft 6 in` on line 2"),
            "{one}"
        );
        assert!(one.contains("so is 1 cell more") && one.contains("`240 in`"), "{one}");
    }

    #[test]
    fn metres_and_millimetres_stand_together() {
        assert!(told("240,10,A\n2.4 m,10,B\n").is_empty());
        assert!(told("240,10,A\n250,10,B\n").is_empty());
        assert!(told("8',10,A\n240 mm,10,B\n").is_empty());
    }
}
