//! Codes of findings on stock.

use super::Code;

/// All of them.
pub const ALL: &[&Code] = &[];
