//! Quantities by size and kind: a takeoff that is not yet detailed.
//!
//! The file is a `takeoff.csv` in which a pipe's length is a total, with three columns more: the mean
//! run length, its spread, and the law. Its other columns are read by the takeoff's own door, so that
//! every kind and every dimension is there; `item` may be left out, and a line is then called by its number.

use super::law::{Law, Shape};
use crate::finding::codes::cost as codes;
use crate::finding::codes::{files, takeoff as takeoff_codes};
use crate::finding::{Finding, Findings, Place};
use crate::rules::Rules;
use crate::table::{Cell, Codes, Column, Reader, Table, quoted};
use crate::takeoff::{self, Item, Kind, Takeoff};
use crate::units::{Decimal, Length};
use std::collections::{BTreeMap, BTreeSet};
use std::ops::RangeInclusive;

/// The columns beside those of the takeoff.
pub const COLUMNS: &[Column; 3] = &[
    Column::optional("run", "length", "4 m", "mean length of a run, of a pipe; empty: 4 m"),
    Column::optional(
        "spread",
        "per cent",
        "60",
        "standard deviation of run lengths, per cent of the mean; empty: 60",
    ),
    Column::optional(
        "law",
        "word",
        "lognormal",
        "lognormal (empty), exponential or fixed: how run lengths are spread",
    ),
];

const CODES: Codes =
    Codes { missing: &codes::MISSING, unread: &codes::UNREAD, range: &codes::RANGE };

/// Mean run lengths that occur.
const RUN: RangeInclusive<Length> = Length::from_mm(300)..=Length::from_mm(100_000);

/// The most runs that a simulated job may have: each is an item of its own, and a hundred thousand take 0.7 GB.
const MOST_RUNS: u64 = 200_000;

/// A line: like things, or a total length of one pipe.
#[derive(Clone, Debug, PartialEq)]
pub struct Quantity {
    /// What it is; a pipe's length is the total, and its quantity is 1.
    pub item: Item,
    /// How its runs are spread, of a pipe.
    pub law: Law,
}

/// Reads quantities; `None` where any finding is an error.
#[must_use]
pub fn read(file: &str, bytes: &[u8], rules: &Rules) -> (Option<Vec<Quantity>>, Findings) {
    let mut findings = Findings::new();
    let (takeoff, found) = takeoff::read_unnamed(file, bytes, rules);
    let mut own = Findings::new();
    let table = Table::read(file, bytes, COLUMNS, &mut own);
    let mut laws: BTreeMap<u64, Law> = BTreeMap::new();
    let mut filled: Vec<(u64, Place, &str)> = Vec::new();
    let mut reader = Reader::new(CODES, &mut findings);
    for row in table.iter().flat_map(Table::rows) {
        if let Some(law) = law(&row.cells, &mut reader) {
            laws.insert(row.line, law);
        }
        let cells = row.cells.iter().filter(|cell| !cell.is_empty());
        filled.extend(cells.map(|cell| (row.line, cell.place(), cell.name())));
    }
    // Each door calls the other's columns unknown; whatever else they say stands once.
    let ours = |finding: &&Finding| {
        let field = finding.place.field.as_deref().unwrap_or_default();
        let known = COLUMNS.iter().any(|column| column.name.eq_ignore_ascii_case(field.trim()));
        finding.code.id != files::COLUMN_UNKNOWN.id || !known
    };
    findings.extend(found.iter().filter(ours).cloned());
    let Some(takeoff) = takeoff.filter(|_| !findings.has_errors()) else {
        return (None, findings);
    };
    let others = takeoff.items.iter().filter(|item| !matches!(item.kind, Kind::Pipe(_)));
    let others: BTreeSet<u64> = others.filter_map(|item| item.place.line).collect();
    findings.extend(filled.into_iter().filter(|(line, ..)| others.contains(line)).map(
        |(_, place, name)| {
            let what = format!("column `{name}` is filled, but pipes alone have runs");
            Finding::new(
                &takeoff_codes::NOT_USED,
                place,
                what,
                "check the kind, or delete the value",
            )
        },
    ));
    let law = |item: &Item| item.place.line.and_then(|line| laws.get(&line)).copied();
    let quantities = takeoff.items.into_iter().map(|item| {
        let law = law(&item).unwrap_or_default();
        Quantity { item: whole(item), law }
    });
    (Some(quantities.collect()), findings)
}

/// That the largest job of these quantities has more runs than can be simulated, if it is so, told at the pipe with
/// the most of them.
#[must_use]
pub fn too_many_runs(quantities: &[Quantity], sizes: &[Decimal]) -> Option<Finding> {
    let runs = |quantity: &Quantity| match &quantity.item.kind {
        // Longer than can be told.
        Kind::Pipe(pipe) if pipe.length.nm() == i64::MAX => i64::MAX,
        Kind::Pipe(pipe) => pipe.length.nm() / quantity.law.mean.nm().max(1) + 1,
        _ => 0,
    };
    let all: i128 = quantities.iter().map(|quantity| i128::from(runs(quantity))).sum();
    let largest = sizes.iter().copied().max().unwrap_or_default();
    if all * i128::from(largest.millionths()) <= i128::from(MOST_RUNS) * 1_000_000 {
        return None;
    }
    let most = quantities.iter().max_by_key(|quantity| runs(quantity))?;
    let place = most.item.place.clone().field("length", most.item.place.column);
    let what = format!(
        "a simulated job of {largest} times these quantities has more than {MOST_RUNS} runs of pipe, most of them \
         on this line"
    );
    let remedy = "correct the length or the quantity, give a longer mean run, or ask for smaller sizes of the job";
    Some(Finding::new(&codes::RANGE, place, what, remedy))
}

