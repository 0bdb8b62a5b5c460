//! Pulls along a roll: the last stage of whole-roll pricing.
//!
//! ```text
//!   g(y) = max sum_p V_p x_p   s.t.  sum_p l_p x_p <= y,   x_p whole
//! ```
//!
//! over pulls `p` of one width with length `l_p` and worth `V_p` (Gilmore and Gomory 1965: the
//! knapsack of strips). Without limits on the `x_p`, so `g` bounds every roll of that width.

use super::effort::Effort;
use super::row::Row;

/// A pull on offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Offer {
    /// Its length.
    pub length: usize,
    /// Its worth.
    pub worth: i64,
}

/// The knapsack's table.
pub(super) struct Along<'p> {
    offers: &'p [Offer],
    row: Row,
}

impl<'p> Along<'p> {
    /// The table for lengths up to `most`.
    pub fn new(offers: &'p [Offer], most: usize, effort: &Effort<'_>) -> Self {
        let worth = offers.iter().map(|offer| offer.worth).max().unwrap_or(0);
        let shortest = offers.iter().map(|offer| offer.length).min().unwrap_or(1);
        let mut row = Row::new(most, (worth, shortest));
        for offer in offers {
            row.join(offer.length, offer.worth);
        }
        for _ in 0..most / 1024 {
            effort.spend(1024 * offers.len());
        }
        Self { offers, row }
    }

    /// `g` of a length.
    pub fn value(&self, y: usize) -> i64 {
        self.row.at(y)
    }

    /// The pulls, with repeats, that reach `g(y)`; of several that do, the first on offer.
    pub fn trace(&self, mut y: usize) -> Vec<usize> {
        let mut chosen = Vec::new();
        while y > 0 {
            let value = self.value(y);
            let last = |offer: &Offer| {
                let before = y.checked_sub(offer.length);
                before.is_some_and(|before| self.value(before) + offer.worth == value)
            };
            match self.offers.iter().position(last) {
                Some(at) if self.value(y - 1) < value => {
                    chosen.push(at);
                    y -= self.offers[at].length;
                }
                _ => y -= 1,
            }
        }
        chosen
    }
}
