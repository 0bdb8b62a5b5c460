//! From lines as typed to [`Stock`]: units, ranges, names used once; every problem told.

use super::limits::{LENGTH, THICKNESS, WIDTH};
use super::record::{OFFCUT_COLUMNS, OffcutRecord, ROLL_COLUMNS, RollRecord};
use super::{Offcut, Roll, Stock, terms, unusual};
use crate::cutting::Objective;
use crate::finding::codes::stock as codes;
use crate::finding::{Finding, Findings, Place};
use crate::rules::Rules;
use crate::table::{Codes, Reader, Table, quoted};
use crate::units::Length;
use std::collections::BTreeMap;

const CODES: Codes =
    Codes { missing: &codes::MISSING, unread: &codes::UNREAD, range: &codes::RANGE };

/// What column `courses` may say.
const COURSES: &[(&str, bool)] = &[("yes", true), ("no", false)];

/// How many rolls or offcuts can be had.
pub(super) const AVAILABLE: u64 = 1_000_000_000;

/// Reads `rolls.csv`.
#[must_use]
pub fn read_rolls(file: &str, bytes: &[u8]) -> (Option<Vec<Roll>>, Findings) {
    let mut findings = Findings::new();
    let table = Table::read(file, bytes, ROLL_COLUMNS, &mut findings);
    let (mut rolls, mut names) = (Vec::new(), Vec::new());
    let mut reader = Reader::new(CODES, &mut findings);
    for row in table.iter().flat_map(Table::rows) {
        let record = RollRecord::from(row.cells);
        names.push((record.roll.text().to_owned(), record.roll.place().whole_line()));
        rolls.extend(roll(&record, &mut reader));
    }
    tell_twice(names.iter().map(|(name, place)| (name, place)), &mut findings);
    tell_alike(names.iter().map(|(name, place)| (name, place)), &mut findings);
    tell_no_courses(&rolls, &mut findings);
    (if findings.has_errors() { None } else { Some(rolls) }, findings)
}

/// Reads `offcuts.csv`. A file with headings and nothing below them is an empty shelf.
#[must_use]
pub fn read_offcuts(file: &str, bytes: &[u8]) -> (Option<Vec<Offcut>>, Findings) {
    let mut findings = Findings::new();
    let table = Table::read_or_empty(file, bytes, OFFCUT_COLUMNS, &mut findings);
    let (mut offcuts, mut names) = (Vec::new(), Vec::new());
    let mut reader = Reader::new(CODES, &mut findings);
    for row in table.iter().flat_map(Table::rows) {
        let record = OffcutRecord::from(row.cells);
        names.push((record.offcut.text().to_owned(), record.offcut.place().whole_line()));
        offcuts.extend(offcut(&record, &mut reader));
    }
    tell_twice(names.iter().map(|(name, place)| (name, place)), &mut findings);
    tell_alike(names.iter().map(|(name, place)| (name, place)), &mut findings);
    (if findings.has_errors() { None } else { Some(offcuts) }, findings)
}

/// Rolls and offcuts together: no name may serve for both, and what is left of a roll is no larger.
#[must_use]
pub fn combine(rolls: Vec<Roll>, offcuts: Vec<Offcut>) -> (Option<Stock>, Findings) {
    let mut findings = Findings::new();
    let both = rolls.iter().map(|r| (&r.id, &r.place));
    tell_twice(both.chain(offcuts.iter().map(|o| (&o.id, &o.place))), &mut findings);
    unusual::against_rolls(&rolls, &offcuts, &mut findings);
    (if findings.has_errors() { None } else { Some(Stock { rolls, offcuts }) }, findings)
}

/// Looks whether the rules leave anything of each roll, and whether prices are there where they
/// are needed.
#[must_use]
pub fn check_against_rules(stock: &Stock, rules: &Rules) -> Findings {
    let mut findings = Findings::new();
    let trims = rules.table.edge_trim * 2;
    for roll in &stock.rolls {
        for (name, size, off, rule) in [
            ("width", roll.width, trims, "edge_trim"),
            ("length", roll.length, rules.table.square_cut, "square_cut"),
        ] {
            if size <= off {
                findings.push(Finding::new(
                    &codes::NOTHING_USABLE,
                    roll.place.field(name, None),
                    format!("nothing is left of {size} mm when {off} mm are trimmed off"),
                    format!("check the roll's {name} and the rule [table] {rule}"),
                ));
            }
        }
        if rules.order.objective == Objective::Price && roll.price.is_none() && roll.offered {
            findings.push(Finding::new(
                &codes::PRICE_NEEDED,
                roll.place.field("price", None),
                format!("the roll {} has no price", quoted(&roll.id)),
                "give it one, or write 0 as its `available` where it is not to be bought; a plan with the fewest rolls, \
                 [order] objective = \"rolls\", needs none",
            ));
        }
    }
    findings
}

