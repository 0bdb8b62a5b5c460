//! Sparse triangular factors of a basis matrix.
//!
//! 1. Singletons first: a column (or row) with one entry left is pivoted without any arithmetic.
//!    Bases of cutting-stock masters are almost wholly of this kind.
//! 2. The rest by Markowitz: of the few shortest rows and columns, the entry that can cause the
//!    least fill, `(r - 1)(c - 1)`, among those not smaller than a tenth of their row's largest.
//! 3. Whatever cannot be pivoted is reported, so that the caller can put logical columns there.
//!
//! Variables: `B = L U` after permutation, where `B`'s columns are called slots. Sources: Markowitz,
//! Management Science 3 (1957); Suhl and Suhl, ORSA J. on Computing 2 (1990) for the search among
//! few candidates.

/// Entries smaller than this are rounding noise of an elimination and are dropped.
const NOISE: f64 = 1e-13;
/// No pivot may be smaller than this.
const SMALLEST_PIVOT: f64 = 1e-9;
/// A pivot must reach this share of its row's largest entry.
const THRESHOLD: f64 = 0.1;
/// Rows and columns looked at before the best pivot among them is taken.
const CANDIDATES: usize = 4;

/// A list of (index, value) pairs for each key, stored in one run.
#[derive(Clone, Debug, Default)]
struct Lists {
    starts: Vec<usize>,
    entries: Vec<(usize, f64)>,
}

impl Lists {
    /// Gathers triples (key, index, value) by key.
    fn gather(keys: usize, triples: &[(usize, usize, f64)]) -> Self {
        let mut starts = vec![0; keys + 1];
        for &(key, ..) in triples {
            starts[key + 1] += 1;
        }
        for key in 0..keys {
            starts[key + 1] += starts[key];
        }
        let mut next = starts.clone();
        let mut entries = vec![(0, 0.0); triples.len()];
        for &(key, index, value) in triples {
            entries[next[key]] = (index, value);
            next[key] += 1;
        }
        Self { starts, entries }
    }

    fn of(&self, key: usize) -> &[(usize, f64)] {
        &self.entries[self.starts[key]..self.starts[key + 1]]
    }
}

/// The lower factor: the multipliers of the steps that have any, one after another.
#[derive(Clone, Debug, Default)]
struct Lower {
    /// Pivot row of each step, and where its multipliers end.
    steps: Vec<(usize, usize)>,
    /// (row, multiplier).
    multipliers: Vec<(usize, f64)>,
}

impl Lower {
    /// The steps in order: pivot row and multipliers.
    fn steps(&self) -> impl DoubleEndedIterator<Item = (usize, &[(usize, f64)])> {
        (0..self.steps.len()).map(|at| {
            let begin = at.checked_sub(1).map_or(0, |before| self.steps[before].1);
            let (row, end) = self.steps[at];
            (row, &self.multipliers[begin..end])
        })
    }
}

/// One step of the elimination.
#[derive(Clone, Copy, Debug)]
struct Pivot {
    row: usize,
    slot: usize,
    value: f64,
}

/// The factors of a basis.
#[derive(Clone, Debug, Default)]
pub(super) struct Factors {
    pivots: Vec<Pivot>,
    lower: Lower,
    /// The upper factor by row: (slot, value), without the pivot.
    upper_rows: Lists,
    /// The upper factor by slot: (row, value), without the pivot.
    upper_slots: Lists,
}

/// A basis position that no row could be pivoted for, and a row left over.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Repair {
    /// The slot whose column depends on the others.
    pub slot: usize,
    /// The row whose logical column can stand there instead.
    pub row: usize,
}

impl Factors {
    /// Factors the matrix whose `slots[k]` are the entries (row, value) of column `k`.
    ///
    /// # Errors
    /// If the matrix is singular: the pairs by which it can be mended.
    pub fn new(slots: &[&[(usize, f64)]], room: &mut Room) -> Result<Self, Vec<Repair>> {
        let size = slots.len();
        let Room { active, upper } = room;
        active.begin(slots);
        upper.clear();
        let mut factors = Self { pivots: Vec::with_capacity(size), ..Self::default() };
        while let Some(pivot) = active.find() {
            active.eliminate(pivot, &mut factors.lower, upper);
            factors.pivots.push(pivot);
        }
        if factors.pivots.len() < size {
            return Err(active.repairs());
        }
        factors.upper_rows = Lists::gather(size, upper);
        for triple in upper.iter_mut() {
            *triple = (triple.1, triple.0, triple.2);
        }
        factors.upper_slots = Lists::gather(size, upper);
        Ok(factors)
    }

