//! The basis inverse: factors of some earlier basis, and one elementary column for each exchange
//! since (product form). Dantzig and Orchard-Hays, 1954.

use super::factors::{Factors, Repair, Room};
use super::state::Image;

/// Exchanges after which the basis is factored anew.
const MOST_EXCHANGES: usize = 80;

/// An exchange: the entering column as seen from the basis before it.
#[derive(Clone, Copy, Debug)]
struct Exchange {
    slot: usize,
    pivot: f64,
    /// Where its other entries end; they begin where those of the exchange before it end.
    end: usize,
}

/// Solves with the current basis.
#[derive(Clone, Debug, Default)]
pub(super) struct Basis {
    factors: Factors,
    exchanges: Vec<Exchange>,
    /// The other entries (slot, value) of all exchanges.
    others: Vec<(usize, f64)>,
    scratch: Vec<f64>,
    room: Room,
}

impl Basis {
    /// Factors a basis anew. Where that fails, no basis stands.
    ///
    /// # Errors
    /// If it is singular: how it can be mended.
    pub fn factor(&mut self, slots: &[&[(usize, f64)]]) -> Result<(), Vec<Repair>> {
        self.exchanges.clear();
        self.others.clear();
        self.scratch.clear();
        self.factors = Factors::new(slots, &mut self.room)?;
        self.scratch.resize(slots.len(), 0.0);
        Ok(())
    }

    /// How many slots there are.
    pub fn size(&self) -> usize {
        self.scratch.len()
    }

    /// Whether no exchange has been made since the factoring.
    pub fn is_fresh(&self) -> bool {
        self.exchanges.is_empty()
    }

    /// Whether factoring anew pays.
    pub fn is_worn(&self) -> bool {
        self.exchanges.len() >= MOST_EXCHANGES
            || self.exchanged_entries() > 2 * self.factors.entries() + 4 * self.scratch.len()
    }

    /// How many numbers a solve goes through.
    pub fn entries(&self) -> usize {
        self.factors.entries() + self.exchanged_entries()
    }

    /// Entries of all exchanges, pivots among them.
    fn exchanged_entries(&self) -> usize {
        self.others.len() + self.exchanges.len()
    }

    /// The exchanges in order, each with its other entries.
    fn made(&self) -> impl DoubleEndedIterator<Item = (&Exchange, &[(usize, f64)])> {
        (0..self.exchanges.len()).map(|at| {
            let begin = at.checked_sub(1).map_or(0, |before| self.exchanges[before].end);
            (&self.exchanges[at], &self.others[begin..self.exchanges[at].end])
        })
    }

    /// `x = B^-1 a`, with `a` given as entries (row, value).
    pub fn solve(&mut self, entries: &[(usize, f64)], x: &mut [f64]) {
        self.scratch.fill(0.0);
        for &(row, value) in entries {
            self.scratch[row] += value;
        }
        self.factors.solve(&mut self.scratch, x);
        self.exchange_forward(x);
    }

    /// `x = B^-1 a`, with `a` dense by row.
    pub fn solve_dense(&mut self, a: &[f64], x: &mut [f64]) {
        self.scratch.copy_from_slice(a);
        self.factors.solve(&mut self.scratch, x);
        self.exchange_forward(x);
    }

    /// `y = c B^-1`; `c` is by slot and is spoilt.
    pub fn solve_transposed(&self, c: &mut [f64], y: &mut [f64]) {
        for (exchange, others) in self.made().rev() {
            let sum: f64 = others.iter().map(|&(slot, value)| value * c[slot]).sum();
            c[exchange.slot] = (c[exchange.slot] - sum) / exchange.pivot;
        }
        self.factors.solve_transposed(c, y);
    }

    /// Records that the column with this image took the place of the one in `slot`.
    pub fn exchange(&mut self, slot: usize, image: &Image) {
        self.others
            .extend(image.entries().filter(|&(other, value)| other != slot && value.abs() > 1e-14));
        let end = self.others.len();
        self.exchanges.push(Exchange { slot, pivot: image.values[slot], end });
    }

    fn exchange_forward(&self, x: &mut [f64]) {
        for (exchange, others) in self.made() {
            let value = x[exchange.slot];
            if value != 0.0 {
                let value = value / exchange.pivot;
                x[exchange.slot] = value;
                for &(slot, entry) in others {
                    x[slot] -= entry * value;
                }
            }
        }
    }
}
