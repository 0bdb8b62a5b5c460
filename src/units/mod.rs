//! Quantities with units, exact from text to text.
//!
//! A [`Length`] is a whole number of nanometres, so that decimal millimetres (to six places) and
//! inches (to 1/64) are both exact: two strips of 23 15/16 in and a 1/8 in gap fill a 48 in roll
//! to the last unit. An [`Area`] is square nanometres in 128 bits, an [`Angle`] whole
//! microdegrees, [`Money`] whole millionths of a currency unit. Floating point appears only in
//! the `*_f64` conversions, which `pattern` and the linear programme use.

mod angle;
mod area;
mod counted;
mod decimal;
mod divisor;
mod length;
mod measure;
mod money;
mod sheet;
mod text;

pub use angle::Angle;
pub use area::Area;
pub use counted::{counted, few, in_runs, joined, kind_of, noted};
pub use decimal::Decimal;
pub use divisor::gcd;
pub use length::Length;
pub use measure::{Measure, ROUNDED, SQUARE_FOOT};
pub use money::Money;
pub use sheet::SheetSize;
pub use text::{UnitError, parse_decimal};
