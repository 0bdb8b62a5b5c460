//! Codes of findings on demand.

use super::Code;

/// All of them.
pub const ALL: &[&Code] = &[];
