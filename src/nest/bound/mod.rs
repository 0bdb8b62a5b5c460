//! Lower bounds that hold for any cutting style, and the form in which every bound is handed on.

mod certificate;
mod dual_feasible;
mod reach;

pub use certificate::{Certificate, Most, Scales, Weight};
pub use dual_feasible::DualFeasible;
pub use reach::Reach;
