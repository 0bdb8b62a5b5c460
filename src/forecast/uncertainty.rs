//! `uncertainty.csv`: how far the quantities of the takeoff may be off.
//!
//! A line selects items by name, kind, line and area (empty: any) and gives an uncertainty in per
//! cent. The first line that selects an item counts for it; others have none.

use super::quantities::per_cent;
use crate::cost;
use crate::finding::codes::cost as codes;
use crate::finding::{Finding, Findings, Place};
use crate::table::{Cell, Codes, Column, Reader, Table};
use crate::takeoff::{Item, Takeoff};
use crate::units::Decimal;

/// The file's name in a job folder.
pub const FILE: &str = "uncertainty.csv";

/// The columns.
pub const COLUMNS: &[Column; 5] = &[
    Column::needed(
        "uncertainty",
        "per cent",
        "15",
        "how far quantity or length may be off, up and down, per cent",
    ),
    Column::optional("item", "name", "P-101", "only this item; empty: any"),
    Column::optional("kind", "word", "pipe", "only this kind; empty: any"),
    Column::optional("line", "text", "L-100", "only this line; empty: any"),
    Column::optional("area", "text", "North", "only this area of the site; empty: any"),
];

const CODES: Codes =
    Codes { missing: &codes::MISSING, unread: &codes::UNREAD, range: &codes::RANGE };

/// What a line selects and says.
#[derive(Clone, Debug)]
pub struct Selection {
    item: String,
    kind: String,
    line: String,
    area: String,
    by: Decimal,
    place: Place,
}

impl Selection {
    fn takes(&self, item: &Item) -> bool {
        let is = |asked: &str, own: &str| asked.is_empty() || asked.eq_ignore_ascii_case(own);
        is(&self.item, &item.id)
            && is(&self.kind, cost::kind_word(&item.kind))
            && is(&self.line, &item.line)
            && is(&self.area, &item.area)
    }
}

/// The lines of the file that can be read, whatever the takeoff has. Where a finding is an error they are not to be
/// used, but those that select nothing can be told.
#[must_use]
pub fn read(file: &str, bytes: &[u8]) -> (Vec<Selection>, Findings) {
    let mut findings = Findings::new();
    let table = Table::read(file, bytes, COLUMNS, &mut findings);
    let mut selections = Vec::new();
    let mut reader = Reader::new(CODES, &mut findings);
    for row in table.iter().flat_map(Table::rows) {
        let [uncertainty, item, kind, line, area]: [Cell<'_>; 5] = row.cells;
        let Some(by) = per_cent(&uncertainty, 100, &mut reader) else { continue };
        selections.push(Selection {
            item: item.text().to_owned(),
            kind: kind.text().to_owned(),
            line: line.text().to_owned(),
            area: area.text().to_owned(),
            by,
            place: Place::line(file, row.line),
        });
    }
    (selections, findings)
}

/// The uncertainty of every item of a takeoff, as a part of its quantity, in the takeoff's order; lines that select
/// none are told.
#[must_use]
pub fn of_items(selections: &[Selection], takeoff: &Takeoff) -> (Vec<Decimal>, Findings) {
    let mut findings = Findings::new();
    let mut used = vec![false; selections.len()];
    let mut all = Vec::with_capacity(takeoff.items.len());
    for item in &takeoff.items {
        // Lines that are shadowed by earlier ones match as well.
        let mut by = None;
        for (selection, used) in selections.iter().zip(&mut used) {
            if selection.takes(item) {
                *used = true;
                by = by.or(Some(selection.by));
            }
        }
        all.push(by.unwrap_or(Decimal::ZERO));
    }
    for (selection, _) in selections.iter().zip(&used).filter(|(_, used)| !**used) {
        findings.push(Finding::new(
            &codes::NO_MATCH,
            selection.place.clone(),
            "no item of the takeoff is selected by this line",
            "check item, kind, line and area against the takeoff",
        ));
    }
    (all, findings)
}
