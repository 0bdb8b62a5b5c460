//! Lower bounds that hold for any cutting style, and the form in which every bound is handed on.

mod area;
mod certificate;
mod dual_feasible;
mod reach;

pub(in crate::nest) use area::by_area;
pub use certificate::{Certificate, Most, Scales, Weight};
pub use dual_feasible::DualFeasible;
pub use reach::Reach;
