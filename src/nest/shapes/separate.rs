//! Takes overlapping pieces apart on a sheet.
//!
//! Guided local search (Voudouris and Tsang 1999; for outlines Egeblad, Nielsen and Odgaard,
//! European Journal of Operational Research 183, 2007, and Umetani et al., International
//! Transactions in Operational Research 16, 2009). Steps: every piece in conflict, in an order
//! by lot, moves to the place of least weighted loss; then the weights of the pairs still in
//! conflict rise; again until nothing overlaps or nothing gets better for long.

use super::lot::Lot;
use super::seek;
use super::table::{Spot, Table};
use crate::nest::Watch;

/// When a search gives up.
#[derive(Clone, Copy, Debug)]
pub struct Patience {
    /// Rounds without a smaller loss that end a try.
    pub rounds: usize,
    /// Tries without a clearly smaller loss that end the search.
    pub tries: usize,
    /// Work at which it ends in any case.
    pub work: u64,
}

/// Takes the pieces apart. True if nothing overlaps any more; else the table holds the state of
/// least loss.
pub fn separate(
    table: &mut Table<'_>,
    patience: Patience,
    lot: &mut Lot,
    watch: &dyn Watch,
) -> bool {
    let mut best = (table.total(), table.spots.clone());
    let mut tries = 0;
    while tries < patience.tries {
        let start = best.0;
        let mut idle = 0;
        while idle < patience.rounds {
            if table.total() <= 0.0 {
                return true;
            }
            if !round(table, patience.work, lot, watch) {
                tries = patience.tries;
                break;
            }
            table.reweigh();
            let total = table.total();
            if total < best.0 {
                if total < 0.98 * best.0 {
                    idle = 0;
                }
                best = (total, table.spots.clone());
            } else {
                idle += 1;
            }
        }
        tries = if best.0 < 0.98 * start { 0 } else { tries + 1 };
        restore(table, &best.1);
    }
    table.total() <= 0.0
}

fn restore(table: &mut Table<'_>, spots: &[Spot]) {
    table.restore(spots);
}

/// Every piece in conflict moves once. False when it was stopped.
fn round(table: &mut Table<'_>, most: u64, lot: &mut Lot, watch: &dyn Watch) -> bool {
    let mut order: Vec<usize> = (0..table.spots.len()).filter(|&i| table.conflicts(i)).collect();
    lot.shuffle(&mut order);
    for i in order {
        if watch.stop() || table.work >= most {
            return false;
        }
        if table.conflicts(i) {
            seek::improve(table, i, lot);
        }
    }
    true
}