    /// How many numbers the factors hold.
    pub fn entries(&self) -> usize {
        self.lower.multipliers.len() + self.upper_rows.entries.len() + self.pivots.len()
    }

    /// Solves `B x = a`: takes `a` by row (and leaves it spoilt), gives `x` by slot.
    pub fn solve(&self, a: &mut [f64], x: &mut [f64]) {
        for (row, multipliers) in self.lower.steps() {
            let value = a[row];
            if value != 0.0 {
                for &(other, multiplier) in multipliers {
                    a[other] -= multiplier * value;
                }
            }
        }
        for pivot in self.pivots.iter().rev() {
            let value = a[pivot.row];
            if value == 0.0 {
                x[pivot.slot] = 0.0;
                continue;
            }
            let value = value / pivot.value;
            x[pivot.slot] = value;
            for &(row, entry) in self.upper_slots.of(pivot.slot) {
                a[row] -= entry * value;
            }
        }
    }

    /// Solves `y B = c`: takes `c` by slot (and leaves it spoilt), gives `y` by row.
    pub fn solve_transposed(&self, c: &mut [f64], y: &mut [f64]) {
        for pivot in &self.pivots {
            let value = c[pivot.slot];
            if value == 0.0 {
                y[pivot.row] = 0.0;
                continue;
            }
            let value = value / pivot.value;
            y[pivot.row] = value;
            for &(slot, entry) in self.upper_rows.of(pivot.row) {
                c[slot] -= entry * value;
            }
        }
        for (row, multipliers) in self.lower.steps().rev() {
            let sum: f64 =
                multipliers.iter().map(|&(other, multiplier)| multiplier * y[other]).sum();
            y[row] -= sum;
        }
    }
}

/// Lists that are used again and again. A copy has none of what is in them.
#[derive(Debug, Default)]
pub(super) struct Room {
    active: Active,
    upper: Vec<(usize, usize, f64)>,
}

impl Clone for Room {
    fn clone(&self) -> Self {
        Self::default()
    }
}

/// The part of the matrix not yet pivoted.
#[derive(Debug, Default)]
struct Active {
    /// Entries (slot, value) of each row; emptied when the row is done.
    rows: Vec<Vec<(usize, f64)>>,
    /// Rows of each slot; emptied when the slot is done.
    slots: Vec<Vec<usize>>,
    row_done: Vec<bool>,
    slot_done: Vec<bool>,
    /// Rows and slots by count; may hold stale entries, which the search throws out.
    rows_by_count: Vec<Vec<usize>>,
    slots_by_count: Vec<Vec<usize>>,
    /// The pivot row's value in each slot, while it is being subtracted.
    spread: Vec<f64>,
}

impl Active {
    /// Begins with these columns.
    fn begin(&mut self, columns: &[&[(usize, f64)]]) {
        let size = columns.len();
        empty(&mut self.rows, size);
        empty(&mut self.slots, size);
        empty(&mut self.rows_by_count, size + 1);
        empty(&mut self.slots_by_count, size + 1);
        for (slot, column) in columns.iter().enumerate() {
            for &(row, value) in *column {
                if value.abs() > NOISE {
                    self.rows[row].push((slot, value));
                    self.slots[slot].push(row);
                }
            }
        }
        for index in (0..size).rev() {
            self.rows_by_count[self.rows[index].len()].push(index);
            self.slots_by_count[self.slots[index].len()].push(index);
        }
        for done in [&mut self.row_done, &mut self.slot_done] {
            done.clear();
            done.resize(size, false);
        }
        self.spread.clear();
        self.spread.resize(size, 0.0);
    }