/// A pipe with its quantity times its length as one total, as long as can be told where that is too long.
fn whole(mut item: Item) -> Item {
    if let Kind::Pipe(pipe) = &mut item.kind {
        let count = i64::try_from(item.quantity).unwrap_or(1);
        pipe.length = pipe.length.checked_mul(count).unwrap_or(Length::from_nm(i64::MAX));
        pipe.ends.clear();
        item.quantity = 1;
    }
    item
}

fn law(cells: &[Cell<'_>; 3], reader: &mut Reader<'_>) -> Option<Law> {
    let [run, spread, word] = cells;
    let fallback = Law::default();
    let mean = run.or(fallback.mean, |cell| reader.length(cell, &RUN));
    let shape = word.or(fallback.shape, |cell| reader.word(cell, &Shape::WORDS));
    let spread = spread.or(fallback.spread, |cell| {
        let value = per_cent(cell, 200, reader)?;
        Some(value.f64())
    });
    Some(Law { shape: shape?, mean: mean?, spread: spread? })
}

/// The number of per cent that may be meant by one below 1 without its sign: 20 by `0.2`.
#[must_use]
pub fn part_of_one(text: &str, value: Decimal) -> Option<Decimal> {
    let small = (1..1_000_000).contains(&value.millionths()) && !text.ends_with('%');
    small.then(|| Decimal::from_millionths(value.millionths() * 100))
}

/// A number of per cent between 0 and a limit, as a part of one; `%` may stand behind it.
pub(super) fn per_cent(cell: &Cell<'_>, most: i64, reader: &mut Reader<'_>) -> Option<Decimal> {
    let text = reader.text(cell)?;
    let bare = text.trim_end_matches('%').trim_end();
    let remedy = "write a number of per cent such as `10` or `7.5 %`";
    let value = reader.read(cell, Decimal::parse(bare), "a number of per cent", remedy)?;
    let millionths = value.millionths();
    if millionths < 0 || millionths > most * 1_000_000 {
        let what = match (millionths < 0, most) {
            (true, _) => format!("{} is negative", quoted(text)),
            (false, most) => format!("{} is over {most} %", quoted(text)),
        };
        reader.tell(&codes::RANGE, cell, what, format!("give a value from 0 to {most} %"));
        return None;
    }
    if let Some(whole) = part_of_one(text, value) {
        let what = format!("{} is read as {value} %, less than one in a hundred", quoted(text));
        let remedy = format!("write `{whole} %` if that is meant, `{value} %` if it is right");
        reader.tell(&codes::SMALL_PER_CENT, cell, what, remedy);
    }
    Some(Decimal::from_millionths(millionths / 100))
}

/// The quantities of a takeoff: pipes of one size, build and position put together, with the mean
/// and spread of their own run lengths; everything else as it is.
#[must_use]
#[expect(clippy::cast_precision_loss, reason = "a mean and a spread for a distribution")]
pub fn of_takeoff(takeoff: &Takeoff) -> Vec<Quantity> {
    let mut pipes: BTreeMap<_, Vec<&Item>> = BTreeMap::new();
    let mut all = Vec::new();
    for item in &takeoff.items {
        match &item.kind {
            Kind::Pipe(pipe) => {
                pipes.entry((&pipe.size, &item.build, pipe.vertical)).or_default().push(item);
            }
            _ => all.push(Quantity { item: item.clone(), law: Law::default() }),
        }
    }
    for items in pipes.into_values() {
        let Some(first) = items.first() else { continue };
        let runs: Vec<(f64, f64)> = items
            .iter()
            .filter_map(|item| match &item.kind {
                Kind::Pipe(pipe) => Some((pipe.length.mm_f64(), item.quantity as f64)),
                _ => None,
            })
            .collect();
        let count: f64 = runs.iter().map(|(_, n)| n).sum();
        let sum: f64 = runs.iter().map(|(length, n)| length * n).sum();
        let mean = sum / count.max(1.0);
        let squares: f64 = runs.iter().map(|(length, n)| n * (length - mean).powi(2)).sum();
        // Runs drawn are scaled to their total and so scatter less than their law, by as much as those
        // at hand do about their own mean: hence one less than their number.
        let spread = (squares / (count - 1.0).max(1.0)).sqrt() / mean.max(1.0);
        let total = items.iter().fold(0_i64, |total, item| {
            let Kind::Pipe(pipe) = &item.kind else { return total };
            let count = i64::try_from(item.quantity).unwrap_or(i64::MAX);
            total.saturating_add(pipe.length.nm().saturating_mul(count))
        });
        let mut item = (*first).clone();
        if let Kind::Pipe(pipe) = &mut item.kind {
            pipe.length = Length::from_nm(total);
            pipe.ends.clear();
        }
        item.quantity = 1;
        // Of one run, and of runs that are all alike, there is no spread to be drawn.
        let law = if spread < 1e-6 {
            let number =
                items.iter().fold(0_u64, |number, item| number.saturating_add(item.quantity));
            let each = total / i64::try_from(number).unwrap_or(i64::MAX).max(1);
            Law { shape: Shape::Fixed, mean: Length::from_nm(each.max(1)), spread: 0.0 }
        } else {
            let mean = Length::from_mm_f64_nearest(mean.round()).unwrap_or(super::law::MEAN);
            Law { shape: Shape::Lognormal, mean, spread: spread.min(2.0) }
        };
        all.push(Quantity { item, law });
    }
    all
}
