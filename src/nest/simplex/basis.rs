//! The basis inverse: factors of some earlier basis, and one elementary column for each exchange
//! since (product form). Dantzig and Orchard-Hays, 1954.

use super::factors::{Factors, Repair};
use super::state::Image;

/// Exchanges after which the basis is factored anew.
const MOST_EXCHANGES: usize = 80;

/// An exchange: the entering column as seen from the basis before it.
#[derive(Clone, Debug)]
struct Exchange {
    slot: usize,
    pivot: f64,
    /// The other entries: (slot, value).
    others: Vec<(usize, f64)>,
}

/// Solves with the current basis.
#[derive(Clone, Debug, Default)]
pub(super) struct Basis {
    factors: Factors,
    exchanges: Vec<Exchange>,
    exchanged_entries: usize,
    scratch: Vec<f64>,
}

impl Basis {
    /// Factors a basis anew.
    ///
    /// # Errors
    /// If it is singular: how it can be mended.
    pub fn new(slots: &[&[(usize, f64)]]) -> Result<Self, Vec<Repair>> {
        let factors = Factors::new(slots)?;
        let scratch = vec![0.0; slots.len()];
        Ok(Self { factors, exchanges: Vec::new(), exchanged_entries: 0, scratch })
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
            || self.exchanged_entries > 2 * self.factors.entries() + 4 * self.scratch.len()
    }

    /// How many numbers a solve goes through.
    pub fn entries(&self) -> usize {
        self.factors.entries() + self.exchanged_entries
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
        for exchange in self.exchanges.iter().rev() {
            let sum: f64 = exchange.others.iter().map(|&(slot, value)| value * c[slot]).sum();
            c[exchange.slot] = (c[exchange.slot] - sum) / exchange.pivot;
        }
        self.factors.solve_transposed(c, y);
    }

    /// Records that the column with this image took the place of the one in `slot`.
    pub fn exchange(&mut self, slot: usize, image: &Image) {
        let mut others = Vec::with_capacity(image.slots.len());
        others
            .extend(image.entries().filter(|&(other, value)| other != slot && value.abs() > 1e-14));
        self.exchanged_entries += others.len() + 1;
        self.exchanges.push(Exchange { slot, pivot: image.values[slot], others });
    }

    fn exchange_forward(&self, x: &mut [f64]) {
        for exchange in &self.exchanges {
            let value = x[exchange.slot];
            if value != 0.0 {
                let value = value / exchange.pivot;
                x[exchange.slot] = value;
                for &(slot, entry) in &exchange.others {
                    x[slot] -= entry * value;
                }
            }
        }
    }
}
