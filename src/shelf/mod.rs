//! The shelf: a ledger of the offcuts that lie there, in one `SQLite` file.
//!
//! Every change is one transaction that holds or does not, whatever happens to the process: a
//! kill at any moment leaves the old or the new state, and two processes at once wait for each
//! other. A plan is booked once: its kept offcuts come in and the ones it used go out together.
//! The whole ledger can be written to CSV and read back.

mod book;
mod error;
mod ledger;
mod restored;
mod schema;
mod sheets;

pub use book::{Booked, Booking, Kept, Lent};
pub use error::ShelfError;
pub use ledger::{Entry, Ledger, New, Wanted};
pub use restored::{Restored, Sheet};
pub use sheets::{BOOKINGS, HISTORY, ON_SHELF, Sheets};
