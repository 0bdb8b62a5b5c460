//! What a job costs: the order with its price breaks, minimum orders and freight; labour; waste in
//! money; and what each item really costs, by the linear programme's own prices.
//!
//! Nothing here prints or reads a clock. Every amount that is shown is rounded to hundredths, half to
//! even, before it is added up, and what is shared out is shared without remainder ([`spread`]), so
//! that totals are the sums of what is printed.

mod around;
pub mod buy;
mod job;
pub mod labour;
pub mod lift;
pub mod market;
pub mod rates;
pub mod share;
pub mod spread;
#[cfg(test)]
mod tests;
pub mod waste;

pub use buy::{Bought, Purchase};
pub use job::{
    Amount, Amounts, Cost, Group, Labour, Needs, RatesAre, check, countable, currencies, freight,
    kind as kind_word, price, size as size_words, spares,
};
pub use rates::{Rate, Rates};
