//! Codes of findings on nest.

use super::Code;

/// All of them.
pub const ALL: &[&Code] = &[];
