//! The line of headings: which column stands where.

use super::cell::{self, quoted};
use super::nearest;
use super::origin::Origin;
use crate::finding::codes::files;
use crate::finding::{Finding, Findings, Place};
use csv::StringRecord;
use serde::Serialize;

/// A column that a table may have.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
pub struct Column {
    /// Its heading, in lower case.
    pub name: &'static str,
    /// Whether every file must have it.
    pub needed: bool,
    /// What stands in it, for people: `length`, `whole number`.
    pub form: &'static str,
    /// An example of it.
    pub example: &'static str,
    /// What it means.
    pub meaning: &'static str,
}

impl Column {
    /// A column that every file must have.
    #[must_use]
    pub const fn needed(
        name: &'static str,
        form: &'static str,
        example: &'static str,
        meaning: &'static str,
    ) -> Self {
        Self { name, needed: true, form, example, meaning }
    }

    /// A column that may be left out.
    #[must_use]
    pub const fn optional(
        name: &'static str,
        form: &'static str,
        example: &'static str,
        meaning: &'static str,
    ) -> Self {
        Self { name, needed: false, form, example, meaning }
    }
}

/// A heading as it is compared: lower case, `size 2` and `size_2` like `size2`, and without
/// `(mm)`, which is what a bare number means anyway.
fn plain(heading: &str) -> String {
    let lower = heading.trim().to_lowercase();
    let bare = ["(mm)", "[mm]", " mm"].iter().find_map(|unit| lower.strip_suffix(unit));
    let bare = bare.unwrap_or(&lower);
    bare.chars().filter(|c| !matches!(c, ' ' | '_' | '-' | '\u{A0}' | '\n')).collect()
}

/// The column of lengths that a heading names with a unit in which bare numbers are not read, and the unit.
fn in_other_unit(
    heading: &str,
    columns: &'static [Column],
) -> Option<(&'static Column, &'static str)> {
    const UNITS: [&str; 6] = ["cm", "m", "in", "ft", "inch", "feet"];
    let lower = heading.trim().to_lowercase();
    let (name, unit) = match lower.strip_suffix([')', ']']) {
        Some(bare) => bare.rsplit_once(['(', '['])?,
        // `length in`, `length_ft` and `length, m` name a unit as well.
        None => lower.rsplit_once([' ', '_', ','])?,
    };
    let unit = UNITS.into_iter().find(|known| *known == unit.trim())?;
    column_of(name, columns).filter(|column| column.form == "length").map(|column| (column, unit))
}

/// The column that a heading names before words in brackets, such as `price (EUR)`.
fn before_brackets(heading: &str, columns: &'static [Column]) -> Option<&'static Column> {
    let (name, _) = heading.trim().strip_suffix([')', ']'])?.split_once(['(', '['])?;
    column_of(name, columns).filter(|column| column.form != "text")
}

/// How many headings of a line are known when it is cut at this separator.
fn known_when_cut(line: &str, separator: char, columns: &[Column]) -> usize {
    line.split(separator)
        .map(|part| plain(part.trim_matches('"')))
        .filter(|part| columns.iter().any(|c| plain(c.name) == *part))
        .count()
}

/// A finding where the line of headings is separated by anything but commas.
pub(super) fn wrong_separator(file: &str, text: &str, columns: &[Column]) -> Option<Finding> {
    let (at, line) = text.lines().enumerate().find(|(_, line)| !line.trim().is_empty())?;
    let with_commas = known_when_cut(line, ',', columns);
    [(';', "semicolons"), ('\t', "tabs"), ('|', "vertical bars")]
        .into_iter()
        .map(|(sign, name)| (known_when_cut(line, sign, columns), sign, name))
        .filter(|(known, ..)| *known > with_commas && *known >= 2)
        .max_by_key(|(known, ..)| *known)
        .map(|(_, sign, name)| {
            Finding::new(
                &files::SEPARATOR,
                Place::line(file, at as u64 + 1),
                match sign {
                    '\t' => format!("the columns are separated by {name}"),
                    _ => format!(
                        "the columns are separated by {name} ({})",
                        quoted(&sign.to_string())
                    ),
                },
                "save the file with commas as separator and points as decimal sign",
            )
        })
}

/// So many lines of title, project and date may a sheet have above its headings.
pub(super) const LOOKED_AT: usize = 30;

/// Whether a line is most likely that of the headings: at least two, and half of those that every
/// file must have, are known.
pub(super) fn has_headings<'c>(cells: impl Iterator<Item = &'c str>, columns: &[Column]) -> bool {
    let least = columns.iter().filter(|column| column.needed).count().div_ceil(2).max(2);
    cells.filter(|cell| column_of(cell, columns).is_some()).count() >= least
}

/// Whether a line has the headings of all columns that every file must have.
pub(super) fn has_all_headings<'c>(
    cells: &(impl Iterator<Item = &'c str> + Clone),
    columns: &[Column],
) -> bool {
    let named = |column: &Column| {
        cells.clone().any(|cell| column_of(cell, columns).is_some_and(|c| c.name == column.name))
    };
    columns.iter().filter(|column| column.needed).all(named)
}

/// The column that a heading names.
pub(super) fn column_of<'c>(heading: &str, columns: &'c [Column]) -> Option<&'c Column> {
    let bare = plain(heading);
    columns.iter().find(|column| plain(column.name) == bare)
}

