//! Lower bounds that hold for any cutting style, and the form in which every bound is handed on.

mod certificate;

pub use certificate::{Certificate, Most};
