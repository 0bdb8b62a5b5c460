//! Pulls along a roll: the last stage of whole-roll pricing.
//!
//! ```text
//!   g(y) = max sum_p V_p x_p   s.t.  sum_p l_p x_p <= y,   x_p whole
//! ```
//!
//! over pulls `p` of one width with length `l_p` and worth `V_p` (Gilmore and Gomory 1965: the
//! knapsack of strips). Without limits on the `x_p`, so `g` bounds every roll of that width.

use super::effort::Effort;

/// A pull on offer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Offer {
    /// Its length.
    pub length: usize,
    /// Its worth.
    pub worth: i64,
}

/// The knapsack's table.
pub(super) struct Along {
    /// `g`.
    pub value: Vec<i64>,
    /// The pull that reaches `g(y)` first, plus one; 0: the same as for `y - 1`.
    choice: Vec<u32>,
}

impl Along {
    /// The table for lengths up to `most`.
    pub fn new(offers: &[Offer], most: usize, effort: &Effort<'_>) -> Self {
        let mut value = vec![0_i64; most + 1];
        let mut choice = vec![0_u32; most + 1];
        for y in 1..=most {
            let mut best = (value[y - 1], 0);
            for (number, offer) in (1..).zip(offers) {
                if offer.length <= y {
                    let with = value[y - offer.length] + offer.worth;
                    if with > best.0 {
                        best = (with, number);
                    }
                }
            }
            (value[y], choice[y]) = best;
            if y % 1024 == 0 {
                effort.spend(1024 * offers.len());
            }
        }
        Self { value, choice }
    }

    /// The pulls, with repeats, that reach `g(y)`.
    pub fn trace(&self, mut y: usize, offers: &[Offer]) -> Vec<usize> {
        let mut chosen = Vec::new();
        while y > 0 {
            match self.choice[y] {
                0 => y -= 1,
                number => {
                    let at = number as usize - 1;
                    chosen.push(at);
                    y -= offers[at].length;
                }
            }
        }
        chosen
    }
}