fn roll(record: &RollRecord<'_>, reader: &mut Reader<'_>) -> Option<Roll> {
    let id = reader.name(&record.roll);
    let thickness = reader.length(&record.thickness, &THICKNESS);
    let width = reader.length(&record.width, &WIDTH);
    let length = reader.length(&record.length, &LENGTH);
    unusual::roll(record, width, length, reader);
    let price = record.price.or(None, |cell| reader.money(cell).map(Some));
    if let Some(Some(price)) = price {
        unusual::price(&record.price, price, reader);
    }
    let available =
        record.available.or(None, |cell| reader.count(cell, &(0..=AVAILABLE)).map(Some));
    let terms = terms::read(record, price.flatten(), reader);
    let courses = record.courses.or(true, |cell| reader.word(cell, COURSES));
    if let (Some(width), Some(length)) = (width, length)
        && width > length
    {
        let what = format!("the roll is {width} mm wide and {length} mm long");
        let remedy = unusual::turned(record.length.text());
        reader.tell(&codes::WIDER_THAN_LONG, &record.length, what, remedy);
    }
    if let (Some(Some(most)), Some(terms)) = (available, &terms)
        && most > 0
        && terms.minimum > most
    {
        let least = terms.minimum;
        let what = format!("no fewer than {least} are sold, and only {most} can be had");
        let remedy = "correct `minimum` or `available`; 0 available is for a roll not on offer now";
        reader.tell(&codes::MINIMUM, &record.minimum, what, remedy);
    }
    Some(Roll {
        id: id?.to_owned(),
        thickness: thickness?,
        width: width?,
        length: length?,
        price: price?,
        available: available?,
        offered: available? != Some(0),
        courses: courses?,
        terms: terms?,
        place: record.roll.place().whole_line(),
    })
}

fn offcut(record: &OffcutRecord<'_>, reader: &mut Reader<'_>) -> Option<Offcut> {
    let id = reader.name(&record.offcut);
    let thickness = reader.length(&record.thickness, &THICKNESS);
    let width = reader.length(&record.width, &WIDTH);
    let length = reader.length(&record.length, &LENGTH);
    unusual::offcut(record, length, reader);
    let quantity = record.quantity.or(1, |cell| reader.count(cell, &(1..=AVAILABLE)));
    Some(Offcut {
        id: id?.to_owned(),
        thickness: thickness?,
        width: width?,
        length: length?,
        quantity: quantity?,
        shelf: record.place.text().to_owned(),
        place: record.offcut.place().whole_line(),
    })
}

/// Tells thicknesses of which every roll on offer says that no courses are laid out for it.
fn tell_no_courses(rolls: &[Roll], findings: &mut Findings) {
    let mut told: Vec<Length> = Vec::new();
    for roll in rolls.iter().filter(|roll| roll.offered && !roll.courses) {
        let thickness = roll.thickness;
        let laid = rolls.iter().any(|r| r.thickness == thickness && r.is_laid_out_for());
        if laid || told.contains(&thickness) {
            continue;
        }
        told.push(thickness);
        findings.push(Finding::new(
            &codes::NO_COURSES,
            roll.place.field("courses", None),
            format!("no roll of {thickness} mm is left that courses could be laid out for"),
            "leave `courses` empty for those that they are to be as wide as, or offer another roll",
        ));
    }
}

/// Tells every name that stood before, on lines that hold other mistakes as well; that one is missing is told where it is
/// read.
fn tell_twice<'s>(names: impl Iterator<Item = (&'s String, &'s Place)>, findings: &mut Findings) {
    let mut first: BTreeMap<&str, &Place> = BTreeMap::new();
    for (name, place) in names.filter(|(name, _)| !name.is_empty()) {
        if let Some(before) = first.get(name.as_str()) {
            findings.push(Finding::new(
                &codes::TWICE,
                place.clone(),
                format!("the name {} stands already at {before}", quoted(name)),
                "rename one of the two, or delete it if it is the same thing",
            ));
        } else {
            first.insert(name, place);
        }
    }
}

/// Tells every name that differs from one before in capitals only, as the takeoff does of its items.
fn tell_alike<'s>(names: impl Iterator<Item = (&'s String, &'s Place)>, findings: &mut Findings) {
    let mut first: BTreeMap<String, (&str, &Place)> = BTreeMap::new();
    for (name, place) in names.filter(|(name, _)| !name.is_empty()) {
        let (before, at) = *first.entry(name.to_lowercase()).or_insert((name, place));
        if before != name {
            let what = format!(
                "the names {} and {} at {at} differ in capitals only",
                quoted(name),
                quoted(before)
            );
            let remedy = "delete one of the two if they are the same thing, else rename one; they are read as two";
            findings.push(Finding::new(&codes::ALIKE, place.clone(), what, remedy));
        }
    }
}
