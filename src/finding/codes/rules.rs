//! Codes of findings on rules.

use super::Code;

/// All of them.
pub const ALL: &[&Code] = &[];
