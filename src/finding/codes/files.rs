//! Codes of findings on files.

use super::Code;

/// All of them.
pub const ALL: &[&Code] = &[];