    /// The next pivot, or nothing when none is left.
    fn find(&mut self) -> Option<Pivot> {
        let mut best: Option<(usize, Pivot)> = None;
        let mut seen = 0;
        for count in 1..self.rows_by_count.len() {
            let mut k = self.slots_by_count[count].len();
            while k > 0 {
                k -= 1;
                let slot = self.slots_by_count[count][k];
                if self.slot_done[slot] || self.slots[slot].len() != count {
                    self.slots_by_count[count].swap_remove(k);
                    continue;
                }
                if count == 1
                    && let Some(pivot) = self.lone(slot)
                {
                    return Some(pivot);
                }
                for &row in &self.slots[slot] {
                    self.weigh(row, Some(slot), &mut best);
                }
                seen += 1;
                if enough(best.as_ref(), count, seen) {
                    return best.map(|(_, pivot)| pivot);
                }
            }
            let mut k = self.rows_by_count[count].len();
            while k > 0 {
                k -= 1;
                let row = self.rows_by_count[count][k];
                if self.row_done[row] || self.rows[row].len() != count {
                    self.rows_by_count[count].swap_remove(k);
                    continue;
                }
                self.weigh(row, None, &mut best);
                seen += 1;
                if enough(best.as_ref(), count, seen) {
                    return best.map(|(_, pivot)| pivot);
                }
            }
        }
        best.map(|(_, pivot)| pivot)
    }

    /// A slot's only entry as a pivot, if it is large enough: no other can cause less fill.
    fn lone(&self, slot: usize) -> Option<Pivot> {
        let row = *self.slots[slot].first()?;
        let &(_, value) = self.rows[row].iter().find(|entry| entry.0 == slot)?;
        (value.abs() >= SMALLEST_PIVOT).then_some(Pivot { row, slot, value })
    }

    /// Weighs the entries of a row (or only the one in `slot`) as pivots.
    fn weigh(&self, row: usize, slot: Option<usize>, best: &mut Option<(usize, Pivot)>) {
        let entries = &self.rows[row];
        let largest = entries.iter().fold(0.0_f64, |most, entry| most.max(entry.1.abs()));
        for &(other, value) in entries {
            if slot.is_some_and(|slot| slot != other) || value.abs() < SMALLEST_PIVOT {
                continue;
            }
            let lone = self.slots[other].len() == 1;
            if !lone && value.abs() < THRESHOLD * largest {
                continue;
            }
            let fill = (entries.len() - 1) * (self.slots[other].len() - 1);
            let better = best.as_ref().is_none_or(|(least, pivot)| {
                fill < *least || (fill == *least && value.abs() > pivot.value.abs())
            });
            if better {
                *best = Some((fill, Pivot { row, slot: other, value }));
            }
        }
    }

    /// Takes the pivot's row and slot out and subtracts the row from the others in its slot.
    fn eliminate(&mut self, pivot: Pivot, lower: &mut Lower, upper: &mut Vec<(usize, usize, f64)>) {
        let mut pivot_row = std::mem::take(&mut self.rows[pivot.row]);
        self.row_done[pivot.row] = true;
        self.slot_done[pivot.slot] = true;
        for &(slot, value) in &pivot_row {
            let rows = &mut self.slots[slot];
            if let Some(k) = rows.iter().position(|&row| row == pivot.row) {
                rows.swap_remove(k);
            }
            if slot != pivot.slot {
                upper.push((pivot.row, slot, value));
                self.slots_by_count[self.slots[slot].len()].push(slot);
                self.spread[slot] = value;
            }
        }
        let mut others = std::mem::take(&mut self.slots[pivot.slot]);
        if !others.is_empty() {
            for &row in &others {
                let multiplier = self.subtract(row, pivot, &pivot_row);
                lower.multipliers.push((row, multiplier));
            }
            lower.steps.push((pivot.row, lower.multipliers.len()));
        }
        for &(slot, _) in &pivot_row {
            self.spread[slot] = 0.0;
        }
        // Both are done; their room is kept.
        pivot_row.clear();
        others.clear();
        self.rows[pivot.row] = pivot_row;
        self.slots[pivot.slot] = others;
    }

