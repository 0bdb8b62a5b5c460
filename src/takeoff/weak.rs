//! Figures from weakly supported table rows, told once a row however many items use it.

use crate::finding::codes::takeoff as codes;
use crate::finding::{Finding, Findings, Place};
use crate::standards::{Evidence, Figure};
use crate::table::Cell;

/// The weak rows used so far, in the order of their first use.
#[derive(Debug, Default)]
pub(super) struct Weak(Vec<Row>);

#[derive(Debug)]
struct Row {
    table: &'static str,
    number: u32,
    of: String,
    source: &'static str,
    evidence: Evidence,
    place: Place,
    dimensions: Vec<(String, &'static str)>,
}

impl Weak {
    /// Remembers a figure, if it is weak: the `name` of the item's dimension, what it is `of`, and
    /// the cell into which a measured value would go.
    pub(super) fn note(&mut self, figure: &Figure, name: &str, of: &str, cell: &Cell<'_>) {
        if !figure.is_weak() {
            return;
        }
        let same = |row: &&mut Row| {
            (row.table, row.number, row.source) == (figure.table, figure.row, figure.source)
        };
        let dimension = (format!("{name} {} mm", figure.value), cell.name());
        if let Some(row) = self.0.iter_mut().find(same) {
            if !row.dimensions.contains(&dimension) {
                row.dimensions.push(dimension);
            }
            return;
        }
        self.0.push(Row {
            table: figure.table,
            number: figure.row,
            of: of.to_owned(),
            source: figure.source,
            evidence: figure.evidence,
            place: cell.place(),
            dimensions: vec![dimension],
        });
    }

    /// Tells them.
    pub(super) fn tell(self, findings: &mut Findings) {
        for row in self.0 {
            let names: Vec<&str> = row.dimensions.iter().map(|(name, _)| name.as_str()).collect();
            let columns: Vec<String> =
                row.dimensions.iter().map(|(_, column)| format!("`{column}`")).collect();
            let how = match row.evidence {
                Evidence::Memory => "from memory, not from a source",
                Evidence::Single | Evidence::Checked => "from a single source",
            };
            let what = format!("{} of {}: {how} ({})", names.join(", "), row.of, row.source);
            let remedy = format!("measure it and fill in {}", columns.join(", "));
            findings.push(Finding::new(&codes::WEAK_FIGURE, row.place, what, remedy));
        }
    }
}