/// A finding where the headings stand below other lines.
pub(super) fn lower_headings(
    origin: &Origin,
    records: &[(u64, StringRecord)],
    columns: &[Column],
) -> Option<Finding> {
    let (_, first) = records.first()?;
    if has_headings(first.iter(), columns) {
        return None;
    }
    let here = |(_, record): &&(u64, StringRecord)| has_headings(record.iter(), columns);
    let (line, _) = records.iter().take(LOOKED_AT).find(here)?;
    Some(Finding::new(
        &files::HEADINGS_LOWER,
        origin.line(*line),
        format!("the headings stand on line {line}, below other text"),
        "delete the lines above them",
    ))
}

/// For each column asked for, the number of the field it stands in, from 0.
pub(super) fn match_columns<const N: usize>(
    origin: &Origin,
    line: u64,
    headings: &StringRecord,
    columns: &'static [Column; N],
    findings: &mut Findings,
) -> [Option<usize>; N] {
    let mut at = [None; N];
    let mut misspelt = Vec::new();
    let mut named: Vec<&str> = Vec::new();
    let mut unread: Vec<String> = Vec::new();
    for (number, heading) in headings.iter().enumerate() {
        let place = || Place { column: Some(number as u64 + 1), ..origin.line(line) };
        findings.extend(cell::check(heading, place));
    }
    let names: Vec<String> = columns.iter().map(|c| plain(c.name)).collect();
    for (number, heading) in headings.iter().enumerate() {
        let bare = plain(heading);
        let place = origin.line(line).field(cut(heading), Some(number as u64 + 1));
        if bare.is_empty() {
            continue;
        }
        if let Some(which) = names.iter().position(|name| *name == bare) {
            match at.get_mut(which) {
                Some(slot @ None) => *slot = Some(number),
                _ => findings.push(Finding::new(
                    &files::COLUMN_TWICE,
                    place,
                    format!("the heading {} stands twice", quoted(heading)),
                    "delete or rename one of the two columns",
                )),
            }
        } else if let Some((column, unit)) = in_other_unit(heading, columns) {
            let name = column.name;
            named.push(name);
            findings.push(Finding::new(
                &files::COLUMN_MISSPELT,
                place,
                format!("the heading {} has a unit in which bare numbers are not read", quoted(heading)),
                format!(
                    "name it `{name}` and write the unit into every cell, such as `2.4 {}`: a bare number is \
                     millimetres",
                    if unit == "inch" { "in" } else if unit == "feet" { "ft" } else { unit }
                ),
            ));
        } else if let Some(column) = before_brackets(heading, columns)
            && !headings.iter().any(|other| column_of(other, columns) == Some(column))
        {
            misspelt.push((plain(column.name), place, quoted(heading)));
        } else if nearest(&bare, names.iter().map(String::as_str)).is_some() {
            misspelt.push((bare, place, quoted(heading)));
        } else {
            unread.push(quoted(heading));
            findings.push(Finding::new(
                &files::COLUMN_UNKNOWN,
                place,
                format!("the column {} is not read", quoted(heading)),
                "leave it if it is for your own use",
            ));
        }
    }
    // What stands there already is not meant, if another is near: two columns of one name are none.
    let open = || names.iter().zip(&at).filter(|(_, slot)| slot.is_none()).map(|(name, _)| name);
    let mut meant_by: Vec<&str> = Vec::new();
    for (bare, place, heading) in misspelt {
        let other = nearest(&bare, open().map(String::as_str));
        let there = nearest(&bare, names.iter().map(String::as_str));
        let known = |name: &str| names.iter().position(|known| known == name);
        let meant = other.or(there).and_then(known).and_then(|at| columns.get(at));
        let name = meant.map_or("", |column| column.name);
        meant_by.extend(other);
        findings.push(Finding::new(
            &files::COLUMN_MISSPELT,
            place,
            format!("the heading {heading} is not known"),
            if other.is_some() {
                format!("write `{name}` if that is meant, else give it a quite different name")
            } else {
                format!("there is a column `{name}` already: delete this one, or give it a quite different name")
            },
        ));
    }
    for ((column, slot), name) in columns.iter().zip(&at).zip(&names) {
        let told = named.contains(&column.name) || meant_by.contains(&name.as_str());
        if column.needed && slot.is_none() && !told {
            findings.push(Finding::new(
                &files::COLUMN_MISSING,
                origin.line(line).field(column.name, None),
                format!("there is no column `{}`", column.name),
                format!("{}: {}", add_it(&unread), column.meaning),
            ));
        }
    }
    at
}

/// What to do about a column that is not there, where these are not read: one of them may be it by another name.
fn add_it(unread: &[String]) -> String {
    match unread {
        [] => "add it to the headings".to_owned(),
        [one] => format!("add it to the headings, or call {one} so if that is meant"),
        [_, ..] => {
            let some: Vec<&str> = unread.iter().take(4).map(String::as_str).collect();
            let more = if unread.len() > some.len() { " …" } else { "" };
            format!(
                "add it to the headings, or call one of those that are not read so ({}{more})",
                some.join(", ")
            )
        }
    }
}

/// A heading as a field's name: short enough to print.
fn cut(heading: &str) -> String {
    heading.trim().chars().take(40).collect()
}