    /// Subtracts the pivot row from `row` so that the pivot's slot becomes empty; gives the factor.
    fn subtract(&mut self, row: usize, pivot: Pivot, pivot_row: &[(usize, f64)]) -> f64 {
        let mut entries = std::mem::take(&mut self.rows[row]);
        let mut factor = 0.0;
        if let Some(k) = entries.iter().position(|entry| entry.0 == pivot.slot) {
            factor = entries.swap_remove(k).1 / pivot.value;
        }
        let mut k = 0;
        while k < entries.len() {
            let (slot, value) = entries[k];
            let taken = self.spread[slot];
            if taken == 0.0 {
                k += 1;
                continue;
            }
            self.spread[slot] = 0.0;
            let value = value - factor * taken;
            if value.abs() > NOISE {
                entries[k].1 = value;
                k += 1;
            } else {
                entries.swap_remove(k);
                self.slots[slot].retain(|&other| other != row);
                self.slots_by_count[self.slots[slot].len()].push(slot);
            }
        }
        for &(slot, value) in pivot_row {
            if slot == pivot.slot {
                continue;
            }
            if self.spread[slot] == 0.0 {
                self.spread[slot] = value;
            } else {
                entries.push((slot, -factor * value));
                self.slots[slot].push(row);
                self.slots_by_count[self.slots[slot].len()].push(slot);
            }
        }
        self.rows_by_count[entries.len()].push(row);
        self.rows[row] = entries;
        factor
    }

    fn repairs(&self) -> Vec<Repair> {
        let slots = (0..self.slots.len()).filter(|&slot| !self.slot_done[slot]);
        let rows = (0..self.rows.len()).filter(|&row| !self.row_done[row]);
        slots.zip(rows).map(|(slot, row)| Repair { slot, row }).collect()
    }
}

/// So many lists, all empty.
fn empty<T>(lists: &mut Vec<Vec<T>>, many: usize) {
    lists.iter_mut().for_each(Vec::clear);
    lists.resize_with(many, Vec::new);
}

/// Whether the search may end with the best pivot so far.
fn enough(best: Option<&(usize, Pivot)>, count: usize, seen: usize) -> bool {
    best.is_some_and(|(fill, _)| *fill <= (count - 1) * (count - 1) || seen >= CANDIDATES)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        /// Identity: what the factors solve, multiplied out again, gives the right-hand side.
        #[test]
        fn solves_multiply_back(
            size in 1_usize..25,
            seed in proptest::collection::vec((0_usize..25, 0_usize..25, -3_i32..4), 0..120),
            rhs in proptest::collection::vec(-5_i32..6, 25),
        ) {
            let mut columns: Vec<Vec<(usize, f64)>> = (0..size).map(|k| vec![(k, 7.0)]).collect();
            for &(row, slot, value) in &seed {
                let (row, slot) = (row % size, slot % size);
                if value != 0 && columns[slot].iter().all(|entry| entry.0 != row) {
                    columns[slot].push((row, f64::from(value)));
                }
            }
            let slices: Vec<&[(usize, f64)]> = columns.iter().map(Vec::as_slice).collect();
            let Ok(factors) = Factors::new(&slices, &mut Room::default()) else { return Ok(()) };
            let a: Vec<f64> = (0..size).map(|k| f64::from(rhs[k])).collect();
            let (mut work, mut x, mut y) = (a.clone(), vec![0.0; size], vec![0.0; size]);
            factors.solve(&mut work, &mut x);
            let mut product = vec![0.0; size];
            for (slot, column) in columns.iter().enumerate() {
                for &(row, value) in column {
                    product[row] += value * x[slot];
                }
            }
            for k in 0..size {
                prop_assert!((product[k] - a[k]).abs() < 1e-7 * (1.0 + x.iter().fold(0.0_f64, |m, v| m.max(v.abs()))));
            }
            let mut work = a.clone();
            factors.solve_transposed(&mut work, &mut y);
            for (slot, column) in columns.iter().enumerate() {
                let sum: f64 = column.iter().map(|&(row, value)| value * y[row]).sum();
                prop_assert!((sum - a[slot]).abs() < 1e-7 * (1.0 + y.iter().fold(0.0_f64, |m, v| m.max(v.abs()))));
            }
        }
    }

    /// Construction: the third column is the sum of the first two.
    #[test]
    fn a_dependent_column_is_named() {
        let columns: [&[(usize, f64)]; 3] =
            [&[(0, 1.0), (1, 1.0)], &[(1, 1.0), (2, 1.0)], &[(0, 1.0), (1, 2.0), (2, 1.0)]];
        assert_eq!(
            Factors::new(&columns, &mut Room::default()).err().map(|repairs| repairs.len()),
            Some(1)
        );
    }
}
