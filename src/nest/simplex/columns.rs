//! The matrix by columns, one after another in one list: a loop over all of them reads memory in order.

/// The entries (row, value) of each column.
#[derive(Clone, Debug)]
pub(super) struct Columns {
    /// Where each column begins, and the end of the last.
    starts: Vec<usize>,
    entries: Vec<(usize, f64)>,
}

impl Default for Columns {
    fn default() -> Self {
        Self { starts: vec![0], entries: Vec::new() }
    }
}

impl Columns {
    /// Adds a column.
    pub fn push(&mut self, entries: &[(usize, f64)]) {
        self.entries.extend_from_slice(entries);
        self.starts.push(self.entries.len());
    }

    /// The entries of a column.
    pub fn of(&self, column: usize) -> &[(usize, f64)] {
        &self.entries[self.starts[column]..self.starts[column + 1]]
    }

    /// Adds a row with these (column, value) entries, each column at most once; it comes last in each.
    pub fn add_row(&mut self, row: usize, entries: &[(usize, f64)]) {
        let mut value = vec![None; self.starts.len()];
        for &(column, entry) in entries {
            value[column] = Some(entry);
        }
        let mut new = Self::default();
        new.entries.reserve(self.entries.len() + entries.len());
        for column in 0..self.starts.len() - 1 {
            new.entries.extend_from_slice(self.of(column));
            new.entries.extend(value[column].map(|value| (row, value)));
            new.starts.push(new.entries.len());
        }
        *self = new;
    }

    /// Takes out the columns that do not stay.
    pub fn retain(&mut self, stays: &[bool]) {
        let mut new = Self::default();
        for (column, _) in stays.iter().enumerate().filter(|(_, stays)| **stays) {
            new.push(self.of(column));
        }
        *self = new;
    }
}
