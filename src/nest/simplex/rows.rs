//! The matrix by rows, without the columns that are switched off, and combinations of its rows.
//!
//! A row of `B^-1 A` is `sum_i r_i a_i` over the rows `a_i` of the matrix, gathered row by row. Taking each
//! column's product with `r` instead, which reads memory in order, takes longer even where most `r_i` differ
//! from zero: where a column ends cannot be foretold, and its sum waits for one entry after another.

use super::columns::Columns;

/// Factors below this are noise.
const NOISE: f64 = 1e-14;

/// Variables are listed, and their sums set back to zero, one by one where so many times as many are still fewer
/// than the variables; else all are gone through.
pub(super) const SPARSE: usize = 4;

/// Work counts as if the entries of all rows were gone through where so many times those with a factor
/// are no fewer.
const GATHERED: usize = 2;

/// Entries (variable, value) of each row, of variables whose upper bound is above zero.
#[derive(Clone, Debug, Default)]
pub(super) struct LiveRows {
    /// Where each row begins, and the end of the last.
    starts: Vec<usize>,
    entries: Vec<(usize, f64)>,
    /// The variables themselves, in order.
    variables: Vec<usize>,
    /// Whether a variable is listed, while rows are being gathered; by variable.
    listed: Vec<bool>,
}

impl LiveRows {
    /// From the matrix by columns.
    pub fn new(matrix: &Columns, uppers: &[f64], rows: usize) -> Self {
        let variables: Vec<usize> = uppers
            .iter()
            .enumerate()
            .filter(|(_, upper)| **upper > 0.0)
            .map(|(at, _)| at)
            .collect();
        let mut starts = vec![0; rows + 1];
        for &variable in &variables {
            for &(row, _) in matrix.of(variable) {
                starts[row + 1] += 1;
            }
        }
        for row in 0..rows {
            starts[row + 1] += starts[row];
        }
        let mut entries = vec![(0, 0.0); starts[rows]];
        let mut next = starts.clone();
        for &variable in &variables {
            for &(row, value) in matrix.of(variable) {
                entries[next[row]] = (variable, value);
                next[row] += 1;
            }
        }
        Self { starts, entries, variables, listed: vec![false; uppers.len()] }
    }

    /// The variables that are not switched off, in order.
    pub fn variables(&self) -> &[usize] {
        &self.variables
    }

    /// How many entries they have.
    pub fn len(&self) -> usize {
        self.entries.len()
    }

    /// Adds up the rows times their factors into `sums` (by variable, zero before), and lists the variables
    /// where the sum differs from zero, in any order. Factors that are noise are set to zero. Gives how many
    /// entries were gone through, all counted where they are many.
    pub fn combine(
        &mut self,
        factors: &mut [f64],
        sums: &mut [f64],
        touched: &mut Vec<usize>,
    ) -> usize {
        let mut gathered = 0;
        for (row, factor) in factors.iter_mut().enumerate() {
            if factor.abs() < NOISE {
                *factor = 0.0;
            } else {
                gathered += self.starts[row + 1] - self.starts[row];
            }
        }
        let rows = factors.iter().enumerate().filter(|(_, factor)| **factor != 0.0);
        if SPARSE * gathered < sums.len() {
            for (row, &factor) in rows {
                for &(variable, value) in &self.entries[self.starts[row]..self.starts[row + 1]] {
                    if !self.listed[variable] {
                        self.listed[variable] = true;
                        touched.push(variable);
                    }
                    sums[variable] += factor * value;
                }
            }
            touched.retain(|&variable| {
                self.listed[variable] = false;
                sums[variable] != 0.0
            });
            return gathered;
        }
        for (row, &factor) in rows {
            for &(variable, value) in &self.entries[self.starts[row]..self.starts[row + 1]] {
                sums[variable] += factor * value;
            }
        }
        list_nonzero(sums, touched);
        if GATHERED * gathered < self.entries.len() { gathered } else { self.entries.len() }
    }
}

/// Lists where values differ from zero, rising. Without a branch: which way it goes cannot be foretold.
pub(super) fn list_nonzero(values: &[f64], list: &mut Vec<usize>) {
    let before = list.len();
    list.resize(before + values.len(), 0);
    let room = &mut list[before..];
    let mut next = 0;
    for (at, &value) in values.iter().enumerate() {
        room[next] = at;
        next += usize::from(value != 0.0);
    }
    list.truncate(before + next);
}
